"""A class has its hours: whose pieces are a student's wait for it, and its board knows nothing else."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from enamelwright.errors import InputError
from enamelwright.workshop import day, day_board, day_habits, day_shown
from enamelwright.workshop.designs import keep_design
from enamelwright.workshop.people import person
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.studio import Studio
from morning import MORNING

HOURS = ("09:00-12:30", "13:00-17:00", "18:00-21:00")


@pytest.fixture
def taught(studio: Studio, disc: Path) -> Studio:
    """Three students with a disc each, and two discs of the workshop's own; class is in the evening."""
    keep_design(studio, disc)
    for label in ("A", "B", "C"):
        start_pieces(studio, 1, "Test disc", owner=person(studio, label, "student"))
    start_pieces(studio, 2, "Test disc")
    return studio


def set_class(studio: Studio, **more: object) -> None:
    told = {"hours": HOURS, "class_hours": "18:00-21:00", **more}
    day_habits.set_habits(studio, day_habits.DayHabits.from_outside(told))


def test_what_is_a_student_s_waits_for_the_class(taught: Studio) -> None:
    day_habits.set_habits(taught, day_habits.DayHabits(hours=HOURS))
    before = day.plan_day(taught, 0)
    assert any(b.start[11:16] < "18:00" and before.about(b.pieces[0])["owner"] for b in before.blocks)
    set_class(taught)
    plan = day.plan_day(taught, 0)
    mine = [b for b in plan.blocks if any(plan.about(name)["owner"] for name in b.pieces)]
    first = MORNING.date().isoformat()
    assert mine
    assert min(b.start for b in mine) >= f"{first}T18:00"
    for block in mine:
        if not block.kiln:
            assert block.start[11:16] >= "18:00"
            assert block.end[11:16] <= "21:00", "students are there for the class alone"
    ours = [b for b in plan.blocks if not any(plan.about(name)["owner"] for name in b.pieces)]
    assert min(b.start for b in ours) < f"{first}T10:00", "the workshop's own work begins in the morning"
    assert not plan.answer["late"]


def test_the_class_is_on_its_days(taught: Studio) -> None:
    on = MORNING + timedelta(days=2)
    set_class(taught, class_days=[f"{on:%a}"])
    plan = day.plan_day(taught, 0)
    mine = [b for b in plan.blocks if any(plan.about(name)["owner"] for name in b.pieces)]
    assert min(b.start for b in mine) >= f"{on.date()}T18:00"


def test_during_the_class_nothing_waits(taught: Studio) -> None:
    set_class(taught)
    there = taught.at(MORNING.replace(hour=18, minute=30))
    plan = day.plan_day(there, 0)
    mine = [b for b in plan.blocks if any(plan.about(name)["owner"] for name in b.pieces)]
    assert min(b.start for b in mine) < f"{MORNING.date()}T18:40"


def test_the_board_ends_with_the_class(taught: Studio) -> None:
    """Loads that are only the workshop's stand apart, and are no end of the class."""
    set_class(taught)
    plan = day.plan_day(taught, 0)
    for one in day_shown.days_of(plan):
        board = day_board.board_of(taught, plan, {}, one)
        loads = [b for b in plan.every if b.kiln and b.day == one]
        owned = [b for b in loads if any(plan.about(name)["owner"] for name in b.pieces)]
        assert [turn.block for turn in board.turns] == owned
        assert board.ends == max((b.end[11:16] for b in owned), default="")
        assert all(set(turn.owners) != {day_board.OURS} for turn in board.turns)
        assert [turn.block for turn in board.ours] == ([b for b in loads if b not in owned] if board.taught else [])


def test_without_students_there_is_no_class(studio: Studio, disc: Path) -> None:
    keep_design(studio, disc)
    start_pieces(studio, 2, "Test disc")
    plan = day.plan_day(studio, 0)
    board = day_board.board_of(studio, plan, {}, plan.blocks[0].day)
    assert board == day_board.Board((), (), "", (), False)


@pytest.mark.parametrize(
    "bad",
    [{"class_hours": "17:30-21:00"}, {"class_hours": "evening"}, {"class_hours": "21:00-18:00"},
     {"class_days": ["Sat"]}, {"class_hours": "22:00-23:00"}],
)  # fmt: skip
def test_a_class_outside_the_hours_is_refused(taught: Studio, bad: dict[str, object]) -> None:
    with pytest.raises(InputError):
        set_class(taught, **bad)
