"""A notebook is read as its owner agreed; what cannot be read without guessing is told and kept as words."""

from __future__ import annotations

import re
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from enamelwright.errors import InputError, UnknownName
from enamelwright.files.notebook import Notebook, changed, preview, read_notebook
from enamelwright.files.notebook_fields import FIELDS
from enamelwright.files.sheet import parse_sheet


def read(text: str, order: str | None = None, **wishes: str) -> Notebook:
    """Read a table with what is proposed and what is wished."""
    sheet = parse_sheet(text.encode())
    return read_notebook(sheet, changed(preview(sheet), wishes), order)  # type: ignore[arg-type]


#: How makers head their columns (common practice, no source) -> what they are taken for, and the unit.
HEADINGS = [
    ("Date", "date", ""), ("Datum", "date", ""), ("Piece no.", "piece", ""), ("Stück Nr", "piece", ""), ("Kiln", "kiln", ""),
    ("Set temp (°C)", "set_point", "°C"), ("Temp C", "set_point", "°C"), ("Temperature [F]", "set_point", "°F"),
    ("set_c", "set_point", "°C"), ("Température °C", "set_point", "°C"), ("Time (min)", "seconds", "min"),
    ("firing time, sec", "seconds", "s"), ("Zeit [min]", "seconds", "min"), ("durée s", "seconds", "s"), ("seconds", "seconds", "s"),
    ("minutes", "seconds", "min"), ("Thickness mm", "thickness", "mm"), ("Weight before (g)", "weighed_before", "g"),
    ("grams after", "weighed_after", "g"), ("Stage seen", "stage_seen", ""), ("Enamel", "jar", ""), ("Farbe", "jar", ""),
    ("Mesh", "mesh", ""), ("Fault", "fault", ""), ("Remarks", "words", ""), ("Bow (mm)", "bow", "mm"),
    ("moon", "", ""), ("x", "", ""), ("price", "", ""),
]  # fmt: skip


@pytest.mark.parametrize(("heading", "field", "unit"), HEADINGS)
def test_headings(heading: str, field: str, unit: str) -> None:
    (column, _) = preview(parse_sheet(f"{heading}|other\n1|2\n".encode()))
    assert column.field == field
    assert column.unit.replace("°", "") == unit.replace("°", "")
    assert column.because


def test_no_field_is_taken_twice() -> None:
    columns = preview(parse_sheet(b"Temp C,Temperature F,Kiln\n1,2,3\n"))
    assert [column.field for column in columns] == ["set_point", "", "kiln"]
    assert "taken" in columns[1].because


def test_wishes_win() -> None:
    columns = changed(
        preview(parse_sheet(b"Temp C,Real temp,Moon\n1,2,3\n")), {"Real temp": "set_point:°F", "Moon": "-"}
    )
    assert [(column.field, column.unit) for column in columns] == [("", ""), ("set_point", "°F"), ("", "")]
    for wish in ({"Nothing": "kiln"}, {"Moon": "moon"}, {"Moon": "seconds:kg"}):
        with pytest.raises(UnknownName):
            changed(columns, wish)
    with pytest.raises(InputError, match="two columns"):
        changed(columns, {"Moon": "kiln", "Temp C": "kiln"})


#: Cell, heading and decimal sign of the table -> SI. The worked figures are arithmetic: 790 + 273.15,
#: (1450 - 32) / 1.8 + 273.15, 2.5 x 60, 1/32 x 0.0254.
CELLS = [
    ("790", "Temp C", 1063.15), ("790 °C", "Temp", 1063.15), ("790C", "Temp", 1063.15), ("1450 F", "Temp", 1060.927778),
    ("1450°F", "Temp C", 1060.927778), ("1,450 F", "Temp", 1060.927778), ("790 deg C", "Temp", 1063.15), ("2.5", "Time min", 150.0),
    ("2:30", "Time", 150.0), ("2'30\"", "Time", 150.0), ("2m30s", "Time", 150.0), ("2 min 30 sec", "Time", 150.0), ("150 s", "Time min", 150.0),
    ("150 sec.", "Time", 150.0), ("2.5 minutes", "Time", 150.0), ("1/32 in", "Thickness", 0.00079375), ("0.8", "Thickness mm", 0.0008),
    ("12.5", "Weight before g", 0.0125), ("-0.4", "Bow mm", -0.0004),
]  # fmt: skip


@pytest.mark.parametrize(("cell", "heading", "si"), CELLS, ids=[case[0] for case in CELLS])
def test_cells_with_a_point(cell: str, heading: str, si: float) -> None:
    done = read(f"Piece|{heading}|Mass g\nA|{cell}|0.55\n", **{"Mass g": "-"})
    (value,) = [value for name, value in done.entries[0].values.items() if name != "piece"]
    assert value == pytest.approx(si, rel=1e-6)
    assert not done.complaints


@pytest.mark.parametrize(
    ("cell", "heading", "si"),
    [("0,8", "Dicke mm", 0.0008), ("1.450 F", "Temp", 1060.927778), ("2,5", "Zeit min", 150.0), ("1,234", "Dicke mm", 0.001234),
     ("1.063,15", "Temp K", 1063.15), ("12,5 g", "Weight before", 0.0125)],
)  # fmt: skip
def test_cells_with_a_comma(cell: str, heading: str, si: float) -> None:
    done = read(f"Piece;{heading};other\nA;{cell};0,55\n")
    (value,) = [value for name, value in done.entries[0].values.items() if name != "piece"]
    assert value == pytest.approx(si, rel=1e-6)


@pytest.mark.parametrize(
    ("heading", "cell", "why"),
    [
        ("Temp", "790", "without a unit"), ("Temp", "hot", "not a number"), ("Temp C", "=A1*2", "formula"),
        ("Temp C", "-300", "not possible"), ("Time", "3 kg", "not a unit"), ("Stage", "wobbly", "no stage"), ("Date", "yesterday", "no date"),
        ("Date", "31.2.2024", "no date"), ("Date", "3/4/2024", "two days"), ("Mesh", "80/100", "whole number"), ("Thickness", "20", "without a unit"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_told_and_kept(heading: str, cell: str, why: str) -> None:
    done = read(f"Piece|{heading}\nA|{cell}\n")
    (entry,) = done.entries
    assert entry.values == {"piece": "A"}
    assert entry.rest == {heading: cell}
    (complaint,) = done.complaints
    assert why in complaint.why
    assert (complaint.line, complaint.heading, complaint.cell) == (2, heading, cell)


@pytest.mark.parametrize(
    ("days", "order", "read_as"),
    [
        (["3/4/2024", "13/4/2024"], None, date(2024, 4, 3)),
        (["3/4/2024", "4/13/2024"], None, date(2024, 3, 4)),
        (["3/4/2024"], "day first", date(2024, 4, 3)),
        (["3/4/2024"], "month first", date(2024, 3, 4)),
        (["3.4.24"], None, date(2024, 4, 3)),
        (["4/4/2024"], None, date(2024, 4, 4)),
        (["14 April 2024"], None, date(2024, 4, 14)),
        (["Apr. 14th, 2024"], None, date(2024, 4, 14)),
        (["14-Apr-24"], None, date(2024, 4, 14)),
        (["3. Okt 2024"], None, date(2024, 10, 3)),
        (["2024-04-03"], None, date(2024, 4, 3)),
        (["2024-04-03 14:20"], None, date(2024, 4, 3)),
        (["45385"], None, date(2024, 4, 3)),  # a spreadsheet's count; ECMA-376 part 1, 18.17.4.1 gives 1 = 1900-01-01
    ],
)
def test_days(days: list[str], order: str | None, read_as: date) -> None:
    done = read("Piece|Date\n" + "".join(f"A|{day}\n" for day in days), order)
    assert done.entries[0].values["date"] == read_as.isoformat()


def test_a_column_of_stages_is_what_was_seen() -> None:
    done = read("Piece|Secs|Result\nA|150|gloss\nB|120|orange peel\nC|90|stuck to the trivet\n")
    assert [entry.values.get("stage_seen") for entry in done.entries] == ["gloss", "orange peel", None]
    assert done.entries[0].values["seconds"] == 150
    assert done.entries[2].rest == {"Result": "stuck to the trivet"}


def test_a_gauge_is_no_millimetre() -> None:
    # 18 B&S is 0.0403 in by the series of ASTM B258.
    done = read("Piece|Gauge\nA|18 B&S\nB|18\nC|0.8 mm\n")
    assert done.entries[0].values["thickness"] == pytest.approx(0.0403 * 25.4e-3, rel=1e-3)
    assert "thickness" not in done.entries[1].values
    assert "B&S" in done.complaints[0].why
    assert done.entries[2].values["thickness"] == pytest.approx(0.8e-3)
    told = read("Piece|Gauge\nA|18\n", Gauge="thickness:B&S")
    assert told.entries[0].values["thickness"] == pytest.approx(0.0403 * 25.4e-3, rel=1e-3)
    assert "thickness" not in read("Piece|Gauge mm\nA|18\n").entries[0].values


def test_nothing_is_lost() -> None:
    """Every cell of every row is a value with its text, kept as words, or told."""
    text = "Date|Piece|Temp C|Moon|Stage\n2024-04-03|A|790|full|gloss\n|||new|\n2024-04-05|B|hot||wobbly\n"
    done = read(text)
    assert [entry.line for entry in done.entries] == [2, 4]
    assert done.entries[0].typed == {"date": "2024-04-03", "piece": "A", "set_point": "790 °C", "stage_seen": "gloss"}
    assert done.entries[0].rest == {"Moon": "full"}
    assert done.entries[1].rest == {"Temp C": "hot", "Stage": "wobbly"}
    told = {(complaint.line, complaint.heading) for complaint in done.complaints}
    assert told == {(3, ""), (4, "Temp C"), (4, "Stage"), (0, "Moon")}


@given(st.text(max_size=60))
def test_any_cell_is_a_value_or_words(cell: str) -> None:
    heads = ["Date", "Piece", "Kiln", "Temp C", "Time", "Stage", "Mesh", "Bow mm"]
    clean = cell.replace("|", "").replace("\r", "").replace("\n", "").replace('"', "").replace("\x00", "")
    sheet = parse_sheet(
        f"{'|'.join(heads)}\n{'|'.join([clean] * len(heads))}\nx|y|z|1|2|3|4|5\n".encode("utf-8", "replace")
    )
    for entry in read_notebook(sheet, preview(sheet)).entries:
        assert set(entry.values) <= set(FIELDS)
        assert len(entry.values) + len(entry.rest) <= len(heads)


def test_the_page_lists_every_field() -> None:
    page = (Path(__file__).parents[2] / "docs" / "how-to" / "keep-it-safe.md").read_text("utf-8")
    listed = re.search(r"Fields: (.*?)\.\n", page, re.DOTALL)
    assert listed is not None
    assert re.findall(r"`(\w+)`", listed[1]) == list(FIELDS)


@pytest.mark.parametrize(
    ("cell", "seconds"),
    [
        ("2:40", 160),
        ("2:40 min", 160),
        ("2m40", 160),
        ("2 min 40 s", 160),
        ("2'40\"", 160),
        ("00:02:40", 160),
        ("2,5 min", 150),
    ],
)
def test_minutes_and_seconds_need_no_unit(cell: str, seconds: float) -> None:
    sheet = parse_sheet(f"Date;Time\n2025-03-01;{cell}\n".encode())
    read = read_notebook(sheet, preview(sheet))
    assert not read.complaints
    assert read.entries[0].values["seconds"] == pytest.approx(seconds)


@pytest.mark.parametrize("cell", ["2.40", "02:40:00", "2:75"])
def test_a_time_that_may_be_something_else_is_told(cell: str) -> None:
    sheet = parse_sheet(f"Date,Time\n2025-03-01,{cell}\n".encode())
    read = read_notebook(sheet, preview(sheet))
    assert [one.heading for one in read.complaints] == ["Time"]
    assert "seconds" not in read.entries[0].values


def test_a_result_that_is_a_stage_leaves_the_notes_alone() -> None:
    sheet = parse_sheet(b"Date,Result,Notes\n2025-03-01,glossy,nice\n2025-03-02,sugary,too short\n")
    columns = preview(sheet)
    assert [one.field for one in columns] == ["date", "stage_seen", "words"]
    assert not any("taken for" in one.because for one in columns)


def test_what_holds_for_all_rows_fills_only_what_is_missing() -> None:
    sheet = parse_sheet(b"Date,Thickness (mm),Diameter\n2025-03-01,1.2,\n2025-03-02,,30 mm\n")
    read = read_notebook(sheet, preview(sheet), for_all={"thickness": "0.9 mm", "metal": "copper", "diameter": ""})
    assert [one.values["thickness"] for one in read.entries] == pytest.approx([1.2e-3, 0.9e-3])
    assert [one.values["metal"] for one in read.entries] == ["copper", "copper"]
    assert read.entries[1].values["diameter"] == pytest.approx(0.03)
    assert "thickness, told for all rows" in read.entries[1].rest
    assert "thickness, told for all rows" not in read.entries[0].rest
    for wrong in ({"thickness": "thick"}, {"jar": "J04"}, {"thickness": "18"}):
        with pytest.raises(InputError):
            read_notebook(sheet, preview(sheet), for_all=wrong)
