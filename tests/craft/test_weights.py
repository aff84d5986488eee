"""Grams, depth and glass of a coat, and fills to level."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from enamelwright.craft.bench import Bench, Hands
from enamelwright.craft.laying import lay_up
from enamelwright.craft.learned_hand import LearnedHand
from enamelwright.craft.piece import Piece
from enamelwright.craft.plan import CoatWeight
from enamelwright.craft.weights import DRAWS, Hand, habit_of, rounds_to_level, totals, weigh
from enamelwright.errors import InputError
from enamelwright.figure import Spread, quantiles

JAR = {
    "id": "T1",
    "name": "test white",
    "kind": "opaque",
    "glass": {"density_g_per_cm3": 2.6, "expansion": {"value_e7_per_k": 105, "kind": "linear", "basis": "measured"}},
    "hazards": {"lead": "no", "cadmium": "no"},
}


def weigh_disc(bench: Bench | None = None, density: float = 2.6, dome: float = 0.0, **coat: object) -> CoatWeight:
    """Weigh one coat on the 25 mm reference disc."""
    jar = {**JAR, "glass": {**JAR["glass"], "density_g_per_cm3": density}}  # type: ignore[dict-item]
    data = {
        "name": "disc",
        "metal": {"kind": "copper", "thickness_mm": 1.024},
        "outline": {"shape": "circle", "diameter_mm": 25},
        "dome_mm": dome,
        "jars": [jar],
        "coats": [{"face": "front", "jar": "T1", **coat}],
    }
    studio = bench or Bench()
    return weigh(lay_up(Piece.from_outside(data), studio), studio)[0]


# grams that stay on the piece, computed by hand: area x depth x packing x density
# (25 mm disc 4.909 cm2; the 22 mm disc of the invented workshop 3.801 cm2)
ON_PIECE = [
    ("25 mm, 0.5 mm powder, glass 2.6", 0.5, 2.6, 0.3191),
    ("leaded glass is heavier for the same depth", 0.5, 3.5, 0.4296),
    ("double depth, double weight", 1.0, 2.6, 0.6381),
]


@pytest.mark.parametrize(("case", "depth", "density", "grams"), ON_PIECE)
def test_grams_of_a_depth(case: str, depth: float, density: float, grams: float) -> None:
    weight = weigh_disc(density=density, powder_depth_mm=depth)
    assert weight.on_piece.value * 1e3 == pytest.approx(grams, abs=2e-4), case


def test_what_is_weighed_out_includes_what_falls_beside() -> None:
    weight = weigh_disc(powder_depth_mm=0.5)
    assert weight.to_weigh.value == pytest.approx(weight.on_piece.value / (1 - 0.15), rel=1e-9)


@given(st.floats(0.1, 2.0))
def test_depth_glass_and_grams_say_the_same_coat(depth: float) -> None:
    by_depth = weigh_disc(powder_depth_mm=depth)
    by_glass = weigh_disc(fired_thickness_mm=by_depth.fired_thickness.value * 1e3)
    by_grams = weigh_disc(weight_g=by_depth.to_weigh.value * 1e3)
    for other in (by_glass, by_grams):
        assert other.powder_depth.value == pytest.approx(by_depth.powder_depth.value, rel=1e-6)
        assert other.on_piece.value == pytest.approx(by_depth.on_piece.value, rel=1e-6)


def test_an_amount_by_eye_is_less_sure_than_one_by_weight() -> None:
    def width(weight: CoatWeight) -> float:
        band = weight.fired_thickness
        return (band.high - band.low) / band.value

    by_eye, by_depth = weigh_disc(look="just hidden"), weigh_disc(powder_depth_mm=0.45)
    by_grams = weigh_disc(weight_g=0.35)
    assert width(by_eye) > 1.5 * width(by_depth) > 1.5 * width(by_grams)


def test_a_measured_hand_narrows_the_band() -> None:
    measured = Bench(hands=Hands(packing=0.52, sifting_loss=0.12))
    mine, default = weigh_disc(measured, powder_depth_mm=0.5), weigh_disc(powder_depth_mm=0.5)
    assert mine.to_weigh.high - mine.to_weigh.low < default.to_weigh.high - default.to_weigh.low
    assert mine.on_piece.value == pytest.approx(default.on_piece.value * 0.52 / 0.5, rel=1e-9)


def test_below_ten_steps_of_the_balance_weighing_says_nothing() -> None:
    assert not weigh_disc(weight_g=0.05).weighable
    assert weigh_disc(weight_g=0.3).weighable


def test_a_dome_has_more_surface() -> None:
    flat, domed = weigh_disc(powder_depth_mm=0.5), weigh_disc(powder_depth_mm=0.5, dome=3.0)
    # spherical cap, elementary geometry: 1 + (rise / radius)^2
    assert domed.on_piece.value / flat.on_piece.value == pytest.approx(1 + (3 / 12.5) ** 2, rel=1e-6)


# computed from n = ceil(ln(residual) / ln(1 - packing)); agrees with the trade's "ground down after
# four to five layers" (trade web page, unverified)
FILLS = [(0.50, 0.05, 5), (0.55, 0.05, 4), (0.45, 0.05, 6), (0.50, 0.5, 1)]


@pytest.mark.parametrize(("packing", "residual", "n"), FILLS)
def test_fills_to_level(packing: float, residual: float, n: int) -> None:
    assert rounds_to_level(packing, residual) == n
    assert (1 - packing) ** n <= residual * (1 + 1e-12)
    assert (1 - packing) ** (n - 1) > residual * (1 - 1e-12)


@pytest.mark.parametrize(("packing", "residual"), [(0, 0.05), (1, 0.05), (0.5, 0), (0.5, 1), (math.nan, 0.1)])
def test_impossible_fills_are_refused(packing: float, residual: float) -> None:
    with pytest.raises(InputError):
        rounds_to_level(packing, residual)


def test_totals_count_layings_and_copies() -> None:
    data = {
        "name": "two coats", "copies": 3,
        "metal": {"kind": "copper", "thickness_mm": 1}, "outline": {"shape": "circle", "diameter_mm": 25},
        "jars": [JAR],
        "coats": [
            {"face": "front", "jar": "T1", "weight_g": 0.2, "times": 2},
            {"face": "back", "jar": "T1", "weight_g": 0.3},
        ],
    }  # fmt: skip
    bench = Bench()
    layup = lay_up(Piece.from_outside(data), bench)
    total = totals(weigh(layup, bench), layup)
    assert len(total) == 1
    assert total[0].grams.value * 1e3 == pytest.approx(3 * (2 * 0.2 + 0.3), rel=1e-9)


def test_cells_filled_to_level_take_the_recess_as_glass() -> None:
    data = {
        "name": "recess",
        "metal": {"kind": "copper", "thickness_mm": 2}, "outline": {"shape": "circle", "diameter_mm": 25},
        "recess": {"depth_mm": 0.45}, "jars": [JAR],
        "cells": [{"name": "a", "area_cm2": 2}],
        "coats": [{"face": "front", "jar": "T1", "cells": ["a"], "fill": "to level", "method": "wet-pack"}],
    }  # fmt: skip
    bench = Bench()
    weight = weigh(lay_up(Piece.from_outside(data), bench), bench)[0]
    assert weight.on_piece.value * 1e3 == pytest.approx(2 * 0.045 * 2.6, rel=1e-6)  # area x depth x density
    assert weight.layings == rounds_to_level(0.5, 0.05)


def test_filling_without_anything_to_fill_is_refused() -> None:
    with pytest.raises(InputError, match="to level"):
        weigh_disc(fill="to level")


@pytest.mark.parametrize(("value", "sd", "least"), [(0.15, 0.02, 0.0), (0.02, 0.03, 0.0)])
def test_draws_of_a_learned_habit_reproduce_its_band(value: float, sd: float, least: float) -> None:
    """The band told is 1.645 deviations to either side (normal law); as the ends of a triangle it would hold 74 %."""
    learned = LearnedHand(what="loss", value=value, sd=sd, weighings=9)
    missed = Hand.of(Bench(learned_hands=(learned,))).missed("sift")
    drawn = Spread({"x": habit_of(missed, "loss")}).draw(["x"], DRAWS)["x"]
    assert quantiles(drawn, (0.05, 0.95)) == pytest.approx((missed.low, missed.high), abs=0.03 * sd)
    assert missed.high == pytest.approx(value + 1.645 * sd, abs=1e-3 * sd)
    assert missed.low == pytest.approx(max(value - 1.645 * sd, least), abs=1e-3 * sd)
    assert drawn.min() >= least
