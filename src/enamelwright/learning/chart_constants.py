"""Factors of control charts for normal values, worked out by quadrature rather than copied from a table.

Source: the definitions of the expected range and standard deviation of n normal values; W. A. Shewhart, Economic
Control of Quality of Manufactured Product (1931). Checked in tests/learning/test_chart_constants.py.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import exp, lgamma, sqrt

import numpy as np

from enamelwright.errors import InputError

REACH, NODES = 9.0, 1201
"""Standard deviations either side that hold all of a normal law to double precision, and nodes over them."""
LARGEST = 25
"""Larger groups call for a chart of standard deviations worked out directly."""


@dataclass(frozen=True)
class ChartConstants:
    """What turns a mean range or a mean standard deviation into limits.

    Attributes
    ----------
    n : int
        Values in one group.
    d2, d3 : float
        Mean and standard deviation of the range of n standard normal values.
    c4 : float
        Mean of their sample standard deviation.
    """

    n: int
    d2: float
    d3: float
    c4: float

    @property
    def a2(self) -> float:
        """Limits of the mean, from the mean range."""
        return 3 / (self.d2 * sqrt(self.n))

    @property
    def a3(self) -> float:
        """Limits of the mean, from the mean standard deviation."""
        return 3 / (self.c4 * sqrt(self.n))

    @property
    def b3_b4(self) -> tuple[float, float]:
        """Limits of the standard deviation, as factors on its mean."""
        half = 3 * sqrt(1 - self.c4**2) / self.c4
        return max(0.0, 1 - half), 1 + half

    @property
    def d3_d4(self) -> tuple[float, float]:
        """Limits of the range, as factors on its mean."""
        half = 3 * self.d3 / self.d2
        return max(0.0, 1 - half), 1 + half

    @property
    def e2(self) -> float:
        """Limits of single values, from the mean range of n neighbours."""
        return 3 / self.d2


@lru_cache(maxsize=LARGEST)
def chart_constants(n: int) -> ChartConstants:
    """Work out the factors for groups of n.

    The range R of n values has E[R] = integral of 1 - F^n - (1-F)^n and E[R^2] = 2 * double integral over x < y of
    1 - F(y)^n - (1-F(x))^n + (F(y)-F(x))^n, F being the normal distribution.

    Parameters
    ----------
    n : int
        2 to 25.

    Raises
    ------
    InputError
        Outside that.
    """
    if not 2 <= n <= LARGEST:
        raise InputError(f"groups of {n} have no chart of ranges", f"Use groups of 2 to {LARGEST}.")
    _, coarse = _moments(n, (NODES + 1) // 2)
    d2, fine = _moments(n, NODES)
    second = (4 * fine - coarse) / 3  # the diagonal leaves an error of the square of the step: Richardson's rule
    c4 = sqrt(2 / (n - 1)) * exp(lgamma(n / 2) - lgamma((n - 1) / 2))
    return ChartConstants(n, d2, sqrt(second - d2 * d2), c4)


def _moments(n: int, nodes: int) -> tuple[float, float]:
    """Mean of the range, and of its square up to an error of the square of the step."""
    from scipy.special import ndtr

    x = np.linspace(-REACH, REACH, nodes)
    step = x[1] - x[0]
    f = ndtr(x)
    mean = float(np.sum(1 - f**n - (1 - f) ** n) * step)
    low, high = f[:, np.newaxis], f[np.newaxis, :]
    inside = 1 - high**n - (1 - low) ** n + np.where(high > low, high - low, 0.0) ** n
    weight = np.triu(np.ones_like(inside), 1) + 0.5 * np.eye(len(x))
    return mean, 2 * float(np.sum(weight * inside) * step * step)
