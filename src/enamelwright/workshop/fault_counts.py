"""Which faults this record holds, how often, and the jars they go with.

What went wrong in the hand stands apart: a piece that was dropped tells nothing of its jar or its heat.
"""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass

from enamelwright.learning.fault_pareto import Line, Seen, StandsOut, pareto, stands_out
from enamelwright.records.schema.pieces import fault_seen
from enamelwright.records.writing import current
from enamelwright.workshop.firing_facts import FiringFacts
from enamelwright.workshop.studio import Studio

#: A jar is told of when chance would single out any of all jars and faults less often; and the fewest loads that may.
STANDS_OUT, FEWEST_FAULTS = 0.05, 2


@dataclass(frozen=True)
class FaultList:
    """The faults of a record.

    Attributes
    ----------
    lines : tuple of Line
        The most frequent first.
    fired, loads : int
        How often pieces were fired, and loads, without those in which something went wrong in the hand.
    by_hand : tuple of (str, int)
        Faults of firings in which something went wrong in the hand, with how many firings of a piece had each.
    hand_firings : int
        How many firings of a piece those were.
    """

    lines: tuple[Line, ...]
    fired: int
    loads: int
    by_hand: tuple[tuple[str, int], ...]
    hand_firings: int


def fault_list(studio: Studio, every: Sequence[FiringFacts]) -> FaultList:
    """List the faults of this record; those of a firing in which something went wrong in the hand stand apart.

    Parameters
    ----------
    studio : Studio
        The studio.
    every : sequence of FiringFacts
        All of them.
    """
    fired = {(one.load, one.piece) for one in every if not one.facts.in_hand}
    by_hand = {(one.load, one.piece) for one in every if one.facts.in_hand}
    seen = _cases(studio)
    cases = [Seen(fault, piece, load) for fault, piece, load in seen if (load, piece) in fired]
    loads = Counter(load for load, _ in fired)
    apart = Counter(fault for fault, _, _ in {case for case in seen if (case[2], case[1]) in by_hand})
    return FaultList(
        pareto(cases, len(fired), len(loads), loads) if fired else (), len(fired), len(loads),
        tuple(apart.most_common()), len(by_hand),
    )  # fmt: skip


def jars_that_stand_out(studio: Studio, every: Sequence[FiringFacts]) -> list[StandsOut]:
    """Return jars in whose loads a fault comes oftener than in others, the surest first; without what the hand did.

    Parameters
    ----------
    studio : Studio
        The studio.
    every : sequence of FiringFacts
        All of them.
    """
    fired: dict[int, set[str]] = defaultdict(set)
    by_case: dict[tuple[int, int], tuple[str, ...]] = {}
    for one in every:
        if one.facts.in_hand:
            continue
        fired[one.load] |= set(one.jars)
        by_case[one.load, one.piece] = one.jars
    with_jar: dict[tuple[str, str], set[int]] = defaultdict(set)
    with_fault: dict[str, set[int]] = defaultdict(set)
    for fault, piece, load in _cases(studio):
        if (load, piece) not in by_case:
            continue
        with_fault[fault].add(load)
        for jar in by_case[load, piece]:
            with_jar[fault, jar].add(load)
    found = []
    for (fault, jar), loads in with_jar.items():
        if len(loads) < FEWEST_FAULTS:
            continue
        having = {load for load, jars in fired.items() if jar in jars}
        others = set(fired) - having
        elsewhere = with_fault[fault] & others
        if len(loads) * len(others) > len(elsewhere) * len(having):  # not oftener, so it cannot stand out
            found.append(stands_out(fault, jar, len(having), len(loads), len(others), len(elsewhere)))
    enough = 1 - STANDS_OUT / max(1, len(with_jar))
    return sorted((one for one in found if one.chance >= enough), key=lambda one: -one.chance)


def _cases(studio: Studio) -> list[tuple[str, int, int]]:
    with studio.reading() as connection:
        rows = connection.execute(
            current(fault_seen, fault_seen.c.fault, fault_seen.c.piece, fault_seen.c.load).where(
                fault_seen.c.load.is_not(None)
            )
        )
        return [(row.fault, row.piece, row.load) for row in rows]
