"""The day follows the record: hand time as it was logged, orders that are over, whose piece is late, what is gone."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from enamelwright.planning.day.rates import TICK
from enamelwright.workshop import day, day_kept, day_ready, day_shelf, day_waits
from enamelwright.workshop.day_late import over_words
from enamelwright.workshop.day_shown import late_words, next_words
from enamelwright.workshop.designs import design_row, keep_design
from enamelwright.workshop.finishing import spend_time
from enamelwright.workshop.orders import OVER, add_line, change_order, keep_customer, take_order
from enamelwright.workshop.own_hand import ENOUGH, logged_hand
from enamelwright.workshop.pieces import finish_piece, start_pieces
from enamelwright.workshop.studio import Studio
from morning import MORNING

MINUTE = 60


def logged(studio: Studio, minutes: list[float]) -> None:
    """Finish one disc for each of some times, that time logged on it."""
    for each in minutes:
        (one,) = start_pieces(studio, 1, "Test disc")
        if each:
            spend_time(studio, "all of it", f"{each} min", piece=int(one.id))
        finish_piece(studio, int(one.id))


def hand(studio: Studio) -> list[float]:
    """How long the steps of a disc take that are no firing [min]."""
    one = day_waits.waits(studio).pieces[0]
    return [step.length / MINUTE for step in one.steps if step.work != "fire"]


def test_hand_time_is_the_one_of_the_record(studio: Studio, disc: Path) -> None:
    """Three logged pieces tell what a step takes; a firing stays as long as it is, and it is said."""
    keep_design(studio, disc)
    start_pieces(studio, 2, "Test disc")
    planned, firing = hand(studio), [s.length for s in day_waits.waits(studio).pieces[0].steps if s.work == "fire"]
    design = int(design_row(studio, "Test disc").id)
    logged(studio, [4.0, 0.0])
    logged(studio, [6.0])
    assert logged_hand(studio, design) == (pytest.approx(5 * MINUTE), 2)
    assert hand(studio) == planned, f"two are fewer than {ENOUGH}"
    slow = day.plan_day(studio, 0)
    assert not [line for line in slow.answer["assumptions"] if "by your record" in line]
    logged(studio, [5.0])
    own = hand(studio)
    assert [s.length for s in day_waits.waits(studio).pieces[0].steps if s.work == "fire"] == firing
    plan = next(iter(day_waits.waits(studio).told.values()))
    from enamelwright.questions.day import planned as planned_of
    from enamelwright.workshop.bench import bench

    whole = planned_of(plan, bench(studio))[0].hand_time
    assert whole is not None
    pace = 5 * MINUTE / whole.value
    assert all(a <= b * pace + TICK / MINUTE for a, b in zip(own, planned, strict=True))
    assert sum(own) < sum(planned)
    quick = day.plan_day(studio, 0)
    assert quick.answer["work"]["value"] < slow.answer["work"]["value"]
    (said,) = [line for line in quick.answer["assumptions"] if "by your record" in line]
    assert said == f"Test disc: 5 min of hand time by your record, not {whole.value / MINUTE:.0f}"
    assert {s for b in quick.blocks for s in b.members} == {s for b in slow.blocks for s in b.members}


def test_a_slow_hand_is_planned_slower(studio: Studio, disc: Path) -> None:
    keep_design(studio, disc)
    start_pieces(studio, 1, "Test disc")
    planned = hand(studio)
    logged(studio, [900.0, 910.0, 920.0])
    assert sum(hand(studio)) > sum(planned)
    plan = day.plan_day(studio, 0)
    assert not plan.answer["left_out"], "what was done before can be done again, over a break"
    assert max(hand(studio)) > 4 * MINUTE


@pytest.fixture
def ordered(studio: Studio, disc: Path) -> tuple[Studio, str]:
    """Three discs ordered for yesterday, two begun, and one of nobody's."""
    keep_design(studio, disc)
    order = take_order(
        studio, "discs", customer=keep_customer(studio, "Lea"), state="agreed",
        due_on=MORNING.date() - timedelta(days=1),
    )  # fmt: skip
    line = add_line(studio, order.id, design="Test disc", count=3)
    start_pieces(studio, 2, "Test disc", order_line=line)
    start_pieces(studio, 1, "Test disc")
    return studio, str(order.number)


def test_an_order_that_is_over_has_no_date(ordered: tuple[Studio, str]) -> None:
    studio, number = ordered
    assert len(day.plan_day(studio, 0).answer["late"]) == 3
    for state in OVER:
        change_order(studio, number, state=state)
        found = day_waits.waits(studio)
        assert [one.due for one in found.pieces] == ["", "", ""], "those begun are still in work"
        assert {one.order for one in found.pieces} == {"", number}
        assert not day.plan_day(studio, 0).answer["late"]


def test_what_is_late_is_told_by_order_and_for_whom(ordered: tuple[Studio, str]) -> None:
    studio, number = ordered
    plan = day.plan_day(studio, 0)
    by = max(one["by"]["value"] for one in plan.answer["late"])
    told = late_words(plan, day_ready.orders_called(studio, plan))
    assert told == f"{number} for Lea: 3 pieces by {over_words(by)}, whatever is done"
    assert late_words(plan).startswith(f"{number}: 3 pieces by ")


def test_an_order_says_when_it_is_ready(ordered: tuple[Studio, str]) -> None:
    studio, number = ordered
    assert day_ready.ready_of(studio, None, number) is None
    plan = day.plan_day(studio, 0)
    mine = [name for name, about in plan.content["pieces"].items() if about["order"] == number]
    end = max(b.end for b in plan.every if set(mine) & set(b.pieces))
    due = (MORNING.date() - timedelta(days=1)).isoformat()
    ready = day_ready.ready_of(studio, plan, number, due)
    assert ready is not None
    assert ready.words.endswith(f", {end[11:16]}")
    assert ready.late == over_words(max(one["by"]["value"] for one in plan.answer["late"]))
    assert not ready.over
    later = day_ready.ready_of(studio.at(day_kept.clock(end) + timedelta(hours=1)), plan, number, "2030-01-01")
    assert later is not None
    assert (later.late, later.over) == ("", True)
    assert day_ready.ready_of(studio, plan, "2020-C001") is None


def test_what_is_spoilt_is_dropped_from_what_comes(ordered: tuple[Studio, str]) -> None:
    studio, _ = ordered
    plan = day.plan_day(studio, 0)
    load = day.stand(studio, plan).loads[0]
    name = next(one for one in load.pieces if plan.about(one)["number"])
    finish_piece(studio, str(plan.about(name)["number"]), "spoilt")
    stand = day.stand(studio, plan)
    assert name in stand.gone
    assert not [one for one in (*stand.coming, *stand.behind) if name in one.pieces]
    assert len(stand.loads[0].members) == len(load.members) - 1
    told = next_words(plan, stand.coming, MORNING.date().isoformat())
    count = len(load.members) - 1
    assert f" {count} piece{'' if count == 1 else 's'}," in told
    (drawn,) = day_shelf.loads_drawn(studio, plan, stand.loads[:1], 92.0, "daylight")
    assert len(drawn.places) == count
    assert name not in {one for _, one in drawn.places}
