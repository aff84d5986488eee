"""What do I do with this piece, coat by coat and firing by firing?"""

from __future__ import annotations

from enamelwright.craft.bench import Bench
from enamelwright.craft.outline_shape import Shape
from enamelwright.craft.piece import Piece
from enamelwright.craft.plan import Plan
from enamelwright.craft.planner import FIRST_BAND, make_plan
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import Question, engine


def answer(piece: Piece, bench: Bench, drawn: Shape | None = None, draws: int = FIRST_BAND) -> Answer[Plan]:
    """Plan one piece.

    Parameters
    ----------
    piece : Piece
        As described.
    bench : Bench
        What is known of the studio.
    drawn : Shape, optional
        Outline drawing, already read.
    draws : int
        Draws behind the bands.
    """
    plan = make_plan(piece, bench, drawn, draws)
    sources = dict.fromkeys(source for verdict in plan.verdicts for source in verdict.sources)
    sources.update(dict.fromkeys(s for firing in plan.firings if firing.window for s in firing.window.sources))
    assumed = dict.fromkeys(f"{weight.jar_name}: {weight.how}" for weight in plan.weights if "no amount" in weight.how)
    fired = dict.fromkeys(words for firing in plan.firings if firing.window for words in firing.window.assumptions)
    return Answer[Plan](
        question="plan",
        payload=plan,
        because=tuple(f"{firing.number}: {firing.why}" for firing in plan.firings if firing.why),
        sources=tuple(sources),
        assumptions=(*assumed, *fired, *plan.flatness.limits),
        cautions=plan.cautions,
        engine=engine(),
        bench=bench.revision,
    )


QUESTION = Question(
    name="plan",
    words="What do I do with this piece, coat by coat and firing by firing?",
    input=Piece,
    output=Plan,
    answer=answer,
    example={
        "name": "copper disc",
        "technique": "sift_opaque",
        "metal": {"kind": "copper", "thickness_mm": 1.0},
        "outline": {"shape": "circle", "diameter_mm": 25},
        "coats": [
            {"face": "back", "jar": "lead_free_opaque_titania_medium", "powder_depth_mm": 0.5},
            {"face": "front", "jar": "lead_free_opaque_titania_medium", "powder_depth_mm": 0.5},
        ],
    },
)
