"""The drawing of stress says what the plan says, in every light, and byte for byte the same each time."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from enamelwright.craft.bench import Bench
from enamelwright.craft.plan import Plan
from enamelwright.craft.planner import make_plan
from enamelwright.pictures.stress_view import stress_svg, stress_words, stresses
from enamelwright.web.drawings import lit, section
from enamelwright.workshop.starters import begin


@pytest.fixture(scope="module")
def plan() -> Plan:
    return make_plan(begin("transparent_flux", "a disc", Bench.starter()), Bench.starter(), draws=32)


def test_every_coat_is_drawn_from_the_front_down_as_the_plan_says(plan: Plan) -> None:
    rows = stresses(plan)
    assert [row.key for row in rows] == ["F3", "F2", "F1", "B1"]
    told = {state.coat: state for state in plan.flatness.states[-1].coats}
    assert rows[0].outer == told[3].outer
    tree = ElementTree.fromstring(stress_svg(plan))
    assert [one.get("data-key") for one in tree.iter() if one.get("data-key")] == ["F3", "F2", "F1", "B1"]


def test_pressed_lies_left_of_pulled(plan: Plan) -> None:
    svg = stress_svg(plan)
    zero = float(re.findall(r'<line x1="([\d.]+)"', svg)[-1])
    for row, line in zip(stresses(plan), re.findall(r'<polyline points="([^"]+)"', svg), strict=True):
        free = float(line.split()[0].split(",")[0])
        assert (free < zero) == (row.outer.value < 0)


def test_nothing_is_drawn_for_a_form_that_is_not_worked_out(plan: Plan) -> None:
    bare = plan.model_copy(update={"flatness": plan.flatness.model_copy(update={"states": ()})})
    assert stresses(bare) == ()
    assert "not worked out" in stress_words(())
    ElementTree.fromstring(stress_svg(bare))


def test_the_same_plan_gives_the_same_picture(plan: Plan) -> None:
    assert stress_svg(plan) == stress_svg(plan)


def test_a_drawing_in_a_page_follows_the_light_and_asks_for_no_style(plan: Plan) -> None:
    for drawn in (section(plan), section(plan, narrow=True), lit(stress_svg(plan, light="daylight"), inks=True)):
        ElementTree.fromstring(str(drawn))
        assert "style=" not in drawn
        assert 'fill="var(--text)"' in drawn
    # The pattern of a glass is chosen for its colour, not for the light of the room.
    definitions = re.search(r"<defs>.*?</defs>", str(section(plan)), re.DOTALL)
    assert definitions is not None
    assert "var(--" not in definitions.group(0)
