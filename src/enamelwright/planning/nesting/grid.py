"""Lay outlines on a fine grid: each goes as far left, then as far down, as it fits; then all are pushed together.

Every outline is covered by whole squares of the grid, so that squares that do not meet mean outlines that
do not meet, whatever their shape; a region may be of any shape, with holes and spots to keep free. It is
quick and always gives the same answer. It is a heuristic: that it finds no place is no proof.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from enamelwright.planning.nesting.part import Layout, Part, Placed, laid, without
from enamelwright.planning.nesting.room import ROUNDING, Room

Progress = Callable[[float, str], bool]

#: Squares along the longer side of a region: quick, and thorough.
QUICK, THOROUGH = 220, 480
#: Overlaps below a half square are noise of the transform.
HALF = 0.5
#: Smaller squares are tried when they are smaller by this at least.
FINER = 0.8
#: How often everything is pushed left and down; the second time finds little.
PUSHES = 2
#: Shortest push worth trying [m].
SHORTEST = 2e-5
#: What counts as near: columns from the left, rows from below, the corner; the next is tried when pieces are left.
RULES = ((10_000, 1), (1, 10_000), (1, 1))
#: Turns of a free part that the quick search tries.
QUICK_TURNS = 4


@dataclass(frozen=True)
class _Stamp:
    """The squares one outline covers at one turn, seen from its own corner."""

    mask: NDArray[np.bool_]
    #: From the outline's origin to the middle of the mask's first square [m].
    x: float
    y: float
    turn: float


def lay(parts: Sequence[Part], room: Room, *, squares: int = QUICK, progress: Progress | None = None) -> Layout:
    """Lay as many copies as find a place, the largest first.

    Parameters
    ----------
    parts : sequence of Part
        What is to be laid.
    room : Room
        Where.
    squares : int
        Squares along the longer side of the region.
    progress : callable, optional
        Told how far it is; answers whether to go on.
    """
    if room.free.is_empty or not parts:
        return Layout((), without(parts, Layout(())))
    wanted = sum(part.count for part in parts)
    best: list[Placed] = []
    for rule in RULES:
        placed = _lay(parts, room, squares, progress, room.free.buffer(room.gap / 2), rule)
        if any(not room.free.buffer(ROUNDING).covers(one.outline) for one in placed):  # a notch narrower than the gap
            placed = _lay(parts, room, squares, progress, room.free, rule)
        if not best or _worth(placed) > _worth(best):
            best = placed
        if len(best) == wanted:
            break
    there = {one.part.name for one in best}
    missed = any(part.name not in there for part in parts)
    if missed and _fine(room, squares) < FINER * _coarse(room, squares):  # a strip may be too narrow for its squares
        placed = _lay(parts, room, squares, progress, room.free.buffer(room.gap / 2), RULES[0], fine=True)
        sound = all(room.free.buffer(ROUNDING).covers(one.outline) for one in placed)
        if sound and _worth(placed) > _worth(best):
            best = placed
    layout = Layout(tuple(pushed(best, room)))
    return Layout(layout.placed, without(parts, layout))


def _coarse(room: Room, squares: int) -> float:
    """Return the side of a square when so many lie along the longer side of a region [m]."""
    left, low, right, top = room.free.bounds
    return float(max(right - left, top - low) / squares)


def _fine(room: Room, squares: int) -> float:
    """Return the side of a square when a strip has as many squares as a square region [m]."""
    left, low, right, top = room.free.bounds
    return math.sqrt((right - left) * (top - low)) / squares


def _worth(placed: Sequence[Placed]) -> tuple[float, int]:
    return sum(one.part.outline.area for one in placed), len(placed)


def _lay(
    parts: Sequence[Part],
    room: Room,
    squares: int,
    progress: Progress | None,
    inner: Any,
    rule: tuple[int, int],
    fine: bool = False,
) -> list[Placed]:
    """Lay copies whose outline, grown by half the clearance, lies in `inner`, by one rule of what is nearest."""
    from scipy.fft import irfft2, next_fast_len, rfft2
    from shapely import contains_xy

    left, low, right, top = room.free.bounds
    pitch = _coarse(room, squares) if not fine else _fine(room, squares)
    wide, high = (max(math.ceil(size / pitch), 1) for size in (right - left, top - low))
    grown = math.hypot(pitch, pitch) / 2
    # Squares at the border of the region are blocked unless a part in them is known to stay inside.
    xs, ys = left + (np.arange(wide) + HALF) * pitch, low + (np.arange(high) + HALF) * pitch
    outside = ~contains_xy(inner.buffer(-grown), *np.meshgrid(xs, ys))
    stamps: dict[str, list[_Stamp]] = {}
    for part in parts:
        turns = _turns(part, squares, right - left, top - low)
        stamps[part.name] = [_stamp(part, turn, room.gap / 2 + grown, pitch) for turn in turns]
    tallest = max((stamp.mask.shape for found in stamps.values() for stamp in found), key=max)
    shape = (next_fast_len(high + max(tallest), True), next_fast_len(wide + max(tallest), True))
    taken = np.ones(shape, dtype=np.float32)
    taken[:high, :wide] = outside
    spectra = {
        part.name: [
            np.conj(rfft2(_padded(stamp.mask, shape))) if max(stamp.mask.shape) <= max(high, wide) + 2 else None
            for stamp in stamps[part.name]
        ]
        for part in parts
    }
    copies = sorted(
        (part for part in parts for _ in range(part.count)), key=lambda part: (-part.outline.area, part.name)
    )
    placed: list[Placed] = []
    hopeless: set[str] = set()
    picture = rfft2(taken)
    for number, part in enumerate(copies):
        if part.name in hopeless:
            continue
        if progress is not None and not progress(number / len(copies), f"laying {part.name}"):
            break
        best: tuple[int, int, int, _Stamp] | None = None
        for stamp, spectrum in zip(stamps[part.name], spectra[part.name], strict=True):
            rows, columns = stamp.mask.shape
            if spectrum is None or rows > high or columns > wide:
                continue
            overlap = irfft2(picture * spectrum, s=shape)[: high - rows + 1, : wide - columns + 1]
            ups, acrosses = np.nonzero(overlap < HALF)
            if not ups.size:
                continue
            far = rule[0] * (acrosses + columns) + rule[1] * (ups + rows)
            nearest = int(far.argmin())
            found = (int(far[nearest]), int(acrosses[nearest]), int(ups[nearest]), stamp)
            if best is None or found[0] < best[0]:
                best = found
        if best is None:
            hopeless.add(part.name)
            continue
        _, across, up, stamp = best
        taken[up : up + stamp.mask.shape[0], across : across + stamp.mask.shape[1]][stamp.mask] = 1
        picture = rfft2(taken)
        placed.append(Placed(part, float(xs[across]) - stamp.x, float(ys[up]) - stamp.y, stamp.turn))
    return placed


def _turns(part: Part, squares: int, wide: float, high: float) -> tuple[float, ...]:
    """Return the turns to try: a few when that is enough, all of them for a part that fits at none of those."""
    step = max(len(part.turns) // QUICK_TURNS, 1) if squares <= QUICK else 1
    few = part.turns[::step]
    for turn in few:
        a, b, c, d = laid(part.outline, 0.0, 0.0, turn).bounds
        if c - a <= wide and d - b <= high:
            return few
    return part.turns


def _stamp(part: Part, turn: float, grown: float, pitch: float) -> _Stamp:
    """Cover an outline, grown by half the clearance and half a square's diagonal, with squares."""
    from shapely import contains_xy

    outline = laid(part.outline, 0.0, 0.0, turn).buffer(grown)
    left, low, right, top = outline.bounds
    xs = left + np.arange(math.ceil((right - left) / pitch) + 1) * pitch
    ys = low + np.arange(math.ceil((top - low) / pitch) + 1) * pitch
    mask = contains_xy(outline, *np.meshgrid(xs, ys))
    rows, columns = np.flatnonzero(mask.any(axis=1)), np.flatnonzero(mask.any(axis=0))
    trimmed = mask[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
    return _Stamp(trimmed, float(xs[columns[0]]), float(ys[rows[0]]), turn)


def _padded(mask: NDArray[np.bool_], shape: tuple[int, int]) -> NDArray[np.float32]:
    whole = np.zeros(shape, dtype=np.float32)
    rows, columns = min(mask.shape[0], shape[0]), min(mask.shape[1], shape[1])
    whole[:rows, :columns] = mask[:rows, :columns]
    return whole


def pushed(placed: Sequence[Placed], room: Room) -> list[Placed]:
    """Push everything left and down, as far as clearance and region allow.

    Parameters
    ----------
    placed : sequence of Placed
        A sound layout.
    room : Room
        Where it lies.
    """
    import shapely

    now = list(placed)
    region = room.free.buffer(ROUNDING)
    shapely.prepare(region)
    for _ in range(PUSHES):
        moved = False
        for axis in (0, 1):
            order = sorted(range(len(now)), key=lambda n: now[n].outline.bounds[axis])
            for n in order:
                step = now[n].outline.bounds[axis] - room.free.bounds[axis]
                others = [one.outline for m, one in enumerate(now) if m != n]
                while step > SHORTEST:
                    trial = now[n].moved(-step, 0.0) if axis == 0 else now[n].moved(0.0, -step)
                    if region.covers(trial.outline) and _clear(trial, others, room.gap):
                        now[n], moved = trial, True
                    else:
                        step /= 2
                        continue
                    step = min(step, now[n].outline.bounds[axis] - room.free.bounds[axis])
        if not moved:
            break
    return now


def _clear(trial: Placed, others: Sequence[object], gap: float) -> bool:
    left, low, right, top = trial.outline.bounds
    for other in others:
        bounds = other.bounds  # type: ignore[attr-defined]
        if bounds[0] - right >= gap or left - bounds[2] >= gap or bounds[1] - top >= gap or low - bounds[3] >= gap:
            continue
        if trial.outline.distance(other) < gap or (gap <= 0 and trial.outline.intersects(other)):
            return False
    return True
