"""Ways out of a fault: one for every fault, none that repeats it, each with what it costs."""

from __future__ import annotations

from itertools import product
from typing import Any

import pytest

from enamelwright.learning.fault_atlas import atlas
from enamelwright.learning.fault_finder import leading, rank
from enamelwright.learning.fault_signs import FaultFacts, sign_names
from enamelwright.learning.rescue import Heats, Option, heats_of, options, waits
from enamelwright.reference.loader import rows

NOTHING = FaultFacts()


def weighed(fault: str, when: str = "", place: str = "", **facts: Any) -> list[Option]:
    """Return the ways as they are weighed against what leads on a piece."""
    told = FaultFacts(**facts)
    return list(options(fault, told, leading(rank(fault, told, when, place))))


def ways(fault: str, when: str = "", place: str = "", **facts: Any) -> list[str]:
    return [one.way for one in weighed(fault, when, place, **facts)]


WAYS = {"refire", "refill", "overcoat", "even", "strip", "press flat", "leave", "second"}


@pytest.mark.parametrize("fault", [*sorted(atlas()), "own words"])
def test_every_fault_has_a_way_with_its_costs(fault: str) -> None:
    found = options(fault, NOTHING)
    assert found
    for one in found:
        assert one.way in WAYS
        assert one.words
        assert one.firings_words
        assert one.colour
        assert one.flatness
        assert one.waiting
        assert one.source
        assert not one.against


def test_every_way_is_offered_somewhere() -> None:
    bare = FaultFacts(back_powder=0.0)
    assert {one.way for fault in atlas() for one in options(fault, bare)} == WAYS


def test_a_crack_must_not_wait_and_a_bend_may() -> None:
    """Trade web page: refire hairline cracks at once, before dirt or oxide enters."""
    crack, bend = options("hairline", NOTHING), options("warp", NOTHING)
    assert (crack[0].way, waits(crack)) == ("refire", False)
    assert (bend[0].way, waits(bend)) == ("press flat", True)


def test_a_lead_free_cap_over_leaded_glass_is_put_last() -> None:
    """Trade web page and ORD-CAP: a lead-free cap over a leaded layer repeats the fault."""
    plain, leaded = options("wirecrack", NOTHING), options("wirecrack", FaultFacts(leaded_below=True))
    assert plain[0].way == "refire"
    assert leaded[0].way == "strip"
    assert leaded[-1].way == "overcoat"
    assert "lead-free cap repeats" in leaded[-1].against[0]


def test_a_warm_colour_without_a_firing_left_is_not_refired() -> None:
    spent = options("cloudy", FaultFacts(firings_left=0))
    assert all(one.against for one in spent)
    left = options("cloudy", FaultFacts(firings_left=1))
    assert "bear 1 more firing." in left[0].colour


def test_what_had_too_much_heat_is_not_refired() -> None:
    assert [one.way for one in options("fluxcu", FaultFacts(stage="over-fired"))] == ["overcoat", "refire"]


def test_what_it_costs_is_told() -> None:
    strip = next(one for one in options("popoff", NOTHING, plan_firings=9) if one.way == "strip")
    assert strip.firings is None
    assert strip.firings_words == "all 9 firings of the plan again"
    heavy = FaultFacts(front_powder=3e-3, back_powder=1e-3)
    cover = next(one for one in options("green", heavy) if one.way == "overcoat")
    assert "lay as much on the back" in cover.flatness
    refire = options("dull", NOTHING, heats=Heats(longer="Set 790 °C."))[0]
    assert refire.words.endswith("Set 790 °C.")


def test_a_hotter_refire_is_not_given_the_window_of_that_firing() -> None:
    told = Heats(as_then="As foretold.", hotter="Set it hotter.")
    first, second = options("bubbles", NOTHING, heats=told)[:2]
    assert (first.words.endswith("As foretold."), second.words.endswith("Set it hotter.")) == (True, True)
    assert options("bubbles", NOTHING, heats=Heats(as_then="As foretold."))[1].words.endswith("once.")


def test_uneven_faces_are_evened_before_anything_else() -> None:
    """Trade web page: balance the back. 0.33 g in front and 0.20 g behind cracked; a refire leaves that as it is."""
    found = weighed("hairline", "next days", front_powder=0.33e-3, back_powder=0.2e-3)
    assert [one.way for one in found] == ["even", "strip", "refire", "overcoat"]
    even, _, refire, overcoat = found
    assert "That is the back: 0.2 g of powder lie there" in even.words
    assert "about 0.13 g" in even.words
    assert even.fits
    assert not even.heed
    assert not even.against
    assert any("likely to open again" in one for one in refire.heed)
    assert any("more uneven" in one for one in overcoat.against)
    # Where the back carries more, the same coat in front evens the faces and nothing is said against it.
    other = weighed("hairline", "next days", front_powder=0.2e-3, back_powder=0.6e-3)
    assert next(one for one in other if one.way == "overcoat").against == ()
    assert "That is the front" in next(one for one in other if one.way == "even").words


# What a maker would do first, and what would repeat the fault: remedies and preventions of the atlas, read by hand.
WEIGHED = [
    ("hairline", {"cooled": "quenched"}, "refire", None),
    ("hairline", {"verdicts": ("ORD-EXP",)}, "overcoat", None),
    ("bubbles", {"vapour_seen": True}, "refill", None),
    ("bubbles", {"first_stage": "sugar"}, "refire", None),
    ("bubbles", {"metal": "sterling", "fired_again": 3}, "second", "refire"),
    ("bubbles", {"metal_thickness": 1.8e-3}, "refill", "refire"),
    ("chip", {"back_powder": 0.0}, "even", "refill"),
    ("chip", {"first_stage": "sugar"}, "strip", None),
    ("chip", {"metal": "brass"}, "second", "strip"),
    ("warp", {"front_powder": 0.51e-3, "back_powder": 0.2e-3}, "even", None),
    ("warp", {"stage": "over-fired"}, "press flat", None),
    ("cloudy", {"lot_condition": "damp", "lot_washed": True, "stage": "gloss", "target": "gloss"}, "overcoat", None),
    ("cloudy", {"stage": "orange peel", "target": "cleared", "lot_washed": True}, "refire", None),
    ("dull", {"pickled": True, "stage": "gloss", "target": "gloss"}, "overcoat", None),
    ("dull", {"pause": 30.0, "stage": "orange peel", "target": "gloss"}, "refire", None),
    ("pits", {"solder": True, "stoned": False}, "second", "refill"),
    ("fluxcu", {"stage": "over-fired"}, "overcoat", "refire"),
]  # fmt: skip


@pytest.mark.parametrize(("fault", "facts", "first", "repeats"), WEIGHED)
def test_the_first_way_goes_at_the_cause_and_what_repeats_it_is_last(
    fault: str, facts: dict[str, Any], first: str, repeats: str | None
) -> None:
    found = weighed(fault, **facts)
    assert found[0].way == first
    assert not found[0].against
    if repeats is not None:
        spoken = next(one for one in found if one.way == repeats)
        assert spoken.against
        assert all(one.against for one in found[found.index(spoken) :])


@pytest.mark.parametrize("fault", sorted(atlas()))
def test_against_every_cause_what_mends_comes_before_what_leaves_and_that_before_what_repeats(fault: str) -> None:
    for one in rank(fault, NOTHING):
        found = options(fault, NOTHING, ((one, 1.0),))
        standing = [2 if each.against else 1 if each.heed else 0 for each in found]
        assert standing == sorted(standing), one.cause.words
        assert {each.way for each in found} == {each.way for each in options(fault, NOTHING)}
        mends = [bool(each.fits) for each in found if not each.heed and not each.against]
        assert mends == sorted(mends, reverse=True), one.cause.words


def test_a_moment_alone_weighs_nothing() -> None:
    """Makers notice late: a crack seen days after it came is refired at once as before, while nothing else is known."""
    assert ways("hairline", "next days") == [one.way for one in options("hairline", NOTHING)]
    assert ways("hairline", "next days", "along wires") != ways("hairline", "next days")


def test_two_causes_that_are_near_are_both_weighed_and_named() -> None:
    facts = {"kiln": "hotter", "start": "recovered", "window_start": "load"}
    cover = next(one for one in weighed("overfired", **facts) if one.way == "overcoat")
    assert len(cover.fits) == 2
    assert all(one.startswith("If it was ") for one in cover.fits)


def test_each_layer_is_a_firing_of_its_own() -> None:
    """Trade web page: white or hard flux below, last and coolest; a barrier and a colour are two firings."""
    cover = options("redbrown", NOTHING, heats=Heats(as_then="As then.", cooler="Cooler."))[0]
    assert (cover.way, cover.firings, cover.firings_words) == ("overcoat", 2, "two firings")
    assert cover.words.endswith("Cooler.")
    assert options("chip", NOTHING)[0].firings == 2  # relaid, then stoned and flashed
    spent = next(one for one in options("chip", FaultFacts(firings_left=1)) if one.way == "refill")
    assert "bear 1 more firing, and this takes 2" in spent.against[0]


def test_a_colour_that_has_turned_spends_no_firing_under_a_new_coat() -> None:
    cover = options("redbrown", FaultFacts(firings_left=0))[0]
    assert (cover.way, cover.against) == ("overcoat", ())


def test_pressing_flat_is_given_no_time_to_gloss() -> None:
    assert "as_then" in heats_of("warp")
    press = next(one for one in options("warp", NOTHING, heats=Heats(as_then="As then.")) if one.way == "press flat")
    assert "As then." not in press.words


def test_tables_name_what_there_is() -> None:
    """Every verdict is on a way that is offered and a cause that is known; every condition is a sign or a face."""
    offered = {(one["fault_id"], one["place"]) for one in rows("trade/rescues")}
    causes = {(fault, one.number) for fault, found in atlas().items() for one in found}
    names = {*sign_names(), "front heavier", "back heavier"}
    for row in rows("trade/rescue_causes"):
        assert (row["fault_id"], row["place"]) in offered
        assert (row["fault_id"], int(row["rank"])) in causes
        assert row["effect"] in {"mends", "leaves", "repeats"}
        assert all(one.removeprefix("not ") in names for one in row["when"].split(";") if one)
    for row in rows("trade/rescues"):
        assert row["on"] in {"", "front", "back", "thinner"}
        assert row["heat"].replace(" ", "_") in {"", *Heats.model_fields}
        assert not row["only"] or row["only"] in names
    # A condition that holds or not never leaves a way without a word it has in the other case alone.
    said = {(one["fault_id"], one["rank"]) for one in rows("trade/rescue_causes")}
    several = [fault for fault, found in atlas().items() if len(options(fault, NOTHING)) > 1 and len(found) > 1]
    silent = {(fault, str(one.number)) for fault in several for one in atlas()[fault]} - said
    # Weak dome, wrong metal of a sheet: nothing on the record tells these two, so nothing is weighed by them.
    assert silent <= {("warp", "3")}


@pytest.mark.parametrize(("front", "back"), list(product((0.0, 0.2e-3, 0.5e-3, None), repeat=2)))
def test_any_faces_give_an_order(front: float | None, back: float | None) -> None:
    for fault in ("hairline", "warp", "chip"):
        found = weighed(fault, front_powder=front, back_powder=back)
        assert found
        assert all("None" not in one.words for one in found)
