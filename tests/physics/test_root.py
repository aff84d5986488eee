"""Roots: held against scipy's bracketing solver (Brent), and against functions whose roots are known."""

from __future__ import annotations

from math import cos, exp, log, pi, tan

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.optimize import brentq

from enamelwright.physics.root import root

#: function, ends, root: x^3 = 2; cos x = x has no name; steep and flat ones; a jump, where the sign changes.
KNOWN = [
    (lambda x: x**3 - 2, 0.0, 2.0, 2 ** (1 / 3)),
    (lambda x: log(x), 0.1, 10.0, 1.0),
    (lambda x: exp(30 * x) - 1, -1.0, 2.0, 0.0),
    (lambda x: tan(x), 2.0, 4.0, pi),
    (lambda x: (x - 1) ** 9, -3.0, 4.0, 1.0),
    (lambda x: 1.0 if x > 0.3 else -1.0, 0.0, 1.0, 0.3),
]


@pytest.mark.parametrize(("function", "low", "high", "there"), KNOWN)
def test_roots_that_are_known(function, low, high, there) -> None:  # type: ignore[no-untyped-def]
    for one, other in ((low, high), (high, low)):
        assert root(function, one, other, near=1e-9) == pytest.approx(there, abs=1e-8)


@given(st.floats(-5, 5), st.floats(0.1, 10))
def test_the_library_finds_the_same_and_takes_hardly_fewer_steps(shift: float, steep: float) -> None:
    """scipy.optimize.brentq, an implementation of Brent's method of its own, with the same tolerance."""
    asked = []

    def function(x: float) -> float:
        asked.append(x)
        return exp(steep * (x - shift)) - 1 + steep * cos(x) / 20 - cos(shift) * steep / 20

    found = root(function, shift - 3, shift + 2, near=1e-10)
    ours = len(asked)
    asked.clear()
    assert found == pytest.approx(brentq(function, shift - 3, shift + 2, xtol=1e-10), abs=1e-8)
    assert ours <= 2 * len(asked)


def test_an_end_may_be_the_root_and_nothing_else_is_guessed() -> None:
    assert root(lambda x: x, 0.0, 1.0) == 0.0
    assert root(lambda x: x - 1, 0.0, 1.0) == 1.0
    assert root(lambda x: 1e-200 * (x - 0.3), 0.0, 1.0, near=1e-9) == pytest.approx(0.3, abs=1e-8)  # 1e-400 is no float
    with pytest.raises(ValueError, match="sign"):
        root(lambda x: x**2 + 1, -1.0, 1.0)
    with pytest.raises(ValueError, match="no number"):
        root(lambda x: x if abs(x) > 0.1 else float("nan"), -1.0, 1.0)
