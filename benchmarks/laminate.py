"""Speed and accuracy of the laminate solver, beside its peers, in one run.

    .venv/bin/python benchmarks/laminate.py

Prints medians of wall-clock times with a fixed yardstick beside them, and ratios taken in the same
run.  The materials are the named test set; nothing here is a fact of the product.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

import numpy as np

HERE = Path(__file__).resolve().parent
sys.path[:0] = [str(HERE), str(HERE.parent / "tests" / "physics")]

from fe_reference import Bilayer, solve_bilayer  # noqa: E402
from numpy_laminate import solve_batch  # noqa: E402
from yardstick import median, yardstick  # noqa: E402

from enamelwright.physics.elastic_laminate import solve_elastic  # noqa: E402
from enamelwright.physics.laminate import Coat, Side, solve, stack, warm  # noqa: E402
from enamelwright.physics.schedule import (  # noqa: E402
    BATCH_COOLING_STEPS,
    FiringCycle,
    FiringMarks,
    Schedule,
    fire,
)
from enamelwright.physics.sheet import SheetTable  # noqa: E402
from enamelwright.physics.structural_relaxation import GlassTable, relax_structure  # noqa: E402
from named_materials import COPPER, MM, RECOVERY, ZERO_C, bow, enamel, firings  # noqa: E402

FRONT, BACK = Side.FRONT, Side.BACK


def row(name: str, value: str, target: str = "") -> None:
    """One line of the table."""
    print(f"{name:<58}{value:>22}   {target}")


def batches() -> float:
    """Throughput of batches; returns seconds per stack of the compiled kernel at 6 x 50."""
    rng = np.random.default_rng(1)
    n = 4000
    sheet, front, back = rng.uniform(0.5, 1.2, n) * MM, *(rng.uniform(0.05, 0.4, (2, n)) * MM)
    strength = rng.lognormal(0.0, 0.25, n)
    path = firings(steps=BATCH_COOLING_STEPS)
    metal, glass = COPPER.table(path), relax_structure(enamel(), path)
    piece = stack(sheet, [Coat(FRONT), Coat(BACK)], np.stack([front, back], 1), yield_scale=strength)

    def ours(sublayers: int, threads: int) -> np.ndarray:
        out = solve(piece, path, metal, glass, sublayers=sublayers, threads=threads)
        return out.cold_curvature[:, 0]

    best = np.inf
    for sublayers, threads in ((6, 1), (6, 2), (12, 1), (12, 2)):
        seconds = median(lambda: ours(sublayers, threads))  # noqa: B023
        if (sublayers, threads) == (6, 1):
            best = seconds / n
        row(
            f"batch, 3 layers, {sublayers} x 50, {threads} thread(s)",
            f"{n / seconds:,.0f} stacks/s",
            ">= 60,000",
        )
    peer = median(lambda: solve_batch(sheet, front, back, strength, metal, glass, 6), 3)
    row("  numpy over the whole batch, the same law, 6 x 50", f"{n / peer:,.0f} stacks/s")
    row("  ratio to numpy", f"{peer / n / best:.1f} x")
    gap = np.abs(solve_batch(sheet, front, back, strength, metal, glass, 6) - ours(6, 1)).max()
    row("  largest difference of bow from numpy", f"{bow(gap):.1e} mm")
    elastic = [np.stack([back, sheet, front], 1), [9e10, 1.7e11, 9e10], [-5e-3, -9e-3, -5e-3]]
    seconds = median(lambda: solve_elastic(*elastic))
    row("elastic closed form, numpy", f"{n / seconds:,.0f} stacks/s")
    return float(best)


def accuracy() -> None:
    """Bow against 60 x 400 on 300 random stacks, a coat on each side and one-sided."""
    rng = np.random.default_rng(3)
    n = 300
    for name, back in (("a coat on each side", (0.05, 0.4)), ("one-sided", (0.0, 0.0))):
        thick = np.stack([rng.uniform(0.05, 0.4, n), rng.uniform(*back, n)], 1) * MM
        piece = stack(
            rng.uniform(0.5, 1.2, n) * MM, [Coat(FRONT), Coat(BACK)], thick,
            yield_scale=rng.lognormal(0.0, 0.25, n),
        )  # fmt: skip

        def bows(sublayers: int, steps: int) -> np.ndarray:
            path = firings(steps=steps)
            tables = COPPER.table(path), relax_structure(enamel(), path)
            out = solve(piece, path, *tables, sublayers=sublayers)  # noqa: B023
            return bow(out.cold_curvature[:, 0])

        fine = bows(60, 400)
        for sublayers, steps in ((6, 50), (12, 50), (20, 160)):
            error = np.abs(bows(sublayers, steps) - fine)
            figures = f"{np.median(error):.1e} / {np.percentile(error, 95):.1e} / {error.max():.1e}"
            row(f"bow error mm, {name}, {sublayers} x {steps}", figures, "median / 95 % / max")


def histories() -> None:
    """Three firings: one answer, and 2,000 draws."""
    coats = [Coat(BACK), Coat(FRONT, 1), Coat(FRONT, 2)]
    thick = np.array([0.2, 0.15, 0.15]) * MM

    def one() -> None:
        path = firings(3)
        piece = stack(0.8 * MM, coats, thick, firings=3)
        tables = COPPER.table(path), relax_structure(enamel(), path)
        solve(piece, path, *tables, recovery=RECOVERY, trace=True)

    row(
        "one history of three firings, tables and trace included",
        f"{median(one) * 1e3:.2f} ms",
        "<= 5 ms",
    )
    cycle = FiringCycle(790 + ZERO_C, 20 + ZERO_C, 30.0, 60.0, 60.0)
    path = fire([cycle] * 3, cooling_steps=BATCH_COOLING_STEPS, heating_steps=40)
    rng = np.random.default_rng(2)
    n = 2000
    piece = stack(
        0.8 * MM * (1 + 0.01 * rng.standard_normal(n)), coats,
        thick * (1 + 0.15 * rng.standard_normal((n, 3))).clip(0.3), firings=3,
        coat_table=rng.integers(0, 5, (n, 1)), yield_scale=rng.lognormal(0.0, 0.25, n),
        coat_strain_scale=1 + 0.04 * rng.standard_normal((n, 1)),
    )  # fmt: skip
    groups = [enamel().shifted(dt) for dt in (-25, -12, 0, 12, 25)]

    def many(threads: int) -> None:
        tables = COPPER.table(path), [relax_structure(g, path) for g in groups]
        solve(piece, path, *tables, recovery=RECOVERY, threads=threads)

    for threads in (1, 2):
        seconds = median(lambda: many(threads))  # noqa: B023
        row(
            f"2,000 draws of it, five enamel tables, {threads} thread(s)",
            f"{seconds * 1e3:.0f} ms",
            "<= 150 ms",
        )


def elements() -> None:
    """Finite elements of one elastoplastic disc against the laminate of the same disc."""
    case = Bilayer()
    fine = solve_bilayer(case, 24, 24, 6, 8)
    meshes = ((4, 4, 1, 1), (4, 6, 1, 1), (6, 6, 2, 1), (6, 6, 2, 2), (8, 6, 2, 2), (8, 8, 2, 3))
    for mesh in meshes:
        coarse = solve_bilayer(case, *mesh)
        if abs(coarse.curvature / fine.curvature - 1) < 0.005:
            break
    seconds = median(lambda: solve_bilayer(case, *mesh), 5)
    row(
        f"elements, refined, {fine.unknowns} unknowns",
        f"{fine.curvature:.4f} 1/m",
        f"{fine.seconds:.2f} s",
    )
    row(
        f"elements, coarsest within 0.5 %: {mesh}, {coarse.unknowns} unknowns",
        f"{coarse.curvature:.4f} 1/m",
        f"{(coarse.curvature / fine.curvature - 1) * 100:+.2f} % of refined, {seconds * 1e3:.0f} ms",
    )
    steps, n = 10, 4000
    each, nodes = np.ones(steps), np.ones(steps + 1)
    path = Schedule(np.arange(steps + 1.0), np.linspace(900, 300, steps + 1), (FiringMarks(0, 0, 0, steps),))
    b_metal = case.metal_young / (1 - case.metal_poisson)
    b_coat = case.coat_young / (1 - case.coat_poisson)
    metal = SheetTable(
        -case.shrink / steps * each,
        b_metal * nodes,
        case.yield_stress * nodes,
        case.hardening * nodes,
    )
    glass = GlassTable(0 * each, each, b_coat * each, nodes, b_coat)
    piece = stack(np.full(n, case.metal_thickness), [Coat(FRONT)], [case.coat_thickness])

    def ours() -> float:
        return float(solve(piece, path, metal, glass).cold_curvature[0, 0])

    curvature, per_stack = ours(), median(ours) / n
    row(
        "laminate of the same disc, 12 x 10", f"{curvature:.4f} 1/m",
        f"{(curvature / fine.curvature - 1) * 100:+.2f} % of refined (within 0.5 %)",
    )  # fmt: skip
    row("  laminate per stack, batch, one thread", f"{per_stack * 1e6:.2f} us")
    row("  elements over laminate, per stack", f"{seconds / per_stack:,.0f} x", ">= 10,000 x")


def main() -> None:
    """Print the whole table."""
    begun = time.perf_counter()
    warm()
    row("kernels ready (compiled, or loaded from disk)", f"{time.perf_counter() - begun:.2f} s")
    first = yardstick()
    row("yardstick: 5 x (running sum, root) of 1e6 numbers", f"{first * 1e3:.2f} ms")
    per_stack = batches()
    row("  one stack, 6 x 50, in yardsticks", f"{per_stack / first:.5f}")
    accuracy()
    histories()
    elements()
    row("yardstick again", f"{yardstick() * 1e3:.2f} ms")


if __name__ == "__main__":
    main()
