"""What the pages of "What we learned" show: kilns and jars, the control tile, foretold and happened, faults, tiles."""

from __future__ import annotations

import json
import logging
import threading
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from math import isfinite
from typing import Any

from markupsafe import Markup

from enamelwright import units
from enamelwright.craft.bench import Bench
from enamelwright.learning.proportions import exact
from enamelwright.pictures import learned_charts
from enamelwright.records.store import Store
from enamelwright.web import piece_view
from enamelwright.web.moments import whole
from enamelwright.workshop.coverage import BOW, GLOSS, WEIGHT, Compared, Coverage, compared, coverage
from enamelwright.workshop.fault_counts import fault_list, jars_that_stand_out
from enamelwright.workshop.firing_facts import FiringFacts
from enamelwright.workshop.jars import jars
from enamelwright.workshop.learned_hands import weights_foretold
from enamelwright.workshop.relearning import learned_now
from enamelwright.workshop.says_two import SaysTwo, says_two
from enamelwright.workshop.standing import FIRINGS, MARKS, Trouble, trouble
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.what_was_learned import KilnLearned, kilns_learned

#: Pairs that are drawn, and pairs that are listed.
DRAWN, LISTED = 30, 20
#: Share of the bands that ought to hold.
SURE = 0.9

#: Of which record, which rows of it and which day something was put into words.
_Key = tuple[Store, tuple[int, ...], date]

_lock = threading.Lock()
_kept: dict[str, tuple[_Key, list[KilnLearned], dict[str, int]]] = {}


@dataclass(frozen=True)
class KilnsNow:
    """Kilns with what is known of them, why some are left out, what to say where learning fails, what to correct."""

    kilns: list[KilnLearned]
    left_out: dict[str, int]
    trouble: str = ""
    two: tuple[SaysTwo, ...] = ()


def at_hand(studio: Studio) -> KilnsNow | None:
    """Return what was learned of the kilns when it is worked out already.

    Parameters
    ----------
    studio : Studio
        The studio.
    """
    key = _key(studio)
    with _lock:
        found = _kept.get("kilns")
    if found is None or found[0][0] is not key[0] or found[0][1:] != key[1:]:
        return None
    return KilnsNow(found[1], found[2], _trouble_words(trouble(studio), shown=True), says_two(studio))


def worked_out(studio: Studio) -> KilnsNow:
    """Return what was learned of the kilns; takes a breath the first time after a firing.

    Nothing that goes wrong in it is raised: the last that is at hand is shown, with a sentence that says so.

    Parameters
    ----------
    studio : Studio
        The studio.
    """
    found = at_hand(studio)
    if found is not None:
        return found
    key = _key(studio)
    learned, fails = learned_now(studio)
    try:
        kilns, left_out = ([], {}) if learned is None else (kilns_learned(studio, learned), learned.left_out)
    except Exception:  # a fault of ours must not take the page away
        logging.getLogger(__name__).exception("putting into words what was learned broke")
        return _of_before(studio, fails or Trouble(studio.now(), ""))
    if fails is None and learned is not None:
        with _lock:
            _kept["kilns"] = (key, kilns, left_out)
    return KilnsNow(kilns, left_out, _trouble_words(fails, shown=bool(kilns)), says_two(studio))


def _of_before(studio: Studio, fails: Trouble) -> KilnsNow:
    """Return the words of before, with what is wrong."""
    with _lock:
        last = _kept.get("kilns")
    mine = last if last is not None and last[0][0] is studio.store else None
    words = _trouble_words(fails, shown=mine is not None)
    return KilnsNow(mine[1], mine[2], words) if mine is not None else KilnsNow([], {}, words)


def _trouble_words(fails: Trouble | None, *, shown: bool) -> str:
    return "" if fails is None else fails.words(whole, shown=shown)


def _key(studio: Studio) -> _Key:
    return studio.store, MARKS[FIRINGS].of(studio), studio.today()


def jar_rows(studio: Studio) -> dict[str, int]:
    """Return the row of each jar by its code, those put away too, so that a code can lead to its page.

    Parameters
    ----------
    studio : Studio
        The studio.
    """
    return {row.code: int(row.id) for row in jars(studio, everything=True)}


def chart(spec: dict[str, Any]) -> Markup:
    """Write a specification so that it can stand in a page.

    Parameters
    ----------
    spec : dict
        Of :mod:`enamelwright.pictures.learned_charts`.
    """
    text = json.dumps(spec, separators=(",", ":"))
    for sign in "<>&":
        text = text.replace(sign, f"\\u{ord(sign):04x}")
    return Markup(text)  # nothing in it can end the script or begin another


def kiln_chart(kiln: KilnLearned) -> Markup:
    """Draw how a kiln moved.

    Parameters
    ----------
    kiln : KilnLearned
        With more than one day.
    """
    days = [(one.day.isoformat(), one.low, one.likely, one.high) for one in kiln.days]
    days = [(day, round(low, 1), round(likely, 1), round(high, 1)) for day, low, likely, high in days]
    return chart(learned_charts.kiln_days(days, [one.isoformat() for one in kiln.changed]))


@dataclass(frozen=True)
class Foretold:
    """One kind of band: how often it held, in words, with a picture and its newest cases."""

    what: str
    row: Coverage
    caption: str
    verdict: str
    picture: Markup
    beside: str
    shown: list[tuple[Compared, str, str]]
    newest: tuple[int, int, str] | None


#: How each kind of band is told: its unit and dimension, title of the axis, how a value is written, what stands beside.
KINDS = {
    GLOSS: ("s", "time", "seconds to first gloss", "{:.0f}", "Load"),
    BOW: ("mm", "length", "bow in mm, front high", "{:.2f}", "Load"),
    WEIGHT: ("g", "mass", "grams on it, likely = 100", "{:.2f}", "Jar"),
}


def foretold(studio: Studio, known: Bench) -> list[Foretold]:
    """Return what was foretold beside what happened, a part a kind.

    Parameters
    ----------
    studio : Studio
        The studio.
    known : Bench
        The bench of this moment.
    """
    pairs = [*compared(studio), *weights_foretold(studio, known)]
    result = []
    for row in coverage(pairs):
        mine = [one for one in pairs if one.what == row.what]
        unit, dimension, title, written, beside = KINDS[row.what]
        scale = units.from_si(1.0, unit, dimension)
        cases = []
        for one in reversed(mine[:DRAWN]):
            of = 100 / one.likely if row.what == WEIGHT else scale
            low, high, happened = (round(end * of, 3) for end in (one.low, one.high, one.happened))
            cases.append(learned_charts.Case(low, high, happened, one.held, one.not_yet))

        def said(value: float, of: float = scale, form: str = written, in_: str = unit) -> str:
            return f"{form.format(value * of)} {in_}".replace("-0.00 ", "0.00 ")

        shown = [
            (
                one, f"{said(one.low)} " + (f"to {said(one.high)}" if isfinite(one.high) else "or more"),
                ("not by " if one.not_yet else "") + said(one.happened),
            )
            for one in mine[:LISTED]
        ]  # fmt: skip
        result.append(
            Foretold(
                row.what, row, _caption(row), _verdict(row),
                chart(learned_charts.foretold_happened(cases, title)), beside, shown,
                _newest(sum(one.held for one in mine[:LISTED])) if len(mine) > LISTED else None,
            )
        )  # fmt: skip
    return result


def _caption(row: Coverage) -> str:
    low, high = (round(100 * one) for one in row.between)
    how = f"{row.held} of {row.count} bands held what happened; so few tell {low} to {high} in a hundred"
    drawn = f" Drawn are the newest {DRAWN}." if row.count > DRAWN else ""
    return f"{how}, and they ought to hold 90.{drawn}"


def _newest(held: int) -> tuple[int, int, str]:
    """Return (held, of how many, whether that is what chance allows a band that holds nine in ten)."""
    low, high = exact(held, LISTED, SURE)
    how = "fewer than" if high < SURE else "more than" if low > SURE else "about what"
    return held, LISTED, f"{how} nine in ten allows"


def _verdict(row: Coverage) -> str:
    """Good only where both all of them and chance allow it."""
    low, high = row.between
    return "good" if low <= SURE <= high else "watch"


#: What each kind of band is called, and what its figures are about.
NAMES = {GLOSS: "First gloss", BOW: "Bow", WEIGHT: "Powder on the piece"}


@dataclass(frozen=True)
class FaultLine:
    """One fault of the list in words."""

    fault: str
    name: str
    pieces: int
    loads: int
    in_hundred: str
    by_load: str
    up_to_here: str


@dataclass(frozen=True)
class Faults:
    """The list of faults with its picture."""

    lines: list[FaultLine]
    fired: int
    loads: int
    picture: Markup
    caption: str
    jars: list[tuple[str, str, str]]
    hand_firings: int
    by_hand: list[tuple[str, int]]


def faults(studio: Studio, every: Sequence[FiringFacts]) -> Faults:
    """Return the faults of this record, the most frequent first.

    Parameters
    ----------
    studio : Studio
        The studio.
    every : sequence of FiringFacts
        All firings.
    """
    found = fault_list(studio, every)
    lines, fired = found.lines, found.fired
    told = [
        FaultLine(
            one.fault, piece_view.short(one.fault), one.pieces, one.loads, _between(one.between),
            _between(one.by_load), f"{round(100 * one.up_to_here)} %",
        )
        for one in lines
    ]  # fmt: skip
    drawn = [
        (
            piece_view.short(one.fault),
            *(round(100 * x, 2) for x in (one.between[0], one.pieces / fired, one.between[1])),
        )
        for one in lines
    ]
    caption = ""
    if lines:
        half = next((n for n, one in enumerate(lines, 1) if one.up_to_here >= 0.5), len(lines))
        names = ", ".join(piece_view.short(one.fault) for one in lines[:half])
        share = "all" if half == len(lines) else "at least half of all"
        caption = f"{names.capitalize()}: {'these are' if half > 1 else 'this is'} {share} that went wrong."
    jars = [
        (
            one.what, piece_view.short(one.fault),
            f"{one.with_faults} of {one.with_loads} loads with it, {one.without_faults} of {one.without_loads} others",
        )
        for one in jars_that_stand_out(studio, every)
    ]  # fmt: skip
    return Faults(
        told, fired, found.loads, chart(learned_charts.fault_list(drawn)), caption, jars,  # type: ignore[arg-type]
        found.hand_firings, [(piece_view.short(fault), count) for fault, count in found.by_hand],
    )  # fmt: skip


def _between(share: tuple[float, float]) -> str:
    low, high = (100 * one for one in share)
    return f"{low:.1f} to {high:.0f}" if low < 1 else f"{low:.0f} to {high:.0f}"
