"""A series from the record: how many came out good before, what is cut from which sheet, what stands on the shelf."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from types import MappingProxyType
from typing import Any

from sqlalchemy import Row, func, select

from enamelwright.craft.metal import metal, metal_id
from enamelwright.craft.outline_ring import area
from enamelwright.craft.outline_shape import Shape
from enamelwright.craft.piece import Circle, Outline, Polygon
from enamelwright.errors import InputError
from enamelwright.questions.blanks import Blank, BlanksInput, Stock
from enamelwright.questions.series import Load, SeriesInput
from enamelwright.questions.shelf import Standing
from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.schema.loads import load_piece
from enamelwright.records.schema.metals import sheet as sheet_table
from enamelwright.records.schema.orders import order_line
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.writing import current
from enamelwright.workshop.cut_designs import cut_designs
from enamelwright.workshop.finishing import times_on
from enamelwright.workshop.metals import cut_remnant, sheets
from enamelwright.workshop.named import in_use, within
from enamelwright.workshop.orders import open_orders
from enamelwright.workshop.pieces import pieces_of_design
from enamelwright.workshop.series_sides import as_cut
from enamelwright.workshop.settings import set_setting, setting
from enamelwright.workshop.studio import Studio

#: States of a piece that came out as it should, and of one that did not.
GOOD, BAD = frozenset({"finished"}), frozenset({"second", "spoilt", "lost"})
#: Loads of the record that are looked at: the newest.
LOADS = 200
#: Sheets are of one thickness when they differ by less [m].
SAME = 2e-5
MM = 1000.0
#: Logged times below which a learning curve is not even tried are left to the question.
_MINUTE = 60.0


def record_of(studio: Studio, design: int) -> tuple[int, int]:
    """Return how many pieces of a design came out good, and how many are decided."""
    states = [one.state for one in pieces_of_design(studio, design)]
    good = sum(state in GOOD for state in states)
    return good, good + sum(state in BAD for state in states)


def ordered_not_started(studio: Studio) -> list[tuple[Row[Any], int, int]]:
    """List (order, row of the design, pieces not yet started) of the lines of open orders, the first due first."""
    p, lines = piece_table.c, order_line.c
    with studio.reading() as connection:
        found = open_orders(studio)
        begun = select(p.order_line, func.count().label("pieces")).where(p.order_line.is_not(None), p.state.not_in(BAD))
        begun = begun.where(in_use(piece_table)).group_by(p.order_line)
        started = {row.order_line: int(row.pieces) for row in connection.execute(begun)}
        wanted = select(lines.customer_order, lines.id, lines.design, lines.count).where(
            within(lines.customer_order, [row.id for row in found]), lines.design.is_not(None), in_use(order_line)
        )
        by_order: dict[int, list[tuple[int, int]]] = defaultdict(list)
        for order, line, design, count in connection.execute(wanted.order_by(lines.id)):
            left = int(count or 0) - started.get(line, 0)
            if left > 0:
                by_order[order].append((design, left))
    return [(row, design, left) for row in found for design, left in by_order[row.id]]


def loads_of(studio: Studio) -> tuple[Load, ...]:
    """Return the newest loads with how many of their pieces were not lost by them.

    A piece that was spoilt or lost counts against the last load it was in.
    """
    inside = current(load_piece, load_piece.c.load, load_piece.c.piece).subquery()
    rows = (
        select(inside.c.load, inside.c.piece, piece_table.c.state)
        .join(piece_table, piece_table.c.id == inside.c.piece)
        .where(inside.c.load.in_(select(load_table.c.id).order_by(load_table.c.id.desc()).limit(LOADS)))
    )
    with studio.reading() as connection:
        told = connection.execute(rows).all()
    last: dict[int, int] = {}
    for one in told:
        last[one.piece] = max(last.get(one.piece, 0), one.load)
    fired: dict[int, int] = {}
    gone: dict[int, int] = {}
    for one in told:
        fired[one.load] = fired.get(one.load, 0) + 1
        if one.state in {"spoilt", "lost"} and last[one.piece] == one.load:
            gone[one.load] = gone.get(one.load, 0) + 1
    return tuple(Load(good=count - gone.get(load, 0), fired=count) for load, count in fired.items() if count > 1)


def times_of(studio: Studio, design: int) -> tuple[float, ...]:
    """Return the hand time of each finished piece of a design in the order made [min]; those without are left out."""
    found = times_on(studio, [int(one.id) for one in pieces_of_design(studio, design) if one.state in GOOD])
    return tuple(one / _MINUTE for one in found.values() if one > 0)


def series_asked(
    studio: Studio, design: int, wanted: int, confidence: float, *, per_load: int | None = None, kinds: int = 1,
    in_a_set: int = 1,
) -> SeriesInput:  # fmt: skip
    """Return the question of how many to start, with what the record knows.

    Parameters
    ----------
    studio : Studio
        The studio.
    design : int
        Row of the design.
    wanted : int
        Good pieces or sets.
    confidence : float
        0 to 1.
    per_load : int, optional
        Most pieces in one load.
    kinds, in_a_set : int
        Different pieces of a set, and pieces of each.
    """
    good, of = record_of(studio, design)
    known: dict[str, Any] = {"good": good, "fired": of} if of else {}
    return SeriesInput(
        wanted=wanted, confidence=confidence, per_load=per_load, loads=loads_of(studio) if per_load else (),
        minutes=times_of(studio, design), kinds=kinds, in_a_set=in_a_set,
        part_yield=None if of or not per_load else _usual_yield(), **known,
    )  # fmt: skip


def _usual_yield() -> float:
    from enamelwright.reference.loader import facts_of

    return facts_of("trade/laying_out")["trade/part_yield"].value


def outline_outside(shape: Shape) -> Outline:
    """Return an outline as a question takes it: a disc as a disc, anything else through its points."""
    if shape.kind == "circle":
        return Circle(shape="circle", diameter=shape.chord)
    step = max(len(shape.edge) // MOST_POINTS + 1, 1)
    return Polygon(shape="polygon", points=shape.edge[::step])


#: Points of an outline a question takes.
MOST_POINTS = 4000


def sheets_for(studio: Studio, stuff: str, thickness: float) -> list[Row[Any]]:
    """List the sheets and remnants in stock of one metal and thickness."""
    return [
        row for row in sheets(studio, stuff) if row.thickness is not None and abs(row.thickness - thickness) < SAME
    ]  # fmt: skip


def stock_outside(row: Row[Any]) -> Stock | None:
    """Return a sheet of the record as the question takes it; None when nobody told its size."""
    kept = row.outline
    if kept:
        edge = kept["edge_mm"] if isinstance(kept, Mapping) else kept
        windows = kept.get("windows_mm", []) if isinstance(kept, Mapping) else []
        return Stock(
            label=row.label, remnant=True, outline=_points(edge), windows=tuple(_points(one) for one in windows)
        )  # fmt: skip
    if row.width is None or row.length is None:
        return None
    return Stock(label=row.label, width=row.length, height=row.width, remnant=row.cut_from is not None)


def _points(told: Sequence[Sequence[float]]) -> tuple[tuple[float, float], ...]:
    return tuple((float(x) / MM, float(y) / MM) for x, y in told)


def blanks_asked(
    studio: Studio, wanted: Mapping[int, int], *, turning: str = "free", seconds: int = 0, cut: str = "saw",
    mirrored: Mapping[int, int] = MappingProxyType({}),
) -> BlanksInput:  # fmt: skip
    """Return the question of how to lay blanks on what is in stock.

    Parameters
    ----------
    studio : Studio
        The studio.
    wanted : mapping of int to int
        Blanks by the row of their design.
    turning : str
        How they may be turned on the sheet.
    seconds : int
        How long a closer layout is looked for.
    cut : str
        ``saw``, ``shears`` or ``other``.
    mirrored : mapping of int to int
        Of the blanks, how many are for the other side, by the row of their design.

    Raises
    ------
    InputError
        When nothing is wanted, the designs need different sheet, or no sheet of that kind is in stock.
    """
    chosen = [one for one in cut_designs(studio) if wanted.get(one.row, 0) > 0]
    if not chosen:
        raise InputError("no blank is wanted.", "Say how many of at least one design.")
    kinds = {one.sheet for one in chosen}
    if len(kinds) > 1:
        raise InputError(f"these are cut from different sheet: {'; '.join(sorted(kinds))}.", "Lay them out apart.")
    first = chosen[0]
    rows = sheets_for(studio, first.piece.metal.kind, first.thickness)
    told = [stock for stock in map(stock_outside, rows) if stock is not None]
    if not told:
        unsized = f" ({len(rows)} without a size)" if rows else ""
        raise InputError(
            f"no sheet of {first.sheet} is in stock{unsized}.", "Put one in stock, with its width and length."
        )
    return BlanksInput(
        blanks=tuple(
            Blank(
                name=name, outline=outline_outside(shape), count=count, dome=one.piece.dome,
                openings=tuple(hole.boundary for hole in shape.holes),
            )
            for one in chosen
            for name, shape, count in as_cut(one.name, one.shape, wanted[one.row], mirrored.get(one.row, 0))
        ),
        sheets=tuple(told), metal=metal_id(first.piece.metal.kind), thickness=first.thickness, turning=turning,
        seconds=seconds, cut=cut,
    )  # fmt: skip


def keep_what_is_left(studio: Studio, label: str, kept: Sequence[Mapping[str, Any]]) -> list[int]:
    """Say that a sheet is cut: it is used up, and each remnant is in stock with its outline. Returns their rows.

    Parameters
    ----------
    studio : Studio
        The studio.
    label : str
        Of the sheet.
    kept : sequence of mapping
        `edge` and `windows` of each remnant [m].
    """
    from enamelwright.workshop.metals import change_sheet, sheet_row

    with studio.writing():
        row = sheet_row(studio, label)
        if row.state != "in stock":
            raise InputError(f"the sheet '{label}' is {row.state} already.", "Lay the blanks out again.")
        taken = _labels(studio)
        rows, n = [], 0
        for region in kept:
            n += 1
            while (name := f"{label} r{n}") in taken:
                n += 1
            weight = None
            if row.thickness is not None:
                weight = _area(region) * row.thickness * metal(row.metal).density.value
            rows.append(cut_remnant(studio, label, name, outline=_outline(region), mass=weight, **_extent(region)))
        if not kept:
            change_sheet(studio, label, state="used up")
        return rows


def _labels(studio: Studio) -> set[str]:
    """Return the labels of all sheets there ever were: one that is used up or put away keeps its own."""
    with studio.reading() as connection:
        return {str(one.label) for one in connection.execute(select(sheet_table.c.label))}


def _outline(region: Mapping[str, Any]) -> dict[str, Any]:
    def points(ring: Sequence[Sequence[float]]) -> list[list[float]]:
        return [[round(x * MM, 3), round(y * MM, 3)] for x, y in ring]

    return {"edge_mm": points(region["edge"]), "windows_mm": [points(one) for one in region["windows"]]}


def _area(region: Mapping[str, Any]) -> float:
    """Return the metal of one face of a remnant, its openings taken off [m2]."""
    return area(tuple(map(tuple, region["edge"]))) - sum(area(tuple(map(tuple, one))) for one in region["windows"])


def _extent(region: Mapping[str, Any]) -> dict[str, float]:
    x, y = [at[0] for at in region["edge"]], [at[1] for at in region["edge"]]
    return {"length": max(x) - min(x), "width": max(y) - min(y)}


def standing(
    studio: Studio, wanted: Mapping[int, int], support: str = "", mirrored: Mapping[int, int] = MappingProxyType({})
) -> tuple[Standing, ...]:
    """Return what has to go on the shelf.

    Parameters
    ----------
    studio : Studio
        The studio.
    wanted : mapping of int to int
        Pieces by the row of their design.
    support : str
        What carries each piece; empty when all stand on one mesh.
    mirrored : mapping of int to int
        Of the pieces, how many are for the other side, by the row of their design.
    """
    return tuple(
        Standing(name=name, outline=outline_outside(shape), count=count, support=support or None)
        for one in cut_designs(studio) if wanted.get(one.row, 0) > 0
        for name, shape, count in as_cut(one.name, one.shape, wanted[one.row], mirrored.get(one.row, 0))
    )  # fmt: skip


def spots_of(studio: Studio, kiln: str) -> list[dict[str, Any]]:
    """Return the spots of a kiln's shelf that are kept free: x, y and diameter [mm], and why."""
    told = setting(studio, f"shelf spots: {kiln}", [])
    return [dict(one) for one in told] if isinstance(told, list) else []


def keep_spots(studio: Studio, kiln: str, spots: Sequence[Mapping[str, Any]]) -> int:
    """Keep the spots of a kiln's shelf, and return the row of the setting."""
    return set_setting(studio, f"shelf spots: {kiln}", [dict(one) for one in spots] or None)
