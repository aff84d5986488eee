"""Air of the room about the kiln: how long it takes to clear, what a fan must move, why it does not cool."""

from __future__ import annotations

from enamelwright import units
from enamelwright.errors import InputError
from enamelwright.figure import Figure, Origin
from enamelwright.physics.two_zone_air import purge_time
from enamelwright.reference.loader import Fact, facts_of

_ORIGIN = Origin(kind="computed", source="one well-stirred room", status="assumption")


def told(key: str) -> Fact:
    """Return one constant of the table of room air, named without its field."""
    return facts_of("health/air")[f"health/{key}"]


def clearing(changes: float) -> Figure | None:
    """Time until a hundredth of what floats in the room is left [s]; None when nothing changes the air.

    Rooms stir badly: the upper end is three times the figure of a well-stirred one.

    Parameters
    ----------
    changes : float
        Air changes [1/s], not negative.

    Raises
    ------
    InputError
        For less than no air.
    """
    if changes < 0:
        raise InputError("air cannot change less than not at all.", "Give changes an hour, 0 for a shut room.")
    if changes == 0:
        return None
    time = purge_time(changes, told("cleared").value)
    return Figure(value=time, low=time, high=_BADLY_STIRRED * time, dimension="time", origin=_ORIGIN)


#: A corner of a room without a fan may clear so many times slower than the mean (judgement).
_BADLY_STIRRED = 3


def fan_for(volume: float, changes: float) -> float:
    """Air that a fan must move for so many changes [m3/s].

    Parameters
    ----------
    volume : float
        Of the room [m3].
    changes : float
        [1/s].
    """
    return volume * changes


def kiln_warms(power: float, flow: float) -> float | None:
    """How much the air would warm if the walls took none of a kiln's heat [K]; None without any air.

    Parameters
    ----------
    power : float
        Of the kiln [W].
    flow : float
        Fresh air [m3/s].
    """
    if flow <= 0:
        return None
    density = facts_of("health/dust")["health/air_density"].value
    return power / (density * told("air_heat").value * flow)


def cautions(changes: float) -> tuple[str, ...]:
    """Return what is to be said about the air of a room with a kiln.

    Parameters
    ----------
    changes : float
        Air changes [1/s].
    """
    low, high = (units.from_si(told(key).value, "1/h", "rate") for key in ("target_low", "target_high"))
    run_on = units.show(told("run_on").value, "time", "min")
    lines = [
        f"A hood or a window fan at the kiln, and {run_on} more after it is switched off; {low:.0f} to {high:.0f} "
        "changes of air an hour is what shops aim at. No measured figures of what enamel gives off were found.",
        "An electric kiln burns nothing; gum, oils and pens do, in the first minutes of a firing.",
    ]
    if changes < told("target_low").value:
        lines.insert(0, "This room changes its air slowly: what gets into it stays for the day.")
    return tuple(lines)
