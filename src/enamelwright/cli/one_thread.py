"""Linear algebra on one thread: what is asked of it here is small, and several people may be asking at once.

What firings teach is found by solving some thousand systems of a few dozen unknowns. Shared among threads that is no
faster when the machine is idle, and many times slower when it is busy, because every thread waits for the last one:
learning anew from the firings of the demonstration took as long on two idle cores, at twice the work, and 6 to 7 times
as long on two that others were using. The search of colours and the laminate are compiled kernels that share their
work in threads of their own; they took as long with as without.
"""

from __future__ import annotations

import os

#: Variables the usual libraries of linear algebra read once, when they are loaded.
VARIABLES = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS", "VECLIB_MAXIMUM_THREADS")


def one_thread() -> None:
    """Ask for one thread, unless somebody asked otherwise; to be called before numpy is loaded.

    Processes that this one begins, such as the worker and the server beside it, take it over.
    """
    for name in VARIABLES:
        os.environ.setdefault(name, "1")
