"""Speed of what is worked out about baths and air, beside the fixed yardstick of this machine, in one run.

    .venv/bin/python benchmarks/health.py

Prints medians of wall-clock times with the claim each stands for; nothing here is a fact of the product.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE)]

from yardstick import median, yardstick  # noqa: E402

from enamelwright.craft.baths.bath_made import BathMade  # noqa: E402
from enamelwright.craft.baths.counted import ledger  # noqa: E402
from enamelwright.craft.baths.spent_bath import doses  # noqa: E402
from enamelwright.craft.health.landing_spot import StackLayer, changes, spotted, usual_spot  # noqa: E402
from enamelwright.questions.question import question  # noqa: E402

BATH = {"volume_l": 0.5, "strength": "5 %", "salt_g": 15, "met": [], "cleaned": [{"oxide_g": 2}]}
LOADS = [{"area_cm2": 60, "temperature_c": 780 + n % 5 * 10, "time_s": 120} for n in range(200)]
#: Claims [ms].
QUESTION, SWEEP, SWEPT = 100.0, 1000.0, 50


def row(name: str, job: Callable[[], object], claim: float | None = None) -> None:
    """One line of the table: wall-clock time, time on the processor, and the claim.

    Where a machine is busy with other work the two lie apart; the claim is about the first on a machine that is not.
    """
    on_processor: list[float] = []

    def timed() -> None:
        begun = time.process_time()
        job()
        on_processor.append(time.process_time() - begun)

    wall, spent = 1000 * median(timed), 1000 * statistics.median(on_processor[1:])
    told = ""
    if claim is not None:
        verdict = "holds" if wall <= claim else "holds on a free machine" if spent <= claim else "MISSED"
        told = f"claim {claim:g} ms: {verdict}"
    print(f"{name:<46}{wall:>10.2f} ms {spent:>10.2f} ms   {told}")


def baths() -> None:
    """Questions about baths, and a sweep of doses."""
    book = ledger(BathMade.from_outside(BATH))
    row("bath, its example", lambda: question("bath").ask(question("bath").example), QUESTION)
    row("bath, two hundred loads", lambda: question("bath").ask({**BATH, "cleaned": LOADS}), QUESTION)
    row("spent-bath, settled", lambda: question("spent-bath").ask({**BATH, "local_rules_allow": True}), QUESTION)
    row(f"sweep of {SWEPT} doses, two solids", lambda: doses(book, "open overnight", SWEPT), SWEEP)


def air() -> None:
    """Questions about air and heat, and a landing session of forty firings."""
    for name in ("dust", "glare", "touch", "landing", "ventilation", "sell-where"):
        asked = question(name)
        row(f"{name}, its example", lambda asked=asked: asked.ask(asked.example), QUESTION)
    layers = [StackLayer(material=one, thickness=mm / 1000) for one, mm in (("iron", 4), ("board", 12))]
    spot = usual_spot(layers, firings=40)
    row("landing session of forty firings", lambda: spotted(spot), QUESTION)
    row("the same with what to change", lambda: (spotted(spot), changes(spot)))


def main() -> None:
    """Print the table."""
    print(f"{'yardstick':<46}{1000 * yardstick():>10.2f} ms")
    print(f"{'':<46}{'on the clock':>13} {'processor':>13}")
    baths()
    air()


if __name__ == "__main__":
    main()
