"""What re-firings have shown of each colour: how often it was fired again before it turned."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from enamelwright.learning.heat_budget import Stayed, heat_budget
from enamelwright.records.schema.pieces import fault_seen
from enamelwright.records.writing import current
from enamelwright.workshop.firing_facts import FiringFacts
from enamelwright.workshop.studio import Studio

#: Faults by which a colour shows that it had too much heat.
TURNED = frozenset({"redbrown", "fluxag", "fluxcu", "yellowedge"})


@dataclass(frozen=True)
class HeatBudget:
    """How one jar's colour stood after each re-firing.

    Attributes
    ----------
    jar : str
        Code.
    steps : tuple of Stayed
        From the first re-firing to the last in which any turned.
    """

    jar: str
    steps: tuple[Stayed, ...]


def heat_budgets(studio: Studio, every: Sequence[FiringFacts]) -> list[HeatBudget]:
    """Return what is known of every colour that turned at least once; one that never did has no end to tell.

    A jar counts on a piece from the firing that first melted it there to the one in which the piece showed a turned
    colour, or else to its last. Which of several colours it was is not written down: it is taken for the one laid last,
    as it is the one looked at, and of the others nothing is known any more from then on, so that they count to the
    firing before; so do all when several were laid last. What turned in its very first firing was too hot or lay on
    bare metal: that tells nothing of how often it may be fired again. Nothing is told beyond the last re-firing in
    which any turned.

    Parameters
    ----------
    studio : Studio
        The studio.
    every : sequence of FiringFacts
        Of :func:`enamelwright.workshop.firing_facts.firing_facts`.
    """
    with studio.reading() as connection:
        faults = connection.execute(current(fault_seen)).all()
    bad = {(one.piece, one.load) for one in faults if one.fault in TURNED}
    by_piece: dict[int, list[FiringFacts]] = {}
    for one in sorted(every, key=lambda one: one.at):
        by_piece.setdefault(one.piece, []).append(one)
    found: dict[str, list[tuple[int, bool]]] = {}
    for piece, fired in by_piece.items():
        first: dict[str, int] = {}
        ends: dict[str, tuple[int, bool]] = {}
        for n, one in enumerate(fired):
            for jar in one.jars:
                first.setdefault(jar, n)
            if (piece, one.load) in bad:
                standing = [jar for jar in first if jar not in ends]
                newest = [jar for jar in standing if first[jar] == max(first[other] for other in standing)]
                ends |= {jar: (n, True) if newest == [jar] else (n - 1, False) for jar in standing}
        for jar, begun in first.items():
            end, turned = ends.get(jar, (len(fired) - 1, False))
            if end > begun:
                found.setdefault(jar, []).append((end - begun, turned))
    budgets = []
    for jar, mine in sorted(found.items()):
        last = max((again for again, bad_one in mine if bad_one), default=0)
        if last:
            budgets.append(HeatBudget(jar, tuple(heat_budget(mine)[1 : last + 1])))
    return budgets
