"""A record with rows in every table, whatever tables there are, holding values that are hard to carry."""

from __future__ import annotations

import io
from typing import Any

from PIL import Image
from sqlalchemy import Column, ForeignKey, Table, insert, select

from enamelwright.records.kinds import tables
from enamelwright.records.photos import put
from enamelwright.records.schema.jars import stock_movement
from enamelwright.records.schema.metals import sheet
from enamelwright.records.schema.photos import photo
from enamelwright.records.store import Store
from enamelwright.records.writing import Author, Writing

#: Texts that end lines, cells and escapes early, and one beyond the basic plane.
TEXTS = ('a "quoted", cell;', "two\r\nlines\nand\rone", "\\backslash", "", "=1+1", "ä µ × – ° 漢 🔥", " spaces ", "'")
#: Numbers that differ in the last bit from their neighbours, and the smallest there is.
NUMBERS = (0.1 + 0.2, 1e-3 / 3, 5e-324, -0.0, 1.7976931348623157e308, 1063.15)
#: JSON of every kind of thing.
CONTENT = {"ä": [1, 1.5, None, True, {"b": "\\"}], "a": TEXTS[1]}
NOW = "2026-03-02T10:15:00.000Z"


def fill(store: Store, rows: int = 3) -> None:
    """Write a few rows into every table, with corrections, changes, numbers and one photo."""
    with store.writing(Author("filled", now=NOW)) as work:
        for table in tables():
            for n in range(rows):
                _row(work, table, n)
        moved = work.add(stock_movement, lot=1, kind="bought", grams=0.25)
        corrected = work.correct(stock_movement, moved, why="misread", grams=0.05)
        work.withdraw(stock_movement, corrected, why="never came")
        work.change(sheet, 1, 1, cut_from=3)  # refers to a later row of its own table
        work.add(photo, **put(store.home, picture()).columns)
        work.number("piece", 2026)


def picture(colour: str = "red") -> bytes:
    """A JPEG as a camera would send it."""
    out = io.BytesIO()
    Image.new("RGB", (60, 40), colour).save(out, "JPEG")
    return out.getvalue()


def dump(store: Store) -> dict[str, list[tuple[Any, ...]]]:
    """Everything the record holds, read through its own types."""
    with store.reading() as view:
        return {table.name: sorted((tuple(row) for row in view.execute(select(table))), key=repr) for table in tables()}


def _row(work: Writing, table: Table, n: int) -> None:
    if table.name == "device_entry" and n == 0:
        return  # the transaction has written its own
    values = {column.name: _value(table, column, n) for column in table.c}
    if table.info["kind"] == "happened":
        values |= {"first": None, "corrects": None, "withdrawn": False}
    if "id" in table.c:
        del values["id"]
    if table.info["kind"] == "kept":
        values["version"] = 1
    work.connection.execute(insert(table).values({k: v for k, v in values.items() if v is not None}))


def _value(table: Table, column: Column[Any], n: int) -> Any:
    if column.nullable and n == 1:
        return None  # a row of which nothing is known
    if column.foreign_keys:
        (key,) = column.foreign_keys
        assert isinstance(key, ForeignKey)
        if key.column.table is table:
            return None
        return "filled" if key.column.table.name == "device_entry" else 1
    unique = column.primary_key or column.unique or any(
        column.name in constraint.columns for constraint in table.constraints if type(constraint).__name__ == "UniqueConstraint"
    )  # fmt: skip
    info = column.info
    if "words" in info:
        return info["words"][n % len(info["words"])]
    if "yes_no" in info:
        return n % 2 == 0
    if "json" in info:
        return CONTENT
    if "instant" in info:
        return NOW
    if "day" in info:
        return "2026-03-02"
    kind = column.type.python_type
    if kind is int:
        return n + 7
    if kind is float:
        return NUMBERS[(n + len(column.name)) % len(NUMBERS)]
    text = TEXTS[(n + len(column.name)) % len(TEXTS)]
    return f"{text}{table.name} {n}" if unique else text
