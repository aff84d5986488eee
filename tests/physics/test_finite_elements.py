"""The laminate against axisymmetric elastoplastic finite elements of a disc with a free rim."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from enamelwright.physics.elastic_laminate import solve_elastic
from enamelwright.physics.laminate import Coat, Side, solve, stack
from enamelwright.physics.schedule import FiringMarks, Schedule
from enamelwright.physics.sheet import SheetTable
from enamelwright.physics.structural_relaxation import GlassTable

sys.path.insert(0, str(Path(__file__).resolve().parents[2] / "benchmarks"))
from fe_reference import Bilayer, solve_bilayer

CASE = Bilayer()


def laminate(case: Bilayer, steps: int = 10) -> float:
    """Curvature of the same disc by the laminate solver."""
    each, nodes = np.ones(steps), np.ones(steps + 1)
    path = Schedule(np.arange(steps + 1.0), np.linspace(900, 300, steps + 1), (FiringMarks(0, 0, 0, steps),))
    b_metal = case.metal_young / (1 - case.metal_poisson)
    b_coat = case.coat_young / (1 - case.coat_poisson)
    metal = SheetTable(
        -case.shrink / steps * each, b_metal * nodes, case.yield_stress * nodes,
        case.hardening * nodes,
    )  # fmt: skip
    glass = GlassTable(0 * each, each, b_coat * each, nodes, b_coat)
    piece = stack(case.metal_thickness, [Coat(Side.FRONT)], [case.coat_thickness])
    return float(solve(piece, path, metal, glass).cold_curvature[0, 0])


@pytest.fixture(scope="module")
def coarse():
    return solve_bilayer(CASE, 8, 8, 2, 3)


def test_elements_are_converged(coarse):
    """The mesh used here is within 0.5 % of its own refinement in mesh and steps."""
    fine = solve_bilayer(CASE, 12, 16, 4, 6)
    assert coarse.curvature == pytest.approx(fine.curvature, rel=5e-3)


def test_yielding_disc(coarse):
    """Within 0.5 % (independent computation: laminate 4.99484, elements 4.9917 per metre)."""
    got = laminate(CASE)
    assert got == pytest.approx(coarse.curvature, rel=5e-3)
    assert got == pytest.approx(4.99484, rel=2e-3)
    assert coarse.curvature == pytest.approx(4.9917, rel=3e-3)


@pytest.mark.parametrize(
    "change",
    [
        {"coat_thickness": 0.1e-3},
        {"metal_thickness": 0.5e-3, "coat_thickness": 0.2e-3},
        {"shrink": 0.8e-3},
        {"yield_stress": 120e6},
    ],
)
def test_other_discs(change):
    """Thin coat, thin sheet, little shrinkage, strong metal: within 1 % on a coarse mesh."""
    case = replace(CASE, **change)
    assert laminate(case) == pytest.approx(solve_bilayer(case, 8, 12, 2, 3).curvature, rel=0.01)


def test_elastic_disc_is_the_closed_form():
    """A metal that cannot yield: elements, laminate and closed form agree."""
    case = replace(CASE, yield_stress=1e12)
    modulus = [
        case.metal_young / (1 - case.metal_poisson),
        case.coat_young / (1 - case.coat_poisson),
    ]
    exact = solve_elastic([case.metal_thickness, case.coat_thickness], modulus, [-case.shrink, 0.0])
    assert laminate(case) == pytest.approx(float(exact.curvature), rel=1e-10)
    elements = solve_bilayer(case, 8, 4, 2, 1)
    assert elements.curvature == pytest.approx(float(exact.curvature), rel=3e-3)
