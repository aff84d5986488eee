"""Building the invented workshop, and what its record gives away of the hidden truth.

    .venv/bin/python benchmarks/demo.py            seconds on the clock and of work of one build, as a person would
    .venv/bin/python benchmarks/demo.py --truth 10 the truth table over so many seeds

Wanted: at most 20 s. The yardstick beside it tells how fast the machine was.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
import time
from collections import Counter
from pathlib import Path

sys.path.append(str(Path(__file__).resolve().parents[1] / "tests" / "demo"))

from yardstick import yardstick

WANTED = 20.0  # seconds on the clock
BUILD = "import sys; sys.argv[0] = 'enamelwright'; from enamelwright.cli.main import run; run()"


def truth(seeds: int) -> None:
    from enamelwright.demo.place import build_demo, demo_home
    from enamelwright.workshop.studio import Studio
    from truth_table import table

    found: Counter[str] = Counter()
    for seed in range(1, seeds + 1):
        with tempfile.TemporaryDirectory() as folder:
            home = demo_home(Path(folder) / "demo")
            build_demo(home, seed=seed)
            studio = Studio.open(home)
            rows = table(studio)
            studio.close()
        for row in rows:
            found[row.fact] += row.found
            print(f"seed {seed:2d}  {'found ' if row.found else 'MISSED'}  {row.fact}: {row.words}", flush=True)
    for fact, times in found.items():
        print(f"{fact}: {times} of {seeds}")


def main() -> None:
    if "--truth" in sys.argv:
        truth(int(sys.argv[-1]) if sys.argv[-1].isdigit() else 10)
        return
    with tempfile.TemporaryDirectory() as folder:
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        begun = time.perf_counter()
        subprocess.run([sys.executable, "-c", BUILD, "demo", "--home", str(Path(folder) / "demo")], check=True)
        took = time.perf_counter() - begun
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
    worked = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    print(f"built in {took:.1f} s on the clock, {worked:.1f} s of work; wanted {WANTED:.0f} s")
    print(f"yardstick {yardstick() * 1e3:.1f} ms")


if __name__ == "__main__":
    main()
