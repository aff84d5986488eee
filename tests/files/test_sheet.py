"""Tables as other programs write them: encodings, marks, separators, decimal signs, formulas, damage."""

from __future__ import annotations

import codecs
import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from enamelwright.files.errors import FileError
from enamelwright.files.sheet import MOST_BYTES, MOST_COLUMNS, is_formula, parse_sheet

ROWS = [["Datum", "Stück", "Zeit (min)"], ["2024-04-03", "Öhr; links", "2,5"], ["2024-04-04", 'say "x"', "3,0"]]


def written(rows: list[list[str]], separator: str, end: str = "\r\n") -> str:
    """A table as RFC 4180 writes it, with another separator where asked."""
    out = io.StringIO(newline="")
    csv.writer(out, delimiter=separator, lineterminator=end).writerows(rows)
    return out.getvalue()


@pytest.mark.parametrize("separator", [";", ",", "\t", "|"])
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "cp1252"])
@pytest.mark.parametrize("end", ["\r\n", "\n"])
def test_every_usual_way_reads_the_same(separator: str, encoding: str, end: str) -> None:
    sheet = parse_sheet(written(ROWS, separator, end).encode(encoding))
    assert sheet.headings == ("Datum", "Stück", "Zeit (min)")
    assert [list(cells) for _, cells in sheet.rows] == ROWS[1:]
    assert sheet.separator == separator
    assert sheet.decimal == ","


def test_the_other_end_of_utf16() -> None:
    data = codecs.BOM_UTF16_BE + written(ROWS, ";").encode("utf-16-be")
    assert parse_sheet(data).headings == ("Datum", "Stück", "Zeit (min)")


def test_a_spreadsheet_may_name_its_separator() -> None:
    assert parse_sheet(b"sep=|\r\na|b\r\n1|2;3\r\n").rows == ((3, ("1", "2;3")),)


def test_titles_above_and_empty_lines_between() -> None:
    sheet = parse_sheet(b"My notebook;;\n\nday;piece;time\n1;A;2\n;;\n2;B;3\n")
    assert sheet.headings == ("day", "piece", "time")
    assert [line for line, _ in sheet.rows] == [4, 6]


def test_lines_in_cells_keep_the_line_of_the_row() -> None:
    sheet = parse_sheet(b'day,words\n1,"two\nlines"\n2,one\n')
    assert sheet.rows == ((2, ("1", "two\nlines")), (4, ("2", "one")))


def test_headings_twice_or_missing_are_told_apart() -> None:
    assert parse_sheet(b"a,a,,a\n1,2,3,4\n").headings == ("a", "a (2)", "column 3", "a (3)")


def test_short_and_long_rows() -> None:
    sheet = parse_sheet(b"a,b\n1\n1,2,3\n1,2,\n")
    assert [cells for _, cells in sheet.rows] == [("1", ""), ("1", "2"), ("1", "2")]
    assert [line for line, _ in sheet.complaints] == [3]


@pytest.mark.parametrize(
    ("data", "decimal"),
    [(b"a;b\n0,8;1\n", ","), (b"a,b\n0.8,1\n", "."), (b"a;b\n1.234,5;1\n", ","), (b"a,b\n1,2\n", ""), (b"a;b\n1;2\n", ","),
     (b"a;b\n0.8;1.5\n", ".")],
)  # fmt: skip
def test_the_decimal_sign(data: bytes, decimal: str) -> None:
    assert parse_sheet(data).decimal == decimal


@pytest.mark.parametrize(
    ("cell", "formula"),
    [("=1+1", True), ("=SUM(A1:A9)", True), ("@now", True), ("+A1", True), ("-(1)", True), ("-5", False), ("+5", False),
     ("- 3 mm", False), ("gloss", False), ("", False)],
)  # fmt: skip
def test_formulas_are_told_from_numbers(cell: str, formula: bool) -> None:
    assert is_formula(cell) is formula


@pytest.mark.parametrize(
    "data", [b"", b"\n\n", b"one\ntwo\n", b"PK\x03\x04\x00\x00", b"\xff\xfe\x00", b"a," * (MOST_COLUMNS + 5) + b"\n"]
)
def test_what_is_no_table(data: bytes) -> None:
    with pytest.raises(FileError):
        parse_sheet(data)


def test_too_large() -> None:
    with pytest.raises(FileError, match="megabytes"):
        parse_sheet(b"a,b\n" * (MOST_BYTES // 4 + 1))


@given(st.binary(max_size=400))
def test_any_bytes_are_a_table_or_one_sentence(data: bytes) -> None:
    try:
        sheet = parse_sheet(data)
    except FileError:
        return
    assert all(len(cells) == len(sheet.headings) for _, cells in sheet.rows)


CELL = st.text(alphabet=st.characters(codec="utf-8", exclude_characters="\x00\r\n", exclude_categories=("Cc", "Zs", "Zl", "Zp")), max_size=12)  # fmt: skip


@given(st.lists(st.tuples(CELL, CELL, CELL).filter(any), min_size=1, max_size=8))
def test_what_is_written_is_read(rows: list[tuple[str, str, str]]) -> None:
    """A table with plain headings, written by the standard library, comes back cell by cell."""
    text = written([["day", "piece", "time"], *map(list, rows)], ";")
    sheet = parse_sheet(text.encode())
    if sheet.separator == ";":  # cells full of other separators can look like another table
        assert [cells for _, cells in sheet.rows] == [tuple(cell.strip() for cell in row) for row in rows]
