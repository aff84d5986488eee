"""The demonstration's jars look as they are called, and its own tiles stand first: foretold, compared, learned from.

The hidden law of its tiles is plain arithmetic on red, green and blue; it shares nothing with the product's optics.
All of it is synthetic.
"""

from __future__ import annotations

import numpy as np
import pytest

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.colour_stack import ColourStack, StackCoat
from enamelwright.craft.colour.eyes import plain_name
from enamelwright.craft.colour.fired_colour import fired_colour
from enamelwright.craft.jar import Jar
from enamelwright.demo import truth
from enamelwright.demo.scorer import readings_off
from enamelwright.demo.script import jars
from enamelwright.workshop.bench import bench
from enamelwright.workshop.colours import places, seen_tiles
from enamelwright.workshop.designs import versions
from enamelwright.workshop.own_colours import own_colours
from enamelwright.workshop.predictions import plan_of
from enamelwright.workshop.studio import Studio

#: What a maker expects of each jar by its name, in one of these words, on the ground it is made for: (metal, under).
FLUXED_COPPER, FLUXED_SILVER, WHITE = ("copper", "J01"), ("fine silver", "J02"), ("copper", "J04")
LOOKS = {
    "J01": (("copper", ""), {"salmon"}), "J02": (("fine silver", ""), {"white"}), "J03": (WHITE, {"white", "pinkish white"}),
    "J04": (("copper", ""), {"pinkish white", "white"}), "J05": (WHITE, {"white"}),
    "J07": (("copper", ""), {"black"}), "J08": (WHITE, {"black"}),
    "J09": (WHITE, {"greyish blue"}), "J10": (WHITE, {"green", "greyish green"}), "J11": (WHITE, {"pale yellow", "yellow"}),
    "J12": (WHITE, {"red"}), "J13": (WHITE, {"orange"}), "J14": (FLUXED_SILVER, {"pale blue"}),
    "J15": (FLUXED_SILVER, {"green", "dark green"}), "J16": (FLUXED_SILVER, {"golden yellow", "orange"}),
    "J17": (FLUXED_SILVER, {"pink"}), "J18": (FLUXED_SILVER, {"white"}), "J19": (WHITE, {"white"}),
    "J20": (("copper", "J07"), {"light grey", "grey", "white", "bluish white", "pinkish white"}),
}  # fmt: skip
#: One usual coat, and what lies under it [m].
COAT, UNDER = 2e-4, 1.5e-4


def test_every_jar_with_a_colour_is_looked_at() -> None:
    assert set(LOOKS) == {code for code, jar in jars().items() if jar.described["optics"]["family"] != "mixed"}


@pytest.mark.parametrize("code", sorted(LOOKS))
def test_a_jar_looks_as_it_is_called(code: str) -> None:
    (metal, under), words = LOOKS[code]
    shelf = Bench.starter().with_jars(tuple(Jar.from_outside(one.described, one.jar) for one in jars().values()))
    coats = [StackCoat(jar=under, thickness=UNDER)] if under else []
    stack = ColourStack(metal=metal, coats=(*coats, StackCoat(jar=code, thickness=COAT)))
    assert plain_name(fired_colour(stack, shelf, draws=0).nominal.daylight) in words


def test_what_is_read_scatters_about_the_hidden_law(studio: Studio) -> None:
    """Hand and instrument: 8 % of the depth and 0.7 a number."""
    off = np.array(readings_off(studio))
    assert len(off) == 12 * 4 + 1 + 4 * 4 + 9
    assert 1 < np.median(off) < 3
    assert off.max() < 12


def test_the_hidden_law_is_a_law_of_glass() -> None:
    deep = [truth.tile_light("J14", "white J04", depth) for depth in (0.1, 0.2, 0.4)]
    assert np.all(np.diff(deep, axis=0) < 0)
    hides = [np.subtract(truth.tile_light("J10", ground, 0.6), truth.HIDING["J10"][0]) for ground in truth.GROUNDS]
    assert np.abs(hides).max() < 1e-4
    assert truth.tile_colour("J12", "bare", 0.2)[0] < 30 < truth.tile_colour("J12", "white J04", 0.2)[0]
    white = truth.tile_colour("J01", "white J04", 0.0)
    assert white[0] > 85
    assert max(map(abs, white[1:])) < 6


def test_own_tiles_stand_first_and_teach(studio: Studio) -> None:
    """The brooch: three tiles of each of its colours, each beside its forecast, and what they teach together."""
    known = bench(studio)
    assert len(seen_tiles(studio, known)) >= 70
    fared = own_colours(studio, known)
    assert fared.running.earned
    assert 3 < fared.running.off < 15  # invented curves miss invented tiles, as they should
    plan = plan_of(studio, versions(studio, "Reedbed brooch")[-1]).payload
    told = {one.name: one for one in places(studio, plan, known, fared) if one.colour is not None}
    for name in ("cell sky and water", "cell reeds", "cell dusk"):
        place = told[name]
        assert len(place.tiles) == 3
        assert all(near.tile.lab is not None and near.beside is not None for near in place.tiles)
        assert place.shift is not None
        assert place.shift.learned
