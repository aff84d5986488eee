"""How far a bath is used: acid taken up, pH, copper, and what one more load does.

Capacity is counted in moles. pH moves most at the very start, so it tells a fresh bath from a used one and little more.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from enamelwright import units
from enamelwright.craft.baths.bath_made import BathMade, Cleaned
from enamelwright.craft.baths.counted import NOTHING, Band, Ledger, acid_mass, parts_of, water_in
from enamelwright.craft.baths.equilibrium import at_rest
from enamelwright.figure import Figure, Origin
from enamelwright.physics import bath_chemistry as law
from enamelwright.reference.loader import value

State = Literal["fresh", "working", "slow", "exhausted", "not known"]
#: Best first.
STATES: tuple[State, ...] = ("fresh", "working", "slow", "exhausted")
#: Acid never counts as wholly gone: beyond this share the engine would be asked about a bath that is no bath.
NEARLY_ALL = 0.98
_SETTLED = Origin(kind="computed", source="equilibrium at 25 °C, activities by Davies", status="screening estimate")


@dataclass(frozen=True)
class BathState:
    """How far a bath is used.

    Attributes
    ----------
    state, at_worst : str
        As likely, and at the unfavourable end of what is known.
    taken_up : Figure or None
        Share of the acid first put in.
    acid_left : Figure or None
        [kg].
    ph : Figure or None
        As worked out.
    copper, copper_mass : Figure
        In solution [kg/m3], and all of it [kg].
    why : tuple of str
        Reasons beyond the share of the acid.
    """

    state: State
    at_worst: State
    taken_up: Figure | None
    acid_left: Figure | None
    ph: Figure | None
    copper: Figure
    copper_mass: Figure
    why: tuple[str, ...]


def graded(taken_up: float, copper: float) -> State:
    """Return the state for a share of the acid taken up and a concentration of copper [kg/m3].

    Parameters
    ----------
    taken_up : float
        Share.
    copper : float
        [kg/m3].
    """
    if taken_up > value("health/bath/exhausted_from") or copper > value("health/bath/exhausted_copper"):
        return "exhausted"
    if taken_up >= value("health/bath/slow_from"):
        return "slow"
    return "working" if taken_up >= value("health/bath/working_from") else "fresh"


def state_of(made: BathMade, book: Ledger, more: Band = NOTHING) -> BathState:
    """Return how far a bath is used.

    Parameters
    ----------
    made : BathMade
        What was told of it.
    book : Ledger
        What was counted into it.
    more : Band
        Copper of further loads [mol].
    """
    held = book.dissolved(more)
    molar = value("health/molar/copper")
    copper, mass = held.times(molar / book.volume), book.copper.plus(more).times(molar)
    if book.acid is None or book.mixed:
        state, worst, reason = _not_counted(made, book)
        return BathState(
            state, worst, None, None, None, copper.figure("concentration"), mass.figure("mass"), (reason,)
        )  # fmt: skip
    into = book.copper.plus(more)
    taken = Band(
        law.acid_taken_up(into.low, book.acid.high),
        law.acid_taken_up(into.value, book.acid.value),
        law.acid_taken_up(into.high, book.acid.low),
    )
    state, worst = graded(taken.value, copper.value), graded(taken.high, copper.high)
    why: list[str] = []
    if taken.value >= 1:
        why.append("more scale went in than the acid can dissolve: the rest lies in it as sludge")
    if made.clears_in is not None and made.cleared_in is not None:
        times = made.clears_in / made.cleared_in
        if times > value("health/bath/exhausted_times"):
            state = worst = "exhausted"
            why.append(f"it takes {times:.0f} times as long to clear as when it was fresh")
    if made.warm is not None and made.warm >= value("health/bath/hot"):
        why.append("it is hot: it gives off acid, and its water goes; warm is enough, lid on and window open")
    why.extend(weak(made, book))
    ph = _acidity(book, into, book.acid)
    if more == NOTHING and (gainsaid := strip_gainsays(made, book)):
        worst = "exhausted"
        state = state if state == "exhausted" else "not known"
        why.append(gainsaid)
    left = Band(
        max(0.0, 1 - taken.high) * book.acid.low,
        max(0.0, 1 - taken.value) * book.acid.value,
        max(0.0, 1 - taken.low) * book.acid.high,
    ).times(book.chemistry.molar_mass / book.chemistry.usable)
    return BathState(
        state, worst, taken.figure("ratio"), left.figure("mass"), ph, copper.figure("concentration"),
        mass.figure("mass"), tuple(why),
    )  # fmt: skip


def strip_gainsays(made: BathMade, book: Ledger) -> str:
    """Say how a measured pH contradicts what was counted; empty when it does not, or nothing was measured.

    Parameters
    ----------
    made : BathMade
        What was told of the bath.
    book : Ledger
        What was counted into it.
    """
    if made.ph is None or book.acid is None or book.mixed:
        return ""
    ph, apart = _acidity(book, book.copper, book.acid), value("health/bath/ph_apart")
    if made.ph > ph.high + apart:
        return "the strip reads less sour than what was counted: something is missing from the record"
    if made.ph < ph.low - apart:
        return "the strip reads sourer than what was counted: check the strip, and what else was poured in"
    return ""


def weak(made: BathMade, book: Ledger) -> tuple[str, ...]:
    """Say where a strength lies far below what such baths are made of.

    Parameters
    ----------
    made : BathMade
        What was told of the bath.
    book : Ledger
        What was counted into it.
    """
    kind = book.chemistry
    found: list[str] = []
    least = value("health/bath/vinegar_least")
    if kind.kind == "vinegar and salt" and made.strength is not None and made.strength < least:
        bottle = f"{units.from_si(least, 'g/L', 'concentration'):.0f} g/L"
        found.append(f"no vinegar on sale in the United States is weaker than {bottle}: read the label again")
    if kind.part is not None and book.told and made.volume > 0:
        holds = acid_mass(made, kind).value / book.volume
        if holds < value("health/bath/far_below") * kind.strength_low:
            usual = f"{kind.strength_low:g} to {kind.strength_high:g} g/L"
            found.append(
                f"it holds far below the usual {usual} of {kind.acid}: it takes up little, and is soon used up"
            )
    return tuple(found)


def _not_counted(made: BathMade, book: Ledger) -> tuple[State, State, str]:
    """Return state, state at worst and reason of a bath whose acid cannot be counted."""
    if made.kind == "other":
        return "not known", "exhausted", "acid is not counted in a bath of unknown make"
    if book.mixed:
        return (
            "exhausted", "exhausted",
            "two chemistries are in it, so what acid is left cannot be counted: treat it as exhausted and close it",
        )  # fmt: skip
    if book.chemistry.use == "water":
        return "not known", "not known", "no acid in it: grit and scale lie in it as solids"
    return "not known", "exhausted", f"acid is not counted in {made.kind}"


def _acidity(book: Ledger, into: Band, acid: Band) -> Figure:
    """Return pH: least acid with most copper is the high end."""
    water, most = water_in(book.volume), NEARLY_ALL / law.ACID_PER_COPPER
    ends = [(acid.value, into.value), (acid.high, into.low), (acid.low, into.high)]
    found = [at_rest(water, parts_of(book, one, min(copper, most * one))).ph for one, copper in ends]
    around = value("health/bath/ph_model")
    ends_of = Band(min(found) - around, found[0], max(found) + around)
    return ends_of.figure("acidity", _SETTLED)


def loads_left(book: Ledger, one: Band, state: State = "exhausted") -> Figure | None:
    """Return how many more such loads it takes until a bath is in a state; None when it cannot be counted.

    Parameters
    ----------
    book : Ledger
        The bath.
    one : Band
        Copper of one load [mol].
    state : str
        ``slow`` or ``exhausted``.
    """
    if book.acid is None or book.mixed or one.low <= 0:
        return None
    share = value("health/bath/slow_from" if state == "slow" else "health/bath/exhausted_from")
    molar = value("health/molar/copper")
    full = value("health/bath/exhausted_copper") * book.volume / molar

    def room(acid: float, copper: float, each: float) -> float:
        end = share * acid / law.ACID_PER_COPPER
        return max(0.0, (end if state == "slow" else min(end, full)) - copper) / each

    return Band(
        room(book.acid.low, book.copper.high, one.high),
        room(book.acid.value, book.copper.value, one.value),
        room(book.acid.high, book.copper.low, one.low),
    ).figure("count")


def usual_load(book: Ledger, cleaned: Sequence[Cleaned]) -> Band | None:
    """Return the copper of a load like those before [mol]; None when there were none.

    Parameters
    ----------
    book : Ledger
        The bath.
    cleaned : sequence of Cleaned
        Its loads.
    """
    return book.copper.times(1 / len(cleaned)) if cleaned else None
