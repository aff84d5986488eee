"""What the pages of one piece show: foretold beside happened, what to do next, and its colours in words."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from markupsafe import Markup
from sqlalchemy import Row

from enamelwright.craft.operation import Window
from enamelwright.craft.plan import Plan
from enamelwright.errors import EnamelwrightError
from enamelwright.figure import Figure
from enamelwright.pictures.time_line import NARROW, WIDE, time_line_svg
from enamelwright.web.drawings import lit
from enamelwright.web.sections import IN_WORK
from enamelwright.web.viewer import degrees
from enamelwright.workshop import differs as differing
from enamelwright.workshop import listing
from enamelwright.workshop.faults import fault_name
from enamelwright.workshop.firings import firings_of, open_load_of
from enamelwright.workshop.plan_firings import next_firings, order_of
from enamelwright.workshop.studio import Studio

#: Faults offered at once before the others are opened.
FIRST_CHIPS = 8
_MINUTE = 60
#: What a firing's line for the bench says it is fired to.
_AIM = re.compile(r",? (?:just )?to (?:sugar|orange peel|gloss|cleared)$")


def minutes(seconds: float | None) -> str:
    """Write a time in the kiln as its clock shows it; a dash when it is not known."""
    if seconds is None:
        return "-"
    whole = round(seconds)
    return f"{whole // _MINUTE}:{whole % _MINUTE:02d}"


def between(figure: Figure | None) -> str:
    """Write a span of time in the kiln."""
    if figure is None:
        return "not known"
    low, high = minutes(figure.low), minutes(figure.high)
    return low if low == high else f"{low} to {high}"


@dataclass(frozen=True)
class Foretold:
    """A window in bench words.

    Parameters
    ----------
    heat : str
        What to set, on both scales.
    time : str
        When the stage aimed at shows.
    start : str
        What the time is counted from.
    target : str
        Stage to stop at.
    looks : str
        When to look.
    because, sources : tuple of str
        Why.
    """

    heat: str
    time: str
    start: str
    target: str
    looks: str
    because: tuple[str, ...]
    sources: tuple[str, ...]


@dataclass(frozen=True)
class Told:
    """One firing of a piece: planned, happened, or both.

    Parameters
    ----------
    number : int
        Over the life of the piece.
    words : str
        What it is for.
    foretold : Foretold or None
        The window, frozen when it went in, else of the plan.
    frozen : bool
        Whether it was frozen before the outcome was seen.
    picture : Markup or None
        Its stages along a line of time.
    happened : Row or None
        The load, with what differs for this piece.
    stage, time, heat, gloss : str
        What happened, in words.
    match : str
        How the two agree: ``inside``, ``sooner``, ``later``, or empty.
    looks : tuple of str
        Each look in words.
    again : bool
        Whether the same firing had happened before.
    """

    number: int
    words: str
    foretold: Foretold | None
    frozen: bool
    picture: Any
    happened: Row[Any] | None
    stage: str = ""
    time: str = ""
    heat: str = ""
    gloss: str = ""
    match: str = ""
    looks: tuple[str, ...] = ()
    again: bool = False


def foretold(window: Window | None, target: str) -> Foretold | None:
    """Say a window in bench words; None without one."""
    if window is None:
        return None
    heat = degrees(window.set_point.value) if window.set_point is not None else "no thermometer"
    start = "from closing the door" if window.start == "load" else "from back up to heat"
    looks = window.looks.words if window.looks is not None else ""
    return Foretold(heat, between(window.seconds), start, target, looks, window.because, window.sources)


def firings(studio: Studio, piece: Row[Any], plan: Plan | None) -> list[Told]:
    """List the firings of a piece: those to come, the next first, then those that happened, the last first.

    Parameters
    ----------
    studio : Studio
        The studio.
    piece : Row
        The piece.
    plan : Plan or None
        Its plan, when there is one.
    """
    done: dict[int, list[Row[Any]]] = {}  # one without a new coat is the same firing of the plan once more
    for row in firings_of(studio, piece.id):
        if row.firing is not None:
            done.setdefault(int(row.firing), []).append(row)
    planned = {firing.number: firing for firing in plan.firings} if plan is not None else {}
    passed: frozenset[int] = frozenset()
    if plan is not None:
        passed = next_firings(studio, [piece.id])[piece.id].past.through(order_of(plan)).done
    coming = [n for n in planned if n not in done and n not in passed] if piece.state in IN_WORK else []
    figures = listing.foretold_of(studio, int(piece.id))
    looks = listing.looks_with(studio, int(piece.id))
    told = []
    for number, happened, again in _in_turn(done, coming):
        frozen = None
        if happened is not None and int(happened.of) in figures:
            frozen = _frozen(figures[int(happened.of)])
        firing = planned.get(number)
        window = frozen[0] if frozen is not None else firing.window if firing is not None and happened is None else None
        target = frozen[1] if frozen is not None else firing.target if firing is not None else ""
        words = frozen[2] if frozen is not None else firing.words if firing is not None else ""
        words = _AIM.sub("", words)  # the aim is said once, beside the window it holds for
        one = _told(number, words, window, target, happened, frozen is not None, looks)
        told.append(replace(one, again=again))
    return told


def _in_turn(done: Mapping[int, list[Row[Any]]], coming: Iterable[int]) -> Iterator[tuple[int, Row[Any] | None, bool]]:
    """Yield those to come, then the others, the last first: number, what happened, whether it had happened before."""
    for number in sorted(coming):
        yield number, None, False
    happened = [(row.at, number, row, n > 0) for number, rows in done.items() for n, row in enumerate(rows)]
    for _, number, row, again in sorted(happened, key=lambda one: one[:2], reverse=True):
        yield number, row, again


def _told(
    number: int, words: str, window: Window | None, target: str, happened: Row[Any] | None, frozen: bool,
    looked: Mapping[int, list[Row[Any]]],
) -> Told:  # fmt: skip
    key = f"line-{number}" if happened is None else f"line-{number}-{happened.of}"
    seen = None
    if happened is not None:
        seen = happened.piece_seconds if happened.piece_seconds is not None else happened.seconds
    lines = [
        (name, time_line_svg(window, "daylight", f"{key}{name[:1]}", happened=seen, measures=measures))
        for name, measures in (("wide", WIDE), ("narrow", NARROW))
        if window is not None
    ]
    picture = Markup("").join(
        Markup('<div class="{}">{}</div>').format(name, lit(line)) for name, line in lines if line
    )
    if happened is None:
        return Told(number, words, foretold(window, target), False, picture, None)
    gloss = happened.piece_to_gloss if happened.piece_to_gloss is not None else happened.to_gloss
    looks = []
    for look in looked.get(int(happened.of), []):
        parts = [minutes(look.seconds), look.stage_seen, look.words, "back in" if look.back_in else None]
        looks.append(", ".join(str(part) for part in parts if part))
    return Told(
        number, words, foretold(window, target), frozen, picture, happened,
        stage=happened.piece_stage or happened.stage_seen or ("" if happened.closed_at else "still in the kiln"),
        time=minutes(seen), heat=degrees(happened.set_point) if happened.set_point is not None else "-",
        gloss=minutes(gloss),
        match=_match(window, gloss if gloss is not None else None), looks=tuple(looks),
    )  # fmt: skip


def _match(window: Window | None, gloss: float | None) -> str:
    """Say how the first gloss that was seen lies against what was foretold."""
    if window is None or window.seconds is None or gloss is None or window.target != "gloss":
        return ""
    if gloss < window.seconds.low:
        return "sooner"
    return "later" if gloss > window.seconds.high else "inside"


def _frozen(figures: Mapping[str, Any]) -> tuple[Window | None, str, str] | None:
    """Read a frozen prediction again; None when an older one cannot be read."""
    firing = figures.get("firing") or {}
    told = firing.get("window")
    try:
        window = Window.model_validate(_without_shown(told)) if told else None
    except ValueError:
        window = None
    return window, str(firing.get("target", "")), str(firing.get("words", ""))


def _without_shown(told: Any) -> Any:
    """Take out the printed form that stands beside each figure."""
    if isinstance(told, Mapping):
        printed = {"shown", "unit"} if "dimension" in told and "low" in told else set()
        return {key: _without_shown(value) for key, value in told.items() if key not in printed}
    return [_without_shown(one) for one in told] if isinstance(told, list) else told


def next_step(plan: Plan, number: int | None) -> tuple[list[str], Foretold | None, int, str]:
    """Return what is to be done before the next firing, its window, its number and what it is for.

    Parameters
    ----------
    plan : Plan
        The plan.
    number : int or None
        The firing it comes to, of :meth:`enamelwright.workshop.plan_firings.NextFiring.to_do`; None when every
        firing is done.
    """
    coming = next((firing for firing in plan.firings if firing.number == number), None)
    if coming is None:
        rest = [step.words for step in plan.operations if step.firing == 0 and step.work in {"finish", "set", "stone"}]
        return rest, None, 0, ""
    steps: list[str] = []
    for step in plan.operations:
        if step.work == "fire" and step.firing == coming.number:
            break
        if step.work == "fire":
            steps = []
        else:
            steps.append(step.words)
    return steps, foretold(coming.window, coming.target), coming.number, coming.words


def chips(
    often: list[str], names: Mapping[str, str], unlikely: frozenset[str] = frozenset()
) -> tuple[list[tuple[str, str]], list[tuple[str, str]]]:
    """Return the faults to tap: those seen here most often first, and all others.

    Parameters
    ----------
    often : list of str
        As kept, the most often seen first.
    names : mapping of str to str
        Every fault the product knows, by id.
    unlikely : frozenset of str
        Faults this piece is not likely to have: never among the first.
    """
    first = [fault for fault in often if fault in names and fault not in unlikely][:FIRST_CHIPS]
    first += [fault for fault in names if fault not in first and fault not in unlikely][: FIRST_CHIPS - len(first)]
    others = [fault for fault in names if fault not in first]
    return [(fault, short(fault)) for fault in first], [(fault, short(fault)) for fault in others]


def short(fault: str) -> str:
    """Return a fault's name without what stands in brackets."""
    return fault_name(fault).partition("(")[0].strip()


def comparison(studio: Studio, piece: Row[Any], plan: Plan | None = None) -> differing.Comparison | None:
    """Compare the firing a piece is in, else comes to, with the last good one; None when it cannot be."""
    number = None
    if plan is not None and piece.state in differing.TO_COME and open_load_of(studio, int(piece.id)) is None:
        number = next_firings(studio, [piece.id])[piece.id].to_do(order_of(plan))
    try:
        return differing.what_differs(studio, int(piece.id), number, plan)
    except EnamelwrightError:
        return None
