"""The bench card: one piece on one A6 page, everything needed at the table, and its steps on a second."""

from __future__ import annotations

from typing import Any

from enamelwright import units
from enamelwright.cards import words
from enamelwright.cards.press import press
from enamelwright.cards.qr import qr_svg
from enamelwright.cards.steps import steps_data
from enamelwright.craft.bench import Bench
from enamelwright.craft.laying import shape_of
from enamelwright.craft.metal import metal
from enamelwright.craft.outline_shape import Shape
from enamelwright.craft.piece import Drawing, SurfaceArea, WeighedBlank
from enamelwright.craft.plan import CoatWeight, Plan
from enamelwright.craft.verdict import Verdict
from enamelwright.errors import EnamelwrightError
from enamelwright.pictures import section
from enamelwright.pictures.lights import LEVEL_WORDS
from enamelwright.pictures.plan_view import plan_view_svg
from enamelwright.pictures.stack import CoatLook, looks

TEMPLATE = "bench_card.typ"
# How much a card takes before it says "and more".
VERDICTS = 3
SECTION_WIDTH, SECTION_BODY = 91.0, 17.0
VIEW, VIEW_WIDE = 15.0, 22.0
LONGEST_JAR = 56
#: Signs the words and the remedy of a verdict may take, tried from the longest down until the card fits.
LENGTHS = ((260, 260), (170, 150), (110, 0))
#: Signs a caution may take at each of these lengths.
CAUTIONS = (210, 150, 120)
#: How a caution about what the piece is for begins; it leads on the card.
FOR_USE = ("Food", "For a child")
#: Coats from which the card is tight.
MANY_COATS = 5
#: Rows beyond which a coat table would crowd the card; the rest stand in the plan.
MOST_ROWS = 9
FACES = {"front": "Front", "back": "Back", "metal": "Metal", "rim": "Rim", "": "Whole piece"}


def bench_card(plan: Plan, number: str = "", bench: Bench | None = None, shape: Shape | None = None) -> bytes:
    """Set the bench card of one piece.

    Parameters
    ----------
    plan : Plan
        The plan.
    number : str
        The piece's number; its QR code is printed when there is one.
    bench : Bench, optional
        Where jars are looked up that the piece file does not carry.
    shape : Shape, optional
        The outline; drawn small when given, or when the piece file says it without a drawing.

    Returns
    -------
    bytes
        A PDF of A6 pages, the card and then the steps in order; byte-identical for identical input.
    """
    return press(TEMPLATE, bench_card_data(plan, number, bench, shape))


def bench_card_data(
    plan: Plan, number: str = "", bench: Bench | None = None, shape: Shape | None = None
) -> dict[str, Any]:
    """Gather what the template prints."""
    outline = shape or _outline(plan)
    coats = looks(plan, None, bench)
    weights = {weight.coat: weight for weight in plan.weights}
    rows = [_row(plan, coat, weights[coat.number]) for coat in coats]
    front = [row for row, coat in zip(rows, coats, strict=True) if coat.face == "front"][::-1]
    back = [row for row, coat in zip(rows, coats, strict=True) if coat.face == "back"]
    front, back = _thinned(front, back)
    shown = _leading(plan)
    return {
        "title": words.plain(f"Bench card: {plan.piece.name}"),
        "number": words.plain(number, 24),
        "name": words.plain(plan.piece.name),
        "technique": words.plain(_size(plan, outline)),
        "qr": qr_svg(number) if number else None,
        "view": None if outline is None else _view(outline, plan.piece.name),
        "view-words": f"{words.plain(plan.piece.name)}, seen from the front",
        "invented": plan.piece.invented,
        "section": section.section_svg(
            plan, None, SECTION_WIDTH, "paper", bench=bench, body_mm=SECTION_BODY, caption=False
        ),
        "section_words": section.finding(plan, None, bench),
        "scale": words.whole_or_cut(_scale(plan, bench), 160),
        "tight": len(rows) >= MANY_COATS,
        "front": front,
        "back": back,
        "metal": words.plain(_metal(plan)),
        "verdicts": [[_verdict(verdict, *longest) for verdict in shown] for longest in LENGTHS],
        "caution": [_cautions(plan, longest) for longest in CAUTIONS],
        "steps": steps_data(plan),
        "foot": words.plain(_foot(plan, shown)),
    }


def _outline(plan: Plan) -> Shape | None:
    """Return the outline when the piece file is enough to know it."""
    piece = plan.piece
    if piece.form != "sheet" or isinstance(piece.outline, Drawing | WeighedBlank | SurfaceArea):
        return None
    try:
        return shape_of(piece, metal(piece.metal.kind))
    except EnamelwrightError:
        return None


def _view(outline: Shape, name: str) -> dict[str, Any]:
    """Draw the plan view as wide as its outline asks for."""
    wide = max(VIEW / 2, min(VIEW_WIDE, VIEW * outline.width / outline.height))
    return {
        "svg": plan_view_svg(outline, wide, VIEW, "paper", name=name, names=False, measure=False),
        "width": wide,
    }


def _row(plan: Plan, look: CoatLook, weight: CoatWeight) -> dict[str, str]:
    coat = plan.piece.coats[weight.coat]
    level = coat.fill == "to level"
    facts = []
    filled = level and weight.layings > 1 and weight.weighable
    if filled:
        facts.append(f"{weight.layings} fills, first takes most")
    elif weight.layings > 1:
        facts.append(f"{weight.layings} times")
    if coat.cells:
        facts.append("in " + ", ".join(coat.cells))
    if coat.method != "sift":
        facts.append(coat.method)
    if coat.mesh:
        facts.append(f"mesh {coat.mesh}")
    if coat.hold is not None and coat.hold.kind != "none":
        facts.append(coat.hold.kind + (f" 1 : {1 / coat.hold.ratio:.3g} water" if coat.hold.ratio else ""))
    each = " each" if plan.piece.copies > 1 else ""
    if filled:
        # A fill's own weight would mislead: the first takes far more than the later ones.
        weigh = words.grams(weight.to_weigh, weight.layings) + (f"{each}, in all" if each else " in all")
    elif weight.weighable:
        weigh = words.grams(weight.to_weigh) + each
    else:
        weigh = "to level" if level else "by eye"
    powder = "flush" if level else words.millimetres(weight.powder_depth.value)
    return {
        "key": look.key,
        "name": words.plain(look.name, LONGEST_JAR),
        "how": ", ".join(words.together(words.plain(fact, LONGEST_JAR)) for fact in facts),
        "weigh": weigh,
        "powder": powder,
        "fired": words.millimetres(look.thickness),
    }


def _thinned(
    front: list[dict[str, str]], back: list[dict[str, str]]
) -> tuple[list[dict[str, str]], list[dict[str, str]]]:
    """Keep the rows a card can carry, and say how many are left out."""
    over = len(front) + len(back) - MOST_ROWS
    if over <= 0:
        return front, back
    longer, other = (front, back) if len(front) >= len(back) else (back, front)
    other = other[: MOST_ROWS // 2]
    keep = MOST_ROWS - len(other) - 1
    left_out = len(longer) - keep
    note = {
        "key": "…",
        "name": f"and {left_out} more coats: see the plan",
        "how": "",
        "weigh": "",
        "powder": "",
        "fired": "",
    }
    kept = [*longer[: keep // 2], note, *longer[len(longer) - (keep - keep // 2) :]]
    return (kept, other) if longer is front else (other, kept)


def _size(plan: Plan, outline: Shape | None) -> str:
    piece = plan.piece
    parts = []
    if piece.technique:
        parts.append(words.TECHNIQUES[piece.technique])
    if outline is None or outline.is_round:
        parts.append(f"{_whole(plan.chord)} mm across")
    else:
        parts.append(f"{_whole(outline.width)} × {_whole(outline.height)} mm")
    parts.append(f"{units.from_si(plan.area, 'cm2', 'area'):.1f} cm² a face")
    if piece.copies > 1:
        parts.append(f"{piece.copies} copies")
    return " · ".join(parts)


def _whole(value: float) -> str:
    """Write a length [m] in millimetres, with a decimal only where it has one."""
    return f"{round(units.from_si(value, 'mm', 'length'), 1):g}"


def _metal(plan: Plan) -> str:
    sheet = plan.piece.metal
    parts = [plan.metal_name]
    if sheet.thickness is not None:
        parts.append(words.millimetres(sheet.thickness))
    if plan.piece.dome:
        side = "high" if plan.piece.dome > 0 else "low"
        parts.append(f"dome {abs(units.from_si(plan.piece.dome, 'mm', 'length')):.1f} mm {side}")
    if plan.piece.recess is not None:
        parts.append(f"recess {words.millimetres(plan.piece.recess.depth)}")
    for wires in plan.piece.wires:
        parts.append(f"wire {words.millimetres(wires.height)} high")
    return "M  " + " · ".join(parts[:4])


def _scale(plan: Plan, bench: Bench | None) -> str:
    scale = section.scale_words(plan, None, SECTION_WIDTH, bench=bench, body_mm=SECTION_BODY)
    return f"{scale} {section.bow_words(plan)}"


def _leading(plan: Plan) -> list[Verdict]:
    """The verdicts that lead, told by face: front, metal, back, rim, whole."""
    order = ["front", "metal", "back", "rim", ""]
    return sorted(plan.leading[:VERDICTS], key=lambda verdict: order.index(verdict.place.face))


def _cautions(plan: Plan, longest: int) -> list[str]:
    """Return what the piece's use asks for, then the standing caution that matters most."""
    use = [caution for caution in plan.cautions if caution.startswith(FOR_USE)]
    other = [caution for caution in plan.cautions if not caution.startswith(FOR_USE)]
    return [words.shortened(caution, longest) for caution in [*use, *other[:1]]]


def _verdict(verdict: Verdict, longest: int, remedy_longest: int) -> dict[str, str]:
    said = words.whole_or_cut(verdict.words, longest)
    # A bare ratio means nothing at the table; and the figure is the first to go when room is short.
    if verdict.figure is not None and verdict.figure.dimension != "ratio" and longest == LENGTHS[0][0]:
        said = f"{said.rstrip('.')} ({words.plain(words.likely(verdict.figure))})."
    if verdict.intended:
        remedy = words.whole_or_cut(f"Intended: {verdict.intended}", longest)
    else:
        remedy = words.sentences(verdict.remedy, remedy_longest) if remedy_longest else ""
    return {
        "level": verdict.level,
        "word": LEVEL_WORDS[verdict.level],
        "face": FACES[verdict.place.face] + ":",
        "words": said,
        "remedy": remedy,
    }


def _foot(plan: Plan, shown: list[Verdict]) -> str:
    parts = [f"{len(plan.firings)} firings" if len(plan.firings) != 1 else "1 firing"]
    if any(firing.window and firing.window.status == "practice" for firing in plan.firings):
        parts.append("settings from common practice, not yet your kiln’s")
    more = sum(1 for verdict in plan.verdicts if verdict.counts) - sum(1 for verdict in shown if verdict.counts)
    if more > 0:
        parts.append(f"{more} more to read in the plan")
    return " · ".join(parts)
