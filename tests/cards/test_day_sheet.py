"""The sheet of a day on A4: nothing over the edge of the paper, nothing over anything else, and no piece left out."""

from __future__ import annotations

import io
import re
from dataclasses import replace

import pytest
from pdf_words import MM, badly_set, runs_of
from pypdf import PdfReader

from enamelwright.cards.day_sheet import DayRow, DaySheet, HomePiece, ShelfDrawn, TakeHome, day_sheet, take_home
from enamelwright.pictures.day_bars import Bar, Day, day_bars_svg

#: Small print that can still be read at the bench [mm]: seven of the points a font is measured in.
READ = 7 * MM
WIDE = 184.0


def bars(count: int) -> str:
    """A day of so many loads, each with work before it."""
    each = 420.0 / count
    made = [
        bar for n in range(count)
        for bar in (
            Bar("M", 540 + n * each, 540 + (n + 0.7) * each, "sift on the white that is called base", "bench"),
            Bar("a kiln with a long name", 540 + (n + 0.7) * each, 540 + (n + 1) * each, "790 °C", "load", 12),
        )
    ]  # fmt: skip
    day = Day(("M", "a kiln with a long name"), tuple(made), ((540, 750), (780, 1020)), ((560, 3), (700, count)), 600)
    return day_bars_svg(day, "paper", "bars", WIDE)


def shelf(words: str) -> ShelfDrawn:
    drawing = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 62 50" width="62mm" height="50mm"></svg>'
    return ShelfDrawn("In at 09:10, 790 °C, 1.5 min, mesh", drawing, "evenly about the middle, 54 mm to spare", words)


SMALL = DaySheet(
    "Monday 2 March 2026", "Next in: 09:10, 2 pieces, 790 °C, 1.5 min, mesh", "The last work ends today, 11:20.",
    bars(3), WIDE, "The day as bars.",
    (DayRow("09:10", "09:12", "790 °C, 1.5 min, mesh", "front-loader", "2026-001, 002"),),
    (DayRow("09:00", "09:10", "sift on counter", "M", "2026-001, 002"),), shelves=(shelf("1 2026-001; 2 2026-002"),) * 2,
    made="Planned Monday 2 March 2026, 08:55",
)  # fmt: skip
PIECES = [f"2026-C017 Winter disc with an uncommonly long name that goes on to its very end {n}A" for n in range(300)]
STUDENTS = ", ".join(f"a student called Letter {letter}" for letter in "ABCDEFGHIJKL")
FULL = replace(
    SMALL, title="Wednesday 23 September 2026",
    next_="Next in: Wednesday 23 September 2026, 13:00, 12 pieces, 790 °C, 2.5 min, on the small trivets",
    good="The last work ends Thursday 10 December 2026, 10:00, after 798 loads; piece by piece would take 1.9 times as "
    "long. Another order of work could save at most 3 %.",
    bars=bars(60),
    loads=tuple(
        DayRow("09:10", "09:12", "790 °C, 2.5 min, on the small trivets, tools cleaned first", "Donaudampfschiffkiln" * 2,
               ", ".join(PIECES[n * 5 : n * 5 + 5])) for n in range(60)
    ),
    work=tuple(
        DayRow("09:00", "09:10", "rub the oxide off the bare front and the edges with an abrasive pad and water, tools "
               "cleaned first", STUDENTS if n % 7 == 0 else "M", ", ".join(PIECES[n * 2 : n * 2 + 2]))
        for n in range(150)
    ),
    lines=(("Late", "; ".join(f"2026-C01{n} for A customer with a long label: 15 pieces by 195 days" for n in range(4))),
           ("Short", "J20: 53.2 g short"), ("How sure", "All dates are kept in about 1 (0 to 3) of 10 such days.")),
    caution="Cadmium: counter, scrap blend: keep its dust out of the air, off hands and food; no dry sanding. Follow the "
    "safety data sheet and local rules.",
    shelves=tuple(shelf("; ".join(f"{n} {name}" for n, name in enumerate(PIECES[:12], 1))) for _ in range(2)),
)  # fmt: skip


CROWDED = replace(FULL, shelves=(shelf("; ".join(f"{n} {name}" for n, name in enumerate(PIECES[:48], 1))),) * 2)


def read(pdf: bytes) -> PdfReader:
    return PdfReader(io.BytesIO(pdf))


def words_of(reader: PdfReader) -> str:
    """All words without blanks, as lines break anywhere between them, and without the heads and feet of pages."""
    told = re.sub(r"\s|\u200b", "", "".join(page.extract_text() for page in reader.pages))
    told = re.sub(rf"{re.escape(SMALL.made.replace(' ', ''))}page\d+of\d+", "", told)
    return re.sub("InOutHeat,time,supportKilnPieces|FromUntilWhoWorkPieces", "", told)


@pytest.mark.parametrize("invented", [False, True])
@pytest.mark.parametrize("sheet", [SMALL, FULL, CROWDED], ids=["small", "full", "crowded shelves"])
def test_nothing_is_cut_off_or_over_anything_else(sheet: DaySheet, invented: bool) -> None:
    reader = read(day_sheet(sheet, invented))
    assert badly_set(reader) == []
    for page in reader.pages:
        assert float(page.mediabox.width) * MM == pytest.approx(210, abs=0.1)
        assert float(page.mediabox.height) * MM == pytest.approx(297, abs=0.1)


def test_a_small_day_is_one_page_and_a_full_one_tells_every_piece_twice() -> None:
    assert len(read(day_sheet(SMALL)).pages) == 1
    told = words_of(read(day_sheet(FULL)))
    for piece in PIECES:
        assert told.count(piece.replace(" ", "")) >= 2, "in its load, and with the work on it"
    last = f"48{PIECES[47].replace(' ', '')}"
    assert words_of(read(day_sheet(CROWDED))).count(last) == 2, "on both shelves"
    assert told.count(STUDENTS.replace(" ", "")) == len([one for one in FULL.work if one.who == STUDENTS])


def test_a_row_stays_on_one_page() -> None:
    """So that its box to tick stands beside all of its pieces; a row that fills most of a page may break."""
    pages = [
        re.sub(r"\s|\u200b", "", page.extract_text())
        for page in read(day_sheet(replace(FULL, work=(), shelves=()))).pages
    ]
    assert len(pages) > 5
    for n in range(60):
        row = [one.replace(" ", "") for one in PIECES[n * 5 : n * 5 + 5]]
        assert [sum(one in page for one in row) for page in pages].count(5) == 1, "all on one"
    endless = DayRow("09:00", "09:10", "sift on counter", "M", ", ".join(PIECES[:200]))
    reader = read(day_sheet(replace(SMALL, work=(endless,))))
    assert badly_set(reader) == []
    told = words_of(reader)
    assert all(piece.replace(" ", "") in told for piece in PIECES[:200])


def test_all_of_it_can_be_read_at_the_bench() -> None:
    """The words of the bars too: they are drawn as wide as they are printed."""
    reader = read(day_sheet(FULL))
    small = [one.words for n in range(len(reader.pages)) for one in runs_of(reader, n) if one.size < 0.95 * READ]
    assert small == []


def test_a_number_and_its_unit_stay_on_one_line() -> None:
    long = replace(SMALL, next_="Next in: Tuesday 15 December 2026, 13:00, 2 pieces, 780 °C, 2.5 min, mesh")
    lines: dict[float, str] = {}
    for one in runs_of(read(day_sheet(long)), 0):
        lines[round(one.bottom, 1)] = lines.get(round(one.bottom, 1), "") + one.words
    assert not [line for line in lines.values() if line.rstrip().endswith(("2.5", "780", ", 2"))]


def test_sheets_to_take_home_hold_what_is_on_them() -> None:
    pieces = tuple(
        HomePiece(
            f"2026-{n:03d}", "Winter disc with an uncommonly long name that goes on to its very end",
            "It stays here: there is more to do.", ("counter, single batch, back",) * 3, ("09:10, 790 °C, 2.5 min",) * 3,
            ("sift on the white that is called base",) * 4,
        ) for n in range(8)
    )  # fmt: skip
    sheets = (TakeHome("A", "Monday 2 March 2026", pieces, ("Hot glass looks as when cold." * 4,) * 4),) * 2
    assert badly_set(read(take_home(sheets))) == []
