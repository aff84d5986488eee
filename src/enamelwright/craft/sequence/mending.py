"""What to do first with a piece that came out with a fault: put back in, refill, overcoat, strip, or let go."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from enamelwright.craft.layup import Layup
from enamelwright.craft.operation import Operation
from enamelwright.craft.sequence.hands import time_of
from enamelwright.craft.sequence.loads import Load
from enamelwright.reference import loader

Way = Literal["refire", "press flat", "refill", "overcoat", "strip", "second"]


@dataclass(frozen=True)
class Mending:
    """A remedy from the table.

    Parameters
    ----------
    way : str
        Kind of remedy.
    words, why : str
        What to do, and why.
    """

    way: Way
    words: str
    why: str

    @property
    def load(self) -> Load | None:
        """The extra firing it takes, if any."""
        if self.way in {"refire", "press flat", "refill"}:
            return Load("again", ("front",), why=self.why)
        return None


def mending_of(layup: Layup) -> Mending | None:
    """Return the remedy for the fault the file names; None when it names none that the table knows.

    Parameters
    ----------
    layup : Layup
        The piece; `so_far.fault` is free text, matched by the words of the table in order.
    """
    fault = layup.piece.so_far.fault.casefold()
    if not fault:
        return None
    best: tuple[int, Mending] | None = None
    for row in loader.rows("trade/mending"):
        longest = max((len(word) for word in row["match"].split("|") if word in fault), default=0)
        if longest and (best is None or longest > best[0]):
            way: Way = row["way"]  # type: ignore[assignment]
            best = (longest, Mending(way, row["words"], row["why"]))
    return best[1] if best else None


def first_steps(mending: Mending) -> list[Operation]:
    """Return the work at the bench before the repair firing, or instead of one."""
    if mending.way in {"refire", "press flat"}:
        return []
    if mending.way == "refill":
        return [
            Operation(work="lay", face="front", words=mending.words, hand=time_of("wet-pack"), why=mending.why),
            Operation(work="dry", face="front", words="Dry until no vapour shows.", wait=time_of("dry_wet")),
        ]
    if mending.way == "second":
        return [Operation(work="check", words=mending.words, hand=time_of("check"), why=mending.why)]
    key = "grind_off" if mending.way == "strip" else "clean"
    return [Operation(work="prepare", face="front", words=mending.words, hand=time_of(key), why=mending.why)]
