"""How one kiln answers the door and a load: from the table for a kiln of a preset, else worked out once.

Every response starts from a kiln soaked through. Loaded half an hour after its display first showed the set
point, a kiln of fibre or a muffle answers at most 3 K lower with a mesh, 4 K with a plate and 10 K with a heavy
shelf; one of brick 9, 17 and 29 K (presets, 740 to 920 degrees Celsius). Cold walls ask for a longer soak.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from functools import lru_cache

import numpy as np

from enamelwright.craft.kiln import Kiln, Preset
from enamelwright.craft.kiln_bodies import chamber_of, control_of, load_class
from enamelwright.craft.kiln_facts import KilnFacts, kiln_fact, kiln_facts, presets
from enamelwright.craft.kiln_state import KilnState, kiln_state
from enamelwright.physics.chamber import ChamberState, HeatBalance
from enamelwright.physics.chamber_bodies import Body
from enamelwright.physics.chamber_control import Control, Fixed, ProportionalIntegral
from enamelwright.physics.chamber_loading import LATE_MARKS, MARKS, Loading, loading, looking
from enamelwright.physics.chamber_runs import NEAR, holding_share, run_on, steady
from enamelwright.physics.constants import ZERO_CELSIUS
from enamelwright.physics.kiln_response import KilnResponse
from enamelwright.reference import loader

#: Set points [K] of the table; between them responses are mixed (within 3 K, a heavy shelf in a small
#: kiln within 7 K), beyond them they are worked out.
SET_POINTS = tuple(celsius + ZERO_CELSIUS for celsius in (740.0, 800.0, 860.0, 920.0))
#: Loads of the table, lightest first; ``none`` is the door alone.
LOADS = ("none", "mesh", "plate", "shelf")
#: A set point is worked out to this many kelvin, and the response shifted with the rest.
SET_STEP = 5.0
#: Loads are told apart in steps of this share of their heat and area.
LOAD_STEP = 0.05
#: A thermostat first swings this long, then is caught at so many moments so many seconds apart; the mean is told.
SWUNG, PHASES, PHASE_STEP = 180.0, 4, 16.0
#: Decimals of the table [K].
DECIMALS = 1


def response_for(
    kiln: Kiln | None, set_point: float, load: str | Body = "mesh", door_open: float | None = None
) -> KilnResponse:
    """Return how a kiln strays from its set point after the door closes on a load.

    Parameters
    ----------
    kiln : Kiln or None
        As told; None stands for the usual preset.
    set_point : float
        [K].
    load : str or Body
        ``none``, ``mesh``, ``plate`` or ``shelf``, or a body from :func:`kiln_bodies.load_body`.
    door_open : float, optional
        Seconds the door stands open; the kiln's own when left out [s].

    Raises
    ------
    OutOfReach
        When the kiln does not reach the set point, or is a torch.
    """
    state = kiln_state(kiln)
    seconds = state.facts.door_open if door_open is None else door_open
    body = load_class(load) if isinstance(load, str) else load
    if isinstance(load, str):
        found = _from_table(state, set_point, load, seconds)
        if found is not None:
            return found
    state.must_reach(set_point)
    return worked_out(state, set_point, body, seconds)


def mixed(responses: Sequence[KilnResponse], weights: Sequence[float]) -> KilnResponse:
    """Return a weighted mean of responses.

    Parameters
    ----------
    responses : sequence of KilnResponse
        At least one.
    weights : sequence of float
        Adding up to 1.
    """
    times = np.unique(np.concatenate([one.times for one in responses]))
    parts = [one.at(times) for one in responses]
    radiant = sum(weight * part[0] for weight, part in zip(weights, parts, strict=True))
    air = sum(weight * part[1] for weight, part in zip(weights, parts, strict=True))
    return KilnResponse(times, np.asarray(radiant), np.asarray(air))


def worked_out(state: KilnState, set_point: float, load: Body | None, door_open: float) -> KilnResponse:
    """Work out a response from the heat balance, whatever the table holds; kept for the next time.

    Parameters
    ----------
    state : KilnState
        The kiln.
    set_point : float
        [K].
    load : Body or None
        None is the door alone.
    door_open : float
        [s].
    """
    point = _coarse_point(state, set_point)
    return _response(state.facts, state.conductivity[1], state.storage[1], point, _coarse(load), door_open)


def _coarse_point(state: KilnState, set_point: float) -> float:
    return min(round(set_point / SET_STEP) * SET_STEP, state.hottest - SET_STEP / 2)


def _coarse(load: Body | None) -> Body | None:
    """Round a load, so that pieces alike share one response."""
    if load is None:
        return None

    def near(number: float) -> float:
        return float(np.exp(round(np.log(number) / LOAD_STEP) * LOAD_STEP))

    share = near(load.heat[0]) / load.heat[0]
    return Body(near(load.area), load.emissivity, load.film, load.temperature, tuple(share * h for h in load.heat))


@lru_cache(maxsize=256)
def _response(
    facts: KilnFacts, conductivity: float, storage: float, set_point: float, load: Body | None, door_open: float
) -> KilnResponse:
    balance, starts = _at_heat(facts, conductivity, storage, set_point)
    found = [loading_from(balance, start, control, set_point, load, door_open).response for start, control in starts]
    return mixed(found, [1 / len(found)] * len(found))


@lru_cache(maxsize=64)
def _at_heat(
    facts: KilnFacts, conductivity: float, storage: float, set_point: float
) -> tuple[HeatBalance, list[tuple[ChamberState, Control]]]:
    balance = HeatBalance(chamber_of(facts, conductivity, storage))
    return balance, _starts(balance, facts, set_point)


def loading_from(balance: HeatBalance, start: ChamberState, control: Control, set_point: float, load: Body | None,
                 door_open: float) -> Loading:  # fmt: skip
    """Open a kiln that stands at heat, set a load down and follow until it has settled, at most 20 minutes.

    Parameters
    ----------
    balance : HeatBalance
        The kiln.
    start : ChamberState
        At heat; not changed.
    control : Control
        Not changed.
    set_point : float
        [K].
    load : Body or None
        Set down.
    door_open : float
        [s].
    """
    found = loading(balance, start, control, set_point, door_open, load)
    if abs(found.response.radiant[-1]) <= NEAR / 2:
        return found
    return loading(balance, start, control, set_point, door_open, load, LATE_MARKS[-1])


def look_response(
    kiln: Kiln | None, set_point: float, load: str | Body = "mesh", open_seconds: float | None = None
) -> KilnResponse:
    """Return what a look does to a kiln with a hot load in it, from the moment the door opens.

    Parameters
    ----------
    kiln : Kiln or None
        As told.
    set_point : float
        [K].
    load : str or Body
        What stands in the kiln.
    open_seconds : float, optional
        The door stands open; a usual look when left out [s].

    Raises
    ------
    OutOfReach
        When the kiln does not reach the set point, or is a torch.
    """
    state = kiln_state(kiln)
    state.must_reach(set_point)
    seconds = kiln_fact("look_open").value if open_seconds is None else open_seconds
    body = load_class(load) if isinstance(load, str) else load
    point = _coarse_point(state, set_point)
    return _look(state.facts, state.conductivity[1], state.storage[1], point, _coarse(body), seconds)


@lru_cache(maxsize=128)
def _look(
    facts: KilnFacts, conductivity: float, storage: float, set_point: float, load: Body | None, open_seconds: float
) -> KilnResponse:
    balance, starts = _at_heat(facts, conductivity, storage, set_point)
    found = [looking(balance, start, control, set_point, open_seconds, load) for start, control in starts]
    return mixed(found, [1 / len(found)] * len(found))


def soaked(balance: HeatBalance, facts: KilnFacts, set_point: float) -> tuple[ChamberState, Control]:
    """Return a kiln soaked through, and its controller at rest.

    Parameters
    ----------
    balance : HeatBalance
        The kiln.
    facts : KilnFacts
        The same.
    set_point : float
        [K].
    """
    share = holding_share(balance, set_point)
    state, control = steady(balance, share, set_point), control_of(facts)
    if facts.control == "dial":
        return state, Fixed(share)
    if isinstance(control, ProportionalIntegral):
        control.integral = share
    return state, control


def _starts(balance: HeatBalance, facts: KilnFacts, set_point: float) -> list[tuple[ChamberState, Control]]:
    """Return the moments at which the door is opened: one, or several of the swing of a thermostat."""
    state, control = soaked(balance, facts, set_point)
    if facts.control != "on-off":
        return [(state, control)]
    run_on(balance, state, control, set_point, SWUNG)
    found = []
    for _ in range(PHASES):
        found.append((state.copy(), control.copy()))
        run_on(balance, state, control, set_point, PHASE_STEP)
    return found


def _from_table(state: KilnState, set_point: float, load: str, door_open: float) -> KilnResponse | None:
    """Return a response from the table, None where it holds none for this kiln."""
    preset = _as_preset(state)
    if preset is None or door_open != kiln_fact("door_open").value:
        return None
    after = bisect_left(SET_POINTS, set_point)
    if (after == 0 and set_point < SET_POINTS[0]) or after == len(SET_POINTS):
        return None
    high = response_table()[preset, load, SET_POINTS[after]]
    if set_point == SET_POINTS[after]:
        return high
    low = response_table()[preset, load, SET_POINTS[after - 1]]
    share = (set_point - SET_POINTS[after - 1]) / (SET_POINTS[after] - SET_POINTS[after - 1])
    return mixed((low, high), (1 - share, share))


def _as_preset(state: KilnState) -> Preset | None:
    """Return the preset a kiln is exactly, or None."""
    if state.conductivity[1] != 1.0 or state.storage[1] != 1.0:
        return None
    facts = state.facts
    same = _bare(facts) == _bare(kiln_facts(Kiln(name=facts.preset, preset=facts.preset)))
    return facts.preset if same else None


def _bare(facts: KilnFacts) -> tuple[object, ...]:
    """Return what decides a response: everything but what was assumed."""
    return tuple(getattr(facts, name) for name in facts.__dataclass_fields__ if name not in {"assumed", "door_open"})


@lru_cache(maxsize=1)
def response_table() -> dict[tuple[str, str, float], KilnResponse]:
    """Return every response of the table, by preset, load and set point [K]."""
    halves: dict[tuple[str, str, float], dict[str, list[float]]] = {}
    for row in loader.rows("heat/kiln_responses"):
        key = (row["preset"], row["load"], float(row["set_c"]) + ZERO_CELSIUS)
        halves.setdefault(key, {})[row["of"]] = [float(row[f"s{mark:g}"]) for mark in ALL_MARKS if row[f"s{mark:g}"]]
    return {
        key: KilnResponse(
            np.array(ALL_MARKS[: len(found["radiant"])]), np.array(found["radiant"]), np.array(found["air"])
        )
        for key, found in halves.items()
    }


#: Seconds after closing at which a response may be kept; the later ones only where it has not settled.
ALL_MARKS = (*MARKS, *LATE_MARKS)
#: Columns of the table: the seconds name those of the temperatures.
COLUMNS = (
    "preset",
    "set_c",
    "load",
    "of",
    *(f"s{mark:g}" for mark in ALL_MARKS),
    "source",
    "locator",
    "status",
    "note",
)


def table_rows(preset: Preset) -> list[dict[str, str]]:
    """Work out the rows of the table for one preset, as text.

    Parameters
    ----------
    preset : str
        One of the table of presets.
    """
    state = kiln_state(Kiln(name=preset, preset=preset))
    seconds = kiln_fact("door_open").value
    result = []
    for set_point in SET_POINTS:
        for load in LOADS:
            found = _response(state.facts, 1.0, 1.0, set_point, load_class(load), seconds)
            for name in ("radiant", "air"):
                cells = [f"{kelvin:.{DECIMALS}f}" for kelvin in getattr(found, name)]
                cells += [""] * (len(ALL_MARKS) - len(cells))
                head = (preset, f"{set_point - ZERO_CELSIUS:.0f}", load, name)
                row = (*head, *cells, "derived", "heat balance of the chamber", "computed", "less the set point, K")
                result.append(dict(zip(COLUMNS, row, strict=True)))
    return result


def table_text() -> str:
    """Write the whole table anew; ``tests/craft/kiln_response_table.py`` puts it in place."""
    lines = [",".join(COLUMNS)]
    for preset in presets():
        lines += [_line(row) for row in table_rows(preset)]
    return "\n".join(lines) + "\n"


def _line(row: dict[str, str]) -> str:
    return ",".join(f'"{row[name]}"' if "," in row[name] else row[name] for name in COLUMNS)
