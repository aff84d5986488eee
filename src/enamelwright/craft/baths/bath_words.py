"""How figures of baths are said: as ranges with two digits, and what each state means at the bench."""

from __future__ import annotations

import math

from enamelwright import units
from enamelwright.craft.baths.bath import BathState, State
from enamelwright.figure import Figure

#: Every page, card and answer of this kind opens with it.
SCREENING = (
    "A screening estimate, not a ruling. Local rules, the safety data sheet and a waste officer decide; "
    "what a laboratory measures replaces every figure here."
)
#: Digits shown of a screening figure.
DIGITS = 2

STATE_WORDS: dict[State, str] = {
    "fresh": "hardly used",
    "working": "used, and still quick",
    "slow": "still clears, but slower each time",
    "exhausted": "used up: close it and make a new one",
    "not known": "cannot be counted from what is written down",
}


def rounded(number: float) -> str:
    """Write a number with two digits and no sign of more.

    Parameters
    ----------
    number : float
        In the unit it is shown in.
    """
    if number == 0 or not math.isfinite(number):
        return "0"
    places = DIGITS - 1 - math.floor(math.log10(abs(number)))
    cut = round(number, places)
    return f"{cut:.{max(0, places)}f}".rstrip("0").rstrip(".") if places > 0 else f"{cut:.0f}"


def between(figure: Figure, unit: str) -> str:
    """Say a figure as the range it lies in, in two digits.

    Parameters
    ----------
    figure : Figure
        Any.
    unit : str
        Unit to show.
    """
    low, high = (rounded(units.from_si(one, unit, figure.dimension)) for one in (figure.low, figure.high))
    tail = unit if unit == "%" else f" {unit}" if unit else ""
    return f"about {high}{tail}" if low == high else f"{low} to {high}{tail}"


def about(figure: Figure, unit: str) -> str:
    """Say the likely value of a figure in two digits.

    Parameters
    ----------
    figure : Figure
        Any.
    unit : str
        Unit to show.
    """
    tail = unit if unit == "%" else f" {unit}" if unit else ""
    return f"{rounded(units.from_si(figure.value, unit, figure.dimension))}{tail}"


def acidity_words(figure: Figure) -> str:
    """Say a pH as a range with one place after the point.

    Parameters
    ----------
    figure : Figure
        A pH.
    """
    low, high = (f"{one:.1f}" for one in (figure.low, figure.high))
    return f"pH {low}" if low == high else f"pH {low} to {high}"


def state_words(found: BathState) -> str:
    """Say the state of a bath, and how else it may be.

    Parameters
    ----------
    found : BathState
        The state.
    """
    words = f"{found.state}: {STATE_WORDS[found.state]}"
    return words if found.at_worst == found.state else f"{words} (it may be {found.at_worst} already)"
