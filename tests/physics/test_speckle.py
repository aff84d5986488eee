"""Mixed powders: limits that algebra gives, and a table computed by an independent implementation."""

from __future__ import annotations

import numpy as np
import pytest

from enamelwright.craft.colour.jar_optics import of_archetype
from enamelwright.craft.colour.light import seen_under
from enamelwright.craft.colour.metal_optics import base_of
from enamelwright.errors import InputError
from enamelwright.physics.colour.colour_difference import ciede2000
from enamelwright.physics.colour.layer_optics import layer, over, surface
from enamelwright.physics.colour.speckle import Speckle, grain_angle, grains_deep, speckle, volume_shares

MM, INDEX, FLAT = 1e-3, 1.52, 0.6
DAY = seen_under("D65")


def _below(metal: str, coat: str, depth: float) -> np.ndarray:
    one = of_archetype(coat)
    return over(*layer(one.absorption, one.scattering_at_bands, depth), base_of(metal, INDEX).hemispherical)


WHITE = _below("copper", "opaque_white", 0.15 * MM)
SILVER = _below("fine_silver", "flux_clear", 0.12 * MM)


def mixed(jars: list[str], shares: list[float], deep: int, below: np.ndarray = WHITE) -> Speckle:
    """A mix at 0.2 mm."""
    found = [of_archetype(jar) for jar in jars]
    k, s = [one.absorption for one in found], [one.scattering_at_bands for one in found]
    return speckle(k, s, shares, 0.2 * MM, deep, below, INDEX, DAY.weights)


# own: an independent implementation, invented jars, halves by volume, 0.2 mm; rms of CIEDE2000 by grain [um]
TABLE = [
    ("opaque_white", "opaque_black", WHITE, {250: 39.9, 180: 36.2, 45: 26.6}, 36.3),
    ("opaque_cd_yellow", "opaque_cobalt_blue", WHITE, {250: 31.9, 180: 29.3, 106: 27.4, 45: 20.8}, 18.8),
    ("silver_yellow", "copper_turquoise", SILVER, {250: 34.6, 180: 27.1, 106: 21.0}, 8.1),
    ("opaque_white", "silver_yellow", WHITE, {250: 17.4, 180: 14.5, 106: 12.1, 45: 7.4}, 4.3),
]


@pytest.mark.parametrize(("one", "other", "below", "by_grain", "dissolved"), TABLE)
def test_specks_of_halves(one: str, other: str, below: np.ndarray, by_grain: dict[int, float], dissolved: float):
    for grain, rms in by_grain.items():
        deep = grains_deep(0.2 * MM, grain * 1e-6, FLAT)
        found = mixed([one, other], [0.5, 0.5], deep, below)
        assert found.rms == pytest.approx(rms, abs=0.1)  # tolerance: the table is told to a tenth
        if grain == 180:
            apart = ciede2000(DAY.lab(found.mean), DAY.lab(found.dissolved))
            assert float(apart) == pytest.approx(dissolved, abs=0.1)


def test_equal_jars_have_no_specks_and_look_like_one_coat():
    found = mixed(["cobalt_blue", "cobalt_blue"], [0.3, 0.7], 4, SILVER)
    one = of_archetype("cobalt_blue")
    plain = surface(over(*layer(one.absorption, one.scattering_at_bands, 0.2 * MM), SILVER), INDEX)
    assert found.rms == pytest.approx(0, abs=1e-6)
    assert found.mean == pytest.approx(plain, abs=1e-12)
    assert found.dissolved == pytest.approx(plain, abs=1e-12)


@pytest.mark.parametrize("share", [0.0, 1.0])
def test_a_pure_jar_is_itself(share: float):
    found = mixed(["gold_ruby", "opaque_white"], [share, 1 - share], 3)
    one = of_archetype("gold_ruby" if share else "opaque_white")
    plain = surface(over(*layer(one.absorption, one.scattering_at_bands, 0.2 * MM), WHITE), INDEX)
    assert found.mean == pytest.approx(plain, abs=1e-12)
    assert found.rms == pytest.approx(0, abs=1e-6)


def test_finer_grain_is_less_speckled_and_nearer_to_one_glass():
    found = [mixed(["silver_yellow", "copper_turquoise"], [0.5, 0.5], deep, SILVER) for deep in range(1, 9)]
    assert np.all(np.diff([one.rms for one in found]) < 0)
    apart = [float(ciede2000(DAY.lab(one.mean), DAY.lab(one.dissolved))) for one in found]
    assert np.all(np.diff(apart) < 0)


def test_three_jars_are_all_there():
    found = mixed(["opaque_white", "opaque_black", "cobalt_blue"], [0.2, 0.3, 0.5], 3)
    assert len(found.shares) == 27
    assert found.shares.sum() == pytest.approx(1, abs=1e-12)
    assert found.shares[0] == pytest.approx(0.2**3)


def test_weight_becomes_volume():
    assert volume_shares([1, 1], [2500, 3600]).tolist() == pytest.approx([3.6 / 6.1, 2.5 / 6.1])
    assert volume_shares([3, 1], [2500, 2500]).tolist() == pytest.approx([0.75, 0.25])


def test_grains_and_what_the_eye_makes_of_them():
    # geometry: 180 um at 300 mm are 2.06 minutes of arc
    assert np.degrees(grain_angle(180e-6, 0.3)) * 60 == pytest.approx(2.06, abs=0.01)
    assert [grains_deep(0.2 * MM, grain * 1e-6, FLAT) for grain in (250, 180, 106, 45, 5)] == [1, 2, 3, 7, 8]
    assert grains_deep(0.2 * MM, 5e-6, FLAT, jars=3) == 5
    assert grains_deep(0.2 * MM, 2 * MM, FLAT) == 1


@pytest.mark.parametrize(("masses", "densities"), [([], []), ([-1, 2], [1, 1]), ([0, 0], [1, 1]), ([1, 1], [1, 0])])
def test_impossible_mixes_are_refused(masses: list[float], densities: list[float]):
    with pytest.raises(InputError):
        volume_shares(masses, densities)


def test_parts_that_miss_the_whole_are_refused():
    with pytest.raises(InputError):
        mixed(["opaque_white", "opaque_black"], [0.5, 0.6], 2)
    with pytest.raises(InputError):
        grains_deep(0.0, 1e-4, FLAT)
