"""The main job from the shell: one plan with its cards, warm and with an empty compile cache.

Beside it, in the same run, the yardstick: an interpreter that only imports the numerical libraries.
Figures are medians of whole processes; memory is the largest single process.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
PIECE = ROOT / "examples" / "sifted-pendant.toml"
RUNS = 5


def run(command: list[str], environment: dict[str, str]) -> tuple[float, float]:
    """Return wall seconds and peak memory in MB of one process."""
    begun = time.perf_counter()
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, env=environment)
    _, status, usage = os.wait4(process.pid, 0)
    if status != 0:
        raise SystemExit(f"failed: {' '.join(command)}")
    return time.perf_counter() - begun, usage.ru_maxrss / 1024


def median(command: list[str], environment: dict[str, str], runs: int) -> tuple[float, float]:
    """Return the median wall time and the largest memory of several runs."""
    results = [run(command, environment) for _ in range(runs)]
    return statistics.median(seconds for seconds, _ in results), max(memory for _, memory in results)


def main() -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as folder:
        plan = [sys.executable, "-m", "enamelwright", "plan", str(PIECE), "--cards", folder]
        bare = [sys.executable, "-c", "import numpy, scipy.special, numba, pydantic, typst"]
        warm = dict(os.environ)
        run(plan, warm)
        rows = [
            ("yardstick: import the libraries", *median(bare, warm, RUNS)),
            ("plan with cards, warm", *median(plan, warm, RUNS)),
        ]
        cold_times = []
        for number in range(2):
            cold = {**warm, "NUMBA_CACHE_DIR": str(Path(folder) / f"cache{number}")}
            cold_times.append(run(plan, cold))
        rows.append(
            ("plan with cards, empty compile cache", min(t for t, _ in cold_times), max(m for _, m in cold_times))
        )
    unit = rows[0][1]
    print(f"{'':<40}{'s':>8}{'of yardstick':>14}{'MB':>8}")
    for words, seconds, memory in rows:
        print(f"{words:<40}{seconds:>8.2f}{seconds / unit:>14.1f}{memory:>8.0f}")
    print("limits: warm 3 s, empty cache 12 s, 450 MB")


if __name__ == "__main__":
    main()
