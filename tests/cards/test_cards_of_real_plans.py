"""Cards of plans the planner makes: nothing cut off, and drawing and card agree with the plan."""

from __future__ import annotations

import tomllib
from functools import lru_cache
from pathlib import Path

import sample_plans
from enamelwright.cards import bench, kiln, press
from enamelwright.craft.piece import Piece
from enamelwright.craft.plan import Plan
from enamelwright.craft.planner import make_plan
from enamelwright.pictures.stack import stack_after

EXAMPLES = Path(__file__).parents[2] / "examples"


def pieces() -> list[Piece]:
    """Return the two sample pieces and every example that needs no drawing and no bench of its own."""
    found = [sample_plans.disc().piece, sample_plans.cloisonne().piece]
    for path in sorted(EXAMPLES.glob("*.toml")):
        data = tomllib.loads(path.read_text(encoding="utf-8"))
        if data.get("outline", {}).get("shape") != "drawing":
            found.append(Piece.from_outside(data, path.name))
    return found


@lru_cache(maxsize=1)
def plans() -> tuple[Plan, ...]:
    return tuple(make_plan(piece, draws=64) for piece in pieces())


def test_no_card_of_a_real_plan_is_cut_off_and_every_firing_is_on_one():
    for plan in plans():
        assert press.cut_off(bench.TEMPLATE, bench.bench_card_data(plan, "2026-001")) == 0, plan.piece.name
        data = kiln.kiln_cards_data(plan, "2026-001")
        assert press.cut_off(kiln.TEMPLATE, data) == 0, plan.piece.name
        held = [firing.number for group in kiln.alike(plan.firings) for firing in group]
        assert held == [firing.number for firing in plan.firings]


def test_the_section_ends_with_every_coat_of_the_plan():
    for plan in plans():
        last = plan.firings[-1].number if plan.firings else None
        drawn = {coat.number: coat.thickness for coat in stack_after(plan, last).coats}
        whole = {coat.number: coat.thickness for coat in stack_after(plan).coats}
        assert drawn.keys() == whole.keys() == {weight.coat for weight in plan.weights}, plan.piece.name
        for number, thickness in drawn.items():
            assert abs(thickness - whole[number]) < 1e-12, plan.piece.name
