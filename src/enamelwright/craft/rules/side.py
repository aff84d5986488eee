"""Which side first: one advice line, the first custom that fits and that the plan follows."""

from __future__ import annotations

from collections.abc import Iterator

from enamelwright.craft.piece import PAINTED
from enamelwright.craft.rules.book import Finding, rule
from enamelwright.craft.rules.case import Case
from enamelwright.craft.rules.depth import EDGE, mm
from enamelwright.craft.verdict import Place
from enamelwright.reference.loader import value


def _custom(case: Case) -> tuple[str, str, str] | None:
    """Return (rule, side loaded first, fact) of the first custom that fits; None for forms without faces."""
    front, back = case.layup.on("front"), case.layup.on("back")
    if not case.sheet or not front or case.piece.so_far.firings or any(layer.coat.fired for layer in case.layup.layers):
        return None
    if not back:
        little = case.glass_on("front") <= value("trade/counter_bare_ratio") * case.thickness * (1 + EDGE)
        thick = case.thickness >= value("trade/counter_no") * (1 - EDGE)
        if thick and little and len(front) == 1:
            return "SIDE-5", "front", f"{mm(case.thickness)} of metal, one coat"
        return None
    if case.technique in PAINTED:
        return "SIDE-3", "back", "painted work"
    if front[0].jar.kind in {"flux", "transparent"}:
        return "SIDE-1", "front", f"first front coat: {front[0].jar.kind}"
    if case.thickness < value("trade/thin_both_sides") or case.technique == "both_sides":
        return "SIDE-4", "both", f"{mm(case.thickness)} of metal"
    return "SIDE-2", "back", f"first front coat: {front[0].jar.kind}"


def _advise(case: Case, name: str) -> Iterator[Finding]:
    """Give the custom when it fits and the plan's first firing follows it."""
    found = _custom(case)
    if found is not None and found[0] == name and case.firings and case.firings[0].loaded == found[1]:
        yield Finding(because=(found[2],), place=Place(firing=case.firings[0].number))


@rule("SIDE-1")
def front_first(case: Case) -> Iterator[Finding]:
    """Front first, under flux or transparent."""
    yield from _advise(case, "SIDE-1")


@rule("SIDE-2")
def back_first(case: Case) -> Iterator[Finding]:
    """Back first, where nothing else decides."""
    yield from _advise(case, "SIDE-2")


@rule("SIDE-3")
def back_first_and_heavy(case: Case) -> Iterator[Finding]:
    """Back first and heavy, for painted work."""
    yield from _advise(case, "SIDE-3")


@rule("SIDE-4")
def both_sides(case: Case) -> Iterator[Finding]:
    """Both sides at once, on thin metal."""
    yield from _advise(case, "SIDE-4")


@rule("SIDE-5")
def bare_back(case: Case) -> Iterator[Finding]:
    """No back at all, on thick metal with one thin coat."""
    yield from _advise(case, "SIDE-5")
