"""Shelf and blanks: how many outlines, how long, and how much less sheet than bounding boxes.

    python benchmarks/shelf.py [SECONDS OF A CLOSER SEARCH]

Each row is one run on this machine; the fixed yardstick kernel stands beside it. Every layout is checked by the
check of its own that shares nothing with the searches. Boxes are laid twice: by columns, and by the same searches
as the outlines.
"""

from __future__ import annotations

import math
import random
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import TypeVar

from enamelwright.craft.outline_shape import Shape
from enamelwright.planning.blanks.sheets import boxes_length
from enamelwright.planning.nesting import grid, strip
from enamelwright.planning.nesting.part import Layout, Part
from enamelwright.planning.nesting.room import Room
from enamelwright.planning.shelf import discs
from enamelwright.planning.shelf.discs import Shelf
from enamelwright.planning.shelf.load import fill

sys.path.insert(0, str(Path(__file__).parent))
from yardstick import yardstick

T = TypeVar("T")
MM = 1e-3


def leaf(long: float, wide: float) -> Shape:
    """A leaf with two points [mm]."""
    up = [(long * (t / 20 - 0.5), wide / 2 * math.sin(math.pi * t / 20)) for t in range(21)]
    return Shape.polygon([(x * MM, y * MM) for x, y in up + [(-x, -y) for x, y in up[1:-1]]])


def drop(long: float, wide: float) -> Shape:
    """A drop: a half round and a point [mm]."""
    r = wide / 2
    round_ = [(r * math.sin(a), -r * math.cos(a)) for a in (math.pi * (t / 24 - 0.5) for t in range(25))]
    return Shape.polygon([(x * MM, y * MM) for x, y in [*round_, (0.0, long - r)]])


def crescent(across: float) -> Shape:
    """A crescent [mm]."""
    r = across / 2
    outer = [(r * math.cos(a), r * math.sin(a)) for a in (math.radians(d) for d in range(40, 321, 10))]
    inner = [
        (r * 0.35 + 0.72 * r * math.cos(a), 0.72 * r * math.sin(a))
        for a in (math.radians(d) for d in range(300, 59, -10))
    ]
    return Shape.polygon([(x * MM, y * MM) for x, y in outer + inner])


def kinds(seed: int) -> list[Shape]:
    """Eight outlines of a small workshop, their sizes drawn."""
    draw = random.Random(seed)
    s = [draw.uniform(0.8, 1.25) for _ in range(8)]
    return [
        Shape.circle(25 * s[0] * MM), Shape.circle(18 * s[1] * MM), Shape.ellipse(30 * s[2] * MM, 20 * s[2] * MM),
        leaf(34 * s[3], 15 * s[3]), drop(32 * s[4], 18 * s[4]), crescent(26 * s[5]),
        Shape.rounded_rectangle(28 * s[6] * MM, 16 * s[6] * MM, 3 * MM),
        Shape.polygon([(0, 0), (24 * s[7] * MM, 0), (12 * s[7] * MM, 21 * s[7] * MM)]),
    ]  # fmt: skip


def parts(seed: int, count: int, turning: str = "free") -> list[Part]:
    """So many pieces of eight kinds."""
    shapes = kinds(seed)
    each, more = divmod(count, len(shapes))
    return [Part(f"k{n}", shape, each + (n < more), turning) for n, shape in enumerate(shapes) if each + (n < more)]  # type: ignore[arg-type]


def boxed(one: Part) -> Part:
    """The bounding box of a part instead of the part."""
    return Part(one.name, Shape.rounded_rectangle(one.shape.width, one.shape.height), one.count, "quarters")


def timed(work: Callable[[], T]) -> tuple[T, float]:
    """The result of some work, and its seconds."""
    began = time.perf_counter()
    found = work()
    return found, time.perf_counter() - began


def checked(layout: Layout, room: Room) -> str:
    """Whether a layout is sound, by its own check."""
    return "sound" if not room.faults(layout) else "FAULTY"


def shelves() -> None:
    """Thirty mixed outlines on a shelf, a hot spot kept free."""
    fill(parts(9, 3), Shelf(220 * MM, 200 * MM, 6 * MM, 8 * MM))  # loads the libraries
    print("shelf 220 x 200 mm, 6 mm between, 8 mm edge, hot spot 30 mm: 30 mixed outlines")
    print(f"{'set':>4} {'placed in load 1':>17} {'loads':>6} {'seconds':>8}  check")
    for seed in range(1, 6):
        shelf = Shelf(220 * MM, 200 * MM, 6 * MM, 8 * MM)
        spots = [(110 * MM, 170 * MM, 30 * MM)]
        done, seconds = timed(lambda shelf=shelf, spots=spots, seed=seed: fill(parts(seed, 30), shelf, spots))  # type: ignore[misc]
        room = Room.rectangle(shelf.width, shelf.depth, shelf.gap, shelf.edge, spots)
        print(
            f"{seed:>4} {len(done.loads[0].layout.placed):>17} {len(done.loads):>6} {seconds:>8.2f}  {checked(done.loads[0].layout, room)}"
        )


def packings() -> None:
    """Equal discs against the published table."""
    print("\nequal discs on 180 x 180 mm, 8 mm edge: counts")
    print(f"{'disc':>5} {'gap':>4} {'area':>5} {'grid':>5} {'rows':>5} {'table':>6} {'outlines':>9}")
    for across, gap in ((25, 6), (20, 4), (32, 6), (40, 6)):
        shelf = Shelf(180 * MM, 180 * MM, gap * MM, 8 * MM)
        room = Room.rectangle(shelf.width, shelf.depth, shelf.gap, shelf.edge)
        free = grid.lay([Part("disc", Shape.circle(across * MM), 60)], room, squares=grid.THOROUGH)
        area = int((164 + gap) ** 2 / (across + gap) ** 2)
        print(
            f"{across:>5} {gap:>4} {area:>5} {discs.grid_count(shelf, across * MM):>5} "
            f"{len(discs.rows_middles(shelf, across * MM)):>5} {discs.table_count(shelf, across * MM):>6} {len(free.placed):>9}"
        )


def sheets(seconds: int) -> None:
    """Forty-two blanks along a sheet 150 mm high: length used."""
    print(f"\n42 mixed blanks on sheet 150 mm high, length used in mm (closer search {seconds} s)")
    head = (
        "set",
        "kerf",
        "turning",
        "boxes, columns",
        "boxes, searched",
        "grid",
        "closer",
        "saved",
        "saved*",
        "s",
        "check",
    )
    print(" ".join(f"{one:>15}" for one in head))
    whole = [0.0, 0.0, 0.0]
    for seed in (1, 2, 3):
        for kerf, turning in ((0.3, "free"), (0.3, "along"), (1.5, "quarters")):
            mine = parts(seed, 42, turning)
            room = Room.rectangle(600 * MM, 150 * MM, kerf * MM)
            columns = boxes_length([(one.shape, one.count) for one in mine], 150 * MM, kerf * MM)
            box, _ = timed(
                lambda mine=mine, kerf=kerf: strip.strip(
                    [boxed(one) for one in mine], 150 * MM, kerf * MM, 0.0, seconds
                )[1]
            )  # type: ignore[misc]
            quick, spent = timed(lambda mine=mine, room=room: grid.lay(mine, room, squares=600))  # type: ignore[misc]
            (close, used), more = timed(
                lambda mine=mine, kerf=kerf: strip.strip(mine, 150 * MM, kerf * MM, 0.0, seconds)
            )  # type: ignore[misc]
            best = min(quick.reach[0], used)
            whole = [one + more for one, more in zip(whole, (columns, box, best), strict=True)]
            sound = checked(quick, room), checked(close, room)
            row = (
                seed, kerf, turning, f"{columns * 1e3:.1f}", f"{box * 1e3:.1f}", f"{quick.reach[0] * 1e3:.1f}", f"{used * 1e3:.1f}",
                f"{1 - best / columns:.1%}", f"{1 - best / box:.1%}", f"{spent:.1f}+{more:.1f}", "/".join(sound),
            )  # fmt: skip
            print(" ".join(f"{one!s:>15}" for one in row), flush=True)
    print("saved: against boxes by columns; saved*: against boxes laid by the same search")
    print(
        f"all together: {1 - whole[2] / whole[0]:.1%} less sheet than boxes by columns, {1 - whole[2] / whole[1]:.1%} *"
    )


if __name__ == "__main__":
    print(f"yardstick {yardstick():.4f} s")
    shelves()
    packings()
    sheets(int(sys.argv[1]) if len(sys.argv) > 1 else 3)
