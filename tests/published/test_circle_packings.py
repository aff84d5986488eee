"""Equal circles in a square: published radii, counts of a published sequence, and racks worked out from them.

Sources
-------
* E. Specht, Packomania, circles in a square (through a copy of its table); exact radii of 2, 5 and square numbers
  are elementary geometry.
* OEIS A337020, most unit-area circles in a square of area n, which cites P. G. Szabo et al., New Approaches to
  Circle Packing in a Square (Springer 2007).
"""

from __future__ import annotations

import math

import pytest

from enamelwright.planning.shelf import discs
from enamelwright.planning.shelf.discs import Shelf
from enamelwright.reference import loader

# OEIS A337020, n = 1..20, as printed.
A337020 = [0, 1, 1, 2, 3, 4, 4, 5, 5, 6, 8, 9, 9, 9, 10, 11, 12, 13, 13, 15]

# Elementary geometry: two on the diagonal, five with one in the middle, square numbers in rows.
EXACT = [(2, 1 / (2 + math.sqrt(2))), (5, (math.sqrt(2) - 1) / 2), *[(k * k, 1 / (2 * k)) for k in range(1, 7)]]

# Square shelves, side / bare edge / disc / clearance in mm: count by the table, by plain rows and columns, by rows
# of a hexagonal lattice, and the largest clearance at that count; worked out independently from the published radii.
RACKS = [
    (180, 8, 25, 6, 30, 25, 27, 6.206),
    (180, 8, 20, 4, 49, 49, 46, 4.104),
    (180, 8, 32, 6, 19, 16, 18, 6.220),
    (120, 5, 25, 5, 13, 9, 12, 6.118),
]

# Rectangular shelves: width / depth / edge / disc / clearance in mm, plain rows and columns, staggered rows.
OBLONG = [(200, 150, 8, 25, 6, 24, 28), (180, 120, 6, 20, 5, 24, 30)]


def shelf(width: float, depth: float, edge: float, gap: float) -> Shelf:
    return Shelf(width / 1000, depth / 1000, gap / 1000, edge / 1000)


def test_the_published_sequence_follows_from_the_radii() -> None:
    radius = math.sqrt(1 / math.pi)
    found = [
        max((k for k, r in enumerate(discs.radii(), 1) if r * math.sqrt(n) >= radius * (1 - 1e-11)), default=0)
        for n in range(1, 21)
    ]
    assert found == A337020


@pytest.mark.parametrize(("count", "radius"), EXACT)
def test_exact_radii(count: int, radius: float) -> None:
    assert discs.radii()[count - 1] == pytest.approx(radius, abs=6e-13)  # twelve printed decimals


@pytest.mark.parametrize(("side", "edge", "across", "gap", "table", "plain", "hexagonal", "widest"), RACKS)
def test_square_racks(
    side: float, edge: float, across: float, gap: float, table: int, plain: int, hexagonal: int, widest: float
) -> None:
    rack = shelf(side, side, edge, gap)
    assert discs.table_count(rack, across / 1000) == table
    assert discs.grid_count(rack, across / 1000) == plain
    assert len(discs.rows_middles(rack, across / 1000)) >= hexagonal  # stretched rows may hold more, never fewer
    assert discs.largest_gap(rack, across / 1000, table) * 1000 == pytest.approx(widest, abs=1e-3)
    assert discs.capacity(rack, across / 1000) == table


@pytest.mark.parametrize(("width", "depth", "edge", "across", "gap", "plain", "staggered"), OBLONG)
def test_oblong_racks(
    width: float, depth: float, edge: float, across: float, gap: float, plain: int, staggered: int
) -> None:
    rack = shelf(width, depth, edge, gap)
    assert discs.grid_count(rack, across / 1000) == plain
    assert len(discs.rows_middles(rack, across / 1000)) == staggered


def test_area_is_not_capacity() -> None:
    """A 150 mm square has the area of 11.1 squares round discs of 45 mm, and holds nine discs (published radius)."""
    rack = shelf(150, 150, 0, 0)
    assert discs.capacity(rack, 0.045) == 9
    assert 0.15**2 / 0.045**2 > 11


@pytest.mark.parametrize("count", sorted(int(key) for key in loader.document("trade/packing_layouts")))
def test_every_shipped_layout_has_the_published_radius(count: int) -> None:
    points = loader.document("trade/packing_layouts")[str(count)]
    assert len(points) == count
    assert all(0 <= value <= 1 for point in points for value in point)
    least = min((math.dist(a, b) for n, a in enumerate(points) for b in points[n + 1 :]), default=math.inf)
    radius = 1 / 2 if count == 1 else least / (2 * (1 + least))
    assert radius == pytest.approx(discs.radii()[count - 1], abs=3e-11)
