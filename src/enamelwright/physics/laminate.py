"""Bow and stress of an enamelled sheet through a sequence of firings.

The metal yields and hardens, every coat flows, sets and contracts, and both remember: one coat may
join at each firing, an old one softens and sets again with the rest, and the bend that an earlier
firing left in the metal stays.  All arrays have a leading axis of draws.

Assumed throughout: coats of even thickness that adhere; temperature uniform through the thickness;
a state equal in both in-plane directions, so not the rim (within about one thickness of it the
stress is not given); deflection small against the thickness (see ``deflection`` for the rest).
"""

from __future__ import annotations

from collections.abc import Callable, Sequence

import numpy as np
import numpy.typing as npt

from enamelwright.errors import OutOfReach
from enamelwright.physics.in_parts import in_parts
from enamelwright.physics.laminate_result import LaminateResult, Trace
from enamelwright.physics.recovery import Recovery
from enamelwright.physics.schedule import FiringMarks, Schedule
from enamelwright.physics.sheet import SheetTable
from enamelwright.physics.stack import Coat, Side, Stack, stack
from enamelwright.physics.structural_relaxation import GlassTable

Array = npt.NDArray[np.float64]

__all__ = ["Coat", "LaminateResult", "Recovery", "Side", "Stack", "Trace", "solve", "stack", "warm"]

ANSWER_SUBLAYERS = 20
"""Metal sublayers of a single answer; with ``schedule.COOLING_STEPS`` within 3e-4 mm of bow."""
BATCH_SUBLAYERS = 12
"""Metal sublayers of a batch; with ``schedule.BATCH_COOLING_STEPS`` within 6e-4 mm on stacks with
a coat on each side and 1.2e-3 mm on one-sided ones (25 mm chord, against 60 x 400)."""
ANSWER_TOLERANCE = 1e-12
"""Strain at which one step counts as balanced, for a single answer ..."""
BATCH_TOLERANCE = 1e-9
"""... and for a batch: a ten-thousandth of a megapascal."""
BATCH_DRAWS = 32
"""From this many draws on, the batch resolution and tolerance are the default."""
SMALLEST_CHUNK = 16
"""Draws below which another thread costs more than it gives."""


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
        Equal metal sublayers with two Gauss points each: 20 for an answer, 12 for a batch.
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
    from enamelwright.physics.laminate_kernel import march as kernel

    march: Callable[..., None] = kernel
    sheets = (metals,) if isinstance(metals, SheetTable) else tuple(metals)
    melts = (glasses,) if isinstance(glasses, GlassTable) else tuple(glasses)
    steps, firings = schedule.step_count, len(schedule.firings)
    if any(t.free_strain.size != steps for t in sheets) or any(t.free_strain.size != steps for t in melts):
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
        np.array([getattr(t, name) for t in sheets]) for name in ("free_strain", "modulus", "yield_stress", "hardening")
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

    in_parts(run, draws, SMALLEST_CHUNK, threads)
    if failed.any():
        raise OutOfReach(
            f"the stress did not balance in {int(failed.sum())} steps of {int((failed > 0).sum())} of {draws} stacks.",
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
