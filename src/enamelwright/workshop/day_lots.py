"""Which new lots somebody should try now: those a piece at hand or an order needs, and when it needs them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from sqlalchemy import func, select

from enamelwright.errors import EnamelwrightError
from enamelwright.records.schema.coats import coat_laid
from enamelwright.records.schema.jars import jar as jar_table
from enamelwright.records.writing import current
from enamelwright.workshop import designs
from enamelwright.workshop.day_kept import Block, KeptPlan, kept_plan, step_of
from enamelwright.workshop.lot_tiles import NewLot, new_lots
from enamelwright.workshop.pieces import pieces_in_work
from enamelwright.workshop.stock_plan import ordered_versions
from enamelwright.workshop.studio import Studio

if TYPE_CHECKING:
    from enamelwright.workshop.day_progress import Route


@dataclass(frozen=True)
class WantedLot:
    """A lot that was not tried yet and is needed.

    Parameters
    ----------
    lot : NewLot
        Which.
    pieces : tuple of str
        Numbers of the pieces that need of it.
    ordered : int
        Pieces that are ordered, not begun, and will.
    laid : str
        When the plan lays the first of it, like ``2026-03-02T14:20``; empty when no plan says.
    """

    lot: NewLot
    pieces: tuple[str, ...]
    ordered: int
    laid: str = ""


def lots_to_try(studio: Studio) -> tuple[tuple[WantedLot, ...], tuple[NewLot, ...]]:
    """Return the new lots that are needed, the soonest first, and those nobody needs yet.

    A piece needs a jar while fewer coats of it were laid than its design has.

    Parameters
    ----------
    studio : Studio
        The studio.
    """
    fresh = new_lots(studio)
    if not fresh:
        return (), ()
    needs: dict[str, list[str]] = {}
    ordered: Counter[str] = Counter()
    with studio.reading() as connection:
        open_pieces = [row for row in pieces_in_work(studio) if row.design_version]
        rows = current(coat_laid, coat_laid.c.piece, coat_laid.c.jar)
        laid_rows = rows.where(coat_laid.c.piece.in_([row.id for row in open_pieces])).subquery()
        count = select(laid_rows.c.piece, jar_table.c.code, func.count().label("coats"))
        count = count.join(jar_table, jar_table.c.id == laid_rows.c.jar).group_by(laid_rows.c.piece, jar_table.c.code)
        laid = {(int(row.piece), str(row.code).casefold()): int(row.coats) for row in connection.execute(count)}
        known: dict[int, Counter[str]] = {}
        for row in open_pieces:
            version = int(row.design_version)
            for code, coats in known.setdefault(version, _coats(studio, version)).items():
                if code in fresh and coats > laid.get((int(row.id), code), 0):
                    needs.setdefault(code, []).append(str(row.number))
        for version, pieces in ordered_versions(studio).items():
            for code in known.setdefault(version, _coats(studio, version)):
                ordered[code] += pieces if code in fresh else 0
        planned = _planned_first(kept_plan(studio))
    found = [
        WantedLot(lot, tuple(needs.get(code, ())), ordered[code], planned.get(code, ""))
        for code, lot in fresh.items() if needs.get(code) or ordered[code]
    ]  # fmt: skip
    found.sort(key=lambda one: (not one.laid, one.laid, not one.pieces, one.lot.code))
    return tuple(found), tuple(lot for code, lot in fresh.items() if not needs.get(code) and not ordered[code])


def _coats(studio: Studio, version: int) -> Counter[str]:
    """Count the coats of a design by the code of their jar in small letters; empty when it cannot be read."""
    try:
        return Counter(coat.jar.casefold() for coat in designs.piece_of(designs.version_row(studio, version)).coats)
    except EnamelwrightError:
        return Counter()


def needed_first(studio: Studio) -> dict[str, str]:
    """Return when the kept plan first lays powder of each jar, of what is left of it; empty without a plan.

    Parameters
    ----------
    studio : Studio
        The studio.

    Returns
    -------
    dict of str to str
        Code of the jar in small letters -> moment like ``2026-03-02T14:20``.
    """
    plan = kept_plan(studio)
    if plan is None:
        return {}
    # Deferred: it brings all that plans, and the first page wants only the lots.
    from enamelwright.workshop.day_now import now_of
    from enamelwright.workshop.day_waits import waits

    try:
        now = now_of(studio, waits(studio, plan.routes), plan)
    except EnamelwrightError:
        return {}
    versions = {one.name: one.version for one in now.found.pieces}
    return _laid_first((*now.running, *now.left), {**plan.routes, **now.found.routes}, versions)


def _planned_first(plan: KeptPlan | None) -> dict[str, str]:
    """Return when a plan, as it was made, first lays powder of each jar."""
    if plan is None:
        return {}
    names = {step_of(member)[0] for block in plan.blocks for member in block.members}
    versions = {name: int(plan.about(name).get("version", 0)) for name in names}
    return _laid_first(plan.blocks, plan.routes, versions)


def _laid_first(
    blocks: Iterable[Block], routes: Mapping[int, Route], versions: Mapping[str, int]
) -> dict[str, str]:  # fmt: skip
    """Return the first moment at which blocks lay of each jar, by its code in small letters."""
    found: dict[str, str] = {}
    for block in sorted(blocks, key=lambda one: one.start):
        for member in () if block.kiln else block.members:
            name, place = step_of(member)
            route = routes.get(max(versions.get(name, 0), 0))
            if route is None or place >= len(route.steps) or route.steps[place].work != "lay":
                continue
            for n in route.steps[place].coats:
                if n < len(route.coats):
                    found.setdefault(route.coats[n][0].casefold(), block.start)
    return found
