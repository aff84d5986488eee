"""New lots are tried on a tile before they go on work: which ones, and the tile as the plan of the day takes it.

A lot is new while its jar had another before it, it is opened or the only one left, nothing of it has come out of
the kiln, and nobody has written down that it was tested. Colours drift from lot to lot, so that a small disc beside
one of the old lot tells before ten pieces do (common practice, no source).
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from sqlalchemy import select

from enamelwright.craft.piece import Piece
from enamelwright.planning.day.rates import rate
from enamelwright.records.schema.coats import coat_laid
from enamelwright.records.schema.jars import jar as jar_table
from enamelwright.records.schema.jars import lot as lot_table
from enamelwright.records.schema.jars import powder_work
from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.schema.loads import load_piece
from enamelwright.records.writing import current
from enamelwright.workshop.day_progress import Route
from enamelwright.workshop.named import in_use
from enamelwright.workshop.studio import Studio

#: Work of its steps: the record tells of none, so that they count as done when their time is over.
WORK = "tile"
#: Longest name of a tile.
LONGEST = 60
MM = 1000.0


@dataclass(frozen=True)
class NewLot:
    """A lot that was not tried yet.

    Parameters
    ----------
    lot, jar : int
        Rows.
    code, label : str
        Of the jar and of the lot.
    before : str
        Label of the lot before it that is not used up; empty when there is none.
    """

    lot: int
    jar: int
    code: str
    label: str
    before: str = ""

    @property
    def name(self) -> str:
        """What the plan calls its tile."""
        lot = "" if self.label.casefold().startswith(self.code.casefold()) else f"{self.code}, lot "
        return f"tile of {lot}{self.label}"[:LONGEST]

    @property
    def version(self) -> int:
        """Stands where a piece has its design version: below zero, as the tile has none."""
        return -self.lot

    def tile(self) -> Piece:
        """Return the tile: a plain disc with one coat."""
        across, metal, powder = (rate(f"tile_{name}").value * MM for name in ("across", "metal", "powder"))
        return Piece.from_outside(
            {
                "name": self.name, "technique": "sift_opaque", "metal": {"kind": "copper", "thickness_mm": metal},
                "outline": {"shape": "circle", "diameter_mm": across},
                "coats": [{"face": "front", "jar": self.code, "powder_depth_mm": powder}],
            }
        )  # fmt: skip


def untraced(route: Route) -> Route:
    """Return a route whose steps the record does not tell of."""
    return Route(route.design, tuple(replace(step, work=WORK) for step in route.steps), ())


def new_lots(studio: Studio) -> dict[str, NewLot]:
    """Return the lots in use that were not tried yet, by the code of their jar in small letters."""
    newest: dict[int, NewLot] = {}
    seen: dict[int, int] = {}
    first: dict[int, bool] = {}
    rows = (
        select(
            lot_table.c.id,
            lot_table.c.jar,
            lot_table.c.label,
            lot_table.c.finished,
            lot_table.c.opened_on,
            jar_table.c.code,
        )
        .join(jar_table, jar_table.c.id == lot_table.c.jar)
        .where(in_use(lot_table), in_use(jar_table))
        .order_by(lot_table.c.opened_on.is_(None), lot_table.c.opened_on, lot_table.c.id)
    )
    with studio.reading() as connection:
        for row in connection.execute(rows):
            seen[int(row.jar)] = seen.get(int(row.jar), 0) + 1
            last = newest.get(int(row.jar))
            if not row.finished and (row.opened_on or last is None):  # one put by waits until the others are used up
                newest[int(row.jar)] = NewLot(
                    int(row.id), int(row.jar), str(row.code), str(row.label), "" if last is None else last.label
                )
                first[int(row.jar)] = seen[int(row.jar)] == 1
        later = {one.lot: one for jar, one in newest.items() if not first[jar]}
        if not later:
            return {}
        told = powder_work.c.lot.in_(list(later)), powder_work.c.work == "tested"
        tried = {int(row.lot) for row in connection.execute(current(powder_work, powder_work.c.lot).where(*told))}
        coats = current(coat_laid, coat_laid.c.lot, coat_laid.c.piece, coat_laid.c.at)
        laid = coats.where(coat_laid.c.lot.in_(list(later.keys() - tried))).subquery()
        inside = current(load_piece, load_piece.c.load, load_piece.c.piece).subquery()
        out = current(load_table, load_table.c.at).where(load_table.c.closed_at.is_not(None)).subquery()
        fired = (
            select(laid.c.lot)
            .join(inside, inside.c.piece == laid.c.piece)
            .join(out, out.c.of == inside.c.load)
            .where(out.c.at >= laid.c.at)
            .distinct()
        )
        tried |= {int(row.lot) for row in connection.execute(fired)}
    return {one.code.casefold(): one for lot, one in later.items() if lot not in tried}
