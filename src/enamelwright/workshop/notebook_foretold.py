"""What would have been foretold of firings that a notebook tells of, so that they teach kiln and jars at once.

A notebook knows metal, gauge, jar, setting and what was seen, seldom the size: then the ordinary disc stands in. Such
a prediction is marked as told afterwards and never counts when it is asked how often bands held.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from enamelwright.craft.bench import Bench
from enamelwright.craft.coat import Coat
from enamelwright.craft.piece import Circle, Piece, Sheet
from enamelwright.craft.window.facts import number
from enamelwright.errors import EnamelwrightError
from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.schema.loads import prediction
from enamelwright.records.writing import current
from enamelwright.workshop.bench import bench
from enamelwright.workshop.predictions import Foretold, figures_of, freeze
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.unforetold import missing


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
        return lacks({**self.values, "kiln": self.kiln, "jar": self.jar})


def lacks(values: Mapping[str, Any]) -> str:
    """Say what a row of a notebook lacks to teach; empty when it lacks nothing.

    Parameters
    ----------
    values : mapping
        What the row says, by the names of our record.
    """
    told = dict(values)
    if "to_gloss" in told:
        told.setdefault("stage_seen", "gloss")
        told.setdefault("seconds", told["to_gloss"])
    return missing(told)


def foretell_past(studio: Studio, firings: Sequence[PastFiring]) -> tuple[int, dict[str, int]]:
    """Freeze what would have been foretold of each that has nothing yet; return of how many, and why not of others.

    However often it is asked, and wherever it was cut off before, each is foretold once.

    Parameters
    ----------
    studio : Studio
        The studio, not within a transaction of its own.
    firings : sequence of PastFiring
        As written.
    """
    open_still = _unforetold(studio, firings)
    if not open_still:
        return 0, {}
    known = bench(studio).model_copy(update={"learned_clocks": ()})
    left_out: Counter[str] = Counter()
    found: list[tuple[int, Foretold]] = []
    for one in open_still:
        why = one.why_not
        if not why:
            try:
                found.append((one.load, _foretold(one, known)))
                continue
            except (EnamelwrightError, ValueError) as error:
                why = getattr(error, "message", "not to be described as a disc")
        left_out[why] += 1
    done = 0
    with studio.writing():
        again = {one.load for one in _unforetold(studio, firings)}  # another may have done it meanwhile
        for load, foretold in found:
            done += freeze(studio, load, [foretold], with_outcome=True) if load in again else 0
    return done, dict(left_out)


def _unforetold(studio: Studio, firings: Sequence[PastFiring]) -> list[PastFiring]:
    """Return the firings that still stand in the record and have nothing foretold."""
    if not firings:
        return []
    with studio.reading() as connection:
        told = {
            (row.load, row.piece)
            for row in connection.execute(current(prediction, prediction.c.load, prediction.c.piece))
        }
        stand = {row.of for row in connection.execute(current(load_table, load_table.c.id))}
    return [one for one in firings if one.load in stand and (one.load, one.piece) not in told]


def _foretold(one: PastFiring, known: Bench) -> Foretold:
    mesh = {"mesh": one.values["mesh"]} if "mesh" in one.values else {}
    piece = Piece(
        name="ordinary disc",
        metal=Sheet(kind=one.values["metal"], thickness=one.values["thickness"]),
        outline=Circle(shape="circle", diameter=one.values.get("diameter") or number("base_diameter")),
        coats=(Coat(face="front", jar=one.jar, **mesh),),
    )
    told: dict[str, Any] = {key: one.values[key] for key in ("set_point", "support") if key in one.values}
    figures = figures_of(piece, known, one.kiln, told)
    asked = {"piece": piece.to_outside(), "firing": 1, "kiln": one.kiln, "settings": told}
    return Foretold(one.piece, None, one.firing, asked, figures, known.revision)
