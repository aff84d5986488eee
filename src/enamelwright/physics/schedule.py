"""Temperature against time over one or several firings, cut into steps for the solvers."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError

Array = npt.NDArray[np.float64]

COOLING_STEPS = 160
"""Steps of one cooling for a single answer."""
BATCH_COOLING_STEPS = 50
"""Steps of one cooling for a batch."""
HEATING_STEPS = 120
"""Steps of one heating; the tension peak on heating is broad, so fewer only blur its place."""
TAIL = 0.5
"""Kelvin above the room at which the exponential tail is cut; the last step covers the rest."""
TAIL_TIME = 3600.0
"""Duration [s] of that last step. Nothing relaxes at room temperature, so its length is free."""


@dataclass(frozen=True)
class FiringMarks:
    """Where one firing lies in a schedule, as node numbers.

    Attributes
    ----------
    start : int
        First node of the heating; equals ``cooling`` when the heating is left out.
    hold : int
        Node at which the heating ends and the hold begins.
    cooling : int
        Node at which the glass is fluid and cooling begins; new coats join here.
    end : int
        Last node of the cooling.
    """

    start: int
    hold: int
    cooling: int
    end: int


@dataclass(frozen=True, eq=False)
class Schedule:
    """Piecewise history of one temperature, uniform through the thickness.

    Attributes
    ----------
    time : ndarray, shape (n_node,)
        Seconds, never falling.
    temperature : ndarray, shape (n_node,)
        Kelvin.
    firings : tuple of FiringMarks
        One entry a firing, in order, each beginning where the last one ended.
    """

    time: Array
    temperature: Array
    firings: tuple[FiringMarks, ...]

    def __post_init__(self) -> None:
        """Check shapes, order and marks; freeze the arrays."""
        for name in ("time", "temperature"):
            values = np.array(getattr(self, name), dtype=np.float64)
            if values.ndim != 1 or not np.all(np.isfinite(values)):
                raise InputError(f"{name} must be one row of finite numbers")
            values.flags.writeable = False
            object.__setattr__(self, name, values)
        if self.time.shape != self.temperature.shape or self.time.size < 2:
            raise InputError("time and temperature need the same length, at least two")
        if np.any(np.diff(self.time) < 0):
            raise InputError("time must not run backwards")
        if np.any(self.temperature <= 0):
            raise InputError("temperatures are absolute: above 0 K")
        if not self.firings:
            raise InputError("a schedule needs at least one firing")
        at = 0
        for marks in self.firings:
            if not at == marks.start <= marks.hold <= marks.cooling < marks.end:
                raise InputError("firings must follow one another without a gap")
            at = marks.end
        if at != self.time.size - 1:
            raise InputError("the last firing must end at the last node")

    @property
    def step_count(self) -> int:
        """Number of steps, one less than the nodes."""
        return int(self.time.size) - 1


@dataclass(frozen=True)
class FiringCycle:
    """One firing as heat, hold and cool.

    Attributes
    ----------
    top_temperature : float
        Temperature of the work at the end of the hold [K].
    room_temperature : float
        Temperature it is heated from and cools to [K].
    cooling_time_constant : float
        Time in which the excess over the room falls e-fold [s].
    heating_time : float
        Time of the straight rise from the room to the top [s].
    hold_time : float
        Time at the top [s].
    """

    top_temperature: float
    room_temperature: float
    cooling_time_constant: float
    heating_time: float
    hold_time: float

    def __post_init__(self) -> None:
        """Check that it heats and that every time is positive."""
        if not self.top_temperature > self.room_temperature + TAIL > 0:
            raise InputError("a firing must be hotter than the room")
        if not min(self.cooling_time_constant, self.heating_time) > 0 or self.hold_time < 0:
            raise InputError("heating time and cooling constant must be positive")


def newton_cooling(
    top_temperature: float,
    room_temperature: float,
    time_constant: float,
    steps: int = COOLING_STEPS,
) -> tuple[Array, Array]:
    """Cool exponentially toward the room, sampled at equal steps of temperature.

    Parameters
    ----------
    top_temperature, room_temperature : float
        Start and surroundings [K].
    time_constant : float
        e-fold time of the excess [s].
    steps : int
        Equal temperature steps down to half a kelvin above the room, before one long last step.

    Returns
    -------
    tuple of ndarray, shape (steps + 2,)
        Time from 0 [s] and temperature [K].
    """
    if steps < 1:
        raise InputError("cooling needs at least one step")
    excess = np.linspace(top_temperature - room_temperature, TAIL, steps + 1)
    time = time_constant * np.log(excess[0] / excess)
    return (
        np.append(time, time[-1] + TAIL_TIME),
        np.append(room_temperature + excess, room_temperature),
    )


def linear_ramp(start: float, end: float, rate: float, steps: int) -> tuple[Array, Array]:
    """Straight change of temperature at a constant rate.

    Parameters
    ----------
    start, end : float
        Temperatures [K].
    rate : float
        Rate [K/s], positive for either direction.
    steps : int
        Equal steps.

    Returns
    -------
    tuple of ndarray, shape (steps + 1,)
        Time from 0 [s] and temperature [K].
    """
    temperature = np.linspace(start, end, steps + 1)
    return np.abs(temperature - start) / rate, temperature


def fire(
    cycles: Sequence[FiringCycle],
    *,
    cooling_steps: int = COOLING_STEPS,
    heating_steps: int = HEATING_STEPS,
) -> Schedule:
    """Lay firings one after another, beginning hot at the first cooling.

    The first heating is left out: powder has no stiffness and the bare sheet is free.

    Parameters
    ----------
    cycles : sequence of FiringCycle
        In order of firing; all of them for the same room temperature.
    cooling_steps, heating_steps : int
        Resolution of each cooling and heating.

    Returns
    -------
    Schedule

    Raises
    ------
    InputError
        If there is no cycle or the room changes between cycles.
    """
    if not cycles:
        raise InputError("a schedule needs at least one firing")
    room = cycles[0].room_temperature
    time: list[Array] = [np.zeros(1)]
    temperature: list[Array] = [np.array([cycles[0].top_temperature])]
    marks: list[FiringMarks] = []
    now, node = 0.0, 0
    for number, cycle in enumerate(cycles):
        if cycle.room_temperature != room:
            raise InputError("all firings must start from and cool to the same room")
        start = hold = node
        if number > 0:
            rise = np.linspace(0.0, 1.0, heating_steps + 1)[1:]
            time.append(now + cycle.heating_time * rise)
            temperature.append(room + (cycle.top_temperature - room) * rise)
            now += cycle.heating_time
            node += heating_steps
            hold = node
            now += cycle.hold_time
            time.append(np.array([now]))
            temperature.append(np.array([cycle.top_temperature]))
            node += 1
        fall_time, fall = newton_cooling(cycle.top_temperature, room, cycle.cooling_time_constant, cooling_steps)
        time.append(now + fall_time[1:])
        temperature.append(fall[1:])
        now += float(fall_time[-1])
        marks.append(FiringMarks(start, hold, node, node + fall.size - 1))
        node += fall.size - 1
    return Schedule(np.concatenate(time), np.concatenate(temperature), tuple(marks))


def measured(time: npt.ArrayLike, temperature: npt.ArrayLike, *, most_steps: int | None = None) -> Schedule:
    """One cooling from a recorded curve, hottest reading first.

    Parameters
    ----------
    time : array_like, shape (n,)
        Seconds, rising.
    temperature : array_like, shape (n,)
        Kelvin; readings before the hottest one are dropped.
    most_steps : int, optional
        Thin the curve to about this many steps of equal temperature by linear interpolation in
        the falling envelope; needed only for long records.

    Returns
    -------
    Schedule
        A single firing that begins at its hottest reading.
    """
    at = np.asarray(time, dtype=np.float64)
    kelvin = np.asarray(temperature, dtype=np.float64)
    if at.shape != kelvin.shape or at.ndim != 1:
        raise InputError("time and temperature need the same length")
    top = int(np.argmax(kelvin))
    at, kelvin = at[top:], kelvin[top:]
    if at.size < 2:
        raise InputError("the record ends at its hottest reading: there is no cooling in it")
    if most_steps is not None and at.size - 1 > most_steps:
        falling = np.minimum.accumulate(kelvin)
        grid = np.linspace(falling[0], falling[-1], most_steps + 1)
        # The last time at which the envelope is still at least this hot.
        grid_time = np.interp(-grid, -falling, at)
        grid_time[0], grid_time[-1] = at[0], at[-1]
        at, kelvin = grid_time, grid
    return Schedule(at - at[0], kelvin, (FiringMarks(0, 0, 0, int(at.size) - 1),))
