"""The alarm of the control tile goes along to the kiln on paper: on each kiln card and on the sheet of the day."""

from __future__ import annotations

import io
from datetime import timedelta

from pdf_words import badly_set
from pypdf import PdfReader

from enamelwright.cards.day_sheet import day_sheet
from enamelwright.cards.press import press
from enamelwright.craft.kiln import Kiln
from enamelwright.web import papers
from enamelwright.workshop import day, day_papers
from enamelwright.workshop.day_shown import days_of
from enamelwright.workshop.designs import designs
from enamelwright.workshop.kiln_alarm import alarm_lines
from enamelwright.workshop.kilns import keep_kiln, kiln_event_happened
from enamelwright.workshop.loads import fired
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.tiles import make_tiles

#: Seconds to gloss of weekly tiles: steady, then much sooner for three weeks.
SOONER = (165, 163, 167, 164, 166, 140, 138, 136)


def words_of(pdf: bytes) -> tuple[list[str], list[str]]:
    """Words of each page, and what is badly set."""
    reader = PdfReader(io.BytesIO(pdf))
    return [" ".join(page.extract_text().split()) for page in reader.pages], badly_set(reader)


def test_cards_and_day_sheet_tell_it_in_one_short_line_until_the_kiln_was_looked_at(studio: Studio) -> None:
    keep_kiln(studio, Kiln.from_outside({"name": "small kiln", "preset": "fibre small"}, "kiln"))
    design = next(str(one.name) for one in designs(studio))
    number = str(start_pieces(studio, 1, design)[0].number)
    at = studio.clock() - timedelta(days=7 * len(SOONER))
    for seconds in SOONER:
        tile = make_tiles(studio, 1, "control tile", metal="copper")[0]
        fired(studio, [tile.id], set_point="795 C", to_gloss=f"{seconds} s", stage_seen="gloss", at=at)
        at += timedelta(days=7)
    (line,) = alarm_lines(studio, "", short=True)
    (shown,) = alarm_lines(studio, "")
    since = shown.split("since ")[1].split(";")[0]
    assert since in line, "the same alarm as on the pages, with its date"
    assert "likely the thermocouple" in line
    assert len(line) < len(shown)

    def on_paper() -> tuple[list[str], list[str]]:
        sheet = papers.of_day(studio, [number], ["kiln"])
        cards, wrong = words_of(press(sheet.template, sheet.data))
        plan = day.plan_day(studio, 0)
        first = next(one for one in days_of(plan) if any(block.kiln for block in plan.every if block.day == one))
        pages, badly = words_of(day_sheet(day_papers.sheet_of(studio, plan, first)))
        assert wrong == badly == []
        return cards, pages

    cards, pages = on_paper()
    assert all(line in card for card in cards), "whoever takes one card to the kiln reads it"
    assert line in pages[0]
    kiln_event_happened(studio, "thermocouple moved", at=studio.clock())
    cards, pages = on_paper()
    assert not any("Control tile" in page for page in (*cards, *pages))
