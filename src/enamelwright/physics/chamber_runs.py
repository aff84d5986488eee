"""What a small kiln does in use: heat up, soak, take a load, hold, cool down, and a whole day of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from enamelwright.errors import InputError
from enamelwright.physics.chamber import ChamberState, HeatBalance
from enamelwright.physics.chamber_bodies import Body
from enamelwright.physics.chamber_control import Control, Fixed
from enamelwright.physics.constants import ZERO_CELSIUS
from enamelwright.physics.root import root

STEP = 1.0
"""Time step with the door closed [s]; halving it moves the wall by 0.15 K and the thermocouple by 0.12 K."""
DOOR_STEP = 0.25
"""Time step while the door is open and shortly after [s]."""
NEAR = 10.0
"""Within this of the set point the kiln counts as back [K]."""
HEARTH_NEAR = 20.0
"""Within this of the set point the hearth counts as ready [K]."""
HOUR = 3600.0
"""Seconds."""
LONGEST_HEAT_UP = 4 * HOUR
"""A kiln that has not come to heat after this never will [s]."""


def run_on(balance: HeatBalance, state: ChamberState, control: Control, set_point: float, duration: float,
          step: float = STEP, open_door: bool = False,
          see: Callable[[float, ChamberState], bool] | None = None) -> float:  # fmt: skip
    """Run a kiln on under its controller, in equal steps; state and controller move on.

    Parameters
    ----------
    balance : HeatBalance
        The kiln.
    state : ChamberState
        Changed.
    control : Control
        Changed.
    set_point : float
        [K].
    duration, step : float
        [s].
    open_door : bool
        Whether the door stands open.
    see : callable, optional
        Sees time and state after every step; stops the run by returning True.

    Returns
    -------
    float
        Time run [s].
    """
    steps = max(1, round(duration / step))
    for n in range(steps):
        balance.step(state, duration / steps, control.duty(set_point - state.probe, duration / steps), open_door)
        if see is not None and see((n + 1) * duration / steps, state):
            return (n + 1) * duration / steps
    return duration


def exchange(balance: HeatBalance, state: ChamberState, control: Control, set_point: float, seconds: float,
             load: Body | None, see: Callable[[float, ChamberState], bool] | None = None) -> None:  # fmt: skip
    """Open the door, halfway through take out what is there and put in a cold load, close it.

    Parameters
    ----------
    balance : HeatBalance
        The kiln.
    state : ChamberState
        Changed.
    control : Control
        Changed.
    set_point : float
        [K].
    seconds : float
        The door stands open [s].
    load : Body or None
        Put in at the temperature of the room.
    see : callable, optional
        Sees the time since the load was exchanged, negative before, and the state.
    """
    before = None if see is None else lambda time, now: see(time - seconds / 2, now)
    run_on(balance, state, control, set_point, seconds / 2, DOOR_STEP, True, before)
    state.take_out()
    if load is not None:
        state.put_in(load, balance.chamber.room.temperature)
    run_on(balance, state, control, set_point, seconds / 2, DOOR_STEP, True, see)


@dataclass(frozen=True)
class HeatUp:
    """From cold to heat.

    Attributes
    ----------
    time : float
        Until the display first comes within 10 K of the set point [s].
    energy : float
        Until then [J].
    hearth_time : float
        Until the hearth is within 20 K as well [s].
    hearth_energy : float
        Until then [J].
    first_at_set : float
        Until the display first shows the set point [s]; infinite where it never does.
    """

    time: float
    energy: float
    hearth_time: float
    hearth_energy: float
    first_at_set: float


def heat_up(balance: HeatBalance, control: Control, set_point: float, soak: float = 0.0) -> tuple[HeatUp, ChamberState]:
    """Heat the empty kiln from the room, then soak it.

    Parameters
    ----------
    balance : HeatBalance
        The kiln.
    control : Control
        Its controller; it is left as it is at the end.
    set_point : float
        [K].
    soak : float
        Least time from switching on to the end [s].

    Returns
    -------
    tuple
        Times and energies, and the kiln at the end.

    Raises
    ------
    InputError
        When the kiln cannot reach the set point.
    """
    state = balance.cold()
    marks: dict[str, tuple[float, float]] = {}

    def see(time: float, now: ChamberState) -> bool:
        spent = (time, now.book.put_in)
        if now.probe >= set_point - NEAR:
            marks.setdefault("near", spent)
            if now.hearth >= set_point - HEARTH_NEAR:
                marks.setdefault("hearth", spent)
        if now.probe >= set_point:
            marks.setdefault("set", spent)
        return "hearth" in marks and "set" in marks and time >= soak

    run_on(balance, state, control, set_point, max(LONGEST_HEAT_UP, soak), see=see)
    if "near" not in marks:
        ends = f"{set_point - ZERO_CELSIUS:.0f} °C: after {LONGEST_HEAT_UP / HOUR:.0f} hours it is at"
        raise InputError(
            f"this kiln does not reach {ends} {state.probe - ZERO_CELSIUS:.0f} °C.",
            "Check power, wall and inside size.",
        )
    never = (float("inf"), state.book.put_in)
    near, hearth = marks["near"], marks.get("hearth", never)
    return HeatUp(*near, *hearth, marks.get("set", never)[0]), state


@dataclass(frozen=True)
class Hold:
    """The kiln left alone at heat.

    Attributes
    ----------
    power : float
        Mean over the last ten minutes [W].
    wall, element, hearth, radiant, air : float
        Less the display [K].
    case : float
        Skin [K].
    """

    power: float
    wall: float
    element: float
    hearth: float
    radiant: float
    air: float
    case: float


AVERAGED = 600.0
"""Hold power is a mean over this, so that an on-off kiln has one [s]."""


def hold(balance: HeatBalance, state: ChamberState, control: Control, set_point: float, wait: float) -> Hold:
    """Leave a hot kiln alone and read its power; the state moves on.

    Parameters
    ----------
    balance : HeatBalance
        The kiln.
    state : ChamberState
        Changed.
    control : Control
        Changed.
    set_point : float
        [K].
    wait : float
        Before the power is read [s].
    """
    if wait > 0:
        run_on(balance, state, control, set_point, wait)
    before = state.book.put_in
    run_on(balance, state, control, set_point, AVERAGED)
    shown = state.probe
    return Hold(
        power=(state.book.put_in - before) / AVERAGED,
        wall=state.wall - shown,
        element=state.element - shown,
        hearth=state.hearth - shown,
        radiant=state.radiant - shown,
        air=state.air - shown,
        case=state.case,
    )


STEADY_STEP = 1e6
"""A step so long that heat capacity no longer matters: each is one Newton step to the steady state [s]."""
STEADY_STEPS = 200
STEADY_NEAR = 1e-7
"""Most such steps, and the change of the last one at which the steady state is found [K]."""
WIDEST_CHANGE, SHORTER = 0.3, 0.7
"""Largest change of a step, as a share of the temperature; factor on a step that swings."""


def steady(balance: HeatBalance, share: float, start: float) -> ChamberState:
    """Return the empty closed kiln as it stands after endless time at one share of the power.

    Parameters
    ----------
    balance : HeatBalance
        The kiln.
    share : float
        Of the power, above 0.
    start : float
        Temperature from which it is sought [K].
    """
    room = balance.chamber.room.temperature
    state = balance.cold()
    state.nodes[:] = start
    state.probe = start
    part, last = 1.0, float("inf")
    for _ in range(STEADY_STEPS):
        before = state.nodes
        balance.step(state, STEADY_STEP, share)
        change = np.clip(state.nodes - before, -WIDEST_CHANGE * before, WIDEST_CHANGE * before)
        most = float(np.abs(change).max())
        if most < STEADY_NEAR:
            break
        if most > last:  # it swings about the answer, since conductivity rises steeply: take less of each step
            part *= SHORTER
        last = most
        state.nodes = np.maximum(before + part * change, room)
    return state


def holding_share(balance: HeatBalance, set_point: float) -> float:
    """Return the share of the power that holds the display at a set point for good.

    Parameters
    ----------
    balance : HeatBalance
        The kiln.
    set_point : float
        [K], above the room.

    Returns
    -------
    float
        Above 1 when the power is too small for that set point; no more than a bound when it is far too small.
    """

    def miss(share: float) -> float:
        return steady(balance, share, set_point).probe - set_point

    top = 1.0
    while miss(top) < 0:
        top *= 2
        if top > LARGEST_SHARE:
            return top
    return root(miss, SMALLEST_SHARE, top, relative=SHARE_NEAR)


SMALLEST_SHARE, LARGEST_SHARE, SHARE_NEAR = 1e-4, 1000.0, 1e-5
"""Least and most of the power that is tried; relative accuracy of the share found."""


def cool_down(balance: HeatBalance, state: ChamberState, marks: tuple[float, ...], longest: float) -> tuple[float, ...]:
    """Switch a hot kiln off with the door shut; return when the display passes each mark [s].

    Parameters
    ----------
    balance : HeatBalance
        The kiln.
    state : ChamberState
        Changed.
    marks : tuple of float
        Falling temperatures [K].
    longest : float
        Followed this long [s]; marks passed later are infinite.
    """
    found = [float("inf")] * len(marks)

    def see(time: float, now: ChamberState) -> bool:
        for number, mark in enumerate(marks):
            if now.probe <= mark and found[number] == float("inf"):
                found[number] = time
        return found[-1] < float("inf")

    run_on(balance, state, Fixed(0.0), 0.0, longest, COOLING_STEP, see=see)
    return tuple(found)


COOLING_STEP = 15.0
"""Step of a cooling that lasts hours [s]."""


@dataclass(frozen=True)
class FiringRound:
    """One firing out of many in a row.

    Attributes
    ----------
    interval : float
        From one loading to the next [s].
    dwell : float
        Door closed on the piece [s].
    open_seconds : float
        Door open to load, and again to unload [s].
    """

    interval: float
    dwell: float
    open_seconds: float

    def __post_init__(self) -> None:
        """Refuse a round that does not fit into its interval."""
        if not (self.open_seconds > 0 and self.dwell > 0):
            raise InputError("a firing needs time with the door open and time with the door closed.")
        if self.interval < self.dwell + 2 * self.open_seconds:
            raise InputError("the firings follow one another faster than one firing lasts.")


def firings(
    balance: HeatBalance,
    state: ChamberState,
    control: Control,
    set_point: float,
    load: Body | None,
    rounds: int,
    one: FiringRound,
) -> float:
    """Fire one load after another and return the energy put in [J]; the state moves on.

    Parameters
    ----------
    balance : HeatBalance
        The kiln.
    state : ChamberState
        Changed.
    control : Control
        Changed.
    set_point : float
        [K].
    load : Body or None
        Put in cold every time.
    rounds : int
        How many.
    one : FiringRound
        How each goes.
    """
    before = state.book.put_in
    rest = one.interval - one.dwell - 2 * one.open_seconds
    for _ in range(rounds):
        exchange(balance, state, control, set_point, one.open_seconds, load)
        run_on(balance, state, control, set_point, one.dwell)
        exchange(balance, state, control, set_point, one.open_seconds, None)
        if rest > 0:
            run_on(balance, state, control, set_point, rest)
    return state.book.put_in - before
