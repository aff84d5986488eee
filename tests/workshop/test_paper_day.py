"""A day on paper becomes twenty loads at once, or none."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.workshop.coats import coats_on
from enamelwright.workshop.faults import faults_of
from enamelwright.workshop.firings import firings_of, loads_between
from enamelwright.workshop.lots import levels
from enamelwright.workshop.paper_day import DEGREES, read_day, write_day
from enamelwright.workshop.paper_grid import grid, read_grid
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.settings import set_setting
from enamelwright.workshop.studio import Studio

DAY = date(2026, 2, 28)


def day(studio: Studio, text: str) -> list[tuple[int, str]]:
    """What is complained of in a grid: line and column."""
    return [(one.line, one.column) for one in read_day(studio, grid(text.encode()), DAY).complaints]


def test_twenty_loads_with_marks_for_the_same_again(studio: Studio) -> None:
    start_pieces(studio, labels=[f"A-{n:02d}" for n in range(1, 21)])
    lines = ["time;piece;set;seconds;stage;from;face;jar;grams;dry;who", "9:00;A-01;785;150;op;load;b;J21;0,43;8;M"]
    lines += [f'{9 + n // 12}:{n % 12 * 5:02d};A-{n + 1:02d};";";";";";";0.4{n % 10};";"' for n in range(1, 20)]
    paper = read_day(studio, grid("\n".join(lines).encode()), DAY)
    assert paper.complaints == ()
    assert paper.columns["dry"] == "dried"
    written = write_day(studio, paper)
    assert [one.number for one in written] == [f"2026-F{n:03d}" for n in range(1, 21)]
    last = firings_of(studio, "A-20")[0]
    assert (last.set_point, last.seconds, last.stage_seen) == (pytest.approx(1058.15), 150, "orange peel")
    assert last.recorded_at > last.at  # told today, happened then
    assert last.face_up == "back"
    coat = coats_on(studio, "A-01")[0]
    assert (coat.on_piece, coat.dried) == (pytest.approx(0.43e-3), 480)
    assert coat.typed == {"on_piece": "0,43 g", "dried": "8 min"}
    used = 0.43 + sum(0.40 + n % 10 / 100 for n in range(1, 20))
    assert levels(studio, "J21")[0].grams == pytest.approx((200 - used) * 1e-3)
    loads = loads_between(studio, "2026-02-27", "2026-03-01")
    assert [row.number for row in reversed(loads)] == [one.number for one in written]


def test_several_pieces_in_one_line_new_things_and_faults(studio: Studio) -> None:
    start_pieces(studio, labels=["A-01", "A-02", "A-03", "A-04", "B-07"])
    text = (
        'piece,set F,min,stage,fault,note\n"A-01..A-03, B-07",1450,2.5,gloss,hairlines,"a quoted ""note"""\n'
        '+blue scrap,",3:00,sugar,,\n"A-01, 02",","," , "," \n'
    )
    paper = read_day(studio, grid(text.encode()), DAY)
    assert paper.complaints == ()
    first, second, third = write_day(studio, paper)
    assert len(first.pieces) == 4
    row = firings_of(studio, "B-07")[0]
    assert (row.set_point, row.seconds) == (pytest.approx((1450 - 32) / 1.8 + 273.15), 150)
    assert row.words == 'a quoted "note"'
    assert faults_of(studio, "A-02")[0].load == first.load
    assert firings_of(studio, second.pieces[0])[0].seconds == 180
    assert third.pieces == ("2026-001", "2026-002")


def test_one_cell_that_is_not_understood_keeps_the_whole_day_out(studio: Studio) -> None:
    start_pieces(studio, labels=["A-01", "A-02"])
    text = "piece;set;stage\nA-01;785;gloss\nA-02;785;shiny\n"
    paper = read_day(studio, grid(text.encode()), DAY)
    assert [one.line for one in paper.loads] == [2]
    with pytest.raises(InputError, match="line 3 stage"):
        write_day(studio, paper)
    assert firings_of(studio, "A-01") == []


@pytest.mark.parametrize(
    ("line", "column"),
    [
        ("25:10;A-01;785;150;gloss", "time"),
        ("9:00;A-99;785;150;gloss", "piece"),
        ("9:00;A-01..A-99;785;150;gloss", "piece"),
        ("9:00;A-01, A-01;785;150;gloss", "piece"),
        ("9:00;A-01;79;150;gloss", "set"),  # no kiln fires at 79 C
        ("9:00;A-01;7850;150;gloss", "set"),
        ("9:00;A-01;785;15000;gloss", "seconds"),
        ("9:00;A-01;=A3+5;150;gloss", "set"),
        ("9:00;A-01;785 bar;150;gloss", "set"),
        ("9:00;;785;150;gloss", ""),
    ],
)
def test_a_complaint_names_its_cell(studio: Studio, line: str, column: str) -> None:
    start_pieces(studio, labels=["A-01"])
    assert (2, column) in day(studio, f"time;piece;set;seconds;stage\n{line}\n")


def test_the_same_sheet_typed_twice_is_noticed(studio: Studio) -> None:
    start_pieces(studio, labels=["A-01"])
    text = "time;piece;set\n9:00;A-01;785\n"
    write_day(studio, read_day(studio, grid(text.encode()), DAY))
    again = read_day(studio, grid(text.encode()), DAY)
    assert "2026-F001" in again.complaints[0].words


def test_without_times_the_order_is_kept(studio: Studio) -> None:
    start_pieces(studio, labels=["A-01"])
    write_day(studio, read_day(studio, grid(b"piece;stage\nA-01;sugar\nA-01;gloss\n"), DAY))
    assert [row.stage_seen for row in firings_of(studio, "A-01")] == ["sugar", "gloss"]


def test_a_house_that_writes_in_fahrenheit(studio: Studio) -> None:
    start_pieces(studio, labels=["A-01"])
    set_setting(studio, DEGREES, "°F")
    write_day(studio, read_day(studio, grid(b"piece;set\nA-01;1450\n"), DAY))
    assert firings_of(studio, "A-01")[0].set_point == pytest.approx((1450 - 32) / 1.8 + 273.15)


def test_grids_that_are_none(studio: Studio, tmp_path: Path) -> None:
    with pytest.raises(InputError, match="names the pieces"):
        read_day(studio, grid(b"set;stage\n785;gloss\n"), DAY)
    with pytest.raises(EnamelwrightError):
        read_grid(tmp_path / "nowhere.csv")
    (tmp_path / "day.csv").write_bytes(b"piece;stage;mood\nX;gloss;fine\n")
    assert read_day(studio, read_grid(tmp_path / "day.csv"), DAY).ignored == ("mood",)


def test_headings_makers_write_and_columns_nobody_knows(studio: Studio) -> None:
    # Common practice, no source: Temp, C and Secs are what makers head their columns with.
    start_pieces(studio, labels=["A-01"])
    sheet = grid(b"Piece;Temp;Secs;Moon\nA-01;785;150;full\n")
    paper = read_day(studio, sheet, DAY)
    assert (paper.columns["Temp"], paper.columns["Secs"]) == ("set_point", "seconds")
    with pytest.raises(InputError, match="Moon"):
        write_day(studio, paper)
    assert firings_of(studio, "A-01") == []
    write_day(studio, read_day(studio, sheet, DAY, wishes={"Moon": "-"}))
    row = firings_of(studio, "A-01")[0]
    assert (row.set_point, row.seconds, row.words) == (pytest.approx(1058.15), 150, "Moon: full")


def test_a_column_is_what_one_says_it_is(studio: Studio) -> None:
    start_pieces(studio, labels=["A-01"])
    sheet = grid(b"Piece;C;fire\nA-01;785;2.5\n")
    write_day(studio, read_day(studio, sheet, DAY, wishes={"fire": "seconds:min"}))
    row = firings_of(studio, "A-01")[0]
    assert (row.set_point, row.seconds) == (pytest.approx(1058.15), 150)
    with pytest.raises(EnamelwrightError):
        read_day(studio, sheet, DAY, wishes={"fire": "moonshine"})
