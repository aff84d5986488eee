"""Find the layouts of equal discs in a square that the shelf question ships, and write them as a table.

A layout is kept when its radius is the published best-known one to within a rounding; anything else is
told and left out. Run it again only to add counts:

    python benchmarks/packing_layouts.py [LARGEST COUNT] [SECONDS EACH]

Method: spread N points in the unit square so that the least distance m is largest; the discs then have the
radius m / (2 (1 + m)) in a unit square. Many random starts are pushed apart by a steep energy, then polished
by a chain of linear programmes over small steps.
"""

from __future__ import annotations

import json
import math
import sys
import time
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
HERE = Path(__file__).parents[1] / "src" / "enamelwright" / "reference" / "trade"
#: Steepness of the energy: the first is drawn, as gentle ones always lead to the same few layouts.
POWERS, STEEP = (12, 40, 80, 160), 500
#: A layout counts as the published one within this.
AGREES = 2e-11
DIGITS = 12
#: Share of the starts that begin from the best so far.
HOPS = 0.75


def spread(points: Array, power: float) -> Array:
    """Push points of the unit square apart."""
    from scipy.optimize import minimize

    count = len(points)
    one, other = np.triu_indices(count, 1)
    scale = float(((points[one] - points[other]) ** 2).sum(1).min()) or 1e-6
    own = np.eye(count, dtype=bool)

    def energy(flat: Array) -> tuple[float, Array]:
        x, y = flat[0::2], flat[1::2]
        dx, dy = x[:, None] - x, y[:, None] - y
        square = np.maximum(dx * dx + dy * dy, 1e-12)
        square[own] = np.inf
        logs = -power / 2 * np.log(square / scale)
        top = float(logs.max())
        share = np.exp(logs - top)
        total = float(share.sum())
        pull = -2 * power * share / total / square
        slope = np.empty_like(flat)
        slope[0::2], slope[1::2] = (pull * dx).sum(1), (pull * dy).sum(1)
        return top + math.log(total), slope

    done = minimize(energy, points.ravel(), jac=True, method="L-BFGS-B", bounds=[(0, 1)] * (2 * count),
                    options={"maxiter": 200})  # fmt: skip
    return np.asarray(done.x).reshape(-1, 2)


def polish(points: Array) -> tuple[Array, float]:
    """Raise the least distance to rounding by linear programmes."""
    from scipy.optimize import linprog
    from scipy.sparse import coo_matrix

    trust = 0.02
    least = float(np.sqrt(_square(points).min()))
    while trust > 1e-10:
        one, other = np.triu_indices(len(points), 1)
        apart = points[one] - points[other]
        square = (apart**2).sum(1)
        near = square < (least + 4 * trust) ** 2
        one, other, apart, square = one[near], other[near], apart[near], square[near]
        rows = np.arange(len(one))
        data = np.concatenate([-2 * apart[:, 0], 2 * apart[:, 0], -2 * apart[:, 1], 2 * apart[:, 1], np.ones(len(one))])
        column = np.concatenate([2 * one, 2 * other, 2 * one + 1, 2 * other + 1, np.full(len(one), 2 * len(points))])
        matrix = coo_matrix((data, (np.tile(rows, 5), column)), shape=(len(one), 2 * len(points) + 1))
        flat = points.ravel()
        bounds = [(max(-trust, -x), min(trust, 1 - x)) for x in flat] + [(None, None)]
        cost = np.zeros(2 * len(points) + 1)
        cost[-1] = -1
        done = linprog(cost, A_ub=matrix.tocsr(), b_ub=square, bounds=bounds, method="highs")
        if done.x is None:
            trust /= 4
            continue
        moved = np.clip(points + done.x[:-1].reshape(-1, 2), 0, 1)
        now = float(np.sqrt(_square(moved).min()))
        if now > least:
            gain, points, least = now - least, moved, now
            if gain < 1e-13:
                trust /= 4
        else:
            trust /= 4
    return points, least


def _square(points: Array) -> Array:
    one, other = np.triu_indices(len(points), 1)
    return ((points[one] - points[other]) ** 2).sum(1)


def layout(count: int, wanted: float, seconds: float, seed: int = 1) -> tuple[Array, float]:
    """Return points of the unit square and the disc radius, the best found in some seconds."""
    draw = np.random.default_rng([seed, count])
    best: tuple[Array, float] = (np.full((count, 2), 0.5), 0.5 if count == 1 else 0.0)
    started = time.monotonic()
    side = math.isqrt(count)
    while count > 1 and time.monotonic() - started < seconds and best[1] < wanted - AGREES:
        points = draw.random((count, 2))
        hop = best[1] > 0 and draw.random() < HOPS
        if hop:  # from the best so far: a few points go elsewhere, the others tremble
            points = np.clip(best[0] + draw.normal(0, 0.02, (count, 2)), 0, 1)
            moved = draw.choice(count, size=min(int(draw.integers(1, 4)), count), replace=False)
            points[moved] = draw.random((len(moved), 2))
        if side * side == count and best[1] == 0:
            points = np.stack(np.meshgrid(*[np.linspace(0, 1, side)] * 2), -1).reshape(-1, 2)
        else:
            for power in (float(draw.choice(POWERS)), STEEP):
                points = spread(points, power)
        rough = float(np.sqrt(_square(points).min()))
        if rough / (2 * (1 + rough)) < best[1] * 0.985:
            continue
        points, least = polish(points)
        radius = least / (2 * (1 + least))
        if radius > best[1]:
            best = points, radius
    return best


def main(largest: int, seconds: float) -> None:
    """Write every layout that is found."""
    import csv

    wanted = {int(row["count"]): float(row["radius"]) for row in csv.DictReader((HERE / "packing.csv").open())}
    path = HERE / "packing_layouts.json"
    found = json.loads(path.read_text()) if path.is_file() else {}
    for count in range(1, largest + 1):
        if str(count) in found:
            continue
        points, radius = layout(count, wanted[count], seconds)
        agrees = abs(radius - wanted[count]) <= AGREES
        print(
            f"{count:3d}  {radius:.12f}  {radius - wanted[count]:+.1e}  {'kept' if agrees else 'left out'}", flush=True
        )
        if agrees:
            order = np.lexsort((points[:, 0], np.round(points[:, 1], 6)))
            found[str(count)] = [[round(float(x), DIGITS), round(float(y), DIGITS)] for x, y in points[order]]
            path.write_text(json.dumps(found, separators=(",", ":")) + "\n")


if __name__ == "__main__":
    main(*(int(sys.argv[1]) if len(sys.argv) > 1 else 52, float(sys.argv[2]) if len(sys.argv) > 2 else 30.0))
