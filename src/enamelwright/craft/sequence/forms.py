"""The words for a piece that is no sheet: a bead, ring or casting has no front and back."""

from __future__ import annotations

import re

from enamelwright.craft.layup import Layup
from enamelwright.craft.operation import Firing, Operation
from enamelwright.craft.verdict import Advice

#: What a maker calls the two sides of each form.
_SIDES = {
    "bead": {"front": "outside", "back": "inside"},
    "ring": {"front": "outside", "back": "inside"},
    "casting": {"front": "enamelled side", "back": "other side"},
}
_PAIRS = (
    (r"\bfront and back\b", "all over"),
    (r"\b([Bb])oth (faces|sides)\b", r"\1oth sides"),
)


def spoken(text: str, layup: Layup) -> str:
    """Return words said of a sheet as they are said of this form; a sheet keeps its words.

    Parameters
    ----------
    text : str
        Words for the bench.
    layup : Layup
        The piece.
    """
    sides = _SIDES.get(layup.piece.form)
    if sides is None:
        return text
    for pattern, said in _PAIRS:
        text = re.sub(pattern, said, text)
    names = [layer.jar.name for layer in layup.layers]
    # A jar may be called by one of the words; its name is left alone.
    kept = "|".join(sorted((re.escape(name) for name in names), key=len, reverse=True))
    # Only after these words are they sides: glass also draws back, and a piece is put back in.
    side = r"(?<=[Tt]he )(front|back)\b|(?<=bare )(front|back)\b|(?<=dry )(front|back)\b|^(front|back)\b"
    found = re.compile(f"{kept}|{side}" if kept else side)
    return found.sub(lambda match: sides[match[match.lastindex]] if match.lastindex else match[0], text)


def spoken_steps(steps: list[Operation], layup: Layup) -> list[Operation]:
    """Return operations in the words of the form."""
    if layup.piece.form not in _SIDES:
        return steps
    return [
        step.model_copy(update={"words": spoken(step.words, layup), "why": spoken(step.why, layup)}) for step in steps
    ]


def spoken_firings(firings: list[Firing], layup: Layup) -> list[Firing]:
    """Return firings in the words of the form."""
    if layup.piece.form not in _SIDES:
        return firings
    return [
        firing.model_copy(update={name: spoken(getattr(firing, name), layup) for name in ("words", "why", "rests_on")})
        for firing in firings
    ]


def spoken_advice(lines: list[Advice], layup: Layup) -> list[Advice]:
    """Return advice in the words of the form."""
    return [line.model_copy(update={"words": spoken(line.words, layup)}) for line in lines]


def once(steps: list[Operation]) -> list[Operation]:
    """Give each reason where it first comes up and not again, so that a long job can be read.

    Parameters
    ----------
    steps : list of Operation
        In order.
    """
    seen: set[str] = set()
    result = []
    for step in steps:
        result.append(step.model_copy(update={"why": ""}) if step.why in seen else step)
        seen.add(step.why)
    return result
