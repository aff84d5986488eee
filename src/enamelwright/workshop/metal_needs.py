"""What planned, begun and ordered pieces still need of each kind of sheet, and whether there is enough."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any
from urllib.parse import urlencode

from sqlalchemy import Row, select

from enamelwright.craft.metal import metal
from enamelwright.craft.outline_mirror import own_mirror
from enamelwright.craft.outline_ring import area
from enamelwright.planning.nesting.outlines import blank_factor
from enamelwright.records.schema.coats import coat_laid
from enamelwright.records.schema.designs import design_version
from enamelwright.records.schema.loads import load_piece
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.writing import current
from enamelwright.workshop import cut_designs, series_work
from enamelwright.workshop.cut_designs import CutDesign
from enamelwright.workshop.metals import sheet_row
from enamelwright.workshop.named import in_use
from enamelwright.workshop.pieces import change_piece, piece_row, pieces_of_design
from enamelwright.workshop.series_sides import SIDES, design_and_side, side_of
from enamelwright.workshop.studio import Studio

#: States of an order whose pieces are really going to be made.
AGREED = frozenset({"agreed", "in work"})


@dataclass(frozen=True)
class MetalNeed:
    """Blanks that are still to be cut from one kind of sheet.

    Parameters
    ----------
    sheet : str
        Metal and thickness in words.
    blanks : tuple of (str, int)
        Design and how many.
    area, mass : float
        Of the blanks, holes not taken off [m2, kg].
    there, there_mass : float
        Of the sheets and remnants in stock whose size is told [m2, kg].
    sheets : tuple of str
        Their labels.
    unsized : int
        Sheets in stock of which nobody told the size.
    short : bool
        Whether it cannot suffice, however it is laid out; else only laying out tells.
    perhaps : bool
        Whether it cannot suffice unless sheets without a size are large enough.
    mirrored : mapping of str to int
        Of the blanks, how many are cut mirrored, by the name of their design; none where left and right are alike.
    query : str
        The blanks as the page that lays them out is asked for them.
    """

    sheet: str
    blanks: tuple[tuple[str, int], ...]
    area: float
    mass: float
    there: float
    there_mass: float
    sheets: tuple[str, ...]
    unsized: int
    short: bool
    perhaps: bool
    mirrored: Mapping[str, int]
    query: str


def uncut(studio: Studio) -> dict[int, list[Row[Any]]]:
    """Return the planned and begun pieces whose blank is not cut yet, by the row of their design, the oldest first.

    A piece is cut when it is told from which sheet, when a coat is laid on it, or when it has been in the kiln.
    """
    p = piece_table.c
    version = current(design_version, design_version.c.design).subquery()
    touched = [current(table, table.c.piece).subquery().c.piece for table in (coat_laid, load_piece)]
    rows = (
        select(piece_table, version.c.design.label("design_row"))
        .join(version, version.c.of == p.design_version)
        .where(
            p.state.in_(("planned", "in work")), p.sheet.is_(None), in_use(piece_table),
            *(p.id.not_in(select(one).where(one.is_not(None))) for one in touched),
        )
        .order_by(p.number)
    )  # fmt: skip
    found: dict[int, list[Row[Any]]] = defaultdict(list)
    with studio.reading() as connection:
        for row in connection.execute(rows):
            found[int(row.design_row)].append(row)
    return dict(found)


def blanks_cut(studio: Studio, label: str, blanks: Mapping[str, int]) -> list[Row[Any]]:
    """Say from which sheet the blanks of pieces that wait for theirs were cut, the oldest first; returns the pieces.

    Parameters
    ----------
    studio : Studio
        The studio.
    label : str
        Of the sheet.
    blanks : mapping of str to int
        Blanks as :func:`series_sides.as_cut` calls them; what is more than pieces wait is in the drawer. One that is
        cut mirrored is the right one of a pair, or of a piece nobody told the side of.
    """
    with studio.writing():
        sheet = int(sheet_row(studio, label).id)
        waiting = uncut(studio)
        known = {one.name: one for one in cut_designs.cut_designs(studio)}
        sides = _sides(studio, waiting)
        mine: dict[int, None] = {}
        for name, count in sorted(blanks.items(), key=lambda one: design_and_side(one[0], known)[1]):
            design, turned = design_and_side(name, known)
            if design not in known:
                continue
            rows = [int(row.id) for row in waiting.get(known[design].row, []) if int(row.id) not in mine]
            if turned or not own_mirror(known[design].shape):
                wanted = SIDES[turned]
                rows = [row for row in rows if sides.get(row, wanted) == wanted]
                rows.sort(key=lambda row: turned and row not in sides)
            mine |= dict.fromkeys(rows[:count])
        for row in mine:
            change_piece(studio, row, sheet=sheet)
        return [piece_row(studio, row) for row in mine]


def _sides(studio: Studio, waiting: Mapping[int, Sequence[Row[Any]]]) -> dict[int, str]:
    """Return which one of a pair each of some pieces is, by their row; those of no pair are left out."""
    found: dict[int, str] = {}
    for design, rows in waiting.items():
        if any((row.label or "")[:1] in SIDES for row in rows):
            labels = {str(one.label) for one in pieces_of_design(studio, design)}
            found |= {int(row.id): side for row in rows if (side := side_of(row.label, labels))}
    return found


def ordered(studio: Studio) -> dict[int, int]:
    """Return pieces that are agreed on and not started, by the row of their design."""
    found: dict[int, int] = defaultdict(int)
    for order, design, left in series_work.ordered_not_started(studio):
        if order.state in AGREED:
            found[design] += left
    return dict(found)


def metal_needs(studio: Studio) -> list[MetalNeed]:
    """List what is still to be cut by kind of sheet, what cannot suffice first."""
    with studio.reading():
        waiting = uncut(studio)
        sides, right = _sides(studio, waiting), SIDES[True]
        counts: dict[int, int] = {design: len(rows) for design, rows in waiting.items()}
        turned = {design: sum(sides.get(int(row.id)) == right for row in rows) for design, rows in waiting.items()}
        for design, left in ordered(studio).items():
            counts[design] = counts.get(design, 0) + left
        kinds: dict[str, list[CutDesign]] = defaultdict(list)
        for one in cut_designs.cut_designs(studio):
            if counts.get(one.row):
                kinds[one.sheet].append(one)
        found = [_need(studio, sheet, designs, counts, turned) for sheet, designs in kinds.items()]
    return sorted(found, key=lambda one: (not one.short, not one.perhaps, one.sheet))


def _need(
    studio: Studio, sheet: str, designs: list[CutDesign], counts: Mapping[int, int], turned: Mapping[int, int]
) -> MetalNeed:
    first = designs[0]
    weigh = first.thickness * metal(first.piece.metal.kind).density.value
    wanted = sum(
        one.shape.outer_area * blank_factor(one.shape, one.piece.dome) ** 2 * counts[one.row] for one in designs
    )
    rows = series_work.sheets_for(studio, first.piece.metal.kind, first.thickness)
    told = [stock for row in rows if (stock := series_work.stock_outside(row)) is not None]
    there = sum(
        area(tuple(one.outline)) - sum(area(tuple(ring)) for ring in one.windows)
        if one.outline else (one.width or 0.0) * (one.height or 0.0)
        for one in told
    )  # fmt: skip
    unsized = len(rows) - len(told)
    other = [(one, turned[one.row]) for one in designs if turned.get(one.row) and not own_mirror(one.shape)]
    return MetalNeed(
        sheet, tuple((one.name, counts[one.row]) for one in designs), wanted, wanted * weigh, there, there * weigh,
        tuple(one.label for one in told), unsized, wanted > there and not unsized, wanted > there and unsized > 0,
        {one.name: count for one, count in other},
        urlencode(
            [*((f"n{one.row}", counts[one.row]) for one in designs), *((f"m{one.row}", count) for one, count in other)]
        ),
    )  # fmt: skip
