"""Kiln cards: one A6 page for each firing; identical firings in a row share one, with a tick row each."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from typing import Any

from enamelwright.cards import words
from enamelwright.cards.press import press
from enamelwright.cards.qr import qr_svg
from enamelwright.cards.warnings import held_back, of_the_kiln, warnings_data
from enamelwright.craft.bench import Bench
from enamelwright.craft.operation import Firing, Window
from enamelwright.craft.plan import Plan
from enamelwright.craft.window.look_plan import clock as look_clock
from enamelwright.pictures.load_view import load_svg, load_words
from enamelwright.pictures.section import bow_words, finding, section_svg
from enamelwright.pictures.stage_view import LOOKS, stage_svg
from enamelwright.pictures.time_line import time_line_svg

TEMPLATE = "kiln_card.typ"
COLD_WIDTH, COLD_BODY = 42.0, 6.5
#: Tick rows one card carries; more firings alike go on a second card.
MOST_ROWS = 8
#: From this many rows on they stand in two columns, with fewer blanks each.
TWO_COLUMNS = 4
LONGEST_LINE, LONGEST_NEXT = 140, 200
#: The part of a firing's words that counts rounds; a shared card leaves it out.
ROUND = re.compile(r",? ?round \d+ of \d+")
#: What stands in place of a setting when the metal would melt.
HELD = "Do not fire. Change the piece or its setting, plan it again, and print new cards."
STARTS = {"load": "from closing the door", "recovered": "from when the kiln is back up to heat"}


def kiln_cards(plan: Plan, number: str = "", bench: Bench | None = None) -> bytes:
    """Set the kiln cards of one piece.

    Parameters
    ----------
    plan : Plan
        The plan.
    number : str
        The piece's number.
    bench : Bench, optional
        Where jars are looked up that the piece file does not carry.

    Returns
    -------
    bytes
        One PDF with a page for each card; byte-identical for identical input. A plan without firings
        gives one page that says so.
    """
    return press(TEMPLATE, kiln_cards_data(plan, number, bench))


def alike(firings: tuple[Firing, ...]) -> list[tuple[Firing, ...]]:
    """Gather firings in a row that differ in nothing but their number, at most :data:`MOST_ROWS` together."""
    groups: list[list[Firing]] = []
    for firing in firings:
        if groups and len(groups[-1]) < MOST_ROWS and _signature(groups[-1][0]) == _signature(firing):
            groups[-1].append(firing)
        else:
            groups.append([firing])
    return [tuple(group) for group in groups]


def _signature(firing: Firing) -> str:
    """What a card shows of a firing, without its number and its reason."""
    plain = firing.model_copy(update={"words": ROUND.sub("", firing.words)})
    hidden = {"number", "fill_round", "why", "reheats", "needs_flat"}
    # The first of several rounds melts the coat for the first time; the words already name the coat.
    return plain.model_dump_json(exclude=hidden | {"fuses"} if firing.fill_round else hidden)


def kiln_cards_data(
    plan: Plan, number: str = "", bench: Bench | None = None, alarms: Sequence[str] = ()
) -> dict[str, Any]:
    """Gather what the template prints; alarms of the kiln stand on every card."""
    groups = alike(plan.firings)
    return {
        "title": words.plain(f"Kiln cards: {plan.piece.name}"),
        "number": words.plain(number, 24),
        "name": words.plain(plan.piece.name),
        "qr": qr_svg(number) if number else None,
        "invented": plan.piece.invented,
        "cards": [_card(plan, group, bench, alarms) for group in groups] or [_nothing()],
        "foot": words.plain(_foot(plan)),
    }


def _card(plan: Plan, group: tuple[Firing, ...], bench: Bench | None, alarms: Sequence[str]) -> dict[str, Any]:
    firing, last = group[0], group[-1]
    look = LOOKS[firing.target]
    heat, time, setting = _setting(firing.window)
    held = held_back(plan, group)
    if held:
        heat, time, setting = "answer the stop first", "no time until then", HELD
    whole = plan.firings[-1].number
    title = (
        f"Firing {firing.number} of {whole}"
        if len(group) == 1
        else f"Firings {firing.number} to {last.number} of {whole}"
    )
    after = []
    cold = None
    if plan.flatness.states:
        cold = section_svg(
            plan, last.number, COLD_WIDTH, bench=bench, body_mm=COLD_BODY, labels=False, marks=0, caption=False,
            key=f"cold-{last.number}",
        )  # fmt: skip
        after.append(("Then expect:", words.whole_or_cut(bow_words(plan, last.number), LONGEST_LINE)))
    following = _next(plan, last)
    if following:
        after.append(("Next:", words.whole_or_cut(following, LONGEST_NEXT)))
    return {
        "title": title,
        "words": words.plain(
            (ROUND.sub("", firing.words) if len(group) > 1 else firing.words) or f"to {firing.target}", LONGEST_LINE
        ),
        "heat": heat,
        "time": time,
        "setting-words": setting,
        "warnings": [*warnings_data(plan, group), *of_the_kiln(alarms)],
        "look": [] if held else _look_plan(firing.window),
        "line": None if held or firing.window is None else time_line_svg(firing.window, key=f"line-{firing.number}"),
        "line-words": _line_words(firing.window),
        "load": load_svg(firing, key=f"load-{firing.number}", form=plan.piece.form, dome=_dome(plan)),
        "load-words": words.whole_or_cut(load_words(firing, plan.piece.form), LONGEST_LINE),
        "stage": stage_svg(firing.target, key=f"stage-{firing.number}"),
        "stage-alt": f"The surface at {firing.target}, edge-on",
        "target": firing.target,
        "hot": look.hot,
        "cold": look.cold,
        "ticks": _ticks(group),
        "after": after,
        "piece": cold,
        "piece-words": finding(plan, last.number, bench),
    }


def _setting(window: Window | None) -> tuple[str, str, str]:
    """Return (heat, time, words) of a window."""
    if window is None:
        return "by eye", "no time yet", "Go by the stage."
    parts = []
    if window.set_point is None:
        heat = "by eye, no degrees"
    else:
        point = window.set_point
        heat = f"{words.celsius(point.value)}  ·  {words.fahrenheit(point.value)}"
        if point.high > point.low:
            low, high = words.celsius(point.low).removesuffix(" °C"), words.celsius(point.high)
            cool, warm = words.fahrenheit(point.low).removesuffix(" °F"), words.fahrenheit(point.high)
            parts.append(f"usual range {low} to {high}, {cool} to {warm}")
    if window.seconds is None:
        return heat, "until the stage shows", "; ".join(parts)
    if window.set_point is not None:
        parts.append(STARTS[window.start])
    second = window.practice.seconds if window.practice is not None else None
    if window.status == "model" and second is not None:
        parts.append(f"ordinary practice {words.clock_range(second)}")
    later = " or later" if window.open_ended and window.looks is None else ""
    if window.status == "model" and window.looks is not None:
        # The likely time large; between what it may be, small. Its late end is "out by" of the looks.
        parts.insert(0, words.clock_range(window.seconds) + later)
        return heat, f"likely {words.clock(window.seconds.value)}", "; ".join(parts)
    return heat, words.clock_range(window.seconds) + later, "; ".join(parts)


def _dome(plan: Plan) -> float:
    """Return the dome as a share of the longest measure, as the drawing of the load wants it."""
    return plan.piece.dome / plan.chord if plan.chord > 0 else 0.0


def _look_plan(window: Window | None) -> list[tuple[str, str]]:
    if window is None or window.first_look is None:
        return []
    plan = [("first look", words.clock(window.first_look))]
    if window.looks is not None and window.looks.at:
        following = [look_clock(one) for one in window.looks.at[1:]]
        plan += [("then at", ", ".join(following))] if following else []
    elif window.look_every is not None:
        plan.append(("then every", words.clock(window.look_every)))
    if window.looks is not None and window.status != "own":
        plan.append(("out by", words.clock(window.looks.out_by)))
    elif window.seconds is not None:
        plan.append(("out by", words.clock(window.seconds.high)))
    return plan


def _line_words(window: Window | None) -> str:
    """Say what the line of time shows, for who cannot see it."""
    if window is None:
        return ""
    known = [f"{one.stage} from {words.clock(one.likely)}" for one in window.stages if math.isfinite(one.likely)]
    return "Expected: " + ", ".join(known) if known else ""


def _ticks(group: tuple[Firing, ...]) -> list[dict[str, Any]]:
    if len(group) == 1 and group[0].support == "torch ring":
        return [{"label": "flame on", "blanks": ["at"]}, {"label": "flame off", "blanks": ["after", "seen"]}]
    degrees = group[0].window is None or group[0].window.set_point is not None
    if len(group) > 1:
        blanks = ["read", "time", "seen"] if degrees and len(group) < TWO_COLUMNS else ["time", "seen"]
        return [{"label": f"{firing.number}", "blanks": blanks} for firing in group]
    return [
        {"label": "put in", "blanks": ["dial reads", "at"] if degrees else ["at"]},
        {"label": "pulled", "blanks": ["after", "seen"]},
    ]


def _next(plan: Plan, firing: Firing) -> str:
    """Return what is done after a firing, up to the next one."""
    places = [n for n, work in enumerate(plan.operations) if work.work == "fire" and work.firing == firing.number]
    if not places:
        return ""
    found: list[str] = []
    for work in plan.operations[places[-1] + 1 :]:
        if work.work == "fire" or len(found) == 2:
            break
        found.append(work.words.rstrip(".") + ".")
    return " ".join(found)


def _foot(plan: Plan) -> str:
    parts = ["Glasses rated for infrared on. Set it down on the landing spot: it stays hot when it looks cold."]
    known = [firing.window for firing in plan.firings if firing.window and firing.window.set_point is not None]
    if any(firing.support == "torch ring" for firing in plan.firings):
        parts.append("Heat it from below, flame off the glass, and stop at the stage you see.")
    elif any(window.status == "practice" for window in known):
        parts.append("Settings from common practice, not yet your kiln’s.")
    elif any(window.status == "model" for window in known):
        parts.append("Times are worked out; what you see in the kiln decides.")
    return " ".join(parts)


def _nothing() -> dict[str, Any]:
    """Return the card of a plan without firings."""
    empty = dict.fromkeys(
        (
            "heat",
            "time",
            "setting-words",
            "line-words",
            "load-words",
            "stage-alt",
            "target",
            "hot",
            "cold",
            "piece-words",
        ),
        "",
    )
    absent = dict.fromkeys(("load", "stage", "piece", "line"), None)
    lists: dict[str, list[Any]] = {"warnings": [], "look": [], "ticks": [], "after": []}
    return {"title": "No firing", "words": "Nothing is fired in this plan.", **empty, **absent, **lists}
