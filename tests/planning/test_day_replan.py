"""A day disturbed: what is done stays, the order is kept, and another is offered only when it is worth it."""

from __future__ import annotations

from dataclasses import replace

import pytest

from enamelwright.planning.day.checker import check
from enamelwright.planning.day.drills import DAY, ROUTES, drill
from enamelwright.planning.day.plan import DayPlan
from enamelwright.planning.day.policy_search import Search
from enamelwright.planning.day.problem import Piece
from enamelwright.planning.day.replan import Frozen, changes, failed, freeze, leaves, replan, rush

PLAN = Search(drill("12, one person")).run(40)
#: Two and a half hours into the first day.
NOW = 1080 + 300


def whole(frozen: Frozen, plan: DayPlan) -> list[str]:
    """Faults of past and future together, by the problem as it was, with what changed in it."""
    return [fault.words for fault in check(frozen.problem, plan.on_clock())]


def test_without_a_disturbance_nothing_changes() -> None:
    frozen = freeze(PLAN, NOW)
    found = replan(frozen, tries=0)
    assert found.kept_changes == changes(frozen.order, found.kept)
    assert (found.kept_changes.load, found.kept_changes.day, found.kept_changes.turned_round) == (0, 0, 0)
    assert found.kept.finish <= PLAN.finish
    assert found.offered is None


def test_the_past_stays() -> None:
    frozen = freeze(PLAN, NOW)
    found = replan(frozen, tries=0)
    together = (*frozen.blocks, *found.kept.on_clock())
    assert check(PLAN.problem, together, frozen.blocks) == []
    assert all(block.start < NOW for block in frozen.blocks)
    assert all(block.start >= NOW for block in found.kept.on_clock())


def test_a_step_that_takes_longer_moves_the_rest_and_keeps_the_order() -> None:
    before = freeze(PLAN, NOW)
    running = max(before.blocks, key=lambda block: block.end)
    frozen = freeze(PLAN, NOW, {running.members[0]: 30})
    found = replan(frozen, tries=30)
    assert whole(frozen, found.kept) == []
    assert PLAN.finish <= found.kept.finish <= PLAN.finish + 30 + 60
    assert (found.kept_changes.load, found.kept_changes.turned_round) == (0, 0)
    if found.offered is not None:
        assert found.offered.score < found.kept.score
        assert whole(frozen, found.offered) == []
        assert found.why


def test_a_failed_piece_goes_back_to_its_gate() -> None:
    frozen = freeze(PLAN, NOW)
    piece = next(n for n, p in enumerate(frozen.problem.pieces) if p.first == 3)
    again = failed(frozen, piece, 0)
    found = replan(again, tries=0)
    assert whole(again, found.kept) == []
    assert sum(ref[0] == piece for item in found.kept.items for ref in item.members) == len(
        frozen.problem.pieces[piece].steps
    )
    assert found.kept.finish >= replan(frozen, tries=0).kept.finish


def test_a_rush_order_is_put_in_and_shares_loads() -> None:
    frozen = freeze(PLAN, NOW)
    rushed = rush(frozen, Piece("rush", ROUTES["disc25"], due=DAY + 1080, design="disc25"))
    found = replan(rushed, tries=0)
    assert whole(rushed, found.kept) == []
    assert len(found.kept.loads) <= len([item for item in frozen.order if item.kiln >= 0]) + 2


def test_somebody_leaves() -> None:
    plan = Search(drill("12, two people")).run(20)
    frozen = freeze(plan, 1080 + 120)
    alone = leaves(frozen, 0)
    found = replan(alone, tries=20)
    assert whole(alone, found.kept) == []
    gone = [block for block in found.kept.on_clock() if 0 in block.people]
    assert gone == []
    back = leaves(frozen, 0, back=1080 + 180)
    assert replan(back, tries=0).kept.finish <= found.kept.finish


def test_twice_disturbed() -> None:
    first = replan(freeze(PLAN, NOW), tries=0).kept
    later = NOW + 200
    frozen = freeze(first, later, {})
    found = replan(failed(frozen, 0, max(frozen.problem.pieces[0].first - 2, 0)), tries=20)
    assert whole(failed(frozen, 0, max(frozen.problem.pieces[0].first - 2, 0)), found.kept) == []


def test_another_order_is_offered_when_it_keeps_a_date() -> None:
    """An order turned upside down is late where a good one is not."""
    problem = drill("36, one person")
    late = min((p for _, p in _baselines(problem)), key=lambda plan: (-len(plan.late_pieces), plan.score))
    frozen = freeze(late, 1080 + 60)
    found = replan(frozen, tries=5)
    assert found.offered is not None
    assert len(found.offered.late_pieces) < len(found.kept.late_pieces)
    assert "late" in found.why


def _baselines(problem: object) -> list[tuple[str, DayPlan]]:
    search = Search(problem)  # type: ignore[arg-type]
    search.start()
    return search.baselines


def test_windows_stay_near_the_order() -> None:
    from enamelwright.planning.day.solve import Effort
    from enamelwright.planning.day.window_search import improve_window

    frozen = freeze(PLAN, NOW)
    kept = replan(frozen, tries=0).kept
    near = improve_window(kept, 0, 25, Effort(counted=0.3), stay=True)
    assert near.score <= kept.score
    assert whole(frozen, near) == []


@pytest.mark.parametrize("ticks", [1, 7])
def test_delays_never_bring_the_end_forward(ticks: int) -> None:
    running = max(freeze(PLAN, NOW).blocks, key=lambda block: block.end)
    frozen = freeze(PLAN, NOW, {running.members[0]: ticks})
    assert replan(frozen, tries=0).kept.finish >= replan(freeze(PLAN, NOW), tries=0).kept.finish
    assert replace(frozen.problem).now == NOW
