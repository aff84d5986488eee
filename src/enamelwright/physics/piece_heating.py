"""How a sheet, its glass and its support heat up in a kiln, for many pieces or draws at once.

The sheet and its glass share one temperature, the support another. Both exchange radiation with a chamber
whose temperature is given, and heat with its air; bare faces darken while they oxidise. The gradient in
the powder of the first seconds is left out: against a layered model gloss comes about a second early.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError, OutOfReach
from enamelwright.physics.constants import STEFAN_BOLTZMANN
from enamelwright.physics.heated_bodies import HeatedBodies, Oxidation, Powder, VftStack
from enamelwright.physics.heating_trace import Trace
from enamelwright.physics.in_parts import in_parts
from enamelwright.physics.kiln_response import KilnResponse

if TYPE_CHECKING:
    from collections.abc import Callable

    from enamelwright.physics.convection import AirFilm

Array = npt.NDArray[np.float64]
Whole = npt.NDArray[np.int64]

__all__ = ["HeatedBodies", "Oxidation", "Powder", "Trace", "VftStack", "heat", "warm"]

ANSWER_STEP = 2.0
"""Step of the integration for a single answer [s]; thin pieces are stepped finer inside ..."""
BATCH_STEP = 4.0
"""... and for a batch: gloss then shifts by less than a twentieth of a second, the first necks by a fifth."""
BATCH_MEMBERS = 100
"""From this many members on, the step of a batch is the default."""
SETTLED_RATE = 0.002
"""Kelvin per second of piece and support below which the rest of a dwell is carried on at the reached
temperature: with time constants of 10 to 60 s they then stand within 0.02 to 0.12 K of their end."""
STEADY_RADIANT = 0.25
"""Kelvin within which a chamber counts as back at its end: 0.003 decades of fusion work ..."""
STEADY_AIR = 2.0
"""... and its air, which moves the piece twenty times less."""
STABLE_SHARE = 1.5
"""A step is cut until it is no longer than this share of the shortest time constant the bodies could have;
RK4 would turn unstable at 2.8."""
HUMPED = 3.0
"""A metal whose heat capacity varies by more than this has a narrow hump, as steel near 735 C ..."""
HUMP_STARTS = 0.25
"""... which begins and ends at this share of its height; within it the steps are cut finer, ..."""
HUMP_AHEAD = 60.0
"""... and so much below it already [K], more than any piece rises in a step."""
BRISK_FILM = 30.0
"""Upper estimate of an air film [W/m2/K], for cutting the steps only."""
MOST_PARTS = 2000
"""Parts of a step from which a body counts as a slip of the unit: sheet of less than a micrometre."""
BLOCK = 10
"""Steps between two looks whether every member has settled."""
LONGEST = 86_400.0
"""Longest firing followed [s]; a slip of the unit gives more."""
ROUNDING = 1e-9
"""Share of a step that a dwell may miss a whole number of steps by."""
SMALLEST_CHUNK = 1000
"""Members below which another thread costs more than it gives."""


def heat(
    bodies: HeatedBodies,
    response: KilnResponse | Sequence[KilnResponse],
    set_point: npt.ArrayLike,
    duration: float,
    *,
    clocks: VftStack,
    air: AirFilm,
    oxidation: Oxidation | None = None,
    powder: Powder | None = None,
    response_of: npt.ArrayLike = 0,
    response_scale: npt.ArrayLike = 1.0,
    overshoot_scale: npt.ArrayLike | None = None,
    dt: float | None = None,
    threads: int = 1,
) -> Trace:
    """Heat a batch from the moment the door closes.

    Steps of RK4; once the responses have ended and every member changes by less than 0.002 K/s, the rest
    of the dwell is carried on at the reached temperatures, so an hour costs little more than five minutes.

    Parameters
    ----------
    bodies : HeatedBodies
        The members.
    response : KilnResponse or sequence of KilnResponse
        How the chambers stray from their set points.
    set_point : array_like, shape (members,) or scalar
        Temperature the controller is set to [K].
    duration : float
        Dwell [s], above 0 and at most a day.
    clocks : VftStack
        Glasses whose fusion work is counted; at the temperature of the piece.
    air : AirFilm
        Law of the film of air, used where ``bodies.film`` is None.
    oxidation : Oxidation, optional
        Of the bare faces; none when left out.
    powder : Powder, optional
        How glass and loose powder hold heat back; left out, glass and metal share one temperature.
    response_of : array_like of int, shape (members,)
        Which response a member takes.
    response_scale : array_like
        Factor on dip and overshoot.
    overshoot_scale : array_like, optional
        Factor on what lies above the set point alone; as `response_scale` when left out.
    dt : float, optional
        Step [s]; 2 s for an answer and 4 s for a batch when left out.
    threads : int
        Threads to spread many members over.

    Returns
    -------
    Trace

    Raises
    ------
    InputError
        For entries no body can have.
    """
    # Deferred: the compiler takes a second to import.
    from enamelwright.physics import heating_kernel as kernel

    loop: Callable[..., None] = kernel.march
    if not 0.0 < duration <= LONGEST or not (dt is None or dt > 0.0):
        raise InputError("a dwell must be longer than 0 s and no longer than a day")
    responses = (response,) if isinstance(response, KilnResponse) else tuple(response)
    oxide = oxidation or Oxidation.none()
    column = bodies.entries() | oxide.entries()
    column |= (powder or Powder.none()).entries(column["glass_top"], column["glass_bottom"])
    lift = response_scale if overshoot_scale is None else overshoot_scale
    named = (("set_point", set_point), ("scale", response_scale), ("lift", lift), ("response", response_of))
    for name, value in named:
        column[name] = np.asarray(value, dtype=np.float64)
    column |= {
        "sheet": column["metal_density"] * column["metal_thickness"],
        "faces": np.asarray(air.upper + air.lower),
        "floor": np.asarray(air.floor),
        "base": column["set_point"] + column["offset"],
    }
    shape = np.broadcast_shapes((1,), clocks.members, *(x.shape for x in column.values()))
    if len(shape) != 1:
        raise InputError("the entries of heated pieces are single numbers or one row")
    column = {name: np.array(np.broadcast_to(x, shape)) for name, x in column.items()}
    if not np.all(column["base"] > 0) or not np.all(np.isfinite(column["base"])):
        raise InputError("a set point is an absolute temperature above 0 K")

    temperatures = np.asarray(kernel.COLDEST + kernel.SPACING * np.arange(kernel.POINTS), dtype=np.float64)
    tables = [
        bodies.laws(name, temperatures) for name in ("specific_heat", "glass_specific_heat", "support_specific_heat")
    ]
    chosen = ("metal_kind", "support_kind", "response", "coat_top", "coat_bottom")
    kinds = np.stack([column[name] for name in chosen], axis=1).astype(np.int64)
    known = [len(tables[0]), len(tables[2]), len(responses), max(clocks.coats, 1), max(clocks.coats, 1)]
    if np.any(kinds < 0) or np.any(kinds >= known):
        raise InputError("a member names a metal, support, response or coat that was not given")
    if not clocks.coats and np.any((column["loose_top"] > 0) | (column["loose_bottom"] > 0)):
        raise InputError("powder needs the clock of its coat to sinter by")
    step = dt or (BATCH_STEP if shape[0] >= BATCH_MEMBERS else ANSWER_STEP)
    rise = max(max(0.0, one.radiant.max()) for one in responses)
    hottest = column["base"] + np.maximum(column["lift"], 0.0) * rise
    kinds = np.column_stack([kinds, _parts(column, tables, kinds, hottest, step)])
    packed = np.stack([column[name] for name in kernel.COLUMNS], axis=1)
    film = [np.ascontiguousarray(law(temperatures)) for law in (air.conductivity_at, air.buoyancy_at)]
    humps = _humps(tables[0], temperatures)
    melts = clocks.rows(shape[0])
    decades = kernel.FIRST_DECADE + np.arange(kernel.DECADES * kernel.ROWS_A_DECADE + 1) / kernel.ROWS_A_DECADE
    resistance = (powder or Powder.none()).resistance(10.0**decades)

    def advance(chamber: list[Array], size: float, rest: int, rows: list[Array], work: Array, speed: Array) -> None:
        def run(s: slice) -> None:
            loop(
                packed[s], kinds[s], *(column[name][s] for name in ("base", "scale", "lift")), *chamber, size, *tables,
                *film, resistance, humps, *(melt[s] for melt in melts), rest, SETTLED_RATE,
                *(row[s] for row in rows), work[s], speed[s],
            )  # fmt: skip

        in_parts(run, shape[0], SMALLEST_CHUNK, threads)

    state = [column["start"], column["support_start"], column["oxide_start"] ** 2]
    march = _march(advance, responses, state, clocks.coats, duration, step)
    return _carried_on(*march, duration, melts, column)


def _parts(column: dict[str, Array], tables: list[Array], kinds: Whole, hottest: Array, dt: float) -> Whole:
    """Parts the steps of each member are cut into, to stay well below its shortest time constant."""
    metal, glass, carrier = (table.min(axis=1) for table in tables)
    glass_weight = column["glass_top"] + column["glass_bottom"]
    # Black faces at the hottest, and the least capacity: an upper bound of the rate.
    black = 4 * STEFAN_BOLTZMANN * hottest**3 * np.maximum(column["transfer"], 1.0)
    film = np.maximum(BRISK_FILM, column["film"])
    own = column["sheet"] * metal[kinds[:, 0]] + glass_weight * glass[0]
    shortest = own / (2 * (black + film) + column["edge_area"] / column["area"] * black)
    loss = column["support_area"] * (black + column["support_film"]) + column["area"] * black * column["view"]
    carried = column["support_mass"] * carrier[kinds[:, 1]]
    with np.errstate(divide="ignore", invalid="ignore"):
        shortest = np.where(carried > 0, np.minimum(shortest, carried / loss), shortest)
    parts = np.ceil(dt / (STABLE_SHARE * shortest))
    if np.any(parts > MOST_PARTS):
        raise OutOfReach("a piece or its support is too thin to follow.", "Check the thickness of the sheet.")
    return np.asarray(np.maximum(parts, 1), dtype=np.int64)


def _humps(metals: Array, temperatures: Array) -> Array:
    """First and last temperature of the hump of every metal, shape (metals, 2); out of reach where there is none."""
    found = np.full((len(metals), 2), np.inf)
    for row, table in zip(found, metals, strict=True):
        least, most = table.min(), table.max()
        if most > HUMPED * least:
            inside = np.flatnonzero(table > least + HUMP_STARTS * (most - least))
            row[:] = temperatures[inside[0]] - HUMP_AHEAD, temperatures[inside[-1]]
    return found


def _march(
    advance: Callable[[list[Array], float, int, list[Array], Array, Array], None],
    responses: Sequence[KilnResponse],
    state: list[Array],
    coats: int,
    duration: float,
    dt: float,
) -> tuple[Array, list[Array], Array]:
    """Step block by block until the dwell ends or all stands still; the time, states and clocks at the steps."""
    members = len(state[0])
    whole = int(np.floor(duration / dt + ROUNDING))
    rest = duration - whole * dt
    ends = max(_steady_from(one) for one in responses)
    times, found, worked = [np.zeros(1)], [[x[:, np.newaxis]] for x in state], [np.zeros((members, coats, 1))]
    done, speed = 0, np.zeros((members, 2))
    while True:
        # The last step is cut to the dwell: a block of its own.
        size, count = (dt, min(BLOCK, whole - done)) if done < whole else (rest, 1)
        if size <= ROUNDING * dt:
            break
        at = done * dt + size / 2 * np.arange(2 * count + 1)
        both = [one.at(at) for one in responses]
        chamber = [np.array([one[k] for one in both]) for k in (0, 1)]
        rows = [np.empty((members, count + 1)) for _ in state]
        for row, past in zip(rows, found, strict=True):
            row[:, 0] = past[-1][:, -1]
        work = np.empty((members, coats, count + 1))
        work[..., 0] = worked[-1][..., -1]
        advance(chamber, size, int(np.ceil(max(ends - at[0], 0.0) / size)), rows, work, speed)
        times.append(np.asarray(at[2::2], dtype=np.float64))
        for past, row in zip(found, rows, strict=True):
            past.append(row[:, 1:])
        worked.append(work[..., 1:])
        done += count
        if done > whole or (at[-1] >= ends and bool(np.all(np.abs(speed) < SETTLED_RATE))):
            break
    return np.concatenate(times), [np.concatenate(x, axis=1) for x in found], np.concatenate(worked, axis=2)


def _carried_on(
    times: Array, rows: list[Array], work: Array, duration: float, melts: list[Array], column: dict[str, Array]
) -> Trace:
    """Make the trace, its last stretch at the temperatures that were reached."""
    from enamelwright.physics import heating_kernel as kernel

    piece, support, square = rows
    clocks, steady = np.moveaxis(work, 1, 0), np.inf
    missing = duration - times[-1]
    if missing > ROUNDING * duration:
        steady = float(times[-1])
        end = piece[:, -1:]
        prefactor, slope, pole = melts
        logarithm = prefactor + slope / np.maximum(end - pole, kernel.NEAREST_POLE)
        flow = 10.0 ** -np.clip(logarithm, kernel.THINNEST, kernel.FROZEN)
        growth = 2 * column["rate"] * np.exp(-column["activation"] * (1 / end[:, 0] - column["inverse_reference"]))
        times = np.append(times, duration)
        piece, support = (np.concatenate((x, x[:, -1:]), axis=1) for x in (piece, support))
        square = np.concatenate((square, square[:, -1:] + missing * growth[:, np.newaxis]), axis=1)
        clocks = np.concatenate((clocks, clocks[..., -1:] + missing * flow.T[..., np.newaxis]), axis=2)
    return Trace(times, piece, support, clocks, np.sqrt(square), piece.max(axis=1), steady)


def _steady_from(response: KilnResponse) -> float:
    """Time from which a chamber stays at its end."""
    away = (np.abs(response.radiant - response.radiant[-1]) > STEADY_RADIANT) | (
        np.abs(response.air - response.air[-1]) > STEADY_AIR
    )
    if not away.any():
        return float(response.times[0])
    # Straight from the last row that is away to the next one.
    return float(response.times[int(np.flatnonzero(away)[-1]) + 1])


def warm() -> None:
    """Compile the kernel with the argument types that ``heat`` uses, and keep it on disk."""
    from enamelwright.physics.convection import AirFilm as Film

    def one(kelvin: Array) -> Array:
        return np.ones_like(kelvin)

    # Placeholder numbers: only the types matter, and no result is kept.
    bodies = HeatedBodies(
        area=1.0, edge_area=0.0, length=1.0, metal_density=1000.0, metal_thickness=1.0, specific_heat=one,
        glass_top=0.0, glass_bottom=0.0, glass_specific_heat=one, top_emissivity=0.5, bottom_emissivity=0.5,
        support_mass=0.0, support_area=0.0, support_emissivity=0.5, support_film=0.0, support_specific_heat=one,
        view=0.0, start=300.0, support_start=300.0,
    )  # fmt: skip
    law = VftStack(np.ones((1, 1)), np.ones((1, 1)), np.ones((1, 1)))
    air = Film(300.0, 0.02, 1.0, 1e-5, 1.0, 1.0, 0.5, 0.25, 1.0)
    heat(bodies, KilnResponse.steady(), 400.0, ANSWER_STEP, clocks=law, air=air)
