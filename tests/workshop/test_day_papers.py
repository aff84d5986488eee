"""The sheet of a day as it comes from the record: a small day and one with three hundred pieces, each page whole."""

from __future__ import annotations

import io
from pathlib import Path

import pytest
from pdf_words import badly_set
from pypdf import PdfReader

from enamelwright.cards.day_sheet import day_sheet
from enamelwright.workshop import day, day_papers, designs, orders
from enamelwright.workshop.day_habits import DayHabits, set_habits
from enamelwright.workshop.day_shown import days_of
from enamelwright.workshop.studio import Studio

LONG = "Winter disc with an uncommonly long name that goes on and on to the very edge"


@pytest.fixture
def ordered(studio: Studio, disc: Path) -> Studio:
    """A design with a long name."""
    disc.write_text(disc.read_text(encoding="utf-8").replace("Test disc", LONG), encoding="utf-8")
    designs.keep_design(studio, disc)
    set_habits(studio, DayHabits(rest=(), hours=("09:00-12:30", "13:00-21:00")))
    return studio


@pytest.mark.parametrize("count", [4, 300])
def test_every_page_is_whole_and_every_piece_told(ordered: Studio, count: int) -> None:
    each = max(count // 3, 1)
    for _ in range(-(-count // each)):
        order = orders.take_order(ordered, "discs", state="agreed", due_on=ordered.today().isoformat())
        orders.add_line(ordered, order.id, design=LONG, count=min(each, count))
    plan = day.plan_day(ordered, 0)
    days = days_of(plan)
    busiest = max(days, key=lambda one: sum(len(block.pieces) for block in plan.every if block.day == one))
    for one in {days[0], busiest}:
        sheet = day_papers.sheet_of(ordered, plan, one)
        assert not [row.pieces for row in (*sheet.loads, *sheet.work) if "…" in row.pieces]
        assert badly_set(PdfReader(io.BytesIO(day_sheet(sheet)))) == []
