"""Draws the tables of the record and what refers to what, as one SVG."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from html import escape

from sqlalchemy import Table

from enamelwright.records.kinds import tables

#: Where each family of tables stands, column by column; a table nobody placed is an error of the house.
COLUMNS: tuple[tuple[tuple[str, tuple[str, ...]], ...], ...] = (
    (
        ("enamel", ("jar", "jar_fact", "lot", "powder_work", "stock_movement")),
        ("metal", ("sheet",)),
        ("baths and waste", ("bath", "bath_entry", "waste_container", "waste_entry")),
    ),
    (
        ("designs", ("design", "design_version", "saved_plan")),
        ("orders", ("customer", "customer_order", "order_line", "payment")),
        ("finished", ("price", "outlet", "whereabouts")),
    ),
    (
        ("pieces", ("batch", "piece", "coat_laid", "measure", "fault_seen", "finish", "mishap", "hand_time")),
        ("tiles", ("tile_layout", "tile_spot", "colour_reading", "photo")),
    ),
    (
        ("loads", ("load", "load_piece", "look", "prediction")),
        ("kilns", ("kiln", "kiln_event", "anchor", "support")),
        ("learned", ("posterior",)),
        ("people", ("person", "exposure")),
    ),
    (
        (
            "the house",
            ("device_entry", "device", "number_given", "past_version", "setting", "draft", "job", "snapshot_taken"),
        ),
    ),
)
#: Columns every table of a kind has; the drawing says so once.
COMMON = {
    "happened": "id entry first corrects withdrawn why at recorded_at who words typed",
    "kept": "id version made_at changed_at changed_by put_away words typed",
    "derived": "id made_at engine",
    "housekeeping": "",
}
#: How the outline of each kind looks, told apart without colour.
OUTLINE = {
    "happened": "2.2",
    "kept": "1",
    "derived": "1 stroke-dasharray 6 3",
    "housekeeping": "1 stroke-dasharray 1 3",
}
#: Sizes of the drawing [px]: a box, the space between, a line of text, and signs that fit on it.
WIDE, BETWEEN, APART, LINE, SIGNS = 210, 90, 14, 12, 36
#: Space around the whole and above a family [px].
MARGIN, FAMILY = 24, 26
_INK, _QUIET, _RULE, _GROUND = "#15191C", "#444D53", "#6A747B", "#FFFFFF"


@dataclass(frozen=True)
class _Box:
    table: Table
    left: float
    top: float
    lines: tuple[str, ...]

    @property
    def height(self) -> float:
        return 24 + LINE * len(self.lines) + (6 if self.lines else 0)


def own_columns(table: Table) -> list[str]:
    """Return the columns of a table that not every table of its kind has."""
    common = COMMON[table.info["kind"]].split()
    return [column.name for column in table.columns if column.name not in common]


def references(table: Table) -> list[tuple[str, str]]:
    """Return (column, other table) of what a table refers to, besides who, which entry and its own chain."""
    return [
        (column.name, key.column.table.name)
        for column in table.columns
        for key in column.foreign_keys
        if column.name in own_columns(table)
    ]


def draw() -> str:
    """Return the drawing of all tables as SVG."""
    boxes, families = _placed()
    width = MARGIN * 2 + WIDE * len(COLUMNS) + BETWEEN * (len(COLUMNS) - 1)
    height = max(box.top + box.height for box in boxes.values()) + MARGIN + 40
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}" role="img" '
        'font-family="sans-serif" font-size="10">',
        "<title>Tables of the studio's record and what refers to what</title>",
        f'<rect width="{width:g}" height="{height:g}" fill="{_GROUND}"/>',
        '<defs><marker id="end" viewBox="0 0 8 8" refX="7" refY="4" markerWidth="7" markerHeight="7" orient="auto">'
        f'<path d="M0 0 L8 4 L0 8 z" fill="{_RULE}"/></marker></defs>',
        *_lines(boxes),
        *(
            f'<text x="{left:g}" y="{top:g}" font-size="13" font-style="italic" fill="{_QUIET}">{escape(name)}</text>'
            for name, left, top in families
        ),
    ]
    for box in boxes.values():
        parts += _box(box)
    parts += _legend(height - MARGIN)
    return "\n".join([*parts, "</svg>"]) + "\n"


def _placed() -> tuple[dict[str, _Box], list[tuple[str, float, float]]]:
    """Stand every table in its place."""
    known = {table.name: table for table in tables()}
    boxes: dict[str, _Box] = {}
    families: list[tuple[str, float, float]] = []
    for number, column in enumerate(COLUMNS):
        left, top = MARGIN + number * (WIDE + BETWEEN), float(MARGIN)
        for family, names in column:
            families.append((family, left, top + FAMILY / 2))
            top += FAMILY
            for name in names:
                boxes[name] = box = _Box(known[name], left, top, tuple(_wrapped(own_columns(known[name]))))
                top += box.height + APART
                del known[name]
            top += APART
    if known:
        raise LookupError(f"no place in the drawing for {', '.join(known)}; add them to COLUMNS")
    return boxes, families


def _wrapped(words: list[str]) -> Iterator[str]:
    line = ""
    for word in words:
        if line and len(line) + len(word) + 2 > SIGNS:
            yield line + ","
            line = ""
        line += (", " if line else "") + word
    if line:
        yield line


def _box(box: _Box) -> Iterator[str]:
    kind = box.table.info["kind"]
    stroke, _, dashes = OUTLINE[kind].partition(" stroke-dasharray ")
    dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
    round_ = 8 if kind == "kept" else 0
    yield (
        f'<rect x="{box.left:g}" y="{box.top:g}" width="{WIDE}" height="{box.height:g}" rx="{round_}" '
        f'fill="{_GROUND}" stroke="{_INK}" stroke-width="{stroke}"{dashed}/>'
    )
    name = escape(box.table.name.replace("_", " "))
    x = box.left + 8
    yield f'<text x="{x:g}" y="{box.top + 16:g}" font-size="12" font-weight="bold" fill="{_INK}">{name}</text>'
    for number, line in enumerate(box.lines):
        y = box.top + 30 + LINE * number
        yield f'<text x="{x:g}" y="{y:g}" fill="{_QUIET}">{escape(line)}</text>'


def _lines(boxes: dict[str, _Box]) -> Iterator[str]:
    """Draw an arrow from each table to every other it refers to, behind the boxes."""
    for box in boxes.values():
        for name in dict.fromkeys(other for _, other in references(box.table) if other != box.table.name):
            other = boxes[name]
            y, end = box.top + 12, other.top + 12
            if other.left > box.left:
                x, to, bend = box.left + WIDE, other.left, BETWEEN / 2
                path = f"M{x:g} {y:g} C{x + bend:g} {y:g} {to - bend:g} {end:g} {to:g} {end:g}"
            elif other.left < box.left:
                x, to, bend = box.left, other.left + WIDE, BETWEEN / 2
                path = f"M{x:g} {y:g} C{x - bend:g} {y:g} {to + bend:g} {end:g} {to:g} {end:g}"
            else:
                x, bend = box.left, 18 + abs(end - y) / 40
                path = f"M{x:g} {y:g} C{x - bend:g} {y:g} {x - bend:g} {end:g} {x:g} {end:g}"
            yield f'<path d="{path}" fill="none" stroke="{_RULE}" stroke-width="0.8" marker-end="url(#end)"/>'


def _legend(y: float) -> Iterator[str]:
    words = {
        "happened": "happened: only ever added to",
        "kept": "kept: present state, earlier ones beside it",
        "derived": "derived: can be worked out again",
        "housekeeping": "the house's own",
    }
    for number, (kind, said) in enumerate(words.items()):
        x = MARGIN + number * (WIDE + BETWEEN)
        stroke, _, dashes = OUTLINE[kind].partition(" stroke-dasharray ")
        dashed = f' stroke-dasharray="{dashes}"' if dashes else ""
        round_ = 6 if kind == "kept" else 0
        yield (
            f'<rect x="{x:g}" y="{y - 14:g}" width="26" height="16" rx="{round_}" fill="{_GROUND}" stroke="{_INK}" '
            f'stroke-width="{stroke}"{dashed}/>'
        )
        yield f'<text x="{x + 34:g}" y="{y - 2:g}" fill="{_INK}">{escape(said)}</text>'
