"""Lab and sRGB against two independent libraries (colour-science and coloraide), and back again."""

from __future__ import annotations

import colour
import numpy as np
import pytest
from coloraide import Color
from hypothesis import given
from hypothesis import strategies as st

from enamelwright.craft.colour.light import seen_under
from enamelwright.errors import InputError
from enamelwright.physics.colour.colour_space import (
    BANDS,
    adapted,
    lab_of,
    linear_srgb_of,
    srgb_of,
    toned,
    untoned,
    xyz_of,
    xyz_of_lab,
    xyz_of_linear_srgb,
)

WHITE = np.array([95.047, 100.0, 108.883])
#: Black, both branches of Lab, greys, and colours in and beyond what a screen shows.
SOME = np.array(
    [[0, 0, 0], [0.3, 0.5, 0.2], [0.8, 0.9, 1.1], [20, 30, 10], [41.2, 21.3, 1.9], [95.047, 100, 108.883], [30, 12, 80]]
)


def test_lab_is_that_of_colour_science() -> None:
    told = colour.XYZ_to_Lab(SOME / 100, colour.XYZ_to_xy(WHITE / 100))
    assert lab_of(SOME, WHITE) == pytest.approx(told, abs=1e-9)


@pytest.mark.parametrize("xyz", SOME.tolist())
def test_lab_and_srgb_are_those_of_coloraide(xyz: list[float]) -> None:
    """Its D65 comes from x and y of four decimals, hence 0.02 of Lab and 1e-3 of a channel."""
    other = Color("xyz-d65", [part / 100 for part in xyz])
    assert lab_of(xyz, WHITE) == pytest.approx(other.convert("lab-d65").coords(), abs=0.02)
    linear = other.convert("srgb-linear").coords()
    assert linear_srgb_of(xyz) == pytest.approx(linear, abs=1e-3)
    rgb, inside = srgb_of(xyz)
    assert bool(inside) == other.convert("srgb").in_gamut(tolerance=1e-4)
    if inside:
        assert rgb == pytest.approx(np.clip(other.convert("srgb").coords(), 0, 1), abs=2e-3)


def test_tone_curve_is_that_of_colour_science() -> None:
    linear = np.linspace(0, 1, 501)
    assert toned(linear) == pytest.approx(colour.cctf_encoding(linear, function="sRGB"), abs=1e-12)
    assert untoned(toned(linear)) == pytest.approx(linear, abs=1e-6)  # the two branches of the standard meet to 1e-7


@given(st.tuples(*[st.floats(0, 100)] * 3))
def test_lab_goes_there_and_back(xyz: tuple[float, float, float]) -> None:
    assert xyz_of_lab(lab_of(xyz, WHITE), WHITE) == pytest.approx(xyz, abs=1e-9)
    assert xyz_of_linear_srgb(linear_srgb_of(xyz)) == pytest.approx(xyz, abs=1e-9)


@pytest.mark.parametrize("light", ["D65", "A", "FL11"])
def test_a_perfect_white_is_white_under_its_own_light_and_black_is_black(light: str) -> None:
    seen = seen_under(light)
    assert seen.lab(np.ones(BANDS.size)) == pytest.approx([100, 0, 0], abs=1e-9)
    assert seen.lab(np.zeros(BANDS.size)) == pytest.approx([0, 0, 0], abs=1e-9)


def test_a_colour_beyond_the_screen_is_cut_and_flagged() -> None:
    rgb, inside = srgb_of([[30.0, 12.0, 80.0], [20.0, 21.0, 22.0]])
    assert inside.tolist() == [False, True]
    assert np.all((rgb >= 0) & (rgb <= 1))


@pytest.mark.parametrize("shape", [(), (5,), (2, 3)])
def test_leading_axes_are_kept(shape: tuple[int, ...]) -> None:
    reflectance = np.full((*shape, 36), 0.5)
    xyz = xyz_of(reflectance, seen_under("D65").weights)
    assert xyz.shape == lab_of(xyz, WHITE).shape == srgb_of(xyz)[0].shape == (*shape, 3)
    assert srgb_of(xyz)[1].shape == shape


def test_wrong_bands_are_refused() -> None:
    with pytest.raises(InputError, match="36"):
        xyz_of(np.ones(35), seen_under("D65").weights)
    with pytest.raises(InputError, match="36"):
        xyz_of(np.ones(36), np.ones((35, 3)))
    with pytest.raises(InputError, match="between 0 and 1"):
        untoned(1.2)


@pytest.mark.parametrize(("light", "observer"), [("D50", "2"), ("A", "2"), ("D65", "10"), ("LED-B3", "2")])
def test_another_light_is_reached_as_colour_science_reaches_it(light: str, observer: str) -> None:
    """Bradford's matrix, von Kries' scaling; white goes to white."""
    old, day = seen_under(light, observer).white, seen_under("D65").white  # type: ignore[arg-type]
    told = colour.adaptation.chromatic_adaptation_VonKries(SOME, old, day, transform="Bradford")
    assert adapted(SOME, old, day) == pytest.approx(told, abs=2e-3)
    assert adapted(old, old, day) == pytest.approx(day, abs=1e-9)
    assert adapted(adapted(SOME, old, day), day, old) == pytest.approx(SOME, abs=1e-9)
