"""Strips and discs with glass on one face teach yield and mismatch, against closed forms and a known truth."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from enamelwright.craft.bench import Bench
from enamelwright.craft.bow_reading import BowReading, taught_by
from enamelwright.craft.coat import Coat
from enamelwright.craft.jar import FusingFacet, Jar
from enamelwright.craft.piece import Circle, Piece, Sheet
from enamelwright.errors import OutOfReach
from enamelwright.questions.plan import answer
from enamelwright.reference import loader

BENCH = Bench.starter().with_jars(
    (Jar(id="W", name="test white", kind="opaque", fusing=FusingFacet(hardness="medium")),)
)
MM = 1e-3
#: Studios drawn.
SEEDS = 40


def reading(
    glass: float, bow: float = 0.0, metal: float = 0.8, over: float | None = 50 * MM, hand: int = 0
) -> BowReading:
    piece = Piece(
        name="strip",
        metal=Sheet(kind="copper", thickness=metal * MM),
        outline=Circle(shape="circle", diameter=0.025),
        coats=(Coat(face="front", jar="W", fired_thickness=glass * MM),),
    )
    return BowReading(piece, bow, over, hand=hand, bench=BENCH)


def measured(truth: tuple[float, float], *glasses: float) -> list[BowReading]:
    at = np.log([truth])
    return [reading(glass, float(reading(glass).bows(at)[0])) for glass in glasses]


def test_a_thin_and_a_thick_strip_find_both_numbers() -> None:
    got = taught_by("copper", "W", measured((1.2, 0.98), 0.1, 0.4))
    assert got.give == pytest.approx(np.log(1.2), abs=2 * got.give_sd)
    assert got.strain == pytest.approx(np.log(0.98), abs=2 * got.strain_sd)
    assert got.pieces == 2


def test_one_strip_leaves_the_metal_open() -> None:
    one, two = (taught_by("copper", "W", measured((1.2, 0.98), *g)) for g in ((0.3,), (0.1, 0.4)))
    assert two.give_sd < 0.7 * one.give_sd
    assert one.give_sd > 0.2  # of 0.25 beforehand


def test_contradicting_strips_teach_less_than_agreeing_ones() -> None:
    good = measured((1.0, 1.0), 0.2, 0.2, 0.4)
    odd = [reading(0.2, 1.6 * good[0].bow), reading(0.2, 0.4 * good[1].bow), good[2]]
    assert taught_by("copper", "W", odd).strain_sd > taught_by("copper", "W", good).strain_sd


def test_a_misfit_is_judged_by_the_readings_less_what_was_fitted() -> None:
    """With a truth drawn from the priors the squares expect n - gamma (D. J. C. MacKay, 1992), so few are widened."""
    rng = np.random.default_rng(2)
    facts = loader.facts_of("heat/learning")
    reading_sd, amount = facts["heat/learn_bow_reading"].value, facts["heat/learn_bow_amount"].value
    prior = np.array([loader.value("metals/yield_log_sd"), loader.value("glass/strain_scale_sd")])
    hits = []
    for _ in range(SEEDS):
        truth = rng.normal(0, prior)
        off = np.exp(rng.normal(0, facts["heat/learn_bow_hand"].value))
        exact = off * np.array([float(reading(glass).bows(truth[np.newaxis])[0]) for glass in (0.1, 0.25, 0.4)])
        bows = exact + rng.normal(0, np.hypot(reading_sd, amount * exact))
        try:
            got = taught_by("copper", "W", [reading(g, b) for g, b in zip((0.1, 0.25, 0.4), bows, strict=True)])
        except OutOfReach:
            continue
        hits.append(
            np.abs([got.give - truth[0], got.strain - truth[1]]) <= 1.645 * np.array([got.give_sd, got.strain_sd])
        )
    assert (np.mean(hits, axis=0) > 0.8).all()


def test_many_strips_of_one_hand_do_not_tell_ever_more() -> None:
    """What one hand is off by as a whole stays; strips of several hands take it out."""
    few, many = (measured((1.1, 0.98), *[0.1, 0.4] * n) for n in (1, 8))
    shared = taught_by("copper", "W", many)
    apart = taught_by("copper", "W", [replace(one, hand=n) for n, one in enumerate(many)])
    assert apart.strain_sd < shared.strain_sd < taught_by("copper", "W", few).strain_sd


@pytest.mark.parametrize("bows", [(-2.0, -2.0), (-1.0, -0.5), (5.0, 5.0)])
def test_bows_no_such_glass_can_make_are_refused(bows: tuple[float, float]) -> None:
    """To the wrong side, as when convex and concave are mixed up, or far too much."""
    with pytest.raises(OutOfReach):
        taught_by("copper", "W", [reading(glass, bow * MM) for glass, bow in zip((0.3, 0.1), bows, strict=True)])


def test_what_is_not_known_of_a_jar_is_left_to_its_strips() -> None:
    """A jar of which nothing is told may shrink much more or less than its class; two thick strips find it."""
    plain = float(loader.value("glass/strain_scale_sd"))
    assert reading(0.3).setting() > 2 * plain
    got = taught_by("copper", "W", measured((1.0, 1.15), 0.1, 0.4, 0.4))
    assert got.strain == pytest.approx(np.log(1.15), abs=2 * got.strain_sd)
    assert got.strain > 0.08


def elastic_strip(sheet: float, glass: float, moduli: float, mismatch: float) -> float:
    """Curvature [1/m] of a strip of two elastic metals, eq. 4: thicknesses [m], E of the glass over the sheet's."""
    m, n = glass / sheet, moduli
    return 6 * mismatch * (1 + m) ** 2 / ((glass + sheet) * (3 * (1 + m) ** 2 + (1 + m * n) * (m**2 + 1 / (m * n))))


def test_a_strong_sheet_bows_as_timoshenko_says() -> None:
    """A metal that never gives is the elastic strip of S. Timoshenko, J. Opt. Soc. Am. 11 (1925) 233."""
    one = reading(0.3)
    strong = float(one.bows(np.array([[5.0, 0.0]]))[0])
    model = one._model
    glass, sheet = model.solid(model.history.laminae[0]), model.layup.metal
    mismatch = float(sheet.free_strain(753.0)) - (753.0 - 293.15) * model.history.laminae[0].layer.glass.expansion.value
    bow = elastic_strip(0.8 * MM, 0.3 * MM, glass.young / sheet.young.value, mismatch) * (50 * MM) ** 2 / 8
    # Setting is no sharp temperature, both are equi-biaxial, moduli fall with heat: within a fifth.
    assert strong == pytest.approx(bow, rel=0.2)


def test_a_plan_tightens_and_moves_to_what_was_measured() -> None:
    taught = BENCH.model_copy(
        update={"learned_bows": (taught_by("copper", "W", measured((0.8, 0.97), 0.1, 0.1, 0.4, 0.4)),)}
    )
    piece = Piece(
        name="disc",
        metal=Sheet(kind="copper", thickness=0.8 * MM),
        outline=Circle(shape="circle", diameter=0.03),
        coats=(Coat(face="front", jar="W", powder_depth=0.5 * MM),),
    )
    before, after = (answer(piece, bench).payload.flatness.states[-1].bow for bench in (BENCH, taught))
    assert after.high - after.low < 0.9 * (before.high - before.low)
    assert after.value > before.value  # a glass that shrinks less is pressed more
