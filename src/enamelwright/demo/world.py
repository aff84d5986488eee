"""What the invented workshop remembers while its record is being written."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, field, replace
from datetime import datetime
from itertools import groupby
from operator import attrgetter
from random import Random
from typing import Any

from enamelwright.demo.script import FaultRow
from enamelwright.workshop.studio import Studio

#: One thing to do: told the studio at its moment, then what it is about.
Act = Callable[..., object]
#: Label of who is at the bench unless somebody else is named.
MAKER = "M"


@dataclass(frozen=True, order=True)
class Entry:
    """One act of the agenda; those of one moment keep the order they were planned in."""

    when: datetime
    turn: int
    act: Act = field(compare=False)
    about: tuple[Any, ...] = field(compare=False)


@dataclass
class World:
    """Rows that were given, grams that lie on pieces, and what is still to be done.

    Parameters
    ----------
    studio : Studio
        The open studio.
    seed : int
        Of everything that is drawn.
    pieces, loads, batches, people : dict of str to int
        Label of the script to the row the record gave.
    glass : dict of str to dict of str to float
        Piece to grams of glass on its front and back.
    order, order_line : int
        Rows of the commission.
    faults : dict of FaultRow to int
        Scripted faults to their rows.
    sheets : dict of tuple to int
        Metal and thickness [mm] to the row of the sheet.
    agenda : list of Entry
        What is to be done.
    """

    studio: Studio
    seed: int
    pieces: dict[str, int] = field(default_factory=dict)
    loads: dict[str, int] = field(default_factory=dict)
    batches: dict[str, int] = field(default_factory=dict)
    people: dict[str, int] = field(default_factory=dict)
    glass: dict[str, dict[str, float]] = field(default_factory=lambda: defaultdict(lambda: {"front": 0.0, "back": 0.0}))
    order: int = 0
    order_line: int = 0
    faults: dict[FaultRow, int] = field(default_factory=dict)
    sheets: dict[tuple[str, float], int] = field(default_factory=dict)
    agenda: list[Entry] = field(default_factory=list)

    def plan(self, when: datetime, act: Act, *about: Any) -> None:
        """Put an act on the agenda.

        Parameters
        ----------
        when : datetime
            Local time.
        act : callable
            Called with the studio at that moment and with what it is about.
        *about
            Passed on.
        """
        self.agenda.append(Entry(when, len(self.agenda), act, about))

    def dice(self, *about: object) -> Random:
        """Return the dice of one matter, so that changing one row of the script moves no other."""
        return Random("/".join(map(str, (self.seed, *about))))

    def run(self, progress: Callable[[float], None] | None = None) -> None:
        """Do everything on the agenda in the order of time; what falls on one moment is one transaction."""
        done = 0
        for when, entries in groupby(sorted(self.agenda), key=attrgetter("when")):
            studio = replace(self.studio.at(when), person=self.people.get(MAKER))
            with studio.writing():
                for entry in entries:
                    entry.act(studio, *entry.about)
                    done += 1
            if progress is not None:
                progress(done / len(self.agenda))
