"""The back of the piece: whether it needs enamel, how much, and where none is possible."""

from __future__ import annotations

from collections.abc import Iterator

from enamelwright.craft.operation import Firing
from enamelwright.craft.piece import CELLED, OPEN_BACKED, PAINTED
from enamelwright.craft.rules.book import Finding, rule
from enamelwright.craft.rules.case import Case
from enamelwright.craft.rules.depth import EDGE
from enamelwright.craft.rules.shown import mm, two_digits
from enamelwright.craft.verdict import Place
from enamelwright.figure import Figure, Origin
from enamelwright.reference import loader
from enamelwright.reference.loader import value

_OPTIONAL = "Metal of this thickness usually gets counter-enamel; this technique leaves it to you."
_LOOK = "Look at the predicted bow."
_NO_BOW = "Bow is not worked out for {what}: make a test piece."
#: Techniques that cut into the metal.
_RECESSED = frozenset({"champleve", "basse_taille"})
_COMPUTED = Origin(kind="computed", source="glass of one face over the other")


def _bare_back(case: Case) -> bool:
    """Whether a sheet enamelled in front has, and could have, glass on its back but does not."""
    return (
        case.sheet and bool(case.layup.on("front")) and not case.layup.on("back") and case.technique not in OPEN_BACKED
    )


def custom(technique: str) -> str:
    """Return what the table of techniques says of the counter-enamel; ``yes`` where none is named."""
    for row in loader.rows("trade/techniques"):
        if row["technique_id"] == technique:
            return row["counter"]
    return "yes"


def _not_worked_out(case: Case) -> str:
    """Return what to do where the stress model does not reach; empty where it does."""
    if case.flatness.reach != "not applicable":
        return ""
    recessed = case.piece.recess is not None or case.technique in _RECESSED
    return _NO_BOW.format(what="recessed work" if recessed else "this piece")


def _left_open(case: Case) -> str:
    """Return the words for a technique that leaves the back to the maker; empty for the others."""
    return f"{_OPTIONAL} {_not_worked_out(case) or _LOOK}" if custom(case.technique) == "optional" else ""


def _facts(case: Case) -> tuple[str, ...]:
    return (f"{mm(case.thickness)} of metal, nothing on the back", f"{mm(case.deepest('front'))} of glass in front")


def _ratio(case: Case) -> float:
    return case.deepest("front") / case.thickness


@rule("COUNTER-NEED")
def thin_and_bare(case: Case) -> Iterator[Finding]:
    """Find thin metal without counter-enamel; where the technique leaves it open, only advise."""
    if _bare_back(case) and case.thickness <= value("trade/counter_yes") * (1 + EDGE):
        yield Finding(
            because=_facts(case),
            place=Place(face="back"),
            severity="note" if _left_open(case) else None,
            words=_left_open(case),
        )


@rule("COUNTER-MAYBE")
def middling_and_bare(case: Case) -> Iterator[Finding]:
    """Find metal of middling thickness without counter-enamel."""
    thin, thick = value("trade/counter_yes") * (1 + EDGE), value("trade/counter_no")
    if _bare_back(case) and thin < case.thickness < thick * (1 - EDGE):
        yield Finding(
            because=_facts(case),
            place=Place(face="back"),
            severity="note" if _left_open(case) else None,
            words=_left_open(case),
            remedy=_not_worked_out(case),
        )


def _thick_and_bare(case: Case) -> bool:
    return _bare_back(case) and case.thickness >= value("trade/counter_no") * (1 - EDGE)


@rule("COUNTER-BARE")
def thick_and_bare(case: Case) -> Iterator[Finding]:
    """Say that a bare back is usual on thick metal with little glass, and where that misleads."""
    if _thick_and_bare(case) and _ratio(case) <= value("trade/counter_bare_ratio") * (1 + EDGE):
        yield Finding(because=_facts(case), place=Place(face="back"))


@rule("COUNTER-BARE-HI")
def thick_bare_much_glass(case: Case) -> Iterator[Finding]:
    """Find a bare back under more glass than custom allows."""
    most = value("trade/counter_bare_ratio")
    if _thick_and_bare(case) and _ratio(case) > most * (1 + EDGE):
        ratio = _ratio(case)
        yield Finding(
            because=(*_facts(case), f"glass over metal {two_digits(ratio):g}, custom stops at {most:g}"),
            place=Place(face="back"),
            figure=Figure.exact(two_digits(ratio), "ratio", Origin(kind="computed", source="glass over metal")),
        )


@rule("PLIQUE")
def no_back_face(case: Case) -> Iterator[Finding]:
    """Find counter-enamel on open work, which has no back face."""
    back = case.layup.on("back")
    if case.technique in OPEN_BACKED and back:
        yield Finding(
            because=(f"{back[0].words} on open cells",),
            place=Place(face="back", coats=tuple(layer.number for layer in back)),
        )


def _laid(case: Case, firing: Firing) -> dict[str, tuple[float, float, float]]:
    """Glass on each face after a firing [m], spread evenly: likely, least and most by the depth of its powder.

    Packing is common to all coats of a hand, so only the depths tell the faces apart.
    """
    done = {"front": (0.0, 0.0, 0.0), "back": (0.0, 0.0, 0.0)}
    for layer in case.layup.layers:
        rounds = case.laid_in(layer)
        share = sum(number <= firing.number for number in rounds) / len(rounds) if rounds else 1.0
        glass, depth = case.glass(layer, share), case.weight(layer).powder_depth
        more = (glass, glass * depth.low / depth.value, glass * depth.high / depth.value)
        likely, least, most = (old + new for old, new in zip(done[layer.coat.face], more, strict=True))
        done[layer.coat.face] = (likely, least, most)
    return done


@rule("BALANCE")
def faces_out_of_balance(case: Case) -> Iterator[Finding]:
    """Find the worst firing after which two enamelled faces carry very different glass.

    One-sided firings on the way are ordinary and are judged by the computed bow instead; here speak
    only the last firing and those after which a later step needs the piece flat.
    """
    exempt = case.technique in PAINTED | CELLED | OPEN_BACKED
    if exempt or not case.sheet or case.thickness >= value("trade/counter_no") or not case.firings:
        return
    most = value("trade/balance_ratio")
    worst: tuple[float, int, float, float] | None = None
    for firing in case.firings:
        if firing.number != case.firings[-1].number and not firing.needs_flat:
            continue
        laid = _laid(case, firing)
        light, loaded = sorted(laid.values())
        if light[0] <= 0 or loaded[1] / light[2] <= most * (1 + EDGE):
            continue
        if worst is None or loaded[0] / light[0] > worst[0]:
            worst = (loaded[0] / light[0], firing.number, laid["front"][0], laid["back"][0])
    if worst is not None:
        ratio, number, front, back = worst
        heavy = "front" if front > back else "back"
        yield Finding(
            because=(
                f"front {mm(front)}, back {mm(back)} of glass",
                f"the {heavy} carries {two_digits(ratio):g} times the other; custom stops at {most:g}",
            ),
            place=Place(face="back" if heavy == "front" else "front", firing=number),
            figure=Figure.exact(two_digits(ratio), "ratio", _COMPUTED),
        )


@rule("BACK-RATIO")
def back_to_front(case: Case) -> Iterator[Finding]:
    """Advise when the first back coat is outside what houses lay for the first front coat."""
    front, back = case.layup.on("front"), case.layup.on("back")
    if not (front and back) or case.technique in PAINTED | CELLED or not case.sheet:
        return
    stated = {"weight", "powder_depth", "fired_thickness", "siftings"}
    if front[0].coat.amount_words not in stated or back[0].coat.amount_words not in stated:
        return
    house = case.bench.house.back_to_front
    low = min(value("trade/back_to_front_low"), house or value("trade/back_to_front_low"))
    high = max(value("trade/back_to_front_high"), house or value("trade/back_to_front_high"))
    ratio = case.weight(back[0]).powder_depth.value / case.weight(front[0]).powder_depth.value
    if not low * (1 - EDGE) <= ratio <= high * (1 + EDGE):
        yield Finding(
            because=(f"the back is laid {two_digits(ratio):g} times as deep as the first front coat",),
            place=Place(face="back", coats=(back[0].number,)),
        )


@rule("WARP-BACK")
def counter_for_a_bent_piece(case: Case) -> Iterator[Finding]:
    """Find counter-enamel laid on a piece that is bent, or that was fired on one side and not measured since."""
    so_far = case.piece.so_far
    coming = [layer for layer in case.layup.on("back") if not layer.coat.fired]
    if not coming or so_far.pressed_flat:
        return
    if so_far.bow:
        facts: tuple[str, ...] = (f"bow measured {mm(so_far.bow)}",)
    elif so_far.bow is None and _one_sided_before(case):
        facts = ("front fired before, nothing fired on the back", "the bow has not been measured")
    else:
        return
    yield Finding(because=facts, place=Place(face="back", coats=(coming[0].number,)))


def _one_sided_before(case: Case) -> bool:
    """Whether sheet thin enough to bend has fired glass in front and none on the back."""
    thin = case.sheet and case.thickness < value("trade/counter_no") * (1 - EDGE)
    fired = {layer.coat.face for layer in case.layup.layers if layer.coat.fired}
    return thin and fired == {"front"} and not case.piece.firing.press_flat
