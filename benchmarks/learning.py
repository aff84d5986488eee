"""How honest and how sharp learned bands are, over invented workshops, and what learning costs.

    .venv/bin/python benchmarks/learning.py [workshops] [--keep]

Each timed firing of a workshop is foretold from those before it alone: by what was learned, without a record, and as the
last good firing of the same piece and jar went. Bands should hold nine times in ten; of two that do, the narrower is the
better (interval score in the logarithm of seconds, smaller is better). Two laws, neither the product's. `--keep` writes
benchmarks/learning.json.

    .venv/bin/python benchmarks/learning.py --through-record [workshops] [first seed]

keeps such workshops in a real record instead, load by load, and asks the bands that were frozen in it.

    .venv/bin/python benchmarks/learning.py --regimes [workshops]

tells how often bands hold where something odd happens, most of it unnoted.

    .venv/bin/python benchmarks/learning.py --speed [firings]

times a thousand firings: learning anew (wanted 2 s), ranking the causes of a fault (100 ms), the next tile (1 s); and
learning from records fuller than any likely one.
"""

from __future__ import annotations

import json
import sys
import tempfile
import time
from concurrent.futures import ProcessPoolExecutor
from itertools import repeat
from pathlib import Path

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parent / "tests" / "learning")]

from yardstick import median, yardstick  # noqa: E402

from crowded_records import crowded  # noqa: E402
from enamelwright.learning.kiln_fit import kiln_clock  # noqa: E402
from enamelwright.questions.fault import FaultInput  # noqa: E402
from enamelwright.questions.question import question  # noqa: E402
from enamelwright.workshop.bench import bench  # noqa: E402
from enamelwright.workshop.coverage import Compared  # noqa: E402
from enamelwright.workshop.fault_counts import fault_list  # noqa: E402
from enamelwright.workshop.fault_facts import gather  # noqa: E402
from enamelwright.workshop.firing_facts import firing_facts  # noqa: E402
from enamelwright.workshop.learned_clocks import spreads  # noqa: E402
from enamelwright.workshop.next_tiles import tiles_tried  # noqa: E402
from enamelwright.workshop.relearning import relearn  # noqa: E402
from invented_kilns import JAR_SD, JARS, World, score  # noqa: E402
from odd_regimes import REGIMES, holds  # noqa: E402
from recorded_workshops import keep, scores, thousand  # noqa: E402

WORKSHOPS = 200
FIRINGS = 1000
REGIME_WORKSHOPS = 120
#: Over which crowded records go: each day of firing is one more thing that is learned.
CROWDED_DAYS = (120, 250)


def through_record(count: int, first: int = 0) -> None:
    for law in ("dose", "arrhenius"):
        begun = time.perf_counter()
        with ProcessPoolExecutor(2) as pool:
            pairs = [one for mine in pool.map(_kept, repeat(law), range(first, first + count)) for one in mine]
        _tell(law, pairs, begun)


def _tell(law: str, pairs: list[Compared], begun: float) -> None:
    for name, first, last in (("all", 0, None), ("first four loads", 0, 4), ("from the 13th load", 12, None)):
        mine = scores(pairs, first, last)
        print(
            f"{law:10s} {name:18s} held {mine.held:.1%} of {mine.bands} frozen bands of 90 %, interval score "
            f"{mine.price:.3f}, {time.perf_counter() - begun:.0f} s",
            flush=True,
        )


def _kept(law: str, seed: int) -> list[Compared]:
    with tempfile.TemporaryDirectory() as folder:
        return keep(Path(folder), law, seed)  # type: ignore[arg-type]


def regimes(count: int) -> None:
    with ProcessPoolExecutor(2) as pool:
        for name, regime in REGIMES.items():
            held = sum(pool.map(holds, repeat(regime), range(count), chunksize=5))
            print(f"{name}: {held} of {count}, {held / count:.0%}", flush=True)


def speed(count: int) -> None:
    """Write a thousand firings into a record and time what is asked of it."""
    with tempfile.TemporaryDirectory() as folder:
        studio = thousand(Path(folder), count)
        known = bench(studio)
        found = gather(studio, "D7", "bubbles", known=known)
        asked = FaultInput(
            fault=found.fault, when=found.when, place=found.place, facts=found.facts, record=found.record
        )
        timed = {
            "learning anew": lambda: relearn(studio),
            "gathering what is known of a fault": lambda: gather(studio, "D7", "bubbles", known=known),
            "ranking its causes": lambda: question("fault").answer(asked, known),
            "listing all faults": lambda: fault_list(studio, firing_facts(studio)),
            "next tile": lambda: question("next-tile").answer(tiles_tried(studio, "T1").asked, known),
        }
        for name, work in timed.items():
            print(f"{name} with {count} firings: {median(work, repeats=3) * 1e3:.0f} ms", flush=True)
        studio.close()
    for days in CROWDED_DAYS:
        records = crowded(count, days)
        jar_sd = dict.fromkeys((jar for one in records for jar in one.jars), JAR_SD)
        cost = median(lambda records=records, jar_sd=jar_sd: kiln_clock(records, jar_sd, spreads()), repeats=3)
        print(f"learning from {count} firings in a crowded record of {days} days: {cost * 1e3:.0f} ms", flush=True)
    print(f"yardstick {yardstick() * 1e3:.0f} ms")


def main() -> None:
    if "--regimes" in sys.argv:
        counts = [int(word) for word in sys.argv[1:] if word.isdigit()]
        regimes(counts[0] if counts else REGIME_WORKSHOPS)
        return
    if "--through-record" in sys.argv or "--speed" in sys.argv:
        counts = [int(word) for word in sys.argv[1:] if word.isdigit()]
        if "--speed" in sys.argv:
            speed(counts[0] if counts else FIRINGS)
        else:
            through_record(*(counts[:2] or [10]))
        return
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
