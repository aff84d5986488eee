"""Bow and stress of an enamelled sheet through a sequence of firings.

The metal yields and hardens, every coat flows, sets and contracts, and both remember: one coat may
join at each firing, an old one softens and sets again with the rest, and the bend that an earlier
firing left in the metal stays.  All arrays have a leading axis of draws.

Assumed throughout: coats of even thickness that adhere; temperature uniform through the thickness;
a state equal in both in-plane directions, so not the rim (within about one thickness of it the
stress is not given); deflection small against the thickness (see ``deflection`` for the rest).
"""

from __future__ import annotations

from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from enum import Enum

import numpy as np
import numpy.typing as npt

from enamelwright.errors import OutOfReach
from enamelwright.physics.laminate_result import LaminateResult, Trace
from enamelwright.physics.schedule import FiringMarks, Schedule
from enamelwright.physics.sheet import SheetTable
from enamelwright.physics.structural_relaxation import GlassTable

Array = npt.NDArray[np.float64]
Whole = npt.NDArray[np.int64]

ANSWER_SUBLAYERS = 10
"""Metal sublayers of a single answer, with ``schedule.COOLING_STEPS``."""
BATCH_SUBLAYERS = 6
"""Metal sublayers of a batch, with ``schedule.BATCH_COOLING_STEPS``."""
ANSWER_TOLERANCE = 1e-12
"""Strain at which one step counts as balanced, for a single answer ..."""
BATCH_TOLERANCE = 1e-9
"""... and for a batch: a ten-thousandth of a megapascal."""
BATCH_DRAWS = 32
"""From this many draws on, the batch resolution and tolerance are the default."""
SMALLEST_CHUNK = 64
"""Draws below which another thread costs more than it gives."""


class Side(Enum):
    """Which side of the metal a coat lies on."""

    BACK = "back"
    FRONT = "front"


@dataclass(frozen=True)
class Coat:
    """One glass coat of a stack.

    Attributes
    ----------
    side : Side
        Side of the metal.
    firing : int
        Number of the firing that fuses it, from 0.
    """

    side: Side
    firing: int = 0


@dataclass(frozen=True)
class Recovery:
    """How annealing wipes out the hardening of the metal on heating (assumption).

    Attributes
    ----------
    onset : float
        Temperature above which the plastic strain fades [K].
    fade : float
        Kelvin of heating that leave 1/e of it.
    full : float
        A hold that ends at or above this temperature leaves none [K].
    """

    onset: float
    fade: float
    full: float

    def memory(self, schedule: Schedule) -> Array:
        """Share of the plastic strain that survives each step of a schedule.

        Parameters
        ----------
        schedule : Schedule
            The history.

        Returns
        -------
        ndarray, shape (n_step,)
        """
        kelvin = schedule.temperature
        kept = np.ones(schedule.step_count)
        for marks in schedule.firings:
            heating = slice(marks.start, marks.cooling)
            rise = np.diff(kelvin[marks.start : marks.cooling + 1])
            warm = kelvin[marks.start + 1 : marks.cooling + 1] > self.onset
            kept[heating] = np.where(warm, np.exp(-np.maximum(rise, 0.0) / self.fade), 1.0)
            if marks.cooling > marks.start and kelvin[marks.cooling] >= self.full:
                kept[marks.cooling - 1] = 0.0
        return kept


@dataclass(frozen=True, eq=False)
class Stack:
    """A sheet and its coats, for one or many draws.

    Attributes
    ----------
    metal_thickness : ndarray, shape (n_draw,)
        Sheet thickness [m].
    coats : tuple of Coat
        On each side in order from the metal outward, so also in order of firing.
    coat_thickness : ndarray, shape (n_draw, n_coat)
        Fired thickness of each coat [m].
    coat_table : ndarray of int, shape (n_draw, n_coat)
        Which glass table each coat uses.
    metal_table : ndarray of int, shape (n_draw,)
        Which metal table.
    yield_scale : ndarray, shape (n_draw,)
        Factor on the yield stress of the metal (not on its hardening).
    coat_strain_scale : ndarray, shape (n_draw, n_coat)
        Factor on the free strain of each coat.
    metal_strain_scale : ndarray, shape (n_draw,)
        Factor on the free strain of the metal.
    remaining : ndarray, shape (n_firing, n_coat)
        Share of each coat still there when a firing begins: 1 as laid, less after stoning, 0 gone.
    pressed_flat : tuple of bool, length n_firing
        Pressed flat while the glass was fluid, so that this cooling starts flat and unstressed.
    """

    metal_thickness: Array
    coats: tuple[Coat, ...]
    coat_thickness: Array
    coat_table: Whole
    metal_table: Whole
    yield_scale: Array
    coat_strain_scale: Array
    metal_strain_scale: Array
    remaining: Array
    pressed_flat: tuple[bool, ...]

    @property
    def draws(self) -> int:
        """Number of draws."""
        return int(self.metal_thickness.size)

    @property
    def layer_of_coat(self) -> tuple[int, ...]:
        """Position of each coat in the stack counted from the back."""
        back = [i for i, coat in enumerate(self.coats) if coat.side is Side.BACK]
        front = [i for i, coat in enumerate(self.coats) if coat.side is Side.FRONT]
        place = {coat: layer for layer, coat in enumerate(reversed(back))}
        place |= {coat: len(back) + 1 + layer for layer, coat in enumerate(front)}
        return tuple(place[i] for i in range(len(self.coats)))

    @property
    def metal_layer(self) -> int:
        """Position of the metal counted from the back."""
        return sum(coat.side is Side.BACK for coat in self.coats)


def stack(
    metal_thickness: npt.ArrayLike,
    coats: Sequence[Coat],
    coat_thickness: npt.ArrayLike,
    *,
    firings: int = 1,
    coat_table: npt.ArrayLike = 0,
    metal_table: npt.ArrayLike = 0,
    yield_scale: npt.ArrayLike = 1.0,
    coat_strain_scale: npt.ArrayLike = 1.0,
    metal_strain_scale: npt.ArrayLike = 1.0,
    remaining: npt.ArrayLike = 1.0,
    pressed_flat: Sequence[bool] = (),
) -> Stack:
    """Describe a batch of stacks; every array argument is broadcast over the draws.

    Parameters
    ----------
    metal_thickness : array_like, shape () or (n_draw,)
        Sheet thickness [m], positive.
    coats : sequence of Coat
        On each side from the metal outward.
    coat_thickness : array_like, shape (n_coat,) or (n_draw, n_coat)
        Fired thickness [m]; zero means that this draw has no such coat.
    firings : int
        Number of firings of the schedule this stack goes through.
    coat_table, metal_table : array_like of int
        Indices into the tables given to ``solve``; (n_coat,) or (n_draw, n_coat), and (n_draw,).
    yield_scale, metal_strain_scale : array_like, shape () or (n_draw,)
        Positive factors.
    coat_strain_scale : array_like, shape (), (n_coat,) or (n_draw, n_coat)
        Positive factors.
    remaining : array_like, shape () or (n_firing, n_coat)
        Share of a coat left when each firing begins; may only fall from firing to firing after the
        coat was fused, and only the outermost coat still there may be thinned.
    pressed_flat : sequence of bool, length n_firing
        Empty for never.

    Returns
    -------
    Stack

    Raises
    ------
    ValueError
        If shapes, order or ranges are wrong.
    """
    coats = tuple(coats)
    count = len(coats)
    metal = np.atleast_1d(np.asarray(metal_thickness, dtype=np.float64))
    thick = np.asarray(coat_thickness, dtype=np.float64)
    per_draw = [metal, np.asarray(yield_scale), np.asarray(metal_strain_scale)]
    per_draw.append(np.asarray(metal_table))
    per_coat = [thick, np.asarray(coat_strain_scale), np.asarray(coat_table)]
    draws = max(
        [a.shape[0] for a in per_draw if a.ndim == 1] + [a.shape[0] for a in per_coat if a.ndim > 1]
    )

    def spread(values: npt.ArrayLike, *shape: int) -> Array:
        return np.array(np.broadcast_to(np.asarray(values, dtype=np.float64), shape))

    def index(values: npt.ArrayLike, *shape: int) -> Whole:
        given = np.asarray(values)
        if not np.issubdtype(given.dtype, np.integer):
            raise ValueError("table numbers must be whole")
        return np.array(np.broadcast_to(given, shape), dtype=np.int64)

    pressed = tuple(bool(flag) for flag in pressed_flat) or (False,) * firings
    made = Stack(
        metal_thickness=spread(metal, draws),
        coats=coats,
        coat_thickness=spread(thick, draws, count),
        coat_table=index(coat_table, draws, count),
        metal_table=index(metal_table, draws),
        yield_scale=spread(yield_scale, draws),
        coat_strain_scale=spread(coat_strain_scale, draws, count),
        metal_strain_scale=spread(metal_strain_scale, draws),
        remaining=spread(remaining, firings, count),
        pressed_flat=pressed,
    )
    _check(made, firings)
    return made


def _check(made: Stack, firings: int) -> None:
    if not np.all(np.isfinite(made.metal_thickness)) or made.metal_thickness.min() <= 0:
        raise ValueError("the sheet must have a positive thickness")
    if not np.all(np.isfinite(made.coat_thickness)) or np.any(made.coat_thickness < 0):
        raise ValueError("coat thicknesses must not be negative")
    for scale in (made.yield_scale, made.coat_strain_scale, made.metal_strain_scale):
        if not np.all(np.isfinite(scale)) or np.any(scale <= 0):
            raise ValueError("scales must be positive")
    if len(made.pressed_flat) != firings:
        raise ValueError("say for every firing whether the piece was pressed flat")
    left = made.remaining
    if not np.all((left >= 0) & (left <= 1)):
        raise ValueError("a coat keeps between none and all of itself")
    for side in Side:
        members = [i for i, coat in enumerate(made.coats) if coat.side is side]
        order = [made.coats[i].firing for i in members]
        if order != sorted(order):
            raise ValueError("coats on one side must be listed from the metal outward")
        if order and not 0 <= order[0] <= order[-1] < firings:
            raise ValueError("a coat names a firing that the schedule does not have")
        for place, i in enumerate(members):
            laid = made.coats[i].firing
            steps = np.diff(left[laid:, i])
            if np.any(steps > 0):
                raise ValueError("a fired coat cannot grow; add a new one")
            for outer in members[place + 1 :]:
                since = made.coats[outer].firing
                covered = left[since:, outer] > 0
                # A coat may be thinned in the firing that lays its cover, not after.
                if np.any(np.diff(left[since:, i])[covered[1:]] < 0):
                    raise ValueError("only the outermost coat can be thinned")


def solve(
    piece: Stack,
    schedule: Schedule,
    metals: Sequence[SheetTable] | SheetTable,
    glasses: Sequence[GlassTable] | GlassTable,
    *,
    recovery: Recovery | None = None,
    hold_flat: bool = False,
    sublayers: int | None = None,
    tolerance: float | None = None,
    threads: int = 1,
    trace: bool = False,
) -> LaminateResult:
    """Carry a batch of stacks through all firings of a schedule.

    The piece starts at the first cooling hot, flat and unstressed.  At every step force and moment
    over the thickness balance; the metal follows J2 plasticity with isotropic hardening, each coat
    its table.  Reverse (Bauschinger) yielding is not modelled, which makes the tension on
    re-heating an upper estimate.

    Parameters
    ----------
    piece : Stack
        What is fired.
    schedule : Schedule
        The history that the tables were made for.
    metals, glasses : sequence of tables, or one
        ``SheetMetal.table(schedule)`` and ``relax_structure(glass, schedule)``.  Groups of draws
        with another expansion, setting temperature or cooling rate use tables of their own; all
        must have the same steps.
    recovery : Recovery, optional
        Annealing of the metal on heating; without it the hardening stays.
    hold_flat : bool
        Hold the curvature at zero (the middle of a domed piece); the bow is then nil.
    sublayers : int, optional
        Equal metal sublayers with two Gauss points each: 10 for an answer, 6 for a batch.
    tolerance : float, optional
        Strain to which a step is balanced: 1e-12 for an answer, 1e-9 for a batch.
    threads : int
        Chunks of the batch to run side by side.
    trace : bool
        Also keep curvature and face stresses at every node (large for a batch).

    Returns
    -------
    LaminateResult

    Raises
    ------
    ValueError
        If tables, schedule and stack do not belong together.
    OutOfReach
        If a step does not balance, which no physical input is known to cause.

    Notes
    -----
    Simo & Hughes, Computational Inelasticity (1998), ch. 2 for the return map (from memory).
    Checked against closed forms and finite elements in tests/physics/test_laminate*.py.
    """
    # Deferred: numba takes a second to import.
    from enamelwright.physics.laminate_kernel import march

    sheets = (metals,) if isinstance(metals, SheetTable) else tuple(metals)
    melts = (glasses,) if isinstance(glasses, GlassTable) else tuple(glasses)
    steps, firings = schedule.step_count, len(schedule.firings)
    if any(t.free_strain.size != steps for t in sheets) or any(
        t.free_strain.size != steps for t in melts
    ):
        raise ValueError("a table was made for another schedule")
    if piece.remaining.shape[0] != firings:
        raise ValueError("the stack and the schedule differ in the number of firings")
    if not sheets or (piece.coats and not melts):
        raise ValueError("a metal table and, for coats, a glass table are needed")
    if piece.coats and not 0 <= piece.coat_table.min() <= piece.coat_table.max() < len(melts):
        raise ValueError("a coat names a glass table that was not given")
    if not 0 <= piece.metal_table.min() <= piece.metal_table.max() < len(sheets):
        raise ValueError("the stack names a metal table that was not given")

    draws, layers = piece.draws, len(piece.coats) + 1
    many = draws >= BATCH_DRAWS
    sublayers = sublayers or (BATCH_SUBLAYERS if many else ANSWER_SUBLAYERS)
    tolerance = tolerance or (BATCH_TOLERANCE if many else ANSWER_TOLERANCE)
    metal, place = piece.metal_layer, list(piece.layer_of_coat)

    thickness = np.empty((draws, firings, layers))
    thickness[:, :, metal] = piece.metal_thickness[:, np.newaxis]
    thickness[:, :, place] = piece.coat_thickness[:, np.newaxis, :] * piece.remaining
    joins = np.zeros(layers, dtype=np.int64)
    joins[place] = [coat.firing for coat in piece.coats]
    table = np.empty((draws, layers), dtype=np.int64)
    table[:, metal], table[:, place] = piece.metal_table, piece.coat_table
    strain_scale = np.empty((draws, layers))
    strain_scale[:, metal] = piece.metal_strain_scale
    strain_scale[:, place] = piece.coat_strain_scale

    marks = np.array([(m.start, m.cooling, m.end) for m in schedule.firings], dtype=np.int64)
    memory = np.ones(steps) if recovery is None else recovery.memory(schedule)
    glass = [
        np.array([getattr(t, name) for t in melts]).reshape(len(melts), steps)
        for name in ("free_strain", "keep", "stiffness")
    ]
    sheet = [
        np.array([getattr(t, name) for t in sheets])
        for name in ("free_strain", "modulus", "yield_stress", "hardening")
    ]
    modulus = np.array([t.modulus for t in melts], dtype=np.float64)

    points, rows = 2 * sublayers, (draws if trace else 0)
    curvature = [np.empty((draws, firings)) for _ in range(3)]
    coat_shape = (draws, firings, layers, 2)
    faces, heat, cool = (np.empty(coat_shape) for _ in range(3))
    heat_node, cool_node = (np.empty(coat_shape, dtype=np.int64) for _ in range(2))
    profile = [np.empty((draws, firings, points)) for _ in range(2)]
    balance, failed = np.zeros((draws, 2)), np.zeros(draws, dtype=np.int64)
    nodes = steps + 1 if trace else 0
    trace_k, trace_e = np.zeros((rows, nodes)), np.zeros((rows, nodes))
    trace_face = np.full((rows, nodes, layers, 2), np.nan)

    def run(part: slice) -> None:
        march(
            thickness[part], metal, joins, table[part], strain_scale[part],
            piece.yield_scale[part], *glass, modulus, *sheet, memory, marks,
            np.array(piece.pressed_flat), hold_flat, tolerance, sublayers,
            *(a[part] for a in curvature), faces[part], heat[part], heat_node[part],
            cool[part], cool_node[part], *(a[part] for a in profile), balance[part],
            failed[part], trace_k[part], trace_e[part], trace_face[part],
        )  # fmt: skip

    chunks = max(1, min(threads, draws // SMALLEST_CHUNK))
    edges = [draws * i // chunks for i in range(chunks + 1)]
    parts = [slice(a, b) for a, b in zip(edges[:-1], edges[1:], strict=True)]
    if chunks == 1:
        run(parts[0])
    else:
        with ThreadPoolExecutor(chunks) as pool:
            list(pool.map(run, parts))
    if failed.any():
        raise OutOfReach(
            f"the stress did not balance in {int(failed.sum())} steps of "
            f"{int((failed > 0).sum())} of {draws} stacks.",
            "Check the thicknesses and the material curves for impossible values.",
        )

    coat_modulus = modulus[piece.coat_table] if piece.coats else np.zeros((draws, 0))
    ends = marks[:, 2]
    metal_modulus = sheet[1][piece.metal_table][:, ends]
    outward = np.array([coat.side is Side.FRONT for coat in piece.coats], dtype=bool)

    def oriented(values: npt.NDArray[np.generic]) -> npt.NDArray[np.generic]:
        # (draw, ..., coat, lower/upper) -> (draw, ..., coat, inner/outer)
        picked = values[..., place, :]
        return np.where(outward[:, np.newaxis], picked, picked[..., ::-1])

    def kelvin(node: npt.NDArray[np.generic]) -> Array:
        at = np.asarray(oriented(node), dtype=np.int64)
        return np.where(at >= 0, schedule.temperature[np.maximum(at, 0)], np.nan)

    def stress(values: Array) -> Array:
        return np.asarray(oriented(values), dtype=np.float64)

    record = None
    if trace:
        record = Trace(schedule.temperature, trace_k, trace_e, stress(trace_face))
    return LaminateResult(
        sides=tuple(coat.side.value for coat in piece.coats),
        layer_of_coat=piece.layer_of_coat,
        metal_layer=metal,
        layer_thickness=thickness,
        hot_curvature=curvature[0],
        cold_curvature=curvature[1],
        cold_strain=curvature[2],
        coat_stress=stress(faces),
        heating_peak=stress(heat),
        heating_peak_temperature=kelvin(heat_node),
        cooling_peak=stress(cool),
        cooling_peak_temperature=kelvin(cool_node),
        metal_stress=profile[0],
        plastic_strain=profile[1],
        coat_modulus=coat_modulus,
        metal_modulus=metal_modulus,
        unbalanced=balance,
        trace=record,
    )


def warm() -> None:
    """Compile both kernels with the argument types that ``solve`` uses, and keep them on disk.

    Takes some seconds the first time on a machine, and a fraction of a second afterwards.
    """
    from enamelwright.physics.glass_solid import SolidGlass
    from enamelwright.physics.structural_relaxation import relax_structure
    from enamelwright.physics.viscosity import VftViscosity

    # Placeholder numbers: only the types matter, and no result is kept.
    path = Schedule(np.arange(3.0), np.array([3.0, 2.0, 1.0]), (FiringMarks(0, 0, 0, 2),))
    glass = SolidGlass(1.0, 0.0, 1e-3, 1e-3, VftViscosity(1.0, 1.0, 1.0), 0.0, 1.0)
    metal = SheetTable(np.full(2, -1e-3), np.ones(3), np.ones(3), np.ones(3))
    solve(stack(1.0, [Coat(Side.FRONT)], [1.0]), path, metal, relax_structure(glass, path))
