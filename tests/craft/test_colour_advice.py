"""What a plan says of colour: quiet, few lines, both ways, and never a verdict."""

from __future__ import annotations

from typing import Any

import pytest

from enamelwright.craft.colour.colour_advice import ALIKE, MOST_PAIRS, MOST_RISKS
from enamelwright.craft.colour.colour_risk import table
from enamelwright.craft.piece import Piece
from enamelwright.craft.plan import Plan
from enamelwright.craft.planner import make_plan

COLOUR = {*table(), ALIKE}


def plan(coats: list[dict[str, Any]], jars: list[dict[str, Any]], **more: Any) -> Plan:
    """Plan a disc of copper with these coats and an even counter-enamel."""
    back = {"face": "back", "jar": "lead_free_opaque_hard", "fired_thickness_mm": 0.3}
    described = {
        "name": "a disc", "metal": {"kind": "copper", "thickness_mm": 1.0},
        "outline": {"shape": "circle", "diameter_mm": 30}, "jars": jars, "coats": [back, *coats],
    }  # fmt: skip
    return make_plan(Piece.from_outside({**described, **more}), draws=8)


def said(found: Plan) -> list[str]:
    """Rules of the lines about colour."""
    return [line.rule for line in found.advice if line.rule in COLOUR]


def jar(id: str, kind: str, family: str, **more: Any) -> dict[str, Any]:
    """A jar with a colour family."""
    return {"id": id, "name": f"{family} {id}", "kind": kind, "optics": {"family": family}, **more}


WHITE, OPAL = jar("W", "opaque", "white"), jar("O", "opal", "white")


@pytest.mark.parametrize(("depth", "speaks"), [(0.06, True), (0.25, False)])
def test_a_thin_first_coat_on_copper(depth: float, speaks: bool):
    found = plan([{"face": "front", "jar": "W", "fired_thickness_mm": depth}], [WHITE])
    assert ("THIN-ON-COPPER" in said(found)) is speaks
    assert not COLOUR & {verdict.rule for verdict in found.verdicts}


@pytest.mark.parametrize(("times", "speaks"), [(5, True), (1, False)])
def test_opal_through_many_firings(times: int, speaks: bool):
    coats = [{"face": "front", "jar": "O", "fired_thickness_mm": 0.2, "times": times}]
    assert ("OPAL-TIME" in said(plan(coats, [OPAL]))) is speaks


def test_lines_are_few_and_say_what_and_why():
    jars = [jar("C", "opaque", "orange", hazards={"cadmium": "yes", "lead": "yes"}), OPAL,
            jar("P", "transparent", "pink", gold_bearing=True)]  # fmt: skip
    coats = [{"face": "front", "jar": one, "fired_thickness_mm": 0.06, "times": 3} for one in "POC"]
    lines = [line for line in plan(coats, jars).advice if line.rule in COLOUR]
    assert len(lines) <= MOST_RISKS + MOST_PAIRS
    assert all(
        line.because and line.sources and line.words.startswith("Colour") for line in lines if line.rule != ALIKE
    )


def test_unknown_colours_are_not_spoken_of():
    found = plan(
        [{"face": "front", "jar": "U", "fired_thickness_mm": 0.2}], [{"id": "U", "name": "U", "kind": "opaque"}]
    )
    assert said(found) == []


def test_two_colours_some_eyes_mix_up():
    jars = [jar("F", "flux", "clear"), jar("Y", "transparent", "yellow"), jar("A", "transparent", "warm yellow")]
    cells = [{"name": "left", "share": 0.5}, {"name": "right", "share": 0.5}]
    coats = [
        {"face": "front", "jar": "F", "fired_thickness_mm": 0.12},
        {"face": "front", "jar": "Y", "fired_thickness_mm": 0.15, "cells": ["left"]},
        {"face": "front", "jar": "A", "fired_thickness_mm": 0.25, "cells": ["right"]},
    ]
    silver = {"metal": {"kind": "fine silver", "thickness_mm": 1.0}, "cells": cells}
    line = next(line for line in plan(coats, jars, **silver).advice if line.rule == ALIKE)
    assert "look alike to eyes with few or no green cones" in line.words
    assert any("invented" in fact for fact in line.because)
    assert ALIKE not in said(plan(coats[:2], jars, **silver))
