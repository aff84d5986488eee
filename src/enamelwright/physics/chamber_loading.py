"""What opening the door of a hot kiln and setting down a load does to it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError
from enamelwright.physics.chamber import ChamberState, HeatBalance
from enamelwright.physics.chamber_bodies import Body
from enamelwright.physics.chamber_control import Control
from enamelwright.physics.chamber_runs import DOOR_STEP, NEAR, exchange, run_on
from enamelwright.physics.kiln_response import KilnResponse

Array = npt.NDArray[np.float64]

SHORTLY = 10.0
"""How long after closing the short step is kept [s]."""
FOLLOWED = 300.0
"""How long the kiln is followed after the door closes [s]."""
MARKS = (0.0, 1.0, 2.0, 3.0, 5.0, 8.0, 12.0, 18.0, 25.0, 30.0, 35.0, 40.0, 50.0, 60.0, 70.0, 80.0, 90.0, 100.0, 120.0,
         150.0, 180.0, 240.0, 290.0)  # fmt: skip
"""Seconds after closing at which a response is kept: close where it bends."""
LATE_MARKS = (400.0, 600.0, 900.0, 1200.0)
"""And later ones, for loads from which a kiln recovers slowly."""


@dataclass(frozen=True)
class Loading:
    """What opening the door and setting down a load does.

    Attributes
    ----------
    response : KilnResponse
        Kiln less set point after the door closes.
    lowest_display, lowest_radiant : float
        Lowest the display and what a piece sees get [K].
    highest_display, highest_radiant : float
        Highest after that [K].
    display_back, radiant_back : float
        Until both are within 10 K for good, from closing [s]; infinite when later than it was followed.
    head_start : float
        Seconds at the set point in which a cold body takes up what it takes up between being set down and the
        closing of the door: so much earlier is everything that is counted from closing on a cold piece [s].
    energy : float
        Put in from opening to the end [J].
    duration : float
        From opening to the end [s].
    """

    response: KilnResponse
    lowest_display: float
    lowest_radiant: float
    highest_display: float
    highest_radiant: float
    display_back: float
    radiant_back: float
    head_start: float
    energy: float
    duration: float


def loading(
    balance: HeatBalance,
    soaked: ChamberState,
    control: Control,
    set_point: float,
    open_seconds: float,
    load: Body | None,
    followed: float = FOLLOWED,
) -> Loading:
    """Open the door of a soaked kiln, set a cold load down halfway through, close it and follow.

    Parameters
    ----------
    balance : HeatBalance
        The kiln.
    soaked : ChamberState
        As it stands at heat; not changed.
    control : Control
        Its controller as it stands then; not changed.
    set_point : float
        [K].
    open_seconds : float
        How long the door stands open [s].
    load : Body or None
        What is set down.
    followed : float
        After closing [s].

    Raises
    ------
    InputError
        When the door is not open for any time.
    """
    if not open_seconds > 0:
        raise InputError("the door must stand open for a while to set a load down.")
    state, control = soaked.copy(), control.copy()
    before = state.book.put_in
    lowest = [np.inf, np.inf]
    head_start, last = 0.0, 0.0

    def dip(time: float, now: ChamberState) -> bool:
        nonlocal head_start, last
        lowest[0], lowest[1] = min(lowest[0], now.probe), min(lowest[1], now.radiant)
        if time > 0:
            head_start += (time - last) * (now.radiant / set_point) ** 4
        last = max(0.0, time)
        return False

    exchange(balance, state, control, set_point, open_seconds, load, dip)
    at = [0.0]
    seen = [(state.probe, state.radiant, state.air)]
    shift = 0.0

    def keep(time: float, now: ChamberState) -> bool:
        at.append(shift + time)
        seen.append((now.probe, now.radiant, now.air))
        return False

    run_on(balance, state, control, set_point, min(SHORTLY, followed), DOOR_STEP, see=keep)
    shift = SHORTLY
    if followed > SHORTLY:
        run_on(balance, state, control, set_point, followed - SHORTLY, see=keep)
    times, (probe, radiant, air) = np.array(at), np.array(seen).T
    # The first instant still belongs to the open door; the closed door's radiation is there at once.
    radiant[0], air[0] = 2 * radiant[1] - radiant[2], 2 * air[1] - air[2]
    marks = np.array([mark for mark in (*MARKS, *LATE_MARKS) if mark <= followed])
    response = KilnResponse(
        marks, np.interp(marks, times, radiant) - set_point, np.interp(marks, times, air) - set_point
    )
    return Loading(
        response=response,
        lowest_display=min(lowest[0], float(probe.min())),
        lowest_radiant=min(lowest[1], float(radiant.min())),
        highest_display=float(probe.max()),
        highest_radiant=float(radiant.max()),
        display_back=_back(times, probe, set_point),
        radiant_back=_back(times, radiant, set_point),
        head_start=head_start,
        energy=state.book.put_in - before,
        duration=open_seconds + followed,
    )


def _back(times: Array, temperature: Array, set_point: float) -> float:
    """Return when a temperature that fell has first come within 10 K from below [s]."""
    near = np.flatnonzero(temperature >= set_point - NEAR)
    return float(times[near[0]]) if near.size else float("inf")


def settled(times: Array, away: Array, near: float = NEAR) -> float:
    """Return the time after which a response stays near the set point, over and under [s].

    Parameters
    ----------
    times, away : ndarray, shape (n,)
        Seconds and kelvin from the set point.
    near : float
        How near [K].

    Returns
    -------
    float
        Infinite when it is still away at the end.
    """
    far = np.flatnonzero(np.abs(away) > near)
    if not far.size:
        return 0.0
    if far[-1] == len(times) - 1:
        return float("inf")
    last = far[-1]
    edge = np.copysign(near, away[last])
    share = (away[last] - edge) / (away[last] - away[last + 1])
    return float(times[last] + share * (times[last + 1] - times[last]))


LOOK_STEP = 0.5
"""Spacing of the response to a look [s]."""


def looking(
    balance: HeatBalance,
    soaked: ChamberState,
    control: Control,
    set_point: float,
    open_seconds: float,
    load: Body | None,
    followed: float = FOLLOWED,
) -> KilnResponse:
    """Open the door on a hot load, close it again, and follow from the moment of opening.

    Parameters
    ----------
    balance : HeatBalance
        The kiln.
    soaked : ChamberState
        As it stands at heat; not changed.
    control : Control
        Not changed.
    set_point : float
        [K].
    open_seconds : float
        [s].
    load : Body or None
        What stands in the kiln, as hot as the set point.
    followed : float
        After closing [s].

    Returns
    -------
    KilnResponse
        Its time runs from the opening of the door.

    Raises
    ------
    InputError
        When the door is not open for any time.
    """
    if not open_seconds > 0:
        raise InputError("a look takes time.")
    state, control = soaked.copy(), control.copy()
    if load is not None:
        state.put_in(load, set_point)
    at, seen, shift = [0.0], [(state.radiant, state.air)], 0.0

    def keep(time: float, now: ChamberState) -> bool:
        at.append(shift + time)
        seen.append((now.radiant, now.air))
        return False

    run_on(balance, state, control, set_point, open_seconds, DOOR_STEP, True, keep)
    shift = at[-1]
    run_on(balance, state, control, set_point, followed, LOOK_STEP, see=keep)
    radiant, air = np.array(seen).T - set_point
    return KilnResponse(np.array(at), radiant, air)


def seconds_lost(response: KilnResponse, lag: float, slope: float) -> float:
    """Return how many seconds at the set point a look takes from a piece that follows the kiln with a lag.

    The piece is one lump that nears what it sees e-fold in `lag`; its glass runs 10^(slope dT) times as fast
    when it is dT hotter. What overshoot gives back afterwards is not counted.

    Parameters
    ----------
    response : KilnResponse
        From :func:`looking`.
    lag : float
        Heat capacity for each area over the film of radiation and air on both faces [s].
    slope : float
        Decades of viscosity for each kelvin [1/K].

    Raises
    ------
    InputError
        When lag or slope is not positive.
    """
    if not (lag > 0 and slope > 0):
        raise InputError("a lag and a slope are more than nothing.")
    piece = np.zeros_like(response.radiant)
    for n, step in enumerate(np.diff(response.times)):
        share = 1 - np.exp(-step / lag)
        piece[n + 1] = piece[n] + share * (response.radiant[n + 1] - piece[n])
    rate = 1 - 10.0 ** (slope * np.minimum(piece, 0.0))
    return float(np.trapezoid(rate, response.times))
