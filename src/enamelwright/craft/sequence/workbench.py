"""What the steps of every firing need to know: the piece, its coats weighed, the studio, the state of its faces."""

from __future__ import annotations

from dataclasses import dataclass, field

from enamelwright.craft.bench import Bench
from enamelwright.craft.coat import Face
from enamelwright.craft.layup import Layup
from enamelwright.craft.plan import CoatWeight


@dataclass
class Workbench:
    """What the steps of every firing need to know.

    Parameters
    ----------
    layup, weights, bench
        The piece, its coats weighed, the studio.
    glassed : set of str
        Faces that carry fired glass at this moment.
    """

    layup: Layup
    weights: tuple[CoatWeight, ...]
    bench: Bench
    glassed: set[Face] = field(default_factory=set)

    @property
    def pickles(self) -> bool:
        """Whether oxide is cleaned in a pickle here."""
        own = self.layup.piece.firing.pickle
        return bool(own if own is not None else self.bench.house.pickle)
