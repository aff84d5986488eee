"""What the piece rests on."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal

from enamelwright.craft.operation import Firing
from enamelwright.craft.piece import OPEN_BACKED, Circle, Ellipse, RoundedRectangle
from enamelwright.craft.rules.book import Finding, rule
from enamelwright.craft.rules.case import Case
from enamelwright.craft.rules.shown import minutes, mm
from enamelwright.craft.verdict import Place
from enamelwright.reference.loader import value

#: Supports that touch the face they carry, not only its rim.
FLAT_SUPPORTS: frozenset[str] = frozenset({"mesh", "plate", "mica"})


def _down(firing: Firing) -> Literal["front", "back"]:
    return "back" if firing.face_up == "front" else "front"


def _wet_below(firing: Firing) -> bool:
    return firing.loaded in {_down(firing), "both"}


@rule("SUPPORT-WET")
def unfired_on_support(case: Case) -> Iterator[Finding]:
    """Find unfired enamel that looks down on to a support which touches it."""
    for firing in case.firings:
        if not _wet_below(firing) or (case.technique in OPEN_BACKED and firing.support == "mica"):
            continue
        if firing.support in FLAT_SUPPORTS or case.piece.firing.contact == "under enamel":
            yield Finding(
                because=(f"firing {firing.number}: the {_down(firing)} is unfired and rests on the {firing.support}",),
                place=Place(face=_down(firing), firing=firing.number),
            )
            return


@rule("SUPPORT-POINT")
def points_under_enamel(case: Case) -> Iterator[Finding]:
    """Find a two-sided piece that rests under its enamel and not at its edge."""
    if case.piece.firing.contact != "under enamel":
        return
    for firing in case.firings:
        earlier = [
            layer
            for layer in case.layup.on(_down(firing))
            if layer.coat.fired or any(layer.number in f.fuses for f in case.firings if f.number < firing.number)
        ]
        if earlier and not _wet_below(firing):
            yield Finding(
                because=(f"firing {firing.number}: the {firing.support} stands under the fired {_down(firing)}",),
                place=Place(face=_down(firing), firing=firing.number),
            )
            return


@rule("SUPPORT-SPAN")
def large_and_unsupported(case: Case) -> Iterator[Finding]:
    """Find a large piece without a support in the middle; when nobody said, advise it at the first firing."""
    span = value("trade/support_span")
    side = smaller_side(case)
    if side > span and case.piece.firing.middle_support is not True:
        yield Finding(
            because=(f"smaller side {mm(side)}, limit {mm(span)}",),
            place=Place(firing=case.firings[0].number if case.firings else 0),
            severity=None if case.piece.firing.middle_support is False else "note",
        )


def smaller_side(case: Case) -> float:
    """Return the smaller side of the piece [m]: from its outline, else area over its longest measure."""
    outline = case.piece.outline
    if isinstance(outline, Circle):
        return outline.diameter
    if isinstance(outline, Ellipse | RoundedRectangle):
        return min(outline.width, outline.height)
    return case.layup.shape.area / case.layup.shape.chord


@rule("COOL-LIFT")
def lifted_hot(case: Case) -> Iterator[Finding]:
    """Find a piece lifted from its support too soon."""
    lift, least = case.piece.firing.lift_after, value("trade/cool_before_lifting")
    if lift is not None and lift < least:
        yield Finding(because=(f"lifted after {minutes(lift)}, least {minutes(least)}",))
