"""Areas, perimeters and widths of outlines against published integrals and closed forms.

Sources
-------
* M. Abramowitz & I. Stegun, Handbook of Mathematical Functions (1964), table 17.1 (digits from memory,
  confirmed by an independent library); DLMF 19.30(i), perimeter of an ellipse; elementary geometry.
"""

from __future__ import annotations

import math

import pytest
from scipy.integrate import quad
from scipy.special import ellipe

from enamelwright.craft import outline_ring as rings
from enamelwright.craft.outline_shape import Hole, Shape

# Complete elliptic integral E(m): Abramowitz & Stegun (1964), table 17.1, fifteen decimals as printed;
# digits from memory, confirmed by scipy.special.ellipe. Perimeter = 4 a E(m), DLMF 19.30(i).
TABLE_17_1 = [
    (0.1, 1.530757636897763),
    (0.5, 1.350643881047675),
    (0.9, 1.104774732704073),
]


@pytest.mark.parametrize(("m", "integral"), TABLE_17_1)
def test_ellipse_perimeter_is_the_tabulated_integral(m: float, integral: float) -> None:
    width = 0.04
    shape = Shape.ellipse(width, width * math.sqrt(1 - m))
    assert shape.perimeter == pytest.approx(2 * width * integral, rel=1e-14)


@pytest.mark.parametrize("ratio", [1.0, 0.999, 0.7, 0.3, 0.05, 0.002])
def test_ellipse_perimeter_against_an_independent_library(ratio: float) -> None:
    width = 0.9
    assert Shape.ellipse(ratio * width, width).perimeter == pytest.approx(2 * width * ellipe(1 - ratio**2), rel=1e-14)


def test_ellipse_perimeter_lies_within_ramanujans_second_formula() -> None:
    # Ramanujan (1914): pi ((a + b) + 3 (a - b)^2 / (10 (a + b) + sqrt(a^2 + 14 a b + b^2))); its error
    # is about 3 (a - b)^10 / (2^17 (a + b)^10), negligible at this ratio.
    a, b = 0.017, 0.012
    formula = math.pi * ((a + b) + 3 * (a - b) ** 2 / (10 * (a + b) + math.sqrt(a * a + 14 * a * b + b * b)))
    assert Shape.ellipse(2 * a, 2 * b).perimeter == pytest.approx(formula, rel=1e-10)


@pytest.mark.parametrize("corners", [3, 4, 5, 6, 12])
def test_regular_polygons(corners: int) -> None:
    # Area n s^2 cot(pi/n) / 4 (any handbook of mathematics, e.g. CRC Standard Mathematical Tables).
    radius = 0.02
    shape = Shape.polygon(
        (radius * math.cos(2 * math.pi * i / corners), radius * math.sin(2 * math.pi * i / corners))
        for i in range(corners)
    )
    side = 2 * radius * math.sin(math.pi / corners)
    assert shape.area == pytest.approx(corners * side**2 / (4 * math.tan(math.pi / corners)), rel=1e-13)
    assert shape.perimeter == pytest.approx(corners * side, rel=1e-13)
    inner = radius * math.cos(math.pi / corners)
    narrow = 2 * inner if corners % 2 == 0 else inner + radius
    assert shape.short_side == pytest.approx(narrow, rel=1e-12)


def test_rounded_rectangle_is_a_steiner_sum() -> None:
    # Steiner's formula: area of a convex set grown by r = A + P r + pi r^2, perimeter P + 2 pi r.
    width, height, radius = 0.046, 0.030, 0.009
    inner_width, inner_height = width - 2 * radius, height - 2 * radius
    shape = Shape.rounded_rectangle(width, height, radius)
    assert shape.area == pytest.approx(
        inner_width * inner_height + 2 * (inner_width + inner_height) * radius + math.pi * radius**2, rel=1e-13
    )
    assert shape.perimeter == pytest.approx(2 * (inner_width + inner_height) + 2 * math.pi * radius, rel=1e-13)
    assert shape.chord == pytest.approx(math.hypot(inner_width, inner_height) + 2 * radius, rel=1e-13)


def test_reuleaux_triangle_has_one_width_and_barbiers_perimeter() -> None:
    # Barbier: a curve of constant width w is pi w long; area (pi - sqrt 3) w^2 / 2.
    width = 0.03
    corners = [(0.0, 0.0), (width, 0.0), (width / 2, width * math.sqrt(3) / 2)]
    points = []
    for i, (x, y) in enumerate(corners):
        start = math.atan2(corners[(i + 1) % 3][1] - y, corners[(i + 1) % 3][0] - x)
        points += [
            (x + width * math.cos(start + t * math.pi / 900), y + width * math.sin(start + t * math.pi / 900))
            for t in range(300)
        ]
    shape = Shape.polygon(points)
    assert shape.short_side == pytest.approx(width, rel=1e-4)
    assert shape.chord == pytest.approx(width, rel=1e-4)
    assert shape.perimeter == pytest.approx(math.pi * width, rel=1e-5)
    assert shape.area == pytest.approx((math.pi - math.sqrt(3)) / 2 * width**2, rel=1e-4)
    assert not shape.is_round  # one width alone does not make a disc


@pytest.mark.parametrize("rise", [0.0, 0.002, 0.003, 0.011])
def test_domed_disc_is_a_spherical_cap(rise: float) -> None:
    # Archimedes: the curved surface of a cap is 2 pi R h, with R = (a^2 + h^2) / (2 h).
    half = 0.011
    cap = math.pi * half**2 if rise == 0 else 2 * math.pi * (half**2 + rise**2) / (2 * rise) * rise
    assert Shape.circle(2 * half).dome_area_factor(rise) == pytest.approx(cap / (math.pi * half**2), rel=1e-13)


@pytest.mark.parametrize(("share", "tolerance"), [(0.05, 2e-5), (0.15, 2e-3), (0.25, 1e-2)])
def test_domed_oval_against_the_integral_of_its_paraboloid(share: float, tolerance: float) -> None:
    # Independent check: surface of z = h (1 - x^2/a^2 - y^2/b^2) by quadrature over the ellipse. The
    # closed form is its leading term, so the tolerance grows with the fourth power of the rise.
    a, b = 0.017, 0.012
    rise = share * b

    def ring_area(t: float) -> float:
        slope = 4 * rise**2 * (math.cos(t) ** 2 / a**2 + math.sin(t) ** 2 / b**2)
        return ((1 + slope) ** 1.5 - 1) / (3 * slope)  # the integral over the radius in closed form

    true = quad(ring_area, 0, 2 * math.pi)[0] / math.pi
    assert Shape.ellipse(2 * a, 2 * b).dome_area_factor(rise) == pytest.approx(true, rel=tolerance)


def test_lens_of_two_arcs_by_flattening() -> None:
    # Two arcs of radius R over a chord 2 c: area 2 (R^2 acos(d/R) - d c) with d the distance of the
    # middles from the chord (plane trigonometry). Flattened to 2 um the polygon is barely smaller.
    big, c, d = 0.025, 0.020, 0.015
    half = math.asin(c / big)
    steps = 400
    upper = [
        (big * math.sin(half - 2 * half * i / steps), big * math.cos(half - 2 * half * i / steps) - d)
        for i in range(steps)
    ]
    lens = Shape.polygon(upper + [(-x, -y) for x, y in upper])
    assert lens.area == pytest.approx(2 * (big**2 * math.acos(d / big) - d * c), rel=1e-4)


def test_flattened_circle_keeps_its_promise() -> None:
    # Sagitta of a chord over angle 2t: R (1 - cos t).
    for radius in (0.0005, 0.01, 0.4):
        pieces = rings.pieces_for(radius)
        assert radius * (1 - math.cos(math.pi / pieces)) <= rings.FLATTENING * (1 + 1e-9)


def test_hole_takes_its_exact_area() -> None:
    disc = Shape.circle(0.022)
    assert disc.area == pytest.approx(3.801e-4, rel=1e-3)  # 22 mm disc: pi 1.1^2 cm2
    pierced = disc.with_holes(Hole.round(0.002, (0.0, 0.008)))
    assert disc.area - pierced.area == pytest.approx(math.pi * 1e-6, rel=1e-12)
