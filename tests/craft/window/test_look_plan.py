"""Looks: what they cost is counted, and nobody is told to stay in until the piece has gone too far."""

from __future__ import annotations

import math
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from enamelwright.craft.kiln import Kiln
from enamelwright.craft.window.base_piece import base_piece
from enamelwright.craft.window.facts import number
from enamelwright.craft.window.look_cost import cost_in, look_cost
from enamelwright.craft.window.look_plan import MOST_LOOKS, ROUND, look_plan
from enamelwright.craft.window.responses import UNKNOWN
from enamelwright.physics.viscosity import VftViscosity

#: A medium enamel: 10^2.9 Pa s at 790 C.
MEDIUM = (VftViscosity(-4.0, 3800.0, 514.0),)
SET = 790 + 273.15


@given(st.floats(20, 300), st.floats(1, 3), st.floats(1, 3), st.floats(1, 12), st.floats(1, 30))
def test_out_by_lies_between_likely_and_too_far(low: float, mid: float, late: float, far: float, cost: float) -> None:
    likely = low * mid
    plan = look_plan(low, likely, likely * late, likely * far, "gloss", cost)
    assert plan.out_by >= likely - ROUND
    assert plan.first < plan.out_by
    assert plan.every >= cost
    # Rounded to the step of a clock, and never cut shorter than the first look.
    assert plan.out_by <= max(likely * far, likely + ROUND, plan.first + ROUND)
    assert plan.looks >= 1
    assert plan.first + (plan.looks - 1) * plan.every < plan.out_by


def test_looks_put_the_end_off_but_not_past_over_firing() -> None:
    free, dear = (look_plan(60, 90, 150, math.inf, "gloss", cost) for cost in (1.0, 8.0))
    assert dear.out_by > free.out_by
    assert look_plan(60, 90, 150, 160, "gloss", 8.0).out_by == 160


@given(st.floats(20, 300), st.floats(1, 4), st.floats(1, 4), st.floats(1, 12), st.floats(1, 30))
def test_looks_are_few_and_lie_wider_apart_after_the_likely_time(
    low: float, mid: float, late: float, far: float, cost: float
) -> None:
    """Nobody opens the door more often than this for one firing (common practice, no source)."""
    likely = low * mid
    plan = look_plan(low, likely, likely * late, likely * far, "gloss", cost)
    assert plan.looks == len(plan.at) <= MOST_LOOKS
    assert plan.at[0] == plan.first
    assert plan.at[-1] < plan.out_by
    gaps = [after - before for before, after in pairwise(plan.at)]
    assert gaps == sorted(gaps)
    late_gaps = [gap for gap, start in zip(gaps, plan.at, strict=False) if start >= likely]
    assert all(after > before for before, after in pairwise([plan.every, *late_gaps]))


def test_the_usual_firing_has_three_to_five_looks() -> None:
    """Gloss of a first coat after a minute and a half, as practice fires it (common practice, no source)."""
    assert 3 <= look_plan(60, 90, 150, math.inf, "gloss", 8.0).looks <= 5


def test_a_piece_that_may_run_is_not_looked_at_dozens_of_times() -> None:
    assert look_plan(100, 400, 900, math.inf, "over-fired").looks <= MOST_LOOKS


def test_what_must_stop_before_a_stage_is_out_before_it() -> None:
    """Orange peel likely at 58 s, gloss at 61 s: no step of the clock lies between, yet it is out before gloss."""
    plan = look_plan(30, 58, 120, 61, "orange peel", 8.0)
    assert 58 <= plan.out_by <= 61
    assert plan.first < plan.out_by


def test_the_tables_cost_of_a_look_is_that_of_the_usual_kiln() -> None:
    usual = cost_in(Kiln(name="told", preset="fibre medium"), base_piece(), SET, MEDIUM)
    assert number("look_cost") == pytest.approx(usual, rel=0.15)
    assert look_cost(UNKNOWN, base_piece(), SET, MEDIUM) == number("look_cost")


def test_a_muffle_loses_less_by_a_look_than_a_light_kiln() -> None:
    muffle, fibre = (
        cost_in(Kiln(name="k", preset=one), base_piece(), SET, MEDIUM) for one in ("muffle small", "fibre large")
    )
    assert muffle < fibre / 2
