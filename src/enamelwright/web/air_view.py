"""Drawings of the page on dust, glare and burns: a bracket beside its limit, and the wood over a session."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import log10
from typing import Any

from enamelwright import units
from enamelwright.figure import Figure

#: Decades of a limit that a strip shows, below and above it.
BELOW, ABOVE = 4, 2
#: Field of the strip and of the curve [drawing units].
WIDE, HIGH = 600, 260
#: Room left of and below the curve for its words.
LEFT, BELOW_CURVE, OVER = 58, 34, 26
#: Degrees between the lines of the curve, and minutes between its marks [of them the fewest that fit].
DEGREE_STEP = 20
MINUTE_STEPS = (5, 10, 20, 30, 60, 120, 240, 480, 960, 1920, 3840, 7680)
MOST_MARKS = 9


@dataclass(frozen=True)
class Strip:
    """A bracket on a logarithmic strip with its limit.

    Attributes
    ----------
    low, middle, high, limit : float
        Places along the strip.
    words : str
        The same in words.
    """

    low: float
    middle: float
    high: float
    limit: float
    words: str


def strip(share: Figure, words: str) -> Strip:
    """Place a bracket on its strip.

    Parameters
    ----------
    share : Figure
        Of the limit.
    words : str
        For those who do not see it.
    """

    def at(value: float) -> float:
        decade = log10(value) if value > 0 else -BELOW
        return round(WIDE * (min(max(decade, -BELOW), ABOVE) + BELOW) / (BELOW + ABOVE), 1)

    return Strip(at(share.low), at(share.value), at(share.high), at(1.0), words)


def by_share(against: Sequence[Any]) -> list[Any]:
    """Put limits first that the middle estimate comes nearest to, or lies furthest over."""
    return sorted(against, key=lambda one: -float(one.share.value))


@dataclass(frozen=True)
class Curve:
    """The wood over a session, ready to be drawn.

    Attributes
    ----------
    points : str
        Of a line.
    limit : float
        Height of the limit.
    degrees, minutes : tuple of (float, str)
        Lines across and marks below, with their words.
    """

    points: str
    limit: float
    degrees: tuple[tuple[float, str], ...]
    minutes: tuple[tuple[float, str], ...]


def curve(payload: Any) -> Curve:
    """Place the course of a landing spot.

    Parameters
    ----------
    payload : LandingAnswer
        The answer.
    """
    limit = units.from_si(payload.limit.value, "°C", "temperature")
    top = DEGREE_STEP * (int(max([limit] + [celsius for _, celsius in payload.course]) // DEGREE_STEP) + 1)
    last = payload.course[-1][0]
    step = next((one for one in MINUTE_STEPS if last / one <= MOST_MARKS), MINUTE_STEPS[-1])

    def x(minute: float) -> float:
        return round(LEFT + (WIDE - LEFT - OVER) * minute / float(last), 1)

    def y(celsius: float) -> float:
        return round(OVER + (HIGH - OVER - BELOW_CURVE) * (1 - celsius / top), 1)

    apart = DEGREE_STEP if top <= 8 * DEGREE_STEP else 2 * DEGREE_STEP
    return Curve(
        " ".join(f"{x(minute)},{y(celsius)}" for minute, celsius in payload.course),
        y(limit),
        tuple((y(celsius), str(celsius)) for celsius in range(0, top + 1, apart)),
        tuple((x(minute), str(minute)) for minute in range(0, int(last) + 1, step)),
    )


def degrees(figure: Figure) -> str:
    """Print a temperature with its band, two digits of degrees Celsius, which a page puts on its device's scale."""
    middle, low, high = (
        float(f"{units.from_si(end, '°C', 'temperature'):.2g}") for end in (figure.value, figure.low, figure.high)
    )
    return f"{middle:.0f} °C ({low:.0f} to {high:.0f})"


def kelvin(figure: Figure) -> str:
    """Say a difference of temperature as the range it lies in, two digits."""
    low, high = (float(f"{end:.2g}") for end in (figure.low, figure.high))
    return f"{low:g} K" if low == high else f"{low:g} to {high:g} K"


def most_kelvin(figure: Figure) -> str:
    """Say the most of a difference of temperature, two digits."""
    return f"{float(f'{figure.high:.2g}'):g} K"


def seconds(figure: Figure | None) -> str:
    """Say a time as a bench does."""
    if figure is None:
        return "not known"
    if figure.value >= 6000:
        return f"{figure.value / 3600:.2g} h"
    if figure.value >= 100:
        return f"{figure.value / 60:.2g} min"
    return f"{figure.value:.2g} s"


def span(figure: Figure) -> str:
    """Say a time as the range it lies in."""
    low, high = (seconds(figure.model_copy(update={"value": end})) for end in (figure.low, figure.high))
    return f"{low} to {high}"


#: Share from which what is left is called nearly all of it.
NEARLY_ALL = 0.95


def left(share: float) -> str:
    """Say what a change of habit leaves."""
    return "nearly all of it" if share > NEARLY_ALL else f"about {100 * share:.2g} % of it"


def grams(kilograms: float) -> str:
    """Print a mass, two digits."""
    return f"{float(f'{1000 * kilograms:.2g}'):g} g"


def watts(figure: Figure) -> str:
    """Print heat on the eye or the hand, two digits."""
    if figure.value >= 2000:
        return f"{figure.value / 1000:.2g} kW/m2"
    return f"{float(f'{figure.value:.2g}'):g} W/m2"


def up(text: str) -> str:
    """Begin a sentence with a capital, the rest as it stands."""
    return text[:1].upper() + text[1:]
