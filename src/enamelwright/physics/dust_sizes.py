"""What share of airborne dust people breathe in, and how far down it goes, by the size of its grains.

Sizes here are aerodynamic: the diameter of a ball of water's density that falls as fast.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Conventions:
    """The three conventions for health-related sampling of dust.

    ``inhalable = floor + (1 - floor) exp(-slope d)``; of what is inhaled, thoracic and respirable dust are what
    passes a cumulative lognormal curve. Agreed shares, not a lung: meant for adults, mouth breathing, moderate
    wind.

    Attributes
    ----------
    floor : float
        Share of the largest grains that is still inhaled.
    slope : float
        [1/m].
    thoracic, respirable : float
        Median of the two curves [m].
    spread : float
        Geometric standard deviation of both.

    Notes
    -----
    Source: S. C. Soderholm, Ann. Occup. Hyg. 33 (1989) 301; taken over by ISO 7708 and EN 481.
    """

    floor: float
    slope: float
    thoracic: float
    respirable: float
    spread: float

    def inhalable_share(self, aerodynamic: npt.ArrayLike) -> Array:
        """Share of airborne mass that enters nose or mouth.

        Parameters
        ----------
        aerodynamic : array_like
            Diameter [m].
        """
        d = _sizes(aerodynamic)
        return np.asarray(self.floor + (1 - self.floor) * np.exp(-self.slope * d))

    def thoracic_share(self, aerodynamic: npt.ArrayLike) -> Array:
        """Share of airborne mass that passes the larynx.

        Parameters
        ----------
        aerodynamic : array_like
            Diameter [m].
        """
        return self._beyond(aerodynamic, self.thoracic)

    def respirable_share(self, aerodynamic: npt.ArrayLike) -> Array:
        """Share of airborne mass that reaches the lung's finest airways.

        Parameters
        ----------
        aerodynamic : array_like
            Diameter [m].
        """
        return self._beyond(aerodynamic, self.respirable)

    def _beyond(self, aerodynamic: npt.ArrayLike, median: float) -> Array:
        from scipy.special import ndtr

        d = _sizes(aerodynamic)
        passed = ndtr(-np.log(d / median) / np.log(self.spread))
        return np.asarray(self.inhalable_share(d) * passed)


def _sizes(diameter: npt.ArrayLike) -> Array:
    d = np.asarray(diameter, dtype=np.float64)
    if not np.all(np.isfinite(d)) or np.any(d <= 0):
        raise InputError("a grain has a size above zero")
    return d


def aerodynamic_diameter(diameter: npt.ArrayLike, density: float, unit_density: float) -> Array:
    """Diameter of the ball of unit density that falls as fast, slip and shape left out [m].

    Parameters
    ----------
    diameter : array_like
        Of the grain [m].
    density : float
        Of the grain [kg/m3].
    unit_density : float
        Of the ball, 1000 by definition [kg/m3].
    """
    return np.asarray(_sizes(diameter) * np.sqrt(density / unit_density))


def lognormal_shares(edges: npt.ArrayLike, median: float, spread: float, largest: float) -> Array:
    """Share of the mass between neighbouring sizes of a lognormal powder that fell through a sieve.

    Parameters
    ----------
    edges : array_like, shape (n + 1,)
        Rising [m].
    median : float
        Diameter that halves the mass, before the cut [m].
    spread : float
        Geometric standard deviation, above 1.
    largest : float
        Opening of the sieve: nothing coarser is left [m].

    Returns
    -------
    ndarray, shape (n,)
        Sum 1 when the edges hold the whole powder.

    Raises
    ------
    InputError
        For a powder without a size or a spread.
    """
    from scipy.special import ndtr

    at = _sizes(edges)
    if not (median > 0 and spread > 1 and largest > 0):
        raise InputError("a powder has a middle size, a spread above 1 and a sieve it fell through")
    below = ndtr(np.log(np.minimum(at, largest) / median) / np.log(spread))
    whole = float(ndtr(np.log(largest / median) / np.log(spread)))
    return np.asarray(np.diff(below) / whole)
