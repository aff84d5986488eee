"""What the record knows of a fault: coats of that firing, order as laid, the load before, and how often it came."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import Any

import pytest

from enamelwright.craft.kiln import Kiln
from enamelwright.workshop.coats import lay_coat
from enamelwright.workshop.fault_counts import fault_list, jars_that_stand_out
from enamelwright.workshop.fault_facts import gather, tallies
from enamelwright.workshop.faults import heal, see_fault
from enamelwright.workshop.firing_facts import FiringFacts, firing_facts
from enamelwright.workshop.jars import add_jar
from enamelwright.workshop.kilns import keep_kiln
from enamelwright.workshop.loads import fired, mishap
from enamelwright.workshop.lots import change_lot, open_lot
from enamelwright.workshop.next_tiles import tiles_tried
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.studio import Studio
from morning import MORNING, enamel


@pytest.fixture
def bench(bare: Studio) -> Studio:
    """A kiln and three jars: lead-free white, leaded amber, a red; the clock stands on a morning."""
    keep_kiln(bare, Kiln(name="front-loader"))
    add_jar(bare, enamel("W", "white", hazards={"lead": "no"}))
    add_jar(bare, enamel("A", "amber", "transparent", "warm yellow", hazards={"lead": "yes"}))
    add_jar(bare, enamel("R", "strong red", family="red", hazards={"lead": "no"}))
    return bare


def piece(studio: Studio, kind: str = "piece") -> Any:
    return start_pieces(studio, 1, kind=kind, metal="copper", thickness="0.9 mm")[0]


def goes(studio: Studio, made: Any, after: float, jars: str = "", **more: Any) -> Studio:
    """Lay coats and fire them so many minutes after the morning began."""
    at = MORNING + timedelta(minutes=after)
    laid = {key: more.pop(key) for key in ("dried", "face", "on_piece", "lot", "powder_depth", "gum_ratio")
            if key in more}  # fmt: skip
    for jar in jars:
        lay_coat(studio.at(at - timedelta(minutes=5)), made.id, jar, **{"face": "front", **laid})
    then = studio.at(at + timedelta(seconds=160))
    fired(then, [made.id], kiln="front-loader", at=at, **{"seconds": "150 s", "stage_seen": "gloss", **more})
    return then


def last(studio: Studio, made: Any) -> FiringFacts:
    return [one for one in firing_facts(studio) if one.piece == made.id][-1]


def test_the_coats_of_that_firing_are_told(bench: Studio) -> None:
    made = piece(bench)
    goes(bench, made, 60, "W", dried="20 min", powder_depth="0.4 mm", on_piece="0.4 g")
    goes(bench, made, 120, "WW", dried="2 min", gum_ratio=0.5, on_piece="0.2 g")
    facts = last(bench, made).facts
    assert facts.dried == 120
    assert facts.gum_ratio == 0.5
    assert facts.powder_depth is None
    assert facts.front_powder == pytest.approx(0.8e-3)
    assert facts.back_powder == 0
    assert facts.first_stage == "gloss"
    assert last(bench, made).jars == ("W",)


def test_a_load_that_follows_at_once_is_told(bench: Studio) -> None:
    made = piece(bench)
    goes(bench, made, 60, "W")
    goes(bench, made, 63, "W")
    first, second = (one.facts.pause for one in firing_facts(bench))
    assert first is None
    assert second == pytest.approx(30, abs=1)


def test_lead_free_over_leaded_is_seen_as_laid(bench: Studio) -> None:
    right, wrong, unknown = piece(bench), piece(bench), piece(bench)
    goes(bench, right, 60, "W")
    goes(bench, right, 70, "A")
    goes(bench, wrong, 80, "A")
    goes(bench, wrong, 90, "W")
    add_jar(bench, enamel("X", "odd"))
    goes(bench, unknown, 100, "WX")
    assert [last(bench, one).facts.leaded_below for one in (right, wrong, unknown)] == [False, True, None]


def test_a_red_that_is_fired_again_and_again_is_counted_from_its_own_firing(bench: Studio) -> None:
    made = piece(bench)
    goes(bench, made, 60, "W")
    goes(bench, made, 120, "R")
    for n in range(3):
        goes(bench, made, 180 + 60 * n)
    goes(bench, made, 400, "W")
    facts = last(bench, made).facts
    assert facts.fired_again == 4
    assert facts.warm_on_bare is False
    bare = piece(bench)
    goes(bench, bare, 500, "R")
    assert last(bench, bare).facts.warm_on_bare is True


def test_a_lot_is_what_it_was_noted_as_on_that_day(bench: Studio) -> None:
    lot = open_lot(bench, "A", "L1", opened_on="2026-02-01")
    early, late = piece(bench), piece(bench)
    goes(bench, early, 60, "A", lot=lot)
    change_lot(bench.at(MORNING + timedelta(days=2)), lot, condition="damp")
    goes(bench, late, 3 * 24 * 60, "A", lot=lot)
    assert last(bench, early).facts.lot_condition != "damp"
    facts = last(bench, late).facts
    assert facts.lot_condition == "damp"
    assert facts.lot_washed is False
    assert facts.lot_opened_days == 32


def test_loads_are_counted_once_and_the_one_asked_about_is_left_out(bench: Studio) -> None:
    """Three wet loads with bubbles, four dry ones without; one load had two pieces."""
    for n in range(7):
        made, twin = piece(bench), piece(bench)
        at = MORNING + timedelta(hours=n + 1)
        for one in (made, twin):
            lay_coat(
                bench.at(at - timedelta(minutes=5)), one.id, "W", face="front", dried="1 min" if n < 3 else "30 min"
            )
        then = bench.at(at + timedelta(seconds=160))
        fired(then, [made.id, twin.id], kiln="front-loader", at=at, seconds="150 s", stage_seen="gloss")
        if n < 3:
            see_fault(then, made.id, "bubbles")
    every = firing_facts(bench)
    assert len(every) == 14
    told = {one.sign: one for one in tallies(bench, "bubbles", every)}["not dry"]
    assert (told.with_loads, told.with_faults, told.without_loads, told.without_faults) == (3, 3, 4, 0)
    found = gather(bench, every[0].piece, "bubbles")
    told = {one.sign: one for one in found.record}["not dry"]
    assert (told.with_loads, told.with_faults) == (2, 2)
    listed = fault_list(bench, every)
    assert (listed.lines[0].pieces, listed.lines[0].loads, listed.fired, listed.loads) == (3, 3, 14, 7)
    assert (listed.by_hand, listed.hand_firings) == ((), 0)
    assert jars_that_stand_out(bench, every) == []  # one jar was in all of them: it cannot stand out


def test_what_went_wrong_in_the_hand_is_said_and_not_weighed(bench: Studio) -> None:
    made = piece(bench)
    then = goes(bench, made, 60, "W", dried="1 min")
    mishap(then, "dropped", piece=made.id, load=last(bench, made).load)
    see_fault(then, made.id, "chip")
    found = gather(bench, made.number)
    assert found.facts.in_hand == ("dropped",)
    assert tallies(bench, "chip", firing_facts(bench)) == ()


def test_what_went_wrong_in_the_hand_stands_apart_and_counts_against_no_jar(bench: Studio) -> None:
    """The red was dropped three times and chipped; white and amber were not. That is not the red's doing."""
    for n, jar in enumerate("RWRARWAWAW"):
        made = piece(bench)
        then = goes(bench, made, 60 + 60 * n, jar)
        if jar == "R":
            see_fault(then, made.id, "chip")
            mishap(then, "dropped", piece=made.id, load=last(bench, made).load)
    every = firing_facts(bench)
    listed = fault_list(bench, every)
    assert listed.lines == ()
    assert (listed.by_hand, listed.hand_firings) == ((("chip", 3),), 3)
    assert (listed.fired, listed.loads) == (7, 7)
    assert jars_that_stand_out(bench, every) == []
    told = [(one.facts.in_hand, one.jars) for one in every if one.facts.in_hand]
    assert told == [(("dropped",), ("R",))] * 3
    kept = [replace(one, facts=one.facts.model_copy(update={"in_hand": ()})) for one in every]
    assert [(one.what, one.fault) for one in jars_that_stand_out(bench, kept)] == [("R", "chip")]


def test_the_fault_asked_about_is_the_last_that_is_not_healed(bench: Studio) -> None:
    made = piece(bench)
    assert gather(bench, made.number).fault == ""
    then = goes(bench, made, 60, "W")
    see_fault(then, made.id, "hairline", when_seen="next days", place="rim")
    pits = see_fault(then, made.id, "pits")
    heal(then, pits, "refilled", healed=True)
    found = gather(bench, made.number)
    assert (found.fault, found.when, found.place, found.known) == ("hairline", "next days", "rim", True)
    own = gather(bench, made.number, "it sings")
    assert (own.fault, own.known) == ("it sings", False)
    assert own.load == found.load


def test_tiles_come_before_pieces_and_one_try_a_load(bench: Studio) -> None:
    made, tile = piece(bench), piece(bench, "test tile")
    goes(bench, made, 60, "W", set_point="790 C", stage_seen="orange peel")
    assert not tiles_tried(bench, "W").of_tiles
    goes(bench, tile, 120, "W", set_point="800 C")
    found = tiles_tried(bench, "W")
    assert found.of_tiles
    assert [(round(one.temperature - 273.15), one.time, one.came) for one in found.asked.tried] == [(800, 150, "good")]
    assert tiles_tried(bench, "A").asked.tried == ()


def test_a_firing_of_no_seconds_takes_no_page_away(bench: Studio) -> None:
    """What cannot be is not known; whatever else is told of the firing stays, and so do all others."""
    one, other, late = piece(bench), piece(bench), piece(bench)
    goes(bench, one, 0, "W", seconds="0 s")
    goes(bench, other, 60, "W")
    years = 5 * 365 * 24 * 60
    then = goes(bench, late, years, "W")  # a kiln that rested longer than any pause that is weighed
    told = {each.piece: each.facts for each in firing_facts(then)}
    assert (told[one.id].seconds, told[one.id].stage) == (None, "gloss")
    assert told[other.id].seconds == 150
    assert told[late.id].pause is None
    assert told[late.id].seconds == 150
    assert len(fault_list(then, firing_facts(then)).lines) == 0
