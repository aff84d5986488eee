"""What would have been foretold of firings that a notebook tells of, so that they teach kiln and jars at once.

A notebook knows metal, gauge, jar, setting and what was seen, seldom the size: the ordinary disc stands in for it. Such
a prediction is marked as told afterwards and never counts when it is asked how often bands held.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from enamelwright.craft.bench import Bench
from enamelwright.craft.coat import Coat
from enamelwright.craft.piece import Circle, Piece, Sheet
from enamelwright.craft.window.facts import number
from enamelwright.errors import EnamelwrightError
from enamelwright.workshop.bench import bench
from enamelwright.workshop.predictions import Foretold, figures_of, freeze
from enamelwright.workshop.studio import Studio

#: What of an entry there must be for it to teach, and how a missing one is told.
NEEDED = {
    "metal": "no metal", "thickness": "no gauge", "set_point": "no setting", "seconds": "no time",
    "stage_seen": "neither a stage nor a first gloss",
}  # fmt: skip


@dataclass(frozen=True)
class PastFiring:
    """One firing of a notebook as it was written into the record.

    Attributes
    ----------
    load, piece, firing : int
        Rows, and which firing of the piece it was.
    kiln, jar : str
        Name and code; empty when not known.
    values : dict
        What the notebook says, in SI.
    """

    load: int
    piece: int
    firing: int
    kiln: str
    jar: str
    values: dict[str, Any]

    @property
    def why_not(self) -> str:
        """Why nothing can be foretold of it; empty when it can."""
        if not self.kiln:
            return "no kiln"
        if not self.jar:
            return "no jar of the shelf"
        told = {**self.values}
        if "to_gloss" in told:
            told.setdefault("stage_seen", "gloss")
            told.setdefault("seconds", told["to_gloss"])
        return next((why for key, why in NEEDED.items() if key not in told), "")


def foretell_past(studio: Studio, firings: Sequence[PastFiring]) -> dict[str, int]:
    """Freeze what would have been foretold of each; return why it was not, and of how many.

    Parameters
    ----------
    studio : Studio
        The studio, not within a transaction of its own.
    firings : sequence of PastFiring
        As written.
    """
    known = bench(studio).model_copy(update={"learned_clocks": ()})
    left_out: Counter[str] = Counter()
    found: list[tuple[int, Foretold]] = []
    for one in firings:
        why = one.why_not
        if not why:
            try:
                found.append((one.load, _foretold(one, known)))
                continue
            except (EnamelwrightError, ValueError) as error:
                why = getattr(error, "message", "not to be described as a disc")
        left_out[why] += 1
    with studio.writing():
        for load, foretold in found:
            freeze(studio, load, [foretold], with_outcome=True)
    return dict(left_out)


def _foretold(one: PastFiring, known: Bench) -> Foretold:
    mesh = {"mesh": one.values["mesh"]} if "mesh" in one.values else {}
    piece = Piece(
        name="ordinary disc",
        metal=Sheet(kind=one.values["metal"], thickness=one.values["thickness"]),
        outline=Circle(shape="circle", diameter=number("base_diameter")),
        coats=(Coat(face="front", jar=one.jar, **mesh),),
    )
    told: dict[str, Any] = {key: one.values[key] for key in ("set_point", "support") if key in one.values}
    figures = figures_of(piece, known, one.kiln, told)
    asked = {"piece": piece.to_outside(), "firing": 1, "kiln": one.kiln, "settings": told}
    return Foretold(one.piece, None, one.firing, asked, figures, known.revision)
