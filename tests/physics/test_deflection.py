"""Large deflection and domes against a boundary-value solution of the plate equations.

The oracle is an axisymmetric von Karman / Marguerre shallow shell solved by scipy's collocation:
free rim, bending moment of the mismatch along it.  Printed values: independent computation.
"""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import solve_bvp

from enamelwright.physics.deflection import (
    bow_of_curvature,
    bow_of_load,
    deflect,
    load,
    load_of_bow,
    saddle_bow,
    saddle_load,
)

H = 1e-3


EPS = 1e-3
"""Inner edge of the computed ring; inside it both unknowns grow linearly."""


def plate(s: float, rise: float, nu: float = 0.33) -> float:
    """Bow change in thicknesses of a round shallow shell, rise in thicknesses, load S.

    Lengths along the radius in R, across in h; b slope change, b0 slope of the dome, f = r N_r in
    units of E h^3 / R^2 (Marguerre's equations, axisymmetric):
        b'' + b'/r - b/r^2 = 12 (1 - nu^2) f (b + b0) / r
        f'' + f'/r - f/r^2 = -b (b + 2 b0) / (2 r)
    Free rim: f = 0 and b' + nu b = -(1 + nu) k with k = 4 S the mismatch curvature in h / R^2.
    """

    def field(r, y):
        b, db, f, df = y
        b0 = -2 * rise * r
        d2b = -db / r + b / r**2 + 12 * (1 - nu**2) * f * (b + b0) / r
        d2f = -df / r + f / r**2 - b * (b + 2 * b0) / (2 * r)
        return np.vstack([db, d2b, df, d2f])

    r = np.linspace(EPS, 1, 200)
    y = np.zeros((4, r.size))
    for part in np.linspace(0.2, 1.0, 5):
        k = 4 * s * part

        def rim(left, right):
            return [
                left[0] - EPS * left[1],
                left[2] - EPS * left[3],
                right[1] + nu * right[0] + (1 + nu) * k,  # noqa: B023
                right[2],
            ]

        out = solve_bvp(field, rim, r, y, tol=1e-6, max_nodes=20000)
        assert out.success
        r, y = out.x, out.y
    return float(-np.trapezoid(y[0], r) - 0.5 * y[0, 0] * EPS)


FLAT = [(0.1, 0.198), (0.25, 0.473), (0.75, 1.129), (1.0, 1.357), (1.3, 1.582)]


@pytest.mark.parametrize(("s", "printed"), FLAT)
def test_flat_plate(s, printed):
    exact = plate(s, 0.0)
    assert exact == pytest.approx(printed, abs=0.003)
    assert float(bow_of_load(s, H, 0.0, 0.33)) / H == pytest.approx(printed, rel=0.01)


DOME = [(0.5, 0.874), (1.0, 0.649), (3.0, 0.182)]


@pytest.mark.parametrize(("rise", "printed"), DOME)
def test_small_load_on_a_dome(rise, printed):
    """Bow change over linear at S 0.02, the load of the printed values; the law is within 5 %.

    At a vanishing load the ratio at half a thickness is .885 (both ways), so the load matters.
    """
    s = 0.02
    assert plate(s, rise) / (2 * s) == pytest.approx(printed, abs=0.002)
    assert float(bow_of_load(s, H, rise * H, 0.33)) / H / (2 * s) == pytest.approx(printed, rel=0.05)


BOTH = [
    # S, rise/h, boundary-value problem, law
    (0.3, 1.0, 0.333, 0.332),
    (0.3, -1.0, 0.502, 0.503),
    (0.6, 2.0, 0.333, 0.331),
    (0.6, -2.0, 0.511, 0.511),
    (1.0, 3.0, 0.318, 0.311),
    (1.0, -3.0, 0.444, 0.423),
]


@pytest.mark.parametrize(("s", "rise", "exact", "law"), BOTH)
def test_load_and_dome_together(s, rise, exact, law):
    assert plate(s, rise) == pytest.approx(exact, abs=0.004)
    assert float(bow_of_load(s, H, rise * H, 0.33)) / H == pytest.approx(law, abs=0.0015)


def test_saddle_numbers():
    """Closed form at nu 0.33: .867110 and 1.303925."""
    assert saddle_bow(0.33) == pytest.approx(0.867110, abs=1e-6)
    assert saddle_load(0.33) == pytest.approx(1.303925, abs=1e-6)


LARGE = [
    # metal+front mm, linear bow at 25 mm, diameter mm, linear, flat, on a 2 mm dome, saddle
    (0.7, 0.522, 25, 0.52, 0.47, None, False),
    (0.7, 0.522, 50, 2.09, 1.19, None, True),
    (0.7, 0.522, 75, 4.7, 1.8, None, True),
    (1.0, 0.321, 40, 0.82, 0.72, 0.24, False),
    (1.1, 0.328, 25, 0.33, 0.32, 0.11, False),
    (1.1, 0.328, 50, 1.31, 1.06, 0.40, False),
    (1.2, 0.243, 40, 0.62, 0.58, 0.23, False),
    (1.2, 0.243, 50, 0.97, 0.86, 0.34, False),
]


@pytest.mark.parametrize(("mm", "bow25", "size", "linear", "flat", "domed", "saddle"), LARGE)
def test_larger_copper(mm, bow25, size, linear, flat, domed, saddle):
    """One-sided copper (independent computation, printed to two digits)."""
    k = 8 * bow25 * 1e-3 / 0.025**2
    out = deflect(k, size * 1e-3, mm * 1e-3, 0.0, 0.33)
    assert float(out.linear_bow) * 1e3 == pytest.approx(linear, rel=0.01, abs=0.006)
    assert float(out.bow) * 1e3 == pytest.approx(flat, rel=0.02, abs=0.006)
    assert bool(out.saddle) is saddle
    if domed is not None:
        on_dome = deflect(k, size * 1e-3, mm * 1e-3, 2e-3, 0.33)
        assert float(on_dome.bow) * 1e3 == pytest.approx(domed, abs=0.006)


@given(st.floats(-3, 3), st.floats(-3, 3), st.floats(0.2, 0.45), st.floats(2e-4, 5e-3))
def test_the_law_and_its_inverse(s, rise, nu, h):
    bow = bow_of_load(s, h, rise * h, nu)
    assert float(load_of_bow(bow, h, rise * h, nu)) == pytest.approx(s, abs=1e-9)


@given(st.floats(-3, 3), st.floats(-3, 3))
def test_mirror(s, rise):
    assert float(bow_of_load(-s, H, -rise * H, 0.33)) == pytest.approx(
        -float(bow_of_load(s, H, rise * H, 0.33)), abs=1e-15
    )


@given(st.floats(0.01, 3), st.floats(0, 3))
def test_a_deepened_dome_only_stiffens(s, rise):
    domed = float(bow_of_load(s, H, rise * H, 0.33))
    flat = float(bow_of_load(s, H, 0.0, 0.33))
    assert 0 < domed <= flat * (1 + 1e-12) <= 2 * s * H * (1 + 1e-12)


def test_small_pieces_stay_linear():
    s = 1e-4
    assert float(bow_of_load(s, H, 0.0, 0.33)) == pytest.approx(2 * s * H, rel=1e-6)
    k, d = 0.05, 0.03
    assert float(2 * load(k, d, H) * H) == pytest.approx(float(bow_of_curvature(k, d)))


def test_a_high_dome_is_clamped_and_said():
    at_three = deflect(1.0, 0.05, H, 3 * H, 0.33)
    higher = deflect(1.0, 0.05, H, 9 * H, 0.33)
    assert not bool(at_three.clamped)
    assert bool(higher.clamped)
    assert float(higher.bow) == float(at_three.bow)


def test_arrays_of_pieces():
    out = deflect(np.array([0.1, -0.2]), 0.05, H, np.array([[0.0], [H]]), 0.33)
    assert out.bow.shape == (2, 2)
    assert out.bow[0, 0] > 0 > out.bow[0, 1]


def test_a_high_dome_does_not_snap_where_a_lower_one_would():
    # Shell snap-through grows faster than the rise: what turns a dome of three thicknesses inside out
    # leaves one of ten on its own side (Freund & Suresh 2003, ch. 2.6, from memory; the cubic law's own knee).
    s = 2.5
    low = abs(float(bow_of_load(s, H, -3 * H, 0.33)))
    high = abs(float(bow_of_load(s, H, -10 * H, 0.33)))
    assert low > 3 * H
    assert high < 3 * H
    # No jump as the load of the lower dome's knee is passed.
    below, above = (float(bow_of_load(x, H, -10 * H, 0.33)) for x in (1.9, 2.5))
    assert below <= above <= 2 * H
