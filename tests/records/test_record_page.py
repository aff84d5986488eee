"""The page and the drawing of the record are those of the tables as they are."""

from __future__ import annotations

import xml.etree.ElementTree as ET

import record_page
from enamelwright.records.diagram import draw, references
from enamelwright.records.kinds import tables

SVG = "{http://www.w3.org/2000/svg}"


def test_the_page_is_fresh() -> None:
    assert record_page.PAGE.read_text(encoding="utf-8") == record_page.page(), record_page.AGAIN


def test_the_drawing_is_fresh() -> None:
    assert record_page.DRAWING.read_text(encoding="utf-8") == draw(), record_page.AGAIN


def test_every_table_and_every_reference_is_drawn() -> None:
    drawing = ET.fromstring(draw())
    said = {text.text for text in drawing.iter(f"{SVG}text")}
    assert {table.name.replace("_", " ") for table in tables()} <= said
    arrows = [path for path in drawing.iter(f"{SVG}path") if path.get("marker-end")]
    wanted = {(table.name, other) for table in tables() for _, other in references(table) if other != table.name}
    assert len(arrows) == len(wanted)


def test_what_was_counted_lost_nothing() -> None:
    for row in record_page.read(record_page.FAULTS) or []:
        assert (row["lost"], row["half"]) == (0, 0)
        assert row["inside"] >= row["bursts"] / 3
