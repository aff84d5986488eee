"""What a way out of a fault would take in the kiln, in words: as in the firing it came from, hotter, cooler, longer.

With the plan the times are worked out anew, by what this studio knows of the kiln today; without it they are those
foretold for that firing. A band that is too wide to go by is told by its early end alone.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass
from typing import Any

from enamelwright import units
from enamelwright.craft.bench import Bench
from enamelwright.craft.metal import metal
from enamelwright.craft.outline_shape import Shape
from enamelwright.craft.plan import Plan
from enamelwright.errors import EnamelwrightError
from enamelwright.learning.fault_signs import FaultFacts, limit
from enamelwright.learning.rescue import Heats
from enamelwright.reference.loader import facts_of
from enamelwright.workshop.load_window import for_load

_MINUTE = 60
#: What of a firing of the record is kept when it is worked out anew.
_KEPT = ("target", "support", "face_up")


@dataclass(frozen=True)
class Fired:
    """The firing a fault came from.

    Attributes
    ----------
    figures : mapping or None
        What was foretold of it.
    kiln : str
        Name of its kiln; empty when not known.
    facts : FaultFacts
        Of the piece and that firing.
    plan : Plan or None
        Of the piece, when it is worked out.
    shape : Shape or None
        Its drawn outline.
    """

    figures: Mapping[str, Any] | None
    kiln: str
    facts: FaultFacts
    plan: Plan | None
    shape: Shape | None


@dataclass(frozen=True)
class _Time:
    """A time in the kiln [s]; `open_ended` where its late end is cut."""

    low: float
    high: float
    open_ended: bool


def heats(fired: Fired, known: Bench, wanted: Collection[str]) -> Heats:
    """Say what the kiln would be set to.

    Parameters
    ----------
    fired : Fired
        The firing the fault came from.
    known : Bench
        The bench of this moment.
    wanted : collection of str
        Fields of :class:`~enamelwright.learning.rescue.Heats` that are wanted; only these are worked out.
    """
    point = _of(fired.figures, "set_point")
    if not point:
        return Heats()
    told: dict[str, Callable[[Fired, float, Bench], str]] = {
        "as_then": _as_then, "hotter": _hotter, "cooler": _cooler, "early": _early, "longer": _longer,
    }  # fmt: skip
    return Heats(**{name: told[name](fired, float(point["value"]), known) for name in wanted})


def _as_then(fired: Fired, point: float, known: Bench) -> str:
    time = _worked(fired, point, known)
    how = "Worked out today" if time is not None else "As foretold for that firing"
    time = time or _foretold(fired)
    return f"{how}: about {_degrees(point)}, {_span(time)}." if time is not None else ""


def _hotter(fired: Fired, point: float, known: Bench) -> str:
    more = facts_of("trade/fault_weights")["trade/fault_hotter"]
    try:
        if fired.facts.metal:
            metal(fired.facts.metal).check_below_solidus(point + more.high)
    except EnamelwrightError:
        return "Not hotter on this metal: it begins to melt near there."
    return _moved(fired, point, more.value, (more.low, more.high), known)


def _cooler(fired: Fired, point: float, known: Bench) -> str:
    less = facts_of("trade/fault_weights")["trade/fault_cooler"]
    return _moved(fired, point, -less.value, (less.low, less.high), known)


def _moved(fired: Fired, point: float, by: float, both: tuple[float, float], known: Bench) -> str:
    """Say a setting above or below that of the firing, with its time where that is worked out."""
    least, most = (units.from_si(one, "K", "temperature_difference") for one in both)
    side = "above" if by > 0 else "below"
    words = f"Set {least:.0f} to {most:.0f} °C {side} the {_degrees(point)} of that firing"
    time = _worked(fired, point + by, known)
    if time is not None:
        return f"{words}: at {_degrees(point + by)}, {_span(time)}."
    if fired.plan is not None:
        return f"{words}; no time is worked out there, so look early."
    foretold = _foretold(fired)
    if by < 0 and foretold is not None:  # cooler is slower, so that firing's early end comes before it
        return f"{words}; how long is not worked out without the plan, so look from {_clock(foretold.low)} on."
    return f"{words}; how long is not worked out without the plan."


def _early(fired: Fired, point: float, known: Bench) -> str:
    time = _worked(fired, point, known) or _foretold(fired)
    if time is None:
        return ""
    return f"At about {_degrees(point)} look from {_clock(time.low)} on, and take it out as soon as it is there."


def _longer(fired: Fired, point: float, known: Bench) -> str:
    seconds = fired.facts.seconds
    if seconds is None:
        return _as_then(fired, point, known)
    return f"It had {_clock(seconds)} at about {_degrees(point)}: look often from there on, until it is there."


def _worked(fired: Fired, point: float, known: Bench) -> _Time | None:
    """Return the time of that firing of the plan at a set point, as the bench of this moment has it."""
    plan = fired.plan
    told = (fired.figures or {}).get("firing") or {}
    firing = next((one for one in plan.firings if one.number == told.get("number")), None) if plan is not None else None
    if plan is None or firing is None:
        return None
    wanted = {name: told[name] for name in _KEPT if told.get(name)} | {"set_point": point}
    try:
        window = for_load(plan, firing, known, fired.shape, fired.kiln, wanted, 1).window
    except EnamelwrightError:
        return None
    near = units.to_si(1.0, "K", "temperature_difference")
    if window is None or window.seconds is None or window.set_point is None:
        return None
    if abs(window.set_point.value - point) > near:  # a kiln that does not get there is told at what it reaches
        return None
    return _Time(window.seconds.low, window.seconds.high, window.open_ended)


def _foretold(fired: Fired) -> _Time | None:
    seconds = _of(fired.figures, "seconds")
    if not seconds:
        return None
    window = ((fired.figures or {}).get("firing") or {}).get("window") or {}
    return _Time(seconds["low"], seconds["high"], bool(window.get("open_ended")))


def _of(figures: Mapping[str, Any] | None, name: str) -> dict[str, Any]:
    window = (((figures or {}).get("firing") or {}).get("window")) or {}
    return window.get(name) or {}


def _degrees(kelvin: float) -> str:
    return units.show(kelvin, "temperature", "°C")


def _clock(seconds: float) -> str:
    whole = round(seconds)
    return f"{whole // _MINUTE}:{whole % _MINUTE:02d}"


def _span(time: _Time) -> str:
    if time.open_ended or time.high > limit("wide") * time.low:
        return f"watch from {_clock(time.low)} on and go by the stage, for the late end is no time to trust"
    return f"{_clock(time.low)} to {_clock(time.high)}"
