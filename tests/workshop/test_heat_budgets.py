"""Re-firings in the record tell how much heat a colour bears, and no more than they can."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from morning import MORNING

if TYPE_CHECKING:
    from enamelwright.workshop.studio import Studio


def fire_again(studio: Studio, label: str, times: int, *, turns: bool) -> None:
    """Fire a piece once with a fresh coat and so many times more; it turns in the last one or stays."""
    from enamelwright.workshop.coats import lay_coat
    from enamelwright.workshop.faults import see_fault
    from enamelwright.workshop.loads import fired
    from enamelwright.workshop.pieces import start_pieces

    piece = start_pieces(studio, labels=[label], metal="copper", thickness="0.9 mm")[0].id
    lay_coat(studio, piece, "J04", face="front", method="sift")
    load = ""
    for n in range(times + 1):
        out = MORNING + timedelta(hours=n + 1)
        load = fired(studio.at(out), [piece], set_point="760 C", seconds="120 s", stage_seen="gloss").number
    if turns:
        see_fault(studio, piece, "redbrown", load=load, when_seen="in the kiln")


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
