"""Speed of a whole plan, beside a fixed yardstick, in one run.

    .venv/bin/python benchmarks/plan.py

A copper disc with six coats in five firings, planned from its description: first band on 256 shared
draws, then the full 2,000 draws with the counter-coat tolerance. Everything is warm: kernels compiled,
tables of reference read, glass tables of these jars and firings kept, as in an edited plan. Prints
medians of wall-clock times, the yardstick, and ratios taken in the same run.
"""

from __future__ import annotations

import time

from yardstick import median, yardstick

from enamelwright.craft.bench import Bench
from enamelwright.craft.checks.flatness import judge_flatness
from enamelwright.craft.laying import lay_up
from enamelwright.craft.piece import Piece
from enamelwright.craft.planner import make_plan
from enamelwright.craft.practice import window_for
from enamelwright.craft.sequence import order
from enamelwright.craft.weights import weigh

#: Seconds allowed for a first band, and for the full band with the counter tolerance.
FIRST_TARGET, FULL_TARGET = 0.150, 1.0
FIRST_DRAWS, FULL_DRAWS = 256, 2000
OPAQUE, CLEAR = "lead_free_opaque_titania_medium", "lead_free_transparent_medium"


def piece() -> Piece:
    """Describe the piece: two counter-coats, four front coats, two of them fired together."""
    coats = [
        ("back", OPAQUE, 0.5, False),
        ("front", OPAQUE, 0.4, False),
        ("front", OPAQUE, 0.3, False),
        ("back", OPAQUE, 0.3, False),
        ("front", CLEAR, 0.2, True),
        ("front", CLEAR, 0.2, False),
    ]
    return Piece.from_outside(
        {
            "name": "six coats, five firings",
            "metal": {"kind": "copper", "thickness_mm": 0.9},
            "outline": {"shape": "circle", "diameter_mm": 40},
            "dome_mm": 1,
            "coats": [
                {"face": face, "jar": jar, "powder_depth_mm": depth, "with_previous": joined}
                for face, jar, depth, joined in coats
            ],
        }
    )


def main() -> None:
    """Time everything and print it."""
    described = piece()
    bench = Bench.starter()
    layup = lay_up(described, bench)
    weights = weigh(layup, bench)
    sequence = order(layup, weights, bench)
    firings = tuple(
        firing.model_copy(update={"window": window_for(firing, layup, bench)}) for firing in sequence.firings
    )
    begun = time.perf_counter()
    make_plan(described, draws=FIRST_DRAWS)
    cold = time.perf_counter() - begun
    before = yardstick()
    first = median(lambda: make_plan(described, draws=FIRST_DRAWS))
    full = median(lambda: make_plan(described, draws=FULL_DRAWS))
    judged = median(lambda: judge_flatness(layup, weights, firings, bench, FIRST_DRAWS))
    after = yardstick()
    unit = (before + after) / 2
    print(f"coats {len(described.coats)}, firings {len(firings)}")
    sides = f"(before {before * 1e3:.1f}, after {after * 1e3:.1f})"
    print(f"yardstick                                    {unit * 1e3:8.1f} ms {sides}")
    print(f"first plan of the process                    {cold * 1e3:8.1f} ms  {cold / unit:6.1f} yardsticks")
    for name, seconds, target in (
        (f"plan, {FIRST_DRAWS} draws, counter tolerance", first, FIRST_TARGET),
        (f"plan, {FULL_DRAWS} draws, counter tolerance", full, FULL_TARGET),
    ):
        share = f"{seconds / unit:6.1f} yardsticks, {seconds / target:5.2f} of the target"
        print(f"{name:44} {seconds * 1e3:8.1f} ms  {share}")
    print(f"  of the first, flatness                     {judged * 1e3:8.1f} ms  {judged / first:6.0%} of the plan")


if __name__ == "__main__":
    main()
