"""Where a load stands on its shelf: evenly about the middle, as far from the door, the walls and each other as it can.

The middle of a muffle is its most even place; corners and the edge by the door are its coldest (common practice, no
source). A packing fills from a corner, so what leaves room to spare is set out again.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from enamelwright.planning.nesting.part import Layout, Placed
from enamelwright.planning.nesting.room import Room

#: Shares of the widest spread that are tried, from wide to as it was packed.
SPREADS = (1.0, 0.75, 0.5, 0.25, 0.0)
#: Places off the middle that are tried each way, where a spot is kept free.
ASIDE = 4


def around_middle(layout: Layout, room: Room, gap: float) -> Layout | None:
    """Set the pieces of a load out anew, with equal gaps to each other and to the walls.

    Parameters
    ----------
    layout : Layout
        As it was packed.
    room : Room
        The shelf, a rectangle from the origin, with its clearances and spots.
    gap : float
        Least distance between two pieces by which hands can set them down [m].

    Returns
    -------
    Layout or None
        None when the load is as good as it stands.
    """
    if not layout.placed:
        return None
    rows = _in_rows(layout.placed, room, gap)
    tries = [rows] if rows is not None else []
    for found in (*tries, *_moved(layout.placed, room)):
        if not room.faults(found):
            return Layout(tuple(found), layout.left)
    return None


def _in_rows(placed: Sequence[Placed], room: Room, gap: float) -> list[Placed] | None:
    """Lay pieces in rows with equal gaps, the fuller rows at the back; None when they do not fit that way."""
    _, _, wide, deep = room.whole.bounds
    best: tuple[float, list[Placed]] | None = None
    boxes = [one.outline.bounds for one in placed]
    for count in range(1, len(placed) + 1):
        each, more = divmod(len(placed), count)
        rows, at = [], 0
        for number in range(count):
            many = each + (number >= count - more)
            rows.append(range(at, at + many))
            at += many
        tall = [max(boxes[n][3] - boxes[n][1] for n in row) for row in rows]
        across = (deep - sum(tall)) / (count + 1)
        along = [(wide - sum(boxes[n][2] - boxes[n][0] for n in row)) / (len(row) + 1) for row in rows]
        least = min(across, *along)
        if least < max(gap, room.edge) or (best is not None and best[0] >= least):
            continue
        found, y = [], across
        for row, height, between in zip(rows, tall, along, strict=True):
            x = between
            for n in row:
                left, low, right, top = boxes[n]
                found.append(placed[n].moved(x - left, y + (height - (top - low)) / 2 - low))
                x += right - left + between
            y += height + across
        best = least, found
    return best[1] if best is not None else None


def _moved(placed: Sequence[Placed], room: Room) -> Iterator[list[Placed]]:
    """Spread a packing about its middle and bring it to the middle of the shelf, or as near as spots allow."""
    _, _, wide, deep = room.whole.bounds
    boxes = [one.outline.bounds for one in placed]
    left, low = min(box[0] for box in boxes), min(box[1] for box in boxes)
    right, top = max(box[2] for box in boxes), max(box[3] for box in boxes)
    spare = max(wide - 2 * room.edge - (right - left), 0.0), max(deep - 2 * room.edge - (top - low), 0.0)
    span = right - left, top - low
    for share in SPREADS:
        grown = []
        for one, box in zip(placed, boxes, strict=True):
            dx, dy = (
                spare[n] * share * ((box[n] + box[n + 2]) / 2 - start) / span[n]
                for n, start in ((0, left), (1, low))
            )  # fmt: skip
            grown.append(one.moved(dx, dy))
        ends = [one.outline.bounds for one in grown]
        middle = [(min(box[n] for box in ends) + max(box[n + 2] for box in ends)) / 2 for n in (0, 1)]
        steps = range(-ASIDE, ASIDE + 1) if room.spots else (0,)
        free = [(1 - share) * each / (2 * ASIDE) for each in spare]
        shifts = sorted(
            {(i * free[0], j * free[1]) for i in steps for j in steps}, key=lambda at: (at[0] ** 2 + at[1] ** 2, at)
        )
        for dx, dy in shifts:
            yield [one.moved(wide / 2 - middle[0] + dx, deep / 2 - middle[1] + dy) for one in grown]
