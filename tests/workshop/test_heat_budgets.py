"""Re-firings in the record tell how much heat a colour bears, and no more than they can."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

import pytest

from morning import MORNING

if TYPE_CHECKING:
    from enamelwright.workshop.studio import Studio


def fire_again(studio: Studio, label: str, times: int, *, turns: bool, over: tuple[str, ...] = ()) -> None:
    """Fire a piece once with a fresh coat and so many times more, in the last one with more over it; it turns then."""
    from enamelwright.workshop.coats import lay_coat
    from enamelwright.workshop.faults import see_fault
    from enamelwright.workshop.loads import fired
    from enamelwright.workshop.pieces import start_pieces

    piece = start_pieces(studio, labels=[label], metal="copper", thickness="0.9 mm")[0].id
    lay_coat(studio, piece, "J04", face="front", method="sift")
    load = ""
    for n in range(times + 1):
        for jar in over if n == times else ():
            lay_coat(studio.at(MORNING + timedelta(hours=n, minutes=30)), piece, jar, face="front", method="sift")
        out = MORNING + timedelta(hours=n + 1)
        load = fired(studio.at(out), [piece], set_point="760 C", seconds="120 s", stage_seen="gloss").number
    if turns:
        see_fault(studio, piece, "redbrown", load=load, when_seen="in the kiln")


def add_like(studio: Studio, *codes: str) -> None:
    """Add jars like the first."""
    from enamelwright.workshop.jars import add_jar, described, jar_row

    for code in codes:
        add_jar(studio, described(jar_row(studio, "J04")).model_copy(update={"id": code, "name": code}))


def test_a_colour_that_turned_at_its_third_refiring(studio: Studio) -> None:
    from enamelwright.workshop.firing_facts import firing_facts
    from enamelwright.workshop.heat_budgets import heat_budgets

    assert heat_budgets(studio, firing_facts(studio)) == []
    fire_again(studio, "A", 2, turns=False)
    assert heat_budgets(studio, firing_facts(studio)) == []  # never turned: no end to tell
    fire_again(studio, "B", 3, turns=True)
    fire_again(studio, "C", 0, turns=True)  # too hot at once: says nothing of re-firings
    (budget,) = heat_budgets(studio, firing_facts(studio))
    assert budget.jar == "J04"
    assert [(one.refirings, one.seen, one.turned) for one in budget.steps] == [(1, 2, 0), (2, 2, 0), (3, 1, 1)]
    assert budget.steps[1].low < 0.5  # two good ones promise little
    assert budget.steps[2].high > 0.5  # one bad one condemns little


@pytest.mark.parametrize("over", [("J05",), ("J05", "J06")])
def test_a_colour_under_one_that_turned_is_not_called_good(studio: Studio, over: tuple[str, ...]) -> None:
    """Which of the colours it was nobody wrote down: the lower one was last known good in the firing before."""
    from enamelwright.workshop.firing_facts import firing_facts
    from enamelwright.workshop.heat_budgets import heat_budgets

    add_like(studio, *over)
    fire_again(studio, "A", 3, turns=True)
    for n in range(4):
        fire_again(studio, f"B{n}", 3, turns=True, over=over)
    (budget,) = heat_budgets(studio, firing_facts(studio))
    assert budget.jar == "J04"
    assert [(one.refirings, one.seen, one.turned) for one in budget.steps] == [(1, 5, 0), (2, 5, 0), (3, 1, 1)]
    assert budget.steps[-1].likely == 0.0


def test_of_two_colours_laid_last_neither_is_blamed(studio: Studio) -> None:
    from enamelwright.workshop.coats import lay_coat
    from enamelwright.workshop.faults import see_fault
    from enamelwright.workshop.firing_facts import firing_facts
    from enamelwright.workshop.heat_budgets import heat_budgets
    from enamelwright.workshop.loads import fired
    from enamelwright.workshop.pieces import start_pieces

    add_like(studio, "J05")
    piece = start_pieces(studio, labels=["A"], metal="copper", thickness="0.9 mm")[0].id
    for jar in ("J04", "J05"):
        lay_coat(studio, piece, jar, face="front", method="sift")
    for n in range(3):
        out = studio.at(MORNING + timedelta(hours=n + 1))
        load = fired(out, [piece], set_point="760 C", seconds="120 s", stage_seen="gloss").number
    see_fault(studio, piece, "redbrown", load=load, when_seen="in the kiln")
    assert heat_budgets(studio, firing_facts(studio)) == []
