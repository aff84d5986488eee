"""Lay outlines along a strip of fixed height so that it gets short: a search by a library, for rectangles only.

The library keeps its clearance from the edges of the strip too, and stops by the clock, so the same search may
end differently: results are checked and stored, never expected to repeat.
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Sequence
from typing import Any

from enamelwright.planning.nesting.part import Layout, Part, Placed
from enamelwright.planning.nesting.room import Room

Progress = Callable[[float, str], bool]

#: The library works in millimetres.
MM = 1000.0
#: Kept besides the clearance, against the library's own rounding [m].
HAIR = 2e-6
#: How often the search is asked how far it is [s].
LOOK = 0.2
#: One search repeats another of the same seed as far as the clock lets it.
SEED = 1


def strip(
    parts: Sequence[Part], height: float, gap: float, edge: float, seconds: int, progress: Progress | None = None
) -> tuple[Layout, float]:
    """Lay all copies along a strip.

    Parameters
    ----------
    parts : sequence of Part
        What is to be laid; each must fit the height.
    height : float
        Of the strip [m].
    gap, edge : float
        Least distance between parts, and from the edges [m].
    seconds : int
        How long to search.
    progress : callable, optional
        Told how far it is.

    Returns
    -------
    Layout
        From the left lower corner of the strip.
    float
        Length used, both edges included [m]; infinite, with an empty layout, when it was told to stop.
    """
    import spyrrow

    apart = gap + HAIR
    items = [
        spyrrow.Item(
            str(number), [(x * MM, y * MM) for x, y in part.outline.exterior.coords[:-1]], part.count,
            None if part.turning == "free" and len(part.turns) > 1 else list(part.turns),
        )
        for number, part in enumerate(parts)
    ]  # fmt: skip
    instance = spyrrow.StripPackingInstance("", (height - 2 * edge + 2 * apart) * MM, items)
    config = spyrrow.StripPackingConfig(
        min_items_separation=apart * MM, total_computation_time=max(seconds, 1), num_workers=1, seed=SEED,
        early_termination=True,
    )  # fmt: skip
    solution = _watched(lambda: instance.solve(config), max(seconds, 1), progress)
    if solution is None:
        return Layout(()), float("inf")
    move = edge - apart
    placed = tuple(
        Placed(parts[int(one.id)], one.translation[0] / MM + move, one.translation[1] / MM + move, one.rotation)
        for one in solution.placed_items
    )
    return Layout(placed), solution.width / MM - 2 * apart + 2 * edge


def strip_fits(
    parts: Sequence[Part], room: Room, seconds: int, progress: Progress | None = None
) -> tuple[Layout | None, float]:
    """Lay all copies in a rectangle if the search finds how; None with the length they take otherwise.

    Parameters
    ----------
    parts : sequence of Part
        What is to be laid.
    room : Room
        An upright rectangle without spots.
    seconds : int
        How long to search.
    progress : callable, optional
        Told how far it is.
    """
    left, low, right, top = room.whole.bounds
    layout, used = strip(parts, top - low, room.gap, room.edge, seconds, progress)
    moved = Layout(tuple(one.moved(left, low) for one in layout.placed))
    return (moved, used) if used <= right - left and not room.faults(moved) else (None, used)


def _watched(work: Callable[[], Any], seconds: int, progress: Progress | None) -> Any:
    """Run the search beside this thread, telling how far the clock is; None when it is told to stop.

    The library cannot be stopped; it is left to run out its seconds on its own.
    """
    if progress is None:
        return work()
    found: list[Any] = []
    failed: list[BaseException] = []

    def run() -> None:
        try:
            found.append(work())
        except BaseException as error:  # carried over to the asking thread
            failed.append(error)

    beside = threading.Thread(target=run, daemon=True)
    beside.start()
    passed = 0.0
    while beside.is_alive():
        beside.join(LOOK)
        passed += LOOK
        if not progress(min(passed / seconds, 1.0), "looking for a closer layout"):
            return None
    if failed:
        raise failed[0]
    return found[0]
