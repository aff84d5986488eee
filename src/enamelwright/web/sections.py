"""Sections of pieces as lists show them: at once when the plan is at hand, a moment later when it is not."""

from __future__ import annotations

import itertools
import re
from collections import OrderedDict
from collections.abc import Sequence
from dataclasses import dataclass
from threading import Lock
from typing import Any
from weakref import WeakKeyDictionary

from markupsafe import Markup
from sqlalchemy import Row

from enamelwright.craft.as_fired import as_fired
from enamelwright.craft.bench import Bench
from enamelwright.craft.plan import Plan
from enamelwright.errors import EnamelwrightError
from enamelwright.pictures import svg
from enamelwright.pictures.lights import metal_colour
from enamelwright.pictures.section import section_svg
from enamelwright.records.store import Store
from enamelwright.web.drawings import lit
from enamelwright.workshop.bench import bench
from enamelwright.workshop.designs import version_row
from enamelwright.workshop.lay_order import order_of_version
from enamelwright.workshop.plan_firings import Order, Through, next_firings
from enamelwright.workshop.studio import Studio

#: Plans that are remembered, and the small drawings made of them.
MOST_PLANS, MOST_DRAWINGS = 64, 512
#: States in which more is to come.
IN_WORK = frozenset({"planned", "in work"})
#: A piece that is finished is drawn with everything on it.
FINISHED = 99
#: Size of a small section [mm].
WIDE, BODY = 46.0, 9.0
#: Height of the band that stands for bare metal without a plan [mm].
_PLAIN = 2.6
_OPEN = re.compile(r"<svg [^>]*?(viewBox=\"[^\"]*\")[^>]*>")
#: One section in an address: version, firing, and for a record of its own the firings done and the coats on it.
_WORD = re.compile(r"\d{1,9}\.\d{1,9}(?:\.(?:\d{1,4}(?:-\d{1,4}){0,99})?\.(?:\d{1,4}(?:-\d{1,4}){0,99})?)?")
_NAMES = re.compile(r"<title.*?</title><desc.*?</desc>", re.DOTALL)

_plans: OrderedDict[tuple[int, int, str], tuple[Plan | None, str]] = OrderedDict()
#: With the plan each was drawn of, so that no other plan can stand at its place in memory while its drawing is kept.
_drawings: OrderedDict[tuple[str, str, int], tuple[Plan, Markup]] = OrderedDict()
#: A number for each open record, never given twice: a place in memory is, once a record is closed.
_records: WeakKeyDictionary[Store, int] = WeakKeyDictionary()
_next_record = itertools.count()
_lock, _working, _numbering = Lock(), Lock(), Lock()


@dataclass(frozen=True)
class Shown:
    """Which small section stands beside something.

    Parameters
    ----------
    version : int
        Row of the design version; 0 for something without a plan.
    firing : int
        Firings it has been through; :data:`FINISHED` for everything on it.
    metal : str
        Metal of something without a plan: a plain band of it is drawn.
    done : tuple of int or None
        Numbers of its firings where they are not the plan's first; None for as the plan has it.
    coats : tuple of int
        The coats that were fired in them, from 0.
    """

    version: int
    firing: int
    metal: str = ""
    done: tuple[int, ...] | None = None
    coats: tuple[int, ...] = ()

    @classmethod
    def read(cls, word: str) -> Shown | None:
        """Read what :attr:`word` wrote; None for anything else."""
        if not _WORD.fullmatch(word):
            return None
        version, firing, *more = word.split(".")
        done, coats = (tuple(int(n) for n in part.split("-") if n) for part in more) if more else (None, ())
        return cls(int(version), int(firing), done=done, coats=coats)

    @property
    def word(self) -> str:
        """What asks for it in an address."""
        word = f"{self.version}.{self.firing}"
        if self.done is None:
            return word
        return ".".join([word, *("-".join(str(n) for n in part) for part in (self.done, self.coats))])

    @property
    def key(self) -> str:
        """Id of its drawing in the page."""
        if not self.version:
            return "metal-" + re.sub(r"[^a-z0-9]+", "-", self.metal.casefold())
        return "section-" + self.word.replace(".", "_" if self.done is not None else "-")


def shown(version: int | None, fired: int, state: str, metal: str | None = "") -> Shown:
    """Return which section belongs to a piece.

    Parameters
    ----------
    version : int or None
        Row of its design version.
    fired : int
        Firings it has been through.
    state : str
        State of the piece.
    metal : str, optional
        Its metal.
    """
    if not version:
        return Shown(0, 0, metal or "")
    return Shown(version, fired if state in {"planned", "in work", "spoilt", "study", "lost"} else FINISHED)


def shown_of(
    studio: Studio, rows: Sequence[Row[Any]], known: Bench | None = None, *, after: str | None = None
) -> dict[int, Shown]:
    """Return which section belongs to each of some pieces, by its record and in whatever order it was fired.

    Parameters
    ----------
    studio : Studio
        The studio.
    rows : sequence of Row
        Pieces: `id`, `state`, `metal` and `design_version`.
    known : Bench, optional
        The bench of this moment, when it is at hand.
    after : str, optional
        As they were after what went in by then, as the record writes moments; as they are now when left out.
    """
    planned = {int(row.design_version) for row in rows if row.design_version}
    known = bench(studio) if planned and known is None else known
    versions = {one: version_row(studio, one) for one in planned}
    standings = next_firings(studio, [int(row.id) for row in rows], after)
    found = {}
    for row in rows:
        version = versions.get(int(row.design_version)) if row.design_version else None
        order = order_of_version(version, known) if version is not None and known is not None else None
        past = standings[int(row.id)].past
        working = after is not None or row.state in IN_WORK
        if version is None:
            found[int(row.id)] = Shown(0, 0, row.metal or "")
        elif order is None:
            found[int(row.id)] = shown(int(version.of), past.times, "in work" if working else row.state, row.metal)
        else:
            found[int(row.id)] = _of_record(int(version.of), order, past.through(order), working)
    return found


def _of_record(version: int, order: Order, through: Through, working: bool) -> Shown:
    if straight(order, through, working):
        return Shown(version, through.so_far(order) if working else FINISHED)
    done = tuple(sorted(through.done))
    return Shown(version, int(working), "", done, tuple(sorted(through.coats)))


def straight(order: Order, through: Through, working: bool) -> bool:
    """Whether a piece is as the plan has it: after its first firings, or with everything on it when it is finished.

    Parameters
    ----------
    order : Order
        Of the plan.
    through : Through
        What the piece has been through.
    working : bool
        Whether it is still in work.
    """
    so_far = through.so_far(order)
    if not working:
        return all(number in through.done for number, _ in order.firings) and through.coats >= _laid_by(order, None)
    return through.done == {n for n, _ in order.firings if n <= so_far} and through.coats == _laid_by(order, so_far)


def _laid_by(order: Order, firing: int | None) -> set[int]:
    return {n for number, lays in order.firings if firing is None or number <= firing for n in lays}


def _record(studio: Studio) -> int:
    """Return the number of an open record; called without or within the lock that guards what is remembered."""
    with _numbering:
        if studio.store not in _records:
            _records[studio.store] = next(_next_record)
        return _records[studio.store]


def at_hand(studio: Studio, version: int, known: Bench) -> Plan | None:
    """Return the plan of a version when it is worked out already.

    Parameters
    ----------
    studio : Studio
        The studio.
    version : int
        Row of the design version.
    known : Bench
        The bench of this moment.
    """
    with _lock:
        return _plans.get((_record(studio), version, known.revision), (None, ""))[0]


def work_out(studio: Studio, version: int, known: Bench | None = None) -> tuple[Plan | None, str]:
    """Return the plan of a version and, when there is none, why not; may take a breath the first time.

    Parameters
    ----------
    studio : Studio
        The studio.
    version : int
        Row of the design version.
    known : Bench, optional
        The bench of this moment, when it is at hand.
    """
    known = bench(studio) if known is None else known
    key = (_record(studio), version, known.revision)
    with _lock:
        if key in _plans:
            _plans.move_to_end(key)
            return _plans[key]
    with _working:  # one plan at a time: several visitors asking for the same wait for it
        with _lock:
            if key in _plans:
                return _plans[key]
        try:
            from enamelwright.workshop.predictions import plan_of  # the first page goes without planning anything

            found: tuple[Plan | None, str] = (plan_of(studio, version_row(studio, version), known).payload, "")
        except EnamelwrightError as error:
            found = (None, str(error))
        except Exception as error:  # a fault of ours must not keep the record of a piece from being read
            return None, f"the plan broke ({type(error).__name__})"
    with _lock:
        _plans[key] = found
        while len(_plans) > MOST_PLANS:
            _plans.popitem(last=False)
    return found


def symbol(plan: Plan, which: Shown, known: Bench) -> Markup:
    """Draw one small section, to be shown as often as a page wants it.

    Parameters
    ----------
    plan : Plan
        The plan.
    which : Shown
        Whose it is, and after which firing.
    known : Bench
        Where jars are looked up.
    """
    key = (which.word, known.revision, id(plan))
    with _lock:
        if key in _drawings:
            return _drawings[key][1]
    last = plan.firings[-1].number if plan.firings else 0
    firing: int | None = which.firing if which.firing < last else None
    drawn_of = plan
    if which.done is not None:
        drawn_of, firing = as_fired(plan, which.done, which.coats, over=not which.firing)
    drawn = section_svg(
        drawn_of, firing, WIDE, "daylight", bench=known, body_mm=BODY, labels=False, marks=0, caption=False,
        key=which.key,
    )  # fmt: skip
    text = _NAMES.sub("", str(lit(drawn)))
    made = Markup(_OPEN.sub(rf'<symbol id="{which.key}" \1 preserveAspectRatio="xMinYMid meet">', text, count=1))
    made = Markup(str(made).removesuffix("</svg>") + "</symbol>")
    with _lock:
        _drawings[key] = (plan, made)
        while len(_drawings) > MOST_DRAWINGS:
            _drawings.popitem(last=False)
    return made


def _plain(which: Shown) -> Markup:
    """Draw a plain band of metal, for something without a plan."""
    wide, high = svg.number(WIDE), svg.number(_PLAIN * 3)
    paint = f'fill="{metal_colour(which.metal)}" stroke="var(--text)" stroke-width="0.2"'
    band = svg.rect(1, _PLAIN, WIDE - 2, _PLAIN, paint)
    return Markup(
        f'<symbol id="{which.key}" viewBox="0 0 {wide} {high}" preserveAspectRatio="xMinYMid meet">{band}</symbol>'
    )


@dataclass(frozen=True)
class Sheet:
    """The small sections of one page.

    Parameters
    ----------
    symbols : tuple of Markup
        Those that are at hand.
    later : str
        The others, as the address that brings them.
    """

    symbols: tuple[Markup, ...]
    later: str


def sheet(studio: Studio, wanted: list[Shown], known: Bench | None = None, *, wait: bool = False) -> Sheet:
    """Return the small sections a page needs.

    Parameters
    ----------
    studio : Studio
        The studio.
    wanted : list of Shown
        One for each place; equal ones are drawn once.
    known : Bench, optional
        The bench of this moment, when it is at hand.
    wait : bool
        Work out what is not at hand.
    """
    known = bench(studio) if known is None else known
    ready, later = [], []
    for one in dict.fromkeys(wanted):
        if not one.version:
            ready.append(_plain(one))
            continue
        plan = work_out(studio, one.version, known)[0] if wait else at_hand(studio, one.version, known)
        if plan is not None:
            ready.append(symbol(plan, one, known))
        elif not wait:
            later.append(one.word)
    return Sheet(tuple(ready), ",".join(later))
