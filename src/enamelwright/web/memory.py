"""What the server holds of the machine's memory: no more than it needs, on systems that can be told."""

from __future__ import annotations

import ctypes
import mmap
import sys
from contextlib import suppress
from pathlib import Path

#: How the GNU C library is told of its arenas (M_ARENA_MAX of mallopt(3)), and how many threads may have of their own.
_ARENAS, MOST_ARENAS = -8, 2
#: The compiler behind the compiled loops: once they are loaded nothing of its code is run, and it is the largest part
#: of what the server holds. Where Linux tells what a process has mapped (proc(5)).
COMPILER, _MAPS = "libllvmlite", Path("/proc/self/maps")
#: Where a process asks its own system library for these things; elsewhere nothing is done.
_ASKED_ON = "linux"


def few_arenas() -> None:
    """Let threads share their memory: an arena for each of them holds on to what none of them needs any more."""
    if sys.platform != _ASKED_ON:
        return
    with suppress(OSError, AttributeError):
        ctypes.CDLL(None).mallopt(_ARENAS, MOST_ARENAS)


def give_back() -> None:
    """Give back to the system what is free (malloc_trim(3)) and the compiler's code; a matter of milliseconds."""
    if sys.platform != _ASKED_ON:
        return
    with suppress(OSError, AttributeError, ValueError):
        system = ctypes.CDLL(None)
        system.malloc_trim(0)
        for start, end in _code_of(COMPILER):
            # Pages of a file that nobody can write to: read again by themselves should they be wanted (madvise(2)).
            system.madvise(ctypes.c_void_p(start), ctypes.c_size_t(end - start), mmap.MADV_DONTNEED)


def _code_of(library: str) -> list[tuple[int, int]]:
    """Return where the code of a library lies: what may be run, and not written."""
    found = []
    for line in _MAPS.read_text(encoding="utf-8").splitlines():
        span, may, *_, name = line.split(maxsplit=5)
        if may.startswith("r-xp") and library in Path(name).name:
            start, _, end = span.partition("-")
            found.append((int(start, 16), int(end, 16)))
    return found
