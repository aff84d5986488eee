"""Everything the words about bow and stress are drawn from."""

from __future__ import annotations

from dataclasses import dataclass

from enamelwright.craft.bench import Bench
from enamelwright.craft.checks.flatness_states import Solved
from enamelwright.craft.coat import Face
from enamelwright.craft.operation import Firing
from enamelwright.craft.piece import PAINTED
from enamelwright.craft.plan import CounterBand, FiringState
from enamelwright.figure import Figure
from enamelwright.physics.fracture import channel_stress
from enamelwright.reference import loader

FACES: tuple[Face, ...] = ("front", "back")


@dataclass(frozen=True)
class Judged:
    """Everything the verdicts look at.

    Parameters
    ----------
    solved : Solved
        Bow and stress.
    states : tuple of FiringState
        The same as figures.
    bench : Bench
        House rules.
    counter : CounterBand or None
        Counter-coats that keep it flat.
    """

    solved: Solved
    states: tuple[FiringState, ...]
    bench: Bench
    counter: CounterBand | None

    @property
    def final(self) -> FiringState:
        """The finished piece."""
        return self.states[-1]

    @property
    def firings(self) -> tuple[Firing, ...]:
        """The planned firings."""
        return self.solved.model.history.firings

    @property
    def painted(self) -> bool:
        """Whether it is painted enamel on thin metal."""
        return self.solved.model.layup.piece.technique in PAINTED

    def outer(self, face: Face, state: FiringState) -> Figure | None:
        """Return the stress of the exposed glass of one face after a firing."""
        mine = {layer.number for layer in self.solved.model.layup.on(face)}
        coats = [coat for coat in state.coats if coat.coat in mine]
        if not coats:
            return None
        return coats[-1].outer if face == "front" else coats[0].outer

    def running(self, face: Face, step: int) -> float:
        """Return the tension at which a crack runs across all the glass of a face [Pa]."""
        history = self.solved.model.history
        glass = sum(history.laminae[n].thickness for n in history.on(face) if history.laminae[n].firing <= step)
        return float(channel_stress(loader.value("glass/toughness"), glass, loader.value("glass/channel_factor")))
