"""What the pages of a bath show: its state with a strip, its ledger line by line, and the walk of a spent bath."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from starlette.requests import Request
from starlette.responses import Response

from enamelwright.craft.baths import bath as craft
from enamelwright.craft.baths.bath_words import about, acidity_words, between, rounded, state_words
from enamelwright.errors import EnamelwrightError
from enamelwright.figure import Figure
from enamelwright.questions.spent_bath import SpentBathAnswer
from enamelwright.reference.loader import value
from enamelwright.web.dose_curve import DoseCurve, dose_curve
from enamelwright.workshop.bath_ledger import BathBook, book_of
from enamelwright.workshop.studio import Studio

#: Which mark a state carries. Fresh and working carry none: a bath is nothing to be pleased about.
MARKS = {"slow": "watch", "exhausted": "stop", "not known": "watch"}
#: Share of the acid at the right end of the strip.
STRIP_END = 0.4
#: Width of the strip in its own units.
STRIP = 600.0
#: Cookie that remembers on which day the standing caution was shown in full on this device.
TOLD = "told-pickle"


@dataclass(frozen=True)
class Strip:
    """How much of the acid is taken up, edge-on.

    Attributes
    ----------
    low, value, high : float
        Along the strip.
    bounds : tuple of (float, str)
        Where each state ends, and its name.
    words : str
        The same in words.
    """

    low: float
    value: float
    high: float
    bounds: tuple[tuple[float, float, str], ...]
    words: str


@dataclass(frozen=True)
class BathView:
    """One bath as a page shows it.

    Attributes
    ----------
    state, words, mark : str
        State, what it means, and the level of its mark (empty for none). A closed bath carries no mark.
    strip : Strip or None
        None where no acid is counted.
    facts : tuple of (str, str)
        Noun and figure.
    why : tuple of str
        What else speaks for it.
    trouble : str
        Why nothing is counted; empty otherwise.
    """

    state: str
    words: str
    mark: str
    strip: Strip | None
    facts: tuple[tuple[str, str], ...]
    why: tuple[str, ...]
    trouble: str = ""


def seen(studio: Studio, row: int) -> tuple[BathBook | None, BathView]:
    """Count a bath for a page, or say why it cannot be counted.

    Parameters
    ----------
    studio : Studio
        The studio.
    row : int
        Of the bath.
    """
    try:
        book = book_of(studio, row)
    except EnamelwrightError as error:
        return None, BathView("not known", "cannot be counted", "watch", None, (), (), str(error))
    return book, view_of(book.state, book)


def ended(view: BathView) -> BathView:
    """Tell a closed bath as it was when it was closed.

    Parameters
    ----------
    view : BathView
        As it is counted.
    """
    strip = view.strip
    if strip is not None:
        strip = replace(strip, words=strip.words.replace(" is taken up", " was taken up"))
    return replace(view, words=view.state, mark="", strip=strip)


def view_of(state: craft.BathState, book: BathBook) -> BathView:
    """Write a state for a page.

    Parameters
    ----------
    state : BathState
        Now, or after further loads.
    book : BathBook
        Its bath.
    """
    facts = []
    if state.acid_left is not None:
        facts.append(("acid left", f"{between(state.acid_left, 'g')} of {_weight(book)}"))
    if state.ph is not None:
        facts.append(("acidity", acidity_words(state.ph)))
    if state.copper.high > 0:
        facts.append(("copper in it", f"{between(state.copper, 'g/L')}, {between(state.copper_mass, 'g')} in all"))
    why = list(state.why)
    if book.uncounted:
        why.append(
            f"{_dips(book.uncounted)} with neither weight nor area: not counted, so the bath is more used than told"
        )
    if book.guessed:
        why.append(f"{_dips(book.guessed)} with neither weight nor area: taken to be like the others")
    mark = MARKS.get(state.state, "watch" if state.at_worst == "exhausted" else "")
    return BathView(state.state, state_words(state), mark, _strip(state.taken_up), tuple(facts), tuple(why))


def _dips(count: int) -> str:
    return f"{count} dip" if count == 1 else f"{count} dips"


def _weight(book: BathBook) -> str:
    acid = book.book.acid
    assert acid is not None
    each = book.book.chemistry.molar_mass / book.book.chemistry.usable
    return f"{between(acid.times(each).figure('mass'), 'g')} {book.book.chemistry.acid}"


def _strip(taken: Figure | None) -> Strip | None:
    if taken is None:
        return None

    def at(share: float) -> float:
        return STRIP * min(share, STRIP_END) / STRIP_END

    ends = [0.0, *(value(f"health/bath/{name}_from") for name in ("working", "slow", "exhausted")), STRIP_END]
    bounds = tuple((at(start), at(end), name) for start, end, name in zip(ends, ends[1:], craft.STATES, strict=False))
    words, band = f"{about(taken, '%')} of the acid is taken up", between(taken, "%")
    words += "" if band.startswith("about") else f" ({band})"
    return Strip(at(taken.low), at(taken.value), at(taken.high), bounds, words)


@dataclass(frozen=True)
class Entry:
    """One line of the ledger.

    Attributes
    ----------
    row : Row
        As it was written down.
    words : str
        What was written.
    scale, how, taken : str
        Scale it brought, how that is known, share of the acid after it; empty where there is none.
    """

    row: Any
    words: str
    scale: str
    how: str
    taken: str


def ledger_lines(book: BathBook | None, told: list[tuple[Any, str]]) -> list[Entry]:
    """Put the count beside what was written down, the newest first.

    Parameters
    ----------
    book : BathBook or None
        The bath, where it can be counted.
    told : list of (Row, str)
        Its entries with their words, the newest first.
    """
    counted = {line.entry.id: line for line in book.lines} if book is not None else {}
    found = []
    for entry, words in told:
        line = counted.get(entry.id)
        scale = about(line.scale, "g") if line is not None and line.scale is not None else ""
        taken = f"{rounded(100 * line.taken_up)} %" if line is not None and line.taken_up is not None else ""
        found.append(Entry(entry, words, scale, line.how if line is not None else "", taken))
    return found


def own_scale(book: BathBook) -> str:
    """Say the scale on a bare area that is counted with where nothing was weighed.

    Parameters
    ----------
    book : BathBook
        The bath.
    """
    rate = book.book.rate
    whose = "by your own weighings" if rate.origin.kind == "measured" else "from memory, until you weigh your own"
    return f"{between(rate, 'mg/cm2')} of bare copper, {whose}"


def kind_words(made_of: dict[str, Any] | None, kind: str) -> str:
    """Say what a bath is.

    Parameters
    ----------
    made_of : dict or None
        What is kept of it.
    kind : str
        Of the record.
    """
    told = (made_of or {}).get("kind")
    return str(told) if told else kind


@dataclass(frozen=True)
class Settling:
    """The figures of settling, in words.

    Attributes
    ----------
    facts : tuple of (str, str)
        Noun and figure.
    doses : tuple of (str, str, str)
        Times the acid, copper that stays, acidity.
    curve : DoseCurve or None
        The same as a drawing; None for a bath without copper.
    """

    facts: tuple[tuple[str, str], ...]
    doses: tuple[tuple[str, str, str], ...]
    curve: DoseCurve | None


def settling_words(found: SpentBathAnswer, soda: str) -> Settling | None:
    """Write the figures of settling; None when it is not offered.

    Parameters
    ----------
    found : SpentBathAnswer
        The answer.
    soda : str
        What stands on the packet.
    """
    one = found.settling
    if one is None:
        return None
    facts = (
        (soda, f"{about(one.soda, 'g')}, in small spoonfuls"),
        ("it fizzes off", f"up to {rounded(one.gas.high * value('health/bath/water'))} L of gas: window open"),
        ("vessel", f"at least {about(one.vessel, 'L')}, tall and open"),
        ("copper that stays in it", between(one.left, "mg/L")),
        ("acidity then", acidity_words(one.ph)),
        ("sludge", f"{between(one.sludge_dry, 'g')} dry, {between(one.sludge_wet, 'mL')} as it lies"),
    )
    doses = tuple((f"{each.times:.2f}", between(each.left, "mg/L"), acidity_words(each.ph)) for each in one.doses)
    return Settling(facts, doses, dose_curve([(each.times, each.left) for each in one.doses], one.dose))


def first_today(request: Request, today: date) -> bool:
    """Tell whether the standing caution was not yet shown in full today on this device.

    Parameters
    ----------
    request : Request
        As it came.
    today : date
        The day.
    """
    return request.cookies.get(TOLD, "") != today.isoformat()


def told_today(answer: Response, today: date) -> None:
    """Remember on this device that the standing caution was shown in full today.

    Parameters
    ----------
    answer : Response
        That goes out.
    today : date
        The day.
    """
    answer.set_cookie(TOLD, today.isoformat(), max_age=2 * 86400, samesite="strict", httponly=True)
