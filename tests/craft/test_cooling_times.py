"""When a piece may be tilted, touched and judged."""

from __future__ import annotations

import numpy as np
import pytest

from enamelwright.craft.bench import Bench
from enamelwright.craft.cooling_times import HotPiece, leaving, times_of
from enamelwright.craft.glass_of_jar import glass_of
from enamelwright.craft.laying import lay_up
from enamelwright.craft.metal import metal
from enamelwright.craft.piece import Piece
from enamelwright.craft.starter import starter_jars
from enamelwright.craft.weights import weigh
from enamelwright.errors import InputError, OutOfReach
from enamelwright.physics.constants import ZERO_CELSIUS

GLASS = {jar.id: glass_of(jar) for jar in starter_jars()}
MEDIUM, HARD = GLASS["lead_free_opaque_titania_medium"], GLASS["lead_free_opaque_hard"]
AT_800 = leaving(800 + ZERO_CELSIUS)


def disc(diameter=0.032, sheet=9e-4, name="copper", glass=(0.5, 0.5), glasses=(MEDIUM,), out=AT_800) -> HotPiece:
    return HotPiece(metal(name), sheet, np.pi * diameter**2 / 4, np.pi * diameter, glass, glasses, out)


def test_the_usual_disc():
    """By a second program with constant heat capacities: 17, 267 and 307 s to 475, 51 and 43 °C, both sides enamelled.

    Specific heats that fall with the temperature make the cold end come up to 10 % sooner.
    """
    found = times_of(disc())
    assert found.edge.low < 267 < found.edge.high
    assert found.touch.low < 307 < found.touch.high
    assert found.solid.low < 17.1 < found.solid.high
    assert found.level.low < 10.4 < found.level.high


def test_in_their_order():
    found = times_of(disc())
    assert found.level.value < found.solid.value < found.edge.value < found.touch.value < found.colour.value
    for one in vars(found).values():
        assert one.low <= one.value <= one.high


def test_more_metal_and_more_width_cool_slower():
    base = times_of(disc())
    assert times_of(disc(sheet=1.2e-3)).touch.value > base.touch.value
    assert times_of(disc(diameter=0.1)).touch.value > base.touch.value
    assert times_of(disc(out=leaving(850 + ZERO_CELSIUS))).solid.value > base.solid.value


def test_the_glass_that_sets_last_decides():
    soft, stiff = (times_of(disc(glasses=(one,))) for one in (MEDIUM, HARD))
    assert stiff.solid.value < soft.solid.value
    both = times_of(disc(glasses=(MEDIUM, HARD)))
    assert both.solid.value == pytest.approx(soft.solid.value)
    assert both.solid.high >= soft.solid.value


def test_a_bright_bare_back_keeps_its_heat():
    """Fine silver with a bare bright back against the same enamelled on both faces with as much glass in all."""
    bare = times_of(disc(name="fine silver", glass=(1.0, 0.0)))
    covered = times_of(disc(name="fine silver", glass=(0.5, 0.5)))
    assert bare.past_red.value > 1.3 * covered.past_red.value


def test_bare_metal_has_no_glass_to_wait_for():
    found = times_of(disc(glass=(0.0, 0.0), glasses=()))
    assert found.level is None
    assert found.solid is None
    assert found.touch is not None
    assert not any("level" in step for step in found.steps())


def test_over_something_warm_it_never_cools_to_the_touch():
    found = times_of(disc(), 60 + ZERO_CELSIUS)
    assert found.touch is None
    assert found.solid is not None
    assert any("never" in step for step in found.steps())


def test_a_piece_hardly_warm_is_told_only_what_is_left_to_wait_for():
    steps = times_of(disc(out=leaving(100 + ZERO_CELSIUS))).steps()
    assert not any(" 0 s" in step for step in steps)


def test_the_same_question_gets_the_same_answer():
    assert times_of(disc()) == times_of(disc())


@pytest.mark.parametrize("name", ["steel", "fine gold", "18ct", "925", "tombak", "fine silver"])
def test_every_metal_cools(name):
    found = times_of(disc(name=name, out=leaving(740 + ZERO_CELSIUS)))
    assert found.touch.value > 0


def test_impossible_pieces():
    with pytest.raises(InputError):
        disc(sheet=0.0)
    with pytest.raises(InputError):
        disc(glass=(-0.1, 0.0))
    with pytest.raises(OutOfReach):
        times_of(disc(), 1.0)
    with pytest.raises(OutOfReach):
        times_of(disc(out=leaving(1500 + ZERO_CELSIUS)))


PENDANT = {
    "name": "Round pendant",
    "technique": "sift_opaque",
    "metal": {"kind": "copper", "thickness_mm": 0.9},
    "outline": {"shape": "circle", "diameter_mm": 32},
    "coats": [
        {"face": face, "jar": "lead_free_opaque_titania_medium", "fired_thickness_mm": 0.2}
        for face in ("back", "front")
    ],
}


def test_the_piece_of_a_plan_is_the_disc_by_hand():
    layup = lay_up(Piece.from_outside(PENDANT), Bench.starter())
    piece = HotPiece.of(layup, weigh(layup, Bench.starter()), AT_800)
    density = MEDIUM.density.value
    assert piece.glass == pytest.approx((0.2e-3 * density,) * 2, rel=0.01)
    by_hand = times_of(disc(glass=piece.glass, glasses=(MEDIUM,)))
    assert times_of(piece).touch.value == pytest.approx(by_hand.touch.value, rel=0.01)
