"""Building the invented workshop, in a process of its own as a person would: seconds on the clock and of work.

Wanted: at most 20 s. The yardstick beside it tells how fast the machine was.
"""

from __future__ import annotations

import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from yardstick import yardstick

WANTED = 20.0  # seconds on the clock
BUILD = "import sys; sys.argv[0] = 'enamelwright'; from enamelwright.cli.main import run; run()"


def main() -> None:
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
