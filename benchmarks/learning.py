"""How honest and how sharp learned bands are, over invented workshops, and what learning costs.

    .venv/bin/python benchmarks/learning.py [workshops] [--keep]

Each timed firing of a workshop is foretold from those before it alone: by what was learned, without a record, and as the
last good firing of the same piece and jar went. Bands should hold nine times in ten; of two that do, the narrower is the
better (interval score in the logarithm of seconds, smaller is better). Two laws, neither the product's. `--keep` writes
benchmarks/learning.json.
"""

from __future__ import annotations

import json
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from itertools import repeat
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parent / "tests" / "learning")]

from yardstick import median, yardstick  # noqa: E402

from enamelwright.learning.kiln_clock import kiln_clock  # noqa: E402
from enamelwright.workshop.learning import spreads  # noqa: E402
from invented_kilns import JAR_SD, JARS, World, score  # noqa: E402

WORKSHOPS = 200
FIRINGS = 1000


def main() -> None:
    numbers = [int(word) for word in sys.argv[1:] if word.isdigit()]
    count = numbers[0] if numbers else WORKSHOPS
    result: dict[str, object] = {"workshops": count}
    for law in ("dose", "arrhenius"):
        begun = time.perf_counter()
        with ProcessPoolExecutor(2) as pool:
            rows = list(pool.map(_score, repeat(law), range(count), chunksize=5))
        table = {}
        for name in ("learned", "no record", "last good"):
            mine = [row[name] for row in rows if name in row]
            total = sum(one.count for one in mine)
            held = sum(one.held * one.count for one in mine) / total
            price = sum(one.price * one.count for one in mine) / total
            table[name] = {"firings": total, "held": round(held, 4), "interval score": round(price, 4)}
            print(f"{law:10s} {name:10s} held {held:.1%} of {total} bands of 90 %, interval score {price:.3f}")
        result[law] = table
        print(f"{law:10s} {count} workshops in {time.perf_counter() - begun:.0f} s")
    records = [one for seed in range(20) for one, *_ in World("dose", seed).firings()][:FIRINGS]
    jar_sd = {f"J{k}": JAR_SD for k in range(JARS)}
    cost = median(lambda: kiln_clock(records, jar_sd, spreads()), repeats=3)
    ruler = yardstick()
    print(f"learning from {len(records)} firings {cost:.2f} s, yardstick {ruler * 1e3:.0f} ms")
    result |= {"firings learned from": len(records), "seconds": round(cost, 3), "yardstick": round(ruler, 4)}
    if "--keep" in sys.argv:
        (HERE / "learning.json").write_text(json.dumps(result, indent=1) + "\n", encoding="utf-8")


def _score(law: str, seed: int):  # type: ignore[no-untyped-def]
    return score(World(law, seed))  # type: ignore[arg-type]


if __name__ == "__main__":
    main()
