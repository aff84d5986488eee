"""Windows without what the record taught and with it, of firings that come or that would come again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from sqlalchemy import select

from enamelwright.craft.bench import Bench
from enamelwright.craft.operation import Firing
from enamelwright.craft.plan import Plan
from enamelwright.errors import EnamelwrightError
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.web import piece_view
from enamelwright.workshop.designs import version_row
from enamelwright.workshop.pieces import pieces_in_work
from enamelwright.workshop.plan_firings import next_firings, order_of
from enamelwright.workshop.predictions import plan_of
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.without_record import plain_bench

#: Windows that are shown, and designs that are planned twice while somebody waits, at most.
SHOWN, TRIED = 4, 5


@dataclass(frozen=True)
class BeforeAfter:
    """One window, without what the record taught and with it.

    Attributes
    ----------
    piece, label : str
        Whose.
    what : str
        Which firing, in words of the bench.
    comes : bool
        Whether it comes next; else it is one of the same design that would come.
    before, after : Foretold
        Both windows.
    """

    piece: str
    label: str
    what: str
    comes: bool
    before: piece_view.Foretold
    after: piece_view.Foretold


@dataclass(frozen=True)
class _Own:
    """A design with a piece of it, and the firing that piece comes to; nought where none comes."""

    piece: str
    label: str
    version: int
    plan: Plan
    comes: int


def before_after(studio: Studio, known: Bench) -> list[BeforeAfter]:
    """Return a few windows, those that come first, as different as the bench has them: back, first coat, gloss.

    Parameters
    ----------
    studio : Studio
        The studio.
    known : Bench
        The bench of this moment.
    """
    own = list(_designs(studio, known))
    told = [
        (one, firing)
        for one in own
        for firing in one.plan.firings
        if firing.window is not None and firing.window.seconds is not None
    ]
    told.sort(key=lambda pair: pair[1].number != pair[0].comes)  # those that come next before all others
    found: list[BeforeAfter] = []
    kinds: set[str] = set()
    designs: set[int] = set()
    for round_ in range(2):  # a kind and a design at a time, then whatever is of another kind
        for one, firing in told:
            kind = _kind(one.plan, firing)
            if len(found) == SHOWN or kind in kinds or (round_ == 0 and one.version in designs):
                continue
            both = _both(studio, one, firing, kind, plain_bench(known))
            if both is not None:
                found.append(both)
                kinds.add(kind)
                designs.add(one.version)
    return found


def _designs(studio: Studio, known: Bench) -> Iterator[_Own]:
    """Yield designs, those of pieces that wait for a firing first, then those of the newest pieces."""
    working = [one for one in pieces_in_work(studio) if one.design_version]
    coming = next_firings(studio, [int(one.id) for one in working])
    with studio.reading() as connection:
        newest = select(piece_table).where(piece_table.c.design_version.is_not(None)).order_by(piece_table.c.id.desc())
        others = connection.execute(newest).all()
    seen: set[int] = set()
    for one in (*working, *others):
        if one.design_version in seen or len(seen) == TRIED:
            continue
        try:
            plan = plan_of(studio, version_row(studio, one.design_version), known).payload
        except EnamelwrightError:
            continue
        comes = coming[int(one.id)].to_do(order_of(plan)) if int(one.id) in coming else None
        if comes is None and one in working:
            continue  # every firing of it is done; another piece of its design may wait
        seen.add(one.design_version)
        yield _Own(one.number, one.label or "", one.design_version, plan, comes or 0)


def _kind(plan: Plan, firing: Firing) -> str:
    """Return what a firing is to the bench."""
    faces = {plan.piece.coats[coat].face for coat in firing.fuses}
    if faces == {"back"}:
        return "the back"
    if "front" in faces and firing.target != "gloss":
        return f"a coat on the front, to {firing.target}"
    return f"to {firing.target}"


def _both(studio: Studio, one: _Own, firing: Firing, kind: str, plain: Bench) -> BeforeAfter | None:
    try:
        without = plan_of(studio, version_row(studio, one.version), plain).payload
    except EnamelwrightError:
        return None
    before = next((other for other in without.firings if other.number == firing.number), None)
    if before is None:
        return None
    first, second = (piece_view.foretold(f.window, f.target) for f in (before, firing))
    if first is None or second is None:
        return None
    return BeforeAfter(
        one.piece, one.label, f"firing {firing.number}, {kind}", firing.number == one.comes, first, second
    )
