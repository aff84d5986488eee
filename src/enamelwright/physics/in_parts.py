"""How a kernel is spread over processors: in parts, side by side, the first of them where it was asked for.

The kernels release the interpreter lock. Helping threads stay for the next question, because starting them anew costs
as much as a quick answer of a few draws.
"""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import cache
from itertools import pairwise


def in_parts(run: Callable[[slice], None], members: int, smallest: int, threads: int) -> None:
    """Do something for each of many members, in as many parts as threads help.

    Parameters
    ----------
    run : callable
        Does it for a slice of the members. It must not ask for parts itself: all helpers could wait for one another.
    members : int
        How many there are.
    smallest : int
        Members below which another thread costs more than it gives.
    threads : int
        Most threads, the asking one among them; 1 does all in the asking thread.

    Raises
    ------
    Exception
        What a part raised, once all of them have ended.
    """
    chunks = max(1, min(threads, members // smallest))
    edges = [members * i // chunks for i in range(chunks + 1)]
    first, *others = (slice(a, b) for a, b in pairwise(edges))
    beside = [_helpers().submit(run, part) for part in others]
    try:
        run(first)
    finally:
        # Nobody may read the arrays while another part is still written.
        failed = [one.exception() for one in beside]
    for error in failed:
        if error is not None:
            raise error


@cache
def _helpers() -> ThreadPoolExecutor:
    return ThreadPoolExecutor(thread_name_prefix="parts")
