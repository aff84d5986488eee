"""What the server holds of the machine's memory: no more than it needs, on systems whose C library can be told."""

from __future__ import annotations

import ctypes
from contextlib import suppress

#: How the GNU C library is told of its arenas (M_ARENA_MAX of mallopt(3)), and how many threads may have of their own.
_ARENAS, MOST_ARENAS = -8, 2


def few_arenas() -> None:
    """Let threads share their memory: an arena for each of them holds on to what none of them needs any more."""
    with suppress(OSError, AttributeError):
        ctypes.CDLL(None).mallopt(_ARENAS, MOST_ARENAS)


def give_back() -> None:
    """Give back to the system what is free (malloc_trim(3)); a matter of milliseconds."""
    with suppress(OSError, AttributeError):
        ctypes.CDLL(None).malloc_trim(0)
