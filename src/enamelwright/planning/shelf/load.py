"""Fill a shelf, load after load: equal discs by rows and published packings, anything else by true outlines."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from enamelwright.craft.outline_ring import Point
from enamelwright.planning.nesting import grid
from enamelwright.planning.nesting.part import Layout, Part, Placed, without
from enamelwright.planning.nesting.room import Room
from enamelwright.planning.shelf import discs
from enamelwright.planning.shelf.around_middle import around_middle
from enamelwright.planning.shelf.discs import Shelf

Progress = Callable[[float, str], bool]
Spot = tuple[float, float, float]

#: More loads than this are not laid out one by one.
MOST_LOADS = 40


@dataclass(frozen=True)
class Filled:
    """One load on its shelf.

    Parameters
    ----------
    layout : Layout
        Where each piece stands, from the left front corner.
    how : str
        ``even``, ``grid``, ``rows``, ``table`` or ``outlines``.
    template : bool
        Whether hands cannot place it without a template at 1:1.
    spare : float
        Least distance between two pieces beyond the clearance [m].
    """

    layout: Layout
    how: str
    template: bool
    spare: float


@dataclass(frozen=True)
class Shelved:
    """All loads.

    Parameters
    ----------
    loads : tuple of Filled
        In their order.
    never : tuple of (str, float)
        Pieces larger than the shelf, and by how much [m].
    left : tuple of (Part, int)
        Pieces for which no place was found in :data:`MOST_LOADS` loads.
    """

    loads: tuple[Filled, ...]
    never: tuple[tuple[str, float], ...] = ()
    left: tuple[tuple[Part, int], ...] = ()


def room_of(shelf: Shelf, spots: Sequence[Spot] = ()) -> Room:
    """Return a shelf as a region with its spots kept free."""
    return Room.rectangle(shelf.width, shelf.depth, shelf.gap, shelf.edge, spots)


def too_large(part: Part, shelf: Shelf) -> float:
    """Return by how much a piece is larger than the shelf [m]; 0 when it fits some way round.

    Looked at every degree, so a piece that fits only between two degrees is told as a hair too large.
    """
    from enamelwright.planning.nesting.part import laid

    best = float("inf")
    wide, deep = shelf.inside
    turns = range(EVERY_WAY) if part.turning == "free" and len(part.turns) > 1 else part.turns
    for turn in turns:
        left, low, right, top = laid(part.outline, 0.0, 0.0, float(turn)).bounds
        best = min(best, max(right - left - wide, top - low - deep))
    return max(best, 0.0) if best > TOUCH else 0.0


#: Degrees of half a turn.
EVERY_WAY = 180
#: An outline is laid out a little outside its true one; that much is not counted as too large [m].
TOUCH = 1e-4


def fill(
    parts: Sequence[Part], shelf: Shelf, spots: Sequence[Spot] = (), hand: float = 0.0, *, squares: int = grid.QUICK,
    progress: Progress | None = None,
) -> Shelved:  # fmt: skip
    """Fill loads until every piece has its place.

    Parameters
    ----------
    parts : sequence of Part
        The pieces.
    shelf : Shelf
        The shelf with its clearances.
    spots : sequence of (float, float, float)
        Hot or cold places kept free: middle and diameter [m].
    hand : float
        How far off a piece is set down by hand [m].
    squares : int
        How fine outlines are searched.
    progress : callable, optional
        Told how far it is.
    """
    never = [(part, too_large(part, shelf)) for part in parts]
    left = [part for part, over in never if not over]
    room = room_of(shelf, spots)
    loads: list[Filled] = []
    while left and len(loads) < MOST_LOADS:
        one = _one(left, shelf, spots, hand, room, squares, progress)
        if not one.layout.placed:
            break
        loads.append(_set_out(one, shelf, room, hand))
        there = one.layout.counts()
        left = [
            replace(part, count=part.count - there.get(part.name, 0))
            for part in left if part.count > there.get(part.name, 0)
        ]  # fmt: skip
        if progress is not None and not progress(len(loads) / (len(loads) + 1), f"load {len(loads) + 1}"):
            break
    return Shelved(
        tuple(loads),
        tuple((part.name, over) for part, over in never if over),
        tuple((part, part.count) for part in left),
    )


def _set_out(filled: Filled, shelf: Shelf, room: Room, hand: float) -> Filled:
    """Return a load set out evenly about the middle, where that leaves its pieces no nearer to each other."""
    found = around_middle(filled.layout, room, shelf.gap + 2 * hand)
    if found is None:
        return filled
    spare = nearest(found) - shelf.gap
    if spare < min(filled.spare, 2 * hand) - TOUCH:
        return filled
    return replace(filled, layout=found, how="even", template=filled.template and spare < 2 * hand - TOUCH, spare=spare)


def _one(
    parts: Sequence[Part], shelf: Shelf, spots: Sequence[Spot], hand: float, room: Room, squares: int,
    progress: Progress | None,
) -> Filled:  # fmt: skip
    found = _discs(parts[0], shelf, spots, hand) if len(parts) == 1 and parts[0].shape.kind == "circle" else None
    if found is None or len(found.layout.placed) < parts[0].count:
        for more in (2 * hand, hand, 0.0) if hand else (0.0,):  # nearer together only when that is needed
            layout = grid.lay(parts, replace(room, gap=room.gap + more), squares=squares, progress=progress)
            if not layout.left:
                break
        if found is None or len(layout.placed) > len(found.layout.placed):
            spare = nearest(layout) - shelf.gap
            found = Filled(layout, "outlines", spare < 2 * hand, spare)
    return found


def _discs(part: Part, shelf: Shelf, spots: Sequence[Spot], hand: float) -> Filled:
    across = part.shape.chord + 2 * part.margin
    if not spots:
        count = min(part.count, discs.capacity(shelf, across))
        while count:
            laid_out = discs.plainest(shelf, across, count, hand)
            if laid_out is not None:
                return _filled(part, laid_out.middles, laid_out.kind, laid_out.spare - shelf.gap, hand)
            count -= 1
        return Filled(Layout((), without([part], Layout(()))), "grid", False, 0.0)
    best: tuple[str, list[Point]] = ("grid", [])
    for gap in (shelf.gap + 2 * hand, shelf.gap):
        for kind, lay in (("grid", discs.grid_middles), ("rows", discs.rows_middles)):
            kept = [at for at in lay(shelf, across, gap) if all(_clear(at, across, spot) for spot in spots)]
            if len(best[1]) < min(len(kept), part.count):
                best = kind, kept
    kept = best[1][: part.count]
    spare = min((_apart(a, b) for n, a in enumerate(kept) for b in kept[n + 1 :]), default=float("inf"))
    return _filled(part, tuple(kept), best[0], spare - across - shelf.gap, hand)


def _filled(part: Part, middles: Sequence[Point], kind: str, spare: float, hand: float) -> Filled:
    layout = Layout(tuple(Placed(part, x, y) for x, y in middles))
    return Filled(Layout(layout.placed, without([part], layout)), kind, spare < 2 * hand - TOUCH, spare)


def _clear(at: Point, across: float, spot: Spot) -> bool:
    return _apart(at, spot[:2]) >= (across + spot[2]) / 2


def _apart(one: Sequence[float], other: Sequence[float]) -> float:
    return float(((one[0] - other[0]) ** 2 + (one[1] - other[1]) ** 2) ** (1 / 2))


def nearest(layout: Layout) -> float:
    """Return the least distance between two pieces of a layout [m]; infinite for one."""
    outlines = [one.outline for one in layout.placed]
    return min(
        (float(one.distance(other)) for n, one in enumerate(outlines) for other in outlines[n + 1 :]),
        default=float("inf"),
    )
