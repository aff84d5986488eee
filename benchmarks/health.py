"""Speed of what is worked out about baths and air, beside the fixed yardstick of this machine, in one run.

    .venv/bin/python benchmarks/health.py

Prints medians of wall-clock times with the claim each stands for; nothing here is a fact of the product.
"""

from __future__ import annotations

import sys
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE)]

from yardstick import median, yardstick  # noqa: E402

from enamelwright.craft.baths.bath import ledger  # noqa: E402
from enamelwright.craft.baths.bath_made import BathMade  # noqa: E402
from enamelwright.craft.baths.spent_bath import doses  # noqa: E402
from enamelwright.craft.health.landing_spot import StackLayer, changes, spotted, usual_spot  # noqa: E402
from enamelwright.questions.question import question  # noqa: E402

BATH = {"volume_l": 0.5, "strength": "5 %", "salt_g": 15, "met": [], "cleaned": [{"oxide_g": 2}]}
LOADS = [{"area_cm2": 60, "temperature_c": 780 + n % 5 * 10, "time_s": 120} for n in range(200)]
#: Claims [ms].
QUESTION, SWEEP, SWEPT = 100.0, 1000.0, 50


def row(name: str, seconds: float, claim: float | None = None) -> None:
    """One line of the table."""
    told = "" if claim is None else f"claim {claim:g} ms: {'holds' if 1000 * seconds <= claim else 'MISSED'}"
    print(f"{name:<46}{1000 * seconds:>10.2f} ms   {told}")


def baths() -> None:
    """Questions about baths, and a sweep of doses."""
    book = ledger(BathMade.from_outside(BATH))
    row("bath, its example", median(lambda: question("bath").ask(question("bath").example)), QUESTION)
    row("bath, two hundred loads", median(lambda: question("bath").ask({**BATH, "cleaned": LOADS})), QUESTION)
    row(
        "spent-bath, settled", median(lambda: question("spent-bath").ask({**BATH, "local_rules_allow": True})), QUESTION
    )
    row(f"sweep of {SWEPT} doses, two solids", median(lambda: doses(book, "open overnight", SWEPT)), SWEEP)


def air() -> None:
    """Questions about air and heat, and a landing session of forty firings."""
    for name in ("dust", "glare", "touch", "landing", "ventilation", "sell-where"):
        asked = question(name)
        row(f"{name}, its example", median(lambda asked=asked: asked.ask(asked.example)), QUESTION)
    layers = [StackLayer(material=one, thickness=mm / 1000) for one, mm in (("iron", 4), ("board", 12))]
    spot = usual_spot(layers, firings=40)
    row("landing session of forty firings", median(lambda: spotted(spot)), QUESTION)
    row("the same with what to change", median(lambda: (spotted(spot), changes(spot))))


def main() -> None:
    """Print the table."""
    row("yardstick", yardstick())
    baths()
    air()


if __name__ == "__main__":
    main()
