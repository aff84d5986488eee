"""The page of values from memory is as new as the tables, and holds each of them."""

from __future__ import annotations

from pathlib import Path

from enamelwright.reference import loader
from enamelwright.reference.from_memory import STATUS, from_memory_page, rows_from_memory

PAGE = Path(__file__).parents[2] / "docs" / "look-up" / "from-memory.md"


def test_the_page_is_fresh() -> None:
    told = "run: python -m enamelwright.reference.from_memory > docs/look-up/from-memory.md"
    assert PAGE.read_text("utf-8") == from_memory_page(), told


def test_no_value_of_the_limits_is_left_out() -> None:
    names = {row["name"].replace("_", " ") for row in loader.rows("health/limits") if row["status"] == STATUS}
    assert names == {name for table, name, _, _ in rows_from_memory() if table == "health/limits"}


def test_what_was_tried_speaks_of_rows_that_are() -> None:
    """A line on a value that has been sourced since is taken out."""
    for table, told in loader.document("health/tried").items():
        for start in told:
            columns = ("key", "name", "id", "material", "kind", "species", "surface")
            keys = [
                next((row[one] for one in columns if row.get(one)), "")
                for row in loader.rows(table)
                if row["status"] == STATUS
            ]
            assert any(key.startswith(start) for key in keys), (table, start)
