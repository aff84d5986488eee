"""Invented workshops that fire discs and strips: how often frozen bands of bow hold, and what strips are worth.

    .venv/bin/python benchmarks/bows.py [first] [last]

keeps the workshops of those seeds in real records, each with its strips and once more without them, so that the same
discs are foretold with what strips taught and without. A workshop takes some ten seconds. The truth is
tests/learning/bowed_workshops.py.
"""

from __future__ import annotations

import sys
import tempfile
from concurrent.futures import ProcessPoolExecutor
from itertools import repeat
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE.parent / "tests" / "learning")]

from bowed_workshops import Banded, keep, scores  # noqa: E402

FIRST, LAST = 0, 40


def one(seed: int, strips: bool) -> list[Banded]:
    """Keep one workshop in a folder of its own."""
    with tempfile.TemporaryDirectory() as folder:
        return keep(Path(folder) / "workshop", seed, strips=strips)


def main() -> None:
    """Print a table."""
    told = [int(word) for word in sys.argv[1:]]
    seeds = range(*told) if told else range(FIRST, LAST)
    found: dict[str, list[Banded]] = {}
    with ProcessPoolExecutor(2) as pool:
        for name, strips in (("with strips", True), ("without", False)):
            bands = [band for bands in pool.map(one, seeds, repeat(strips)) for band in bands if band.after]
            found |= {name: bands, f"{name}, glass on one face": [band for band in bands if not band.both]}
            found[f"{name}, glass on both"] = [band for band in bands if band.both]
    for name, bands in found.items():
        got = scores(bands)
        print(
            f"{name:32s} {got.held:.1%} of {got.bands} held, interval score {got.price:.3f} mm, width {got.width:.3f} mm"
        )


if __name__ == "__main__":
    main()
