"""Hot loads set down on layers over wood, one firing after another, with the heat spreading sideways.

Layers of one size lie on each other: a disc with the area of the plate, cut into rings and slices, its rim and
all joints perfect. Radially the rings have modes of their own, common to all layers; for each of them the slices
have modes, and every mode decays by itself. So the stack is followed exactly, and only what crosses its top
(the load, radiation and air, none of them linear) is taken step by step.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError, OutOfReach

Array = npt.NDArray[np.float64]

#: Rings within the footprint of the load and outside it.
RINGS_INSIDE, RINGS_OUTSIDE = 8, 12
#: Slices of a layer: one for each millimetre, but at least and at most so many; a good conductor needs few.
SLICE = 1e-3
FEWEST_SLICES, MOST_SLICES = 3, 16
#: The topmost layer meets the load: its slices begin so thin [m] and grow by this factor to those of the rest.
SKIN, GROWTH = 2e-4, 1.5
#: After the session the wood is followed on in stretches, each of so many steps and twice as long as the one before,
#: until it cools; no stack is still warming after the last of them. The first stretch [s].
STRETCH_STEPS, STRETCHES, FIRST_STRETCH = 60, 12, 900.0
#: Longest step [s]; halving it moves the temperature of the wood by some tenths of a kelvin.
LONGEST_STEP = 2.0
#: Rounding of a radius, and the decay in a step below which a mode counts as standing still.
ROUNDING, STILL = 1e-9, 1e-12
#: Steps that a session may need; beyond it nothing changes any more.
MOST_STEPS = 200_000


@dataclass(frozen=True)
class Layer:
    """One layer of the stack.

    Attributes
    ----------
    thickness : float
        [m].
    density, heat, conductivity : float
        [kg/m3], [J/kg/K], [W/m/K] through the layer.
    sideways : float
        Conductivity along the layer [W/m/K]; 0 for an air gap.
    """

    thickness: float
    density: float
    heat: float
    conductivity: float
    sideways: float

    def __post_init__(self) -> None:
        """Refuse layers that hold or carry nothing."""
        numbers = (self.thickness, self.density, self.heat, self.conductivity)
        if not all(np.isfinite(one) and one > 0 for one in numbers) or not self.sideways >= 0:
            raise InputError("a layer needs a thickness, a density, a specific heat and a conductivity above zero")

    def slices(self, finer: int = 1, topmost: bool = False) -> list[float]:
        """Widths of the slices it is cut into, from the top down [m].

        Parameters
        ----------
        finer : int
            Times as many as usual.
        topmost : bool
            Whether a load is set down on it: thin slices first, since its skin follows the load within seconds.
        """
        count = finer * int(min(max(round(self.thickness / SLICE), FEWEST_SLICES), MOST_SLICES))
        even = self.thickness / count
        widths: list[float] = []
        width = SKIN / finer
        while topmost and width < even and sum(widths) + width + even < self.thickness:
            widths.append(width)
            width *= GROWTH
        rest = self.thickness - sum(widths)
        others = max(int(np.ceil(rest / even - ROUNDING)), 1)
        return widths + [rest / others] * others


@dataclass(frozen=True)
class HotLoad:
    """A support with its piece as it comes out of the kiln.

    Attributes
    ----------
    start : float
        Temperature as it is set down [K].
    mass_heat : float
        Heat capacity of the support [J/K].
    area, emissivity : float
        Surface of the support, both sides [m2], and its emissivity.
    view : float
        Share of its lower half that the spot sees.
    film : float
        To the air [W/m2/K], over all of its surface.
    contact, contact_area : float
        Heat transfer where it stands [W/m2/K] and the area of that [m2].
    piece_heat, piece_area : float
        Heat capacity of the piece [J/K] and one of its faces [m2].
    piece_top, piece_view : float
        Emissivity of its upper face, and what its lower face exchanges.
    piece_film, piece_gap : float
        To the air above and through the gap below [W/m2/K].
    piece_support, piece_share : float
        Share of its view below that is the support, and of its heat downward that reaches the spot.
    """

    start: float
    mass_heat: float
    area: float
    emissivity: float
    view: float
    film: float
    contact: float
    contact_area: float
    piece_heat: float
    piece_area: float
    piece_top: float
    piece_view: float
    piece_film: float
    piece_gap: float
    piece_support: float
    piece_share: float


@dataclass(frozen=True)
class Surroundings:
    """What takes the heat away again.

    Attributes
    ----------
    room : float
        [K].
    top_film, top_emissivity : float
        Air on the plate [W/m2/K], and its emissivity.
    covered : float
        Share of that loss that a load lying there blocks below itself.
    bottom_film : float
        Below the wood, air and radiation together [W/m2/K].
    """

    room: float
    top_film: float
    top_emissivity: float
    covered: float
    bottom_film: float


@dataclass(frozen=True)
class Landed:
    """Temperature of the face of the wood over a session.

    Attributes
    ----------
    times : ndarray, shape (n,)
        End of every step [s].
    centre, mean, plate : ndarray, shape (n,)
        The face of the wood below the middle of the spot and on the mean of the plate, and the top of the plate
        on the mean [K].
    interval, session : float
        From one load to the next, and to the end of the last interval [s]; the course goes on until the wood cools.
    heat : float
        Net heat that came in through the top [J].
    stored : float
        Heat that is still in the stack at the end [J].
    """

    times: Array
    centre: Array
    mean: Array
    plate: Array
    interval: float
    session: float
    heat: float
    stored: float

    @property
    def peak(self) -> float:
        """Hottest moment of the wood [K]."""
        return float(self.centre.max())

    @property
    def last_cycle(self) -> float:
        """Mean of the middle over the last interval of the session [K]."""
        within = (self.times > self.session - self.interval) & (self.times <= self.session * (1 + ROUNDING))
        return float(self.centre[within].mean())

    def hottest_mean(self, window: float) -> float:
        """Largest mean of the middle over any stretch of a length [K].

        Parameters
        ----------
        window : float
            [s]; a course that is shorter counts whole, as if it went on from the first temperature.
        """
        edges = np.concatenate([[0.0], self.times])
        summed = np.concatenate([[0.0], np.cumsum(self.centre * np.diff(edges))])
        ends = self.times[self.times >= window]
        if not ends.size:
            return float(summed[-1] / edges[-1])
        return float(((np.interp(ends, edges, summed) - np.interp(ends - window, edges, summed)) / window).max())

    def reaches(self, limit: float) -> float:
        """Time until the middle first passes a temperature [s]; infinite when it never does.

        Parameters
        ----------
        limit : float
            [K].
        """
        above = np.flatnonzero(self.centre > limit)
        return float(self.times[above[0]]) if above.size else float("inf")


def _modes(own: Array, beside: Array) -> tuple[Array, Array]:
    """Return eigenvalues and vectors of a symmetric matrix of three diagonals.

    By the driver for such matrices: the general one of LAPACK spreads over all processors even when small, and
    then waits for them.
    """
    from scipy.linalg import eigh_tridiagonal

    if own.size == 1:
        return own.copy(), np.ones((1, 1))
    values, vectors = eigh_tridiagonal(own, beside)
    return np.asarray(values), np.asarray(vectors)


@lru_cache(maxsize=64)
def _rings(radius: float, footprint: float) -> tuple[Array, Array, Array, Array]:
    """Return areas of the rings, share of each below the load, decay numbers [1/m2] and modes of the rings."""
    whole = footprint >= radius
    inner = np.linspace(0.0, radius if whole else footprint, RINGS_INSIDE + 1)
    edges = inner if whole else np.concatenate([inner, np.linspace(footprint, radius, RINGS_OUTSIDE + 1)[1:]])
    areas = np.pi * np.diff(edges**2)
    inside = (edges[1:] <= footprint * (1 + ROUNDING)).astype(np.float64) if not whole else np.ones(areas.size)
    middles = (edges[1:] + edges[:-1]) / 2
    across = 2 * np.pi * edges[1:-1] / np.diff(middles)
    own = np.concatenate([across, [0.0]]) + np.concatenate([[0.0], across])
    root = np.sqrt(areas)
    numbers, modes = _modes(own / areas, -across / (root[1:] * root[:-1]))
    modes = modes / root[:, None]  # phi' A phi = 1
    modes *= np.sign(modes[0])
    return areas, inside, np.maximum(numbers, 0.0), modes


def run(
    layers: Sequence[Layer],
    wood: int,
    plate: float,
    footprint: float,
    load: HotLoad,
    around: Surroundings,
    *,
    count: int,
    interval: float,
    dwell: float,
    longest_step: float = LONGEST_STEP,
    finer: int = 1,
) -> Landed:
    """Follow a session of firings that all land on one spot, and the wood after it until it cools.

    Parameters
    ----------
    layers : sequence of Layer
        From the top down.
    wood : int
        Which of them is the wood whose upper face is watched; 0 when it lies bare.
    plate, footprint : float
        Area of the stack and of the load's foot [m2]; a foot larger than the stack covers it all.
    load : HotLoad
        What is set down.
    around : Surroundings
        Room, air above and below.
    count : int
        Firings.
    interval, dwell : float
        From one to the next, and how long each lies there [s].
    longest_step : float
        [s].
    finer : int
        Times as many slices as usual.

    Returns
    -------
    Landed

    Raises
    ------
    InputError
        When the session has no firing, no time, or more steps than anything could change in.
    OutOfReach
        When the temperatures of the stack run away from the arithmetic.
    """
    if not layers or not 0 <= wood < len(layers):
        raise InputError("a landing spot has layers, and one of them is the wood")
    if min(plate, footprint) <= 0 or count < 1 or not 0 < dwell <= interval:
        raise InputError("a landing needs a size, at least one firing, and is over before the next one comes")
    steps = max(int(np.ceil(interval / longest_step)), 1)
    if steps * count > MOST_STEPS:
        raise InputError("this session is too long to follow")
    stack = _Stack(layers, wood, plate, footprint, load, around, finer)
    dt = interval / steps
    courses = [stack.follow(count, steps, min(max(round(dwell / dt), 1), steps), dt)]
    times = [dt * np.arange(1.0, count * steps + 1, dtype=np.float64)]
    session = float(times[0][-1])
    lag, stretch = stack.lag(layers[:wood]), FIRST_STRETCH
    for _ in range(STRETCHES):
        begun = float(times[-1][-1])
        courses.append(stack.follow(1, STRETCH_STEPS, 0, stretch / STRETCH_STEPS))
        times.append(begun + stretch / STRETCH_STEPS * np.arange(1.0, STRETCH_STEPS + 1, dtype=np.float64))
        after = np.concatenate([one[:, 0] for one in courses[1:]])
        # it cools when it has waited for the heat to come through, and was hottest well before its end
        waited = float(times[-1][-1]) - session
        warmest = float(np.concatenate(times[1:])[after.argmax()]) - session
        if waited > lag and warmest < waited / 2:
            break
        stretch *= 2
    course = np.concatenate(courses)
    if not np.isfinite(course).all():
        raise OutOfReach(
            "the heat through these layers could not be followed.", "Put a thermometer on the wood below the spot."
        )
    return Landed(
        times=np.concatenate(times),
        centre=around.room + course[:, 0],
        mean=around.room + course[:, 1],
        plate=around.room + course[:, 2],
        interval=interval,
        session=session,
        heat=stack.taken,
        stored=stack.stored(),
    )


class _Stack:
    """Layers with a load and their surroundings, and the heat in them as a session goes on."""

    def __init__(
        self, layers: Sequence[Layer], wood: int, plate: float, footprint: float, load: HotLoad, around: Surroundings,
        finer: int,
    ) -> None:  # fmt: skip
        from enamelwright.physics.landing_kernel import COLUMNS

        self._areas, self._inside, numbers, modes = _rings(
            float(np.sqrt(plate / np.pi)), float(np.sqrt(min(footprint, plate) / np.pi))
        )
        self._held, self._decays, self._vectors, self._half, face = _slices(
            layers, wood, numbers, around.bottom_film, finer
        )
        self._modes = np.ascontiguousarray(modes)
        self._project = np.ascontiguousarray((modes * self._areas[:, None]).T)
        self._drive = np.ascontiguousarray(self._vectors[:, 0, :] / np.sqrt(self._held[0]))
        self._face = np.ascontiguousarray(face @ (self._vectors / np.sqrt(self._held)[:, None]))
        self._skin = 0.0 if wood else self._half
        self._told = np.array([getattr(around, n, None) if hasattr(around, n) else getattr(load, n) for n in COLUMNS])
        self._state, self._top = np.zeros_like(self._decays), np.zeros(self._areas.size)
        self.taken = 0.0

    def follow(self, count: int, steps: int, dwell: int, dt: float) -> Array:
        """Go on by so many loads of so many steps each; return the course."""
        from enamelwright.physics.landing_kernel import land

        slow = self._decays * dt <= STILL
        decay = np.exp(-self._decays * dt)
        gain = self._drive * np.where(slow, dt, (1 - decay) / np.where(slow, 1.0, self._decays))
        within = np.sum(self._drive * gain, axis=1)  # of every mode of the rings, at the top
        surface = (self._modes * within) @ self._project + self._half * np.eye(self._areas.size)
        course = np.zeros((count * steps, 3))
        self.taken += float(
            land(
                decay, gain, self._drive, self._project, self._modes, self._areas, self._inside, self._face,
                np.ascontiguousarray(surface), self._skin, self._told, count, steps, dwell, dt, self._state, self._top,
                course,
            )
        )  # fmt: skip
        return course

    def stored(self) -> float:
        """Heat in the stack [J]: only the even mode of the rings holds heat on the whole."""
        return float(np.sqrt(self._held) @ self._vectors[0] @ self._state[0] * self._modes[0, 0] * self._areas.sum())

    @staticmethod
    def lag(over: Sequence[Layer]) -> float:
        """Time that heat takes through layers, by their whole resistance and capacity [s]."""
        return sum(one.thickness / one.conductivity for one in over) * sum(
            one.thickness * one.density * one.heat for one in over
        )


def _slices(
    layers: Sequence[Layer], wood: int, numbers: Array, bottom: float, finer: int
) -> tuple[Array, Array, Array, float, Array]:
    """Return heat capacities [J/m2/K], decay rates and modes of the slices, half a slice, and the wood's face."""
    widths = [layer.slices(finer, topmost=at == 0) for at, layer in enumerate(layers)]
    cut = [(layer, width) for layer, own in zip(layers, widths, strict=True) for width in own]
    held = np.array([layer.density * layer.heat * width for layer, width in cut])
    halves = np.array([width / (2 * layer.conductivity) for layer, width in cut])
    along = np.array([layer.sideways * width for layer, width in cut])
    between = 1 / (halves[1:] + halves[:-1])
    stiff = np.concatenate([between, [0.0]]) + np.concatenate([[0.0], between])
    stiff[-1] += 1 / (halves[-1] + 1 / bottom) if bottom > 0 else 0.0
    root = np.sqrt(held)
    beside = -between / (root[1:] * root[:-1])
    found = [_modes((stiff + number * along) / held, beside) for number in numbers]
    decays, vectors = np.stack([one[0] for one in found]), np.stack([one[1] for one in found])
    face = np.zeros(held.size)
    first = sum(len(own) for own in widths[:wood])
    if first == 0:
        face[0] = 1.0
    else:
        # where two slices meet, each counts by how well it leads there
        face[first - 1] = halves[first] / (halves[first] + halves[first - 1])
        face[first] = 1 - face[first - 1]
    return held, np.maximum(decays, 0.0), vectors, float(halves[0]), face


def warm() -> None:
    """Compile the kernel once; it is kept on disk."""
    board = Layer(1e-2, 900.0, 900.0, 0.2, 0.2)
    load = HotLoad(1000.0, 30.0, 0.01, 0.8, 0.7, 12.0, 60.0, 0.006, 3.0, 8e-4, 0.9, 0.7, 10.0, 15.0, 0.3, 0.5)
    around = Surroundings(293.0, 10.0, 0.8, 0.5, 5.0)
    run((board, board), 1, 0.04, 0.01, load, around, count=1, interval=10.0, dwell=5.0)
