"""Ways out of a fault: one for every fault, none that repeats it, each with what it costs."""

from __future__ import annotations

import pytest

from enamelwright.learning.fault_atlas import atlas
from enamelwright.learning.fault_signs import FaultFacts
from enamelwright.learning.rescue import options, waits

NOTHING = FaultFacts()
WAYS = {"refire", "refill", "overcoat", "strip", "press flat", "leave", "second"}


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
    assert {one.way for fault in atlas() for one in options(fault, NOTHING)} == WAYS


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
    refire = options("dull", NOTHING, window="Set 790 °C.")[0]
    assert refire.words.endswith("Set 790 °C.")


def test_a_hotter_refire_is_not_given_the_window_of_that_firing() -> None:
    first, second = options("bubbles", NOTHING, window="As foretold.", hotter="Set it hotter.")[:2]
    assert (first.words.endswith("As foretold."), second.words.endswith("Set it hotter.")) == (True, True)
    assert options("bubbles", NOTHING, window="As foretold.")[1].words.endswith("once.")
