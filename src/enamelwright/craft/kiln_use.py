"""What a kiln does in use, as figures: ready time, hold, what a load does to it, energy, cooling."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

from enamelwright.craft.kiln import Kiln
from enamelwright.craft.kiln_bodies import control_of, load_class, number
from enamelwright.craft.kiln_facts import kiln_fact
from enamelwright.craft.kiln_responses import loading_from, soaked
from enamelwright.craft.kiln_state import KilnState, kiln_state
from enamelwright.errors import InputError
from enamelwright.figure import Figure, Origin
from enamelwright.physics.chamber_control import ProportionalIntegral
from enamelwright.physics.chamber_loading import LATE_MARKS, Loading, settled
from enamelwright.physics.chamber_runs import (
    LONGEST_HEAT_UP,
    FiringRound,
    HeatUp,
    cool_down,
    firings,
    heat_up,
    holding_share,
    steady,
)
from enamelwright.physics.constants import ZERO_CELSIUS

#: Marks of a cooling with the door shut [K]: past red, black, and where the hand may open it.
COOLING_MARKS = tuple(celsius + ZERO_CELSIUS for celsius in (500.0, 300.0, 100.0))
#: A cooling is followed this long [s].
LONGEST_COOLING = 8 * 3600.0
#: Firings run to find what one costs beyond holding; the first differs from the others by next to nothing.
ROUNDS = 3
#: Most firings of a day that are told.
MOST_FIRINGS = 500
LOW, LIKELY, HIGH = 0, 1, 2


@dataclass(frozen=True)
class KilnUse:
    """A kiln at one set point, with one kind of load.

    Attributes
    ----------
    heat_up, hearth_ready : Figure
        From cold until the display is within 10 K, and the hearth within 20 K [s].
    ready_energy : Figure
        Until the display is within 10 K [J].
    hold_power, hold_duty : Figure
        For good at heat [W], and as a share of the full power.
    soak_energy : Figure
        Taken by the walls after that, over and above holding [J].
    firing_energy : Figure
        Of one firing, over and above holding [J].
    dip, overshoot : Figure
        How far the display falls below, and what a piece sees rises above the set point [K].
    recovers : Figure or None
        From closing the door on the load until the display is within 10 K of the set point [s]; None when
        it takes more than 20 minutes.
    next_load : Figure or None
        From closing the door after taking a piece out until what a piece sees stays within 10 K and the
        display is back too [s]; None when it takes more than 20 minutes.
    cools : tuple of Figure
        Switched off and shut, to 500, 300 and 100 degrees Celsius [s].
    case : Figure
        Skin after hours [K].
    """

    heat_up: Figure
    hearth_ready: Figure
    ready_energy: Figure
    hold_power: Figure
    hold_duty: Figure
    soak_energy: Figure
    firing_energy: Figure
    dip: Figure
    overshoot: Figure
    recovers: Figure | None
    next_load: Figure | None
    cools: tuple[Figure, ...]
    case: Figure

    def day(self, count: int, turn: float, wait: float = 0.0) -> Figure:
        """Return the energy of a day, from switching on to the last piece [J].

        E = ready + soak + hold * time after ready + count * firing. Leaving out the soak understates every
        day; the band adds all parts at their low and high ends.

        Parameters
        ----------
        count : int
            Firings.
        turn : float
            From one to the next [s].
        wait : float
            At heat before the first one [s].

        Raises
        ------
        InputError
            When there is no firing or no time between them.
        """
        if not 0 < count <= MOST_FIRINGS:
            raise InputError(f"a day has 1 to {MOST_FIRINGS} firings.")
        if not turn > 0 or wait < 0:
            raise InputError("firings need time between them.")
        time = wait + count * turn

        def total(end: str) -> float:
            ready, soak, hold, fire = (
                float(getattr(part, end))
                for part in (self.ready_energy, self.soak_energy, self.hold_power, self.firing_energy)
            )
            return ready + soak + hold * time + count * fire

        return _figure((total("low"), total("value"), total("high")), "energy", "heat balance of the kiln")


def _origin(words: str) -> Origin:
    return Origin(kind="computed", source=words, status="computed from the description of the kiln")


def _figure(numbers: tuple[float, ...], dimension: str, words: str) -> Figure:
    """Return low, likely and high as a figure, whatever their order; the likely one is the second."""
    return Figure(value=numbers[1], low=min(numbers), high=max(numbers), dimension=dimension, origin=_origin(words))


@lru_cache(maxsize=64)
def kiln_use(kiln: Kiln | None, set_point: float, load: str = "mesh", door_open: float | None = None,
             dwell: float | None = None, turn: float | None = None) -> KilnUse:  # fmt: skip
    """Work out a kiln in use.

    The bands come from the ends of what is not known: conductivity and stored heat of the walls together,
    and the tuning of the controller for all that follows the door.

    Parameters
    ----------
    kiln : Kiln or None
        As told; None stands for the usual preset.
    set_point : float
        On its own display [K].
    load : str
        ``none``, ``mesh``, ``plate`` or ``shelf``.
    door_open, dwell, turn : float, optional
        Door open, door closed on the piece, from one firing to the next [s].

    Raises
    ------
    OutOfReach
        For a torch, or a set point the kiln does not reach.
    InputError
        When a firing does not fit into its turn.
    """
    state = kiln_state(kiln)
    state.must_reach(set_point)
    seconds = state.facts.door_open if door_open is None else door_open
    one = FiringRound(
        interval=number("turn") if turn is None else turn,
        dwell=number("dwell") if dwell is None else dwell,
        open_seconds=seconds,
    )
    power = state.facts.power
    ups = _heat_ups(state, set_point)
    shares = tuple(min(1.0, holding_share(state.balance_at(end, LIKELY), set_point)) for end in ENDS)
    cases = tuple(steady(state.balance_at(end, LIKELY), shares[end], set_point).case for end in ENDS)
    holding = shares[LIKELY] * power
    soak = _soak(state, set_point, holding) / state.storage[LIKELY]
    fire = kiln_fact("firing_factor")
    extra = _one_firing(state, set_point, load, one, holding)
    loaded = _tunings(state, set_point, load, seconds)
    emptied = _tunings(state, set_point, "none", seconds)
    # A heavy wall keeps what a piece sees near the set point while the heat behind it is still being made good.
    away = tuple(max(settled(each.response.times, each.response.radiant), each.display_back) for each in emptied)
    return KilnUse(
        heat_up=_figure(tuple(up.time for up in ups), "time", HEATING),
        hearth_ready=_figure(tuple(min(up.hearth_time, LONGEST_HEAT_UP) for up in ups), "time", HEATING),
        ready_energy=_figure(tuple(up.energy for up in ups), "energy", HEATING),
        hold_power=_figure(tuple(share * power for share in shares), "power", WALL),
        hold_duty=_figure(shares, "ratio", WALL),
        soak_energy=_figure(tuple(soak * part for part in state.storage), "energy", WALL),
        firing_energy=_figure((extra * fire.low, extra, extra * fire.high), "energy", DOOR),
        dip=_figure(tuple(set_point - each.lowest_display for each in loaded), "temperature_difference", DOOR),
        overshoot=_figure(
            tuple(max(0.0, each.highest_radiant - set_point) for each in loaded), "temperature_difference", DOOR
        ),
        recovers=_time(tuple(each.display_back for each in loaded)),
        next_load=_time(away),
        cools=_cooling(state, set_point),
        case=_figure(cases, "temperature", WALL),
    )


#: What figures are computed from.
HEATING, WALL, DOOR = "heating from cold", "wall of the kiln", "door, load and tuning of the controller"
ENDS = (LOW, LIKELY, HIGH)


def _time(seconds: tuple[float, ...]) -> Figure | None:
    """Return a recovery as a figure; None when it takes longer than it was followed."""
    if seconds[LIKELY] == float("inf"):
        return None
    return _figure(tuple(min(time, LATE_MARKS[-1]) for time in seconds), "time", DOOR)


def _heat_ups(state: KilnState, set_point: float) -> tuple[HeatUp, ...]:
    """Heat up a light and tight, the likely, and a heavy and leaky kiln."""
    likely, _ = heat_up(state.balance, control_of(state.facts), set_point)
    found = [likely, likely, likely]
    for end in (LOW, HIGH):
        try:
            found[end], _ = heat_up(state.balance_at(end, end), control_of(state.facts), set_point)
        except InputError:  # at its worst it does not get there; the likely one does
            found[end] = replace(likely, time=LONGEST_HEAT_UP, energy=LONGEST_HEAT_UP * state.facts.power)
    return tuple(found)


def _soak(state: KilnState, set_point: float, holding: float) -> float:
    """Return what the walls take after the display is at heat, over and above holding [J]."""
    wait = number("hold_wait")
    up, chamber = heat_up(state.balance, control_of(state.facts), set_point, wait)
    return max(0.0, chamber.book.put_in - up.energy - holding * (wait - up.time))


def _one_firing(state: KilnState, set_point: float, load: str, one: FiringRound, holding: float) -> float:
    """Return what one firing costs over and above holding [J]."""
    start, control = soaked(state.balance, state.facts, set_point)
    spent = firings(state.balance, start.copy(), control.copy(), set_point, load_class(load), ROUNDS, one)
    return max(0.0, spent / ROUNDS - holding * one.interval)


def _tunings(state: KilnState, set_point: float, load: str, door_open: float) -> tuple[Loading, ...]:
    """Follow a load under a slow, the likely and a sharp controller."""
    start, control = soaked(state.balance, state.facts, set_point)
    gain = kiln_fact("control_gain")
    found = []
    for each in (gain.low, gain.value, gain.high):
        ruling = control.copy()
        if isinstance(ruling, ProportionalIntegral):
            ruling.gain, ruling.rate = each, ruling.rate * each / gain.value
        found.append(loading_from(state.balance, start, ruling, set_point, load_class(load), door_open))
    return tuple(found)


def _cooling(state: KilnState, set_point: float) -> tuple[Figure, ...]:
    """Switch off, door shut; light and leaky cools fastest."""
    start, _ = soaked(state.balance, state.facts, set_point)
    marks = tuple(mark for mark in COOLING_MARKS if mark < set_point)
    times = cool_down(state.balance, start.copy(), marks, LONGEST_COOLING)
    slowness = tuple(state.storage[end] / state.conductivity[HIGH - end] for end in ENDS)
    return tuple(
        _figure(tuple(min(time, LONGEST_COOLING) * each / slowness[LIKELY] for each in slowness), "time", WALL)
        for time in times
    )


@dataclass(frozen=True)
class DoorLine:
    """What one opening of the door does.

    Attributes
    ----------
    open_seconds : float
        [s].
    lowest_display, lowest_seen : float
        Lowest on the display, and of what a piece sees [K].
    display_back, seen_back : float or None
        From closing until within 10 K from below [s]; None when later than 20 minutes.
    extra : float
        Energy over and above holding, until it is followed no longer [J].
    """

    open_seconds: float
    lowest_display: float
    lowest_seen: float
    display_back: float | None
    seen_back: float | None
    extra: float


#: Openings that are told beside one another [s]: quick, fumbled, slow.
OPENINGS = (5.0, 15.0, 30.0)


def door_lines(kiln: Kiln | None, set_point: float, load: str = "mesh") -> tuple[DoorLine, ...]:
    """Return what opening the door for 5, 15 and 30 seconds does.

    Parameters
    ----------
    kiln : Kiln or None
        As told.
    set_point : float
        [K].
    load : str
        ``none``, ``mesh``, ``plate`` or ``shelf``.
    """
    state = kiln_state(kiln)
    state.must_reach(set_point)
    start, control = soaked(state.balance, state.facts, set_point)
    holding = holding_share(state.balance, set_point) * state.facts.power
    found = []
    for seconds in OPENINGS:
        one = loading_from(state.balance, start, control, set_point, load_class(load), seconds)
        back, seen = (None if time == float("inf") else time for time in (one.display_back, one.radiant_back))
        extra = one.energy - holding * one.duration
        found.append(DoorLine(seconds, one.lowest_display, one.lowest_radiant, back, seen, extra))
    return tuple(found)
