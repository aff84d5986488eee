"""As much of a plan as a small picture needs: what lies where and how thick; nothing is fired or judged."""

from __future__ import annotations

from enamelwright.craft.bench import Bench
from enamelwright.craft.laying import lay_up
from enamelwright.craft.outline_shape import Shape
from enamelwright.craft.piece import Piece
from enamelwright.craft.plan import Flatness, Plan
from enamelwright.craft.weights import weigh


def sketch(piece: Piece, bench: Bench | None = None, drawn: Shape | None = None) -> Plan:
    """Return a plan without firings, verdicts and bow, for lists of many pieces.

    Parameters
    ----------
    piece : Piece
        As described.
    bench : Bench, optional
        What is known of the studio; reference tables only when left out.
    drawn : Shape, optional
        The outline drawing, already read, when the outline is one.

    Returns
    -------
    Plan
        Its weights are those of the whole plan; nothing else should be told from it.

    Raises
    ------
    InputError
        One sentence naming the field and the remedy.
    """
    studio = bench if bench is not None else Bench.starter()
    layup = lay_up(piece, studio, drawn)
    return Plan(
        piece=piece,
        area=layup.shape.area * layup.shape.dome_area_factor(piece.dome),
        chord=layup.shape.chord,
        metal_mass=None,
        metal_name=layup.metal.name,
        weights=weigh(layup, studio),
        operations=(),
        firings=(),
        flatness=Flatness(reach="not applicable", why="a sketch"),
        verdicts=(),
        advice=(),
        totals=(),
        cautions=(),
    )
