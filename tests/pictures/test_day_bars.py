"""The day as bars: to scale, every block there, nothing a strict page would refuse."""

from __future__ import annotations

import re
from xml.etree import ElementTree

import pytest

from enamelwright.pictures.day_bars import LEFT, NARROW, RIGHT, WIDE, day_bars_svg, day_of
from enamelwright.planning.day.drills import drill
from enamelwright.planning.day.policies import Policy
from enamelwright.planning.day.simulator import simulate

PLAN = simulate(drill("12, two people"), Policy(fill=0.7))


@pytest.mark.parametrize("wide", [WIDE, NARROW])
@pytest.mark.parametrize("light", ["paper", "lamp", "daylight"])
def test_it_is_a_picture_without_styles_or_scripts(wide: float, light: str) -> None:
    drawn = day_bars_svg(day_of(PLAN, 0, 0.5, now=640.0), light, "day", wide)  # type: ignore[arg-type]
    assert ElementTree.fromstring(drawn).tag.endswith("svg")
    assert "style=" not in drawn
    assert "now" in drawn
    assert "person 2" in drawn


def test_bars_stand_to_scale() -> None:
    day = day_of(PLAN, 0, 0.5)
    load = next(bar for bar in day.bars if bar.row == "kiln")
    scale = (WIDE - LEFT - RIGHT) / (1020 - 540)
    drawn = day_bars_svg(day)
    x = f"{LEFT + (load.start - 540) * scale:.3f}".rstrip("0").rstrip(".")
    assert re.search(rf'<rect x="{x}" y="[\d.]+" width="([\d.]+)"', drawn)


def test_everything_of_the_day_is_there() -> None:
    day = day_of(PLAN, 0, 0.5)
    assert sum(bar.pieces for bar in day.bars if bar.row == "kiln") == 32
    assert sum(bar.pieces for bar in day.bars if bar.kind == "bench") == 106 - 32
    assert sum(1 for bar in day.bars if bar.row == "kiln") == len(PLAN.loads)
    assert day.waiting[-1][1] == 0, "nothing waits once all is done"
    assert all(0 <= count <= 12 for _, count in day.waiting)


def test_the_same_day_is_the_same_text() -> None:
    assert day_bars_svg(day_of(PLAN, 0, 0.5)) == day_bars_svg(day_of(PLAN, 0, 0.5))


def test_an_empty_day_is_drawn_too() -> None:
    assert "No load is fired" in day_bars_svg(day_of(PLAN, 5, 0.5))
