"""The fixed piece of work that every benchmark prints beside its own times, and how times are taken."""

from __future__ import annotations

import statistics
import time
from collections.abc import Callable

import numpy as np

REPEATS = 7


def median(job: Callable[[], object], repeats: int = REPEATS) -> float:
    """Median seconds of a job after one untimed run."""
    job()
    times = []
    for _ in range(repeats):
        begun = time.perf_counter()
        job()
        times.append(time.perf_counter() - begun)
    return statistics.median(times)


def yardstick() -> float:
    """A fixed piece of single-threaded numpy work: running sums and roots of a million numbers."""
    start = np.linspace(1.0, 2.0, 1_000_000)

    def job() -> None:
        values = start
        for _ in range(5):
            values = np.sqrt(np.cumsum(values) + 1.0)

    return median(job)
