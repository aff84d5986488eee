"""View factors against exact values, reciprocity, closure and direct double integration."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from enamelwright.errors import InputError
from enamelwright.physics import view_factor as vf

LENGTH = st.floats(0.01, 10.0)


def test_unit_discs_three_apart():
    """Exact: X = 1 + 10/1 = 11, so F = (11 - sqrt(117)) / 2."""
    assert vf.coaxial_discs(1.0, 1.0, 3.0) == pytest.approx((11 - np.sqrt(117)) / 2, abs=1e-12)


# worked out by a second program from the same closed forms: discs above a mesh and above a plate
DISCS = [(0.016, 0.040, 0.015, 0.8598), (0.016, 0.050, 0.006, 0.9842)]


@pytest.mark.parametrize(("first", "second", "gap", "share"), DISCS)
def test_disc_above_a_larger_one(first, second, gap, share):
    assert vf.coaxial_discs(first, second, gap) == pytest.approx(share, abs=1e-4)


@given(LENGTH, LENGTH, LENGTH)
def test_discs_are_reciprocal(first, second, gap):
    there, back = vf.coaxial_discs(first, second, gap), vf.coaxial_discs(second, first, gap)
    assert first**2 * there == pytest.approx(second**2 * back, rel=1e-9)
    assert 0 < there <= 1 + 1e-12


def test_small_disc_on_axis_is_the_sine_square():
    """Exact: an element on the axis sees a disc as r^2 / (r^2 + c^2)."""
    assert vf.coaxial_discs(1e-5, 2.0, 3.0) == pytest.approx(4 / 13, rel=1e-8)


def test_far_apart_the_inverse_square_rules():
    assert vf.coaxial_discs(1.0, 1.0, 1e5) == pytest.approx(1e-10, rel=1e-6)
    assert vf.parallel_rectangles(1.0, 1.0, 1e3) == pytest.approx(1e-6 / np.pi, rel=1e-4)


def test_close_together_nothing_is_lost():
    assert vf.coaxial_discs(1.0, 1.0, 1e-6) == pytest.approx(1.0, abs=1e-5)
    assert vf.parallel_rectangles(1.0, 2.0, 1e-6) == pytest.approx(1.0, abs=1e-5)


def test_cube():
    """Unit cube, a textbook value: 0.19982 opposite, 0.20004 beside (from memory; they close to 1)."""
    factors = vf.box(1.0, 1.0, 1.0)
    assert factors[0, 1] == pytest.approx(0.19982, abs=1e-5)
    assert factors[0, 2] == pytest.approx(0.20004, abs=1e-5)


# inside of a small kiln, mm; floor to roof, to the wall at the 220 edge, at the 200 edge: by a second program
KILN = ((0.220, 0.200, 0.150), 0.29735, 0.18446, 0.16686)


def test_inside_of_a_small_kiln():
    (width, depth, height), roof, long_edge, short_edge = KILN
    factors = vf.box(width, depth, height)
    back, left = vf.FACES.index("back"), vf.FACES.index("left")
    assert factors[0, 1] == pytest.approx(roof, abs=1e-5)
    assert factors[0, back] == pytest.approx(long_edge, abs=1e-5)
    assert factors[0, left] == pytest.approx(short_edge, abs=1e-5)


@given(st.floats(0.05, 2.0), st.floats(0.05, 2.0), st.floats(0.05, 2.0))
def test_a_box_closes_and_is_reciprocal(width, depth, height):
    factors = vf.box(width, depth, height)
    assert factors.sum(axis=1) == pytest.approx(np.ones(6), abs=1e-9)
    areas = np.array([width * depth] * 2 + [depth * height] * 2 + [width * height] * 2)
    sent = areas[:, None] * factors
    assert sent == pytest.approx(sent.T, abs=1e-9)


def integrated(first, second, normal_1, normal_2, n=24):
    """Double integral of cos cos / (pi r^2) over two unit-parameter rectangles, by Gauss points."""
    x, w = np.polynomial.legendre.leggauss(n)
    x, w = (x + 1) / 2, w / 2
    u, v = (part.ravel() for part in np.meshgrid(x, x))
    weight = np.outer(w, w).ravel()
    a, b = first(u, v), second(u, v)
    ray = b[None] - a[:, None]
    square = (ray**2).sum(axis=2)
    kernel = (ray @ normal_1) * -(ray @ normal_2) / (np.pi * square**2)
    return weight @ kernel @ weight


def test_parallel_against_double_integration():
    a, b, c = 0.3, 0.5, 0.4
    first = lambda u, v: np.stack([a * u, b * v, 0 * u], axis=1)  # noqa: E731
    second = lambda u, v: np.stack([a * u, b * v, c + 0 * u], axis=1)  # noqa: E731
    z = np.array([0.0, 0.0, 1.0])
    assert vf.parallel_rectangles(a, b, c) == pytest.approx(a * b * integrated(first, second, z, -z), rel=1e-6)


def test_perpendicular_against_double_integration():
    """The kernel is singular at the shared edge, so strips away from it are compared: area x share adds up."""
    edge, gap, sender, receiver = 0.5, 0.1, 0.3, 0.4
    run, rise = sender - gap, receiver - gap
    first = lambda u, v: np.stack([edge * u, gap + run * v, 0 * u], axis=1)  # noqa: E731
    second = lambda u, v: np.stack([edge * u, 0 * u, gap + rise * v], axis=1)  # noqa: E731
    found = edge**2 * run * rise * integrated(first, second, np.array([0.0, 0, 1]), np.array([0.0, 1, 0]))

    def both(low, high):
        return edge * low * vf.perpendicular_rectangles(edge, low, high)

    strips = both(sender, receiver) - both(gap, receiver) - both(sender, gap) + both(gap, gap)
    assert strips == pytest.approx(found, rel=1e-6)


def test_open_support():
    assert vf.faced(0.86, 0.35) == pytest.approx(0.301)
    assert vf.faced(0.86, 1.0) == pytest.approx(0.86)


@pytest.mark.parametrize("bad", [0.0, -1.0, np.nan, np.inf])
def test_impossible_sizes(bad):
    for law in (vf.coaxial_discs, vf.parallel_rectangles, vf.perpendicular_rectangles):
        for place in range(3):
            lengths = [1.0, 1.0, 1.0]
            lengths[place] = bad
            with pytest.raises(InputError):
                law(*lengths)
    with pytest.raises(InputError):
        vf.faced(1.2, 0.5)


def test_arrays_broadcast():
    assert vf.coaxial_discs(np.array([0.01, 0.02]), 0.04, 0.015).shape == (2,)
