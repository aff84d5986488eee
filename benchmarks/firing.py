"""Speed and accuracy of the heating of a piece, beside a layered reference, in one run.

    .venv/bin/python benchmarks/firing.py

Prints medians of wall-clock times with a fixed yardstick beside them, and ratios taken in the same
run. The pieces are the named test pieces; nothing here is a fact of the product.
"""

from __future__ import annotations

import os
import sys
import time
from pathlib import Path

import numpy as np

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parent / "tests" / "physics")]

from yardstick import median, yardstick  # noqa: E402

from enamelwright.physics.gloss_clock import thresholds  # noqa: E402
from enamelwright.physics.piece_heating import VftStack, heat, warm  # noqa: E402
from heated_cases import (  # noqa: E402
    AIR,
    HARD,
    MEDIUM,
    MESH,
    MID_OXIDE,
    MM,
    ON_PLATE,
    PLATE,
    RULES,
    SOFT,
    ZERO_C,
    clock,
    disc,
    marks,
    powder,
)
from layered_piece import fire_layered  # noqa: E402

SET = 800 + ZERO_C
LONGEST = 900.0
DRAWS = 49


def row(name: str, value: str, target: str = "") -> None:
    """One line of the table."""
    print(f"{name:<62}{value:>26}   {target}")


def window(windows: int, draws: int, threads: int = 1) -> tuple[np.ndarray, np.ndarray]:
    """Times of gloss and over-firing of some windows, each with draws of kiln, jar, grain and coat."""
    rng = np.random.default_rng(7)
    n = windows * draws
    coat = 0.5 * rng.lognormal(0.0, 0.15, n)
    body = disc(
        32 * MM, np.repeat(np.linspace(0.6, 1.2, windows), draws) * MM, coat=coat,
        offset=rng.normal(0, 10, n), transfer=rng.lognormal(0, 0.15, n),
    )  # fmt: skip
    trace = heat(
        body, [MESH, PLATE], SET, LONGEST, clocks=VftStack.of([MEDIUM, HARD], rng.normal(0, 20, (2, n))), air=AIR,
        oxidation=MID_OXIDE, powder=powder(coat), response_of=np.repeat(np.arange(windows) % 2, draws),
        response_scale=rng.uniform(0.5, 1.25, n), threads=threads,
    )  # fmt: skip
    depth = coat / 2500.0
    found = thresholds(
        150e-6 * rng.lognormal(0, 0.1, n), depth, depth, tension=0.25, density=2500.0, packing=0.50, rules=RULES
    )
    return trace.when(found.gloss), trace.when(found.over)


def speed() -> None:
    """Windows and ensembles, from arrays to the times of the stages."""
    seconds = median(lambda: heat(disc(), MESH, SET, LONGEST, clocks=clock(MEDIUM), air=AIR, oxidation=MID_OXIDE))
    row("one piece, 15 min, no draws", f"{seconds * 1e3:.2f} ms")
    for name, windows, draws, target in (
        ("one window, 49 draws, thresholds and stages", 1, DRAWS, "<= 20 ms"),
        ("six windows in one call, 49 draws each", 6, DRAWS, "<= 40 ms"),
        ("an ensemble of 5,000", 1, 5000, "<= 150 ms"),
    ):
        for threads in (1, 2):
            seconds = median(lambda: window(windows, draws, threads))  # noqa: B023
            each = f"{seconds * 1e3:.1f} ms, {seconds / (windows * draws) * 1e6:.0f} us each"
            row(f"{name}, {threads} thread(s)", each, target)

    def hour() -> None:
        heat(disc(), MESH, SET, 3600.0, clocks=clock(MEDIUM), air=AIR, oxidation=MID_OXIDE, powder=powder())

    row("a dwell of an hour, one piece", f"{median(hour) * 1e3:.2f} ms")


def accuracy() -> None:
    """Gloss and time to 750 C against the layered model, with and without the resistance of the powder."""
    cases = {
        "base": (disc(), MESH, MEDIUM),
        "base, soft": (disc(), MESH, SOFT),
        "base, hard": (disc(), MESH, HARD),
        "0.5 mm": (disc(thickness=0.5 * MM), MESH, MEDIUM),
        "1.2 mm": (disc(thickness=1.2 * MM), MESH, MEDIUM),
        "thin coat": (disc(coat=0.3), MESH, MEDIUM),
        "both faces": (disc(back=0.5), MESH, MEDIUM),
        "60 mm x 1.0": (disc(60 * MM, 1.0 * MM, support_mass=0.09, support_area=0.022), MESH, MEDIUM),
        "100 mm x 1.2, both": (disc(100 * MM, 1.2 * MM, back=0.5, support_mass=0.2, support_area=0.05), MESH, MEDIUM),
        "ceramic plate": (disc(**ON_PLATE), PLATE, MEDIUM),
    }
    print(
        f"{'against the layered model [s]':<24}{'layered':>9}{'with powder':>13}{'plain':>9}{'plain, 13 W':>13}   <= 2 s"
    )
    for name, (body, response, law) in cases.items():
        given = {"clocks": clock(law), "air": AIR, "oxidation": MID_OXIDE}
        gloss = float(marks(coat=float(body.glass_top) / 2500.0).gloss)
        slow = fire_layered(body, response, SET, 300.0, law, AIR, MID_OXIDE, lumped_back=False).when(gloss)
        fixed = disc(film=13.0)
        times = [
            heat(body, response, SET, 300.0, powder=powder(float(body.glass_top), float(body.glass_bottom)), **given),
            heat(body, response, SET, 300.0, **given),
            heat(type(body)(**{**vars(body), "film": fixed.film}), response, SET, 300.0, **given),
        ]
        off = [float(t.when(gloss)[0]) - slow for t in times]
        print(f"  gloss, {name:<22}{slow:>9.1f}{off[0]:>+9.2f}{off[1]:>+13.2f}{off[2]:>+12.2f}")


def ratio() -> None:
    """One piece by the layered model and by ours."""

    def slow() -> None:
        fire_layered(disc(), MESH, SET, 360.0, MEDIUM, AIR, MID_OXIDE)

    def fast() -> None:
        heat(disc(), MESH, SET, 360.0, clocks=clock(MEDIUM), air=AIR, oxidation=MID_OXIDE, powder=powder())

    reference, ours = median(slow, 3), median(fast)
    row("layered model, adaptive and implicit, 360 s", f"{reference * 1e3:.0f} ms")
    row("  ours, the same", f"{ours * 1e3:.2f} ms")
    row("  ratio, one piece", f"{reference / ours:.0f} x", ">= 50 x")
    per = median(lambda: window(1, 5000)) / 5000
    row("  ratio, one member of an ensemble", f"{reference / per:,.0f} x")


def main() -> None:
    """Print the whole table."""
    begun = time.perf_counter()
    warm()
    row("kernel ready (compiled, or loaded from disk)", f"{time.perf_counter() - begun:.2f} s")
    row("load of the machine in the last minute", f"{os.getloadavg()[0]:.1f}")
    row("yardstick: 5 x (running sum, root) of 1e6 numbers", f"{yardstick() * 1e3:.2f} ms")
    speed()
    ratio()
    accuracy()
    row("yardstick again", f"{yardstick() * 1e3:.2f} ms")


if __name__ == "__main__":
    main()
