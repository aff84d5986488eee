"""A window in words: its reasons, what was taken as given, and how the maker's own time stands to it."""

from __future__ import annotations

import math

from enamelwright import units
from enamelwright.craft.kiln import Kiln
from enamelwright.craft.window.case import Case
from enamelwright.craft.window.look_plan import clock
from enamelwright.craft.window.members import Batch
from enamelwright.craft.window.powders import grain_of
from enamelwright.craft.window.responses import UNKNOWN
from enamelwright.figure import Figure

#: A band of some kelvin, so that whole degrees are printed.
DEGREE = 5.0
#: A gram [kg], to print whole ones.
GRAM = 1e-3


def kept_reasons(because: tuple[str, ...]) -> tuple[str, ...]:
    """Drop the reasons of practice that speak of its time alone.

    Parameters
    ----------
    because : tuple of str
        Reasons of the window of practice.
    """
    return tuple(line for line in because if not line.startswith(("time for ", "and for ", "counted from ")))


def reasons(case: Case, batch: Batch, likely: float, low: float, high: float, longest: float) -> list[str]:
    """Say what was worked out and what came of it.

    Parameters
    ----------
    case : Case
        The firing.
    batch : Batch
        What was heated.
    likely, low, high : float
        When the stage shows [s]; infinite when it does not.
    longest : float
        Time looked at [s].
    """
    point = units.show(batch.set_point, "temperature", "°C", DEGREE)
    piece = case.piece
    names = " and ".join(dict.fromkeys(layer.jar.name for layer in case.coats))
    sheet = units.show(piece.thickness, "length", "mm")
    metal = piece.metal.replace("_", " ")
    found = [f"worked out for {sheet} of {metal} on {case.firing.support}, set {point}, {names}"]
    if len(piece.bare) == 1:
        # Silver and gold keep the bright face they have; copper, its alloys and steel grow a dark scale.
        until = " until it darkens" if piece.grows else ""
        found.append(f"the {piece.bare[0]} is bare and takes up less heat{until}")
    if math.isfinite(likely):
        late = clock(high) if high < longest else f"after {clock(longest)}"
        found.append(f"{case.firing.target} likely at {clock(likely)}, between {clock(low)} and {late}")
    else:
        minutes = units.show(longest, "time", "min")
        found.append(f"at this setting {case.firing.target} is not reached within {minutes}: set it hotter")
    return found


def new_lot_words(jar: str) -> str:
    """Say that a new lot of a jar makes a window wider, and until when.

    Parameters
    ----------
    jar : str
        Code of the jar.
    """
    return f"a new lot of {jar}: the window is wider until a tile of it is fired and timed"


def judged_time(own: float, seconds: Figure) -> str:
    """Judge the maker's own time against the window worked out.

    Parameters
    ----------
    own : float
        The maker's own time [s].
    seconds : Figure
        Worked out [s].
    """
    span = f"{clock(seconds.low)} to {clock(seconds.high)}"
    if own < seconds.low:
        return f"your own time is shorter than the model expects ({span}): look before you call it done"
    if own > seconds.high:
        return f"your own time is longer than the model expects ({span}): look earlier the first time"
    return f"your own time lies in what the model expects ({span})"


def later_than(practice: Figure, too_far: float, target: str) -> list[str]:
    """Say where practice leaves a piece in for longer than the model thinks well.

    Parameters
    ----------
    practice : Figure
        Time of ordinary practice [s].
    too_far : float
        When the piece has likely gone further than it should [s]; may be infinite.
    target : str
        Stage aimed at.
    """
    if too_far >= practice.high:
        return []
    gone = "gloss" if target == "orange peel" else "over-firing"
    return [
        f"practice leaves such a firing in for up to {clock(practice.high)}, but {gone} is likely "
        f"from {clock(too_far)} by the model: go by the looks"
    ]


def display_words(kiln: Kiln) -> str:
    """Say whose degrees a setting is told in."""
    name = f"'{kiln.name}'" if kiln is not UNKNOWN else "the kiln"
    return f"degrees as {name} shows them"


def assumptions(case: Case, kiln: Kiln) -> list[str]:
    """Say what was taken as given.

    Parameters
    ----------
    case : Case
        The firing.
    kiln : Kiln
        As its owner knows it.
    """
    found = list(dict.fromkeys(melt.words for melt in case.melts))
    if case.aim.words:
        found.append(case.aim.words)
    if case.fresh:
        found += dict.fromkeys(f"{layer.jar.name}: {words}" for layer in case.coats if (words := grain_of(layer)[2]))
    if not kiln.anchored:
        found.append(
            f"nobody has checked what '{kiln.name}' shows; an error of 10 °C changes the time at heat by about a third"
        )
    weight = units.show(case.piece.support.mass, "mass", "g", GRAM)
    found.append(f"a {case.firing.support} of usual weight, {weight}")
    return found
