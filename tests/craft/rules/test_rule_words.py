"""What the rules say: who decides, which scale, how many digits, and nothing that was not worked out."""

from __future__ import annotations

import re

import pytest
from rule_pieces import coat, jar, piece, plan_of
from rule_table import BACK, CHAMPLEVE, FRONT, OLD_FRONT, PAIRS, WHITE, so_far, use

from enamelwright.craft.plan import Plan

#: A temperature or a difference in kelvin.
KELVIN = re.compile(r"\d K\b")
LOUD = [pair.loud for pair in PAIRS]


def said(plan: Plan) -> list[str]:
    """Every word of verdicts and advice."""
    lines = [part for v in plan.verdicts for part in (v.words, v.remedy, *v.because)]
    return lines + [part for a in plan.advice for part in (a.words, *a.because)]


@pytest.mark.parametrize("line", ["food = true", "child = true"])
def test_food_and_children_lead_and_the_authority_decides(line: str) -> None:
    """Whether such a piece may be used is for a laboratory and the authority (usual caution, no source)."""
    text = piece(jar("white", lead="unknown"), BACK, OLD_FRONT, so_far("firings = 1\nbow_mm = 0.5"), use(line))
    plan = plan_of(text)
    first = next(v for v in plan.leading if v.counts)
    assert first.rule in {"FOOD", "JAR-WEAR"}
    assert first.level == "watch"
    assert "laboratory" in first.remedy
    assert "authority" in first.remedy


@pytest.mark.parametrize("text", LOUD, ids=lambda text: "")
def test_no_rule_promises_anything(text: str) -> None:
    assert not [line for line in said(plan_of(text)) if re.search(r"\b(safe|legal)\b", line, re.IGNORECASE)]


@pytest.mark.parametrize("text", LOUD, ids=lambda text: "")
def test_no_reason_is_in_kelvin(text: str) -> None:
    assert not [line for line in said(plan_of(text)) if KELVIN.search(line)]


@pytest.mark.parametrize("rule", ["CON-AGCU", "CON-AUCU", "HIGH-FIRE", "STAGE-CAP", "GRIS-FALL", "GOLD-LAST"])
def test_heat_is_told_in_both_scales(rule: str) -> None:
    loud = next(pair.loud for pair in PAIRS if pair.rule == rule)
    verdict = next(v for v in plan_of(loud).verdicts if v.rule == rule)
    assert any("°C" in line and "°F" in line for line in (verdict.words, *verdict.because))


def test_a_ratio_has_two_digits_at_most() -> None:
    """0.3 mm on 0.9 mm is 0.33, not 0.333333."""
    found = 0
    for text in LOUD:
        for verdict in plan_of(text).verdicts:
            if verdict.rule.startswith(("DEPTH", "COUNTER", "BALANCE")) and verdict.figure is not None:
                for number in (verdict.figure.value, verdict.figure.low, verdict.figure.high):
                    assert number == float(f"{number:.2g}")
                    found += 1
    assert found


@pytest.mark.parametrize("thickness", [0.95, 1.2, 2.0])
@pytest.mark.parametrize("technique", ["champleve", "basse_taille"])
def test_nobody_is_sent_to_a_bow_that_is_not_worked_out(technique: str, thickness: float) -> None:
    text = CHAMPLEVE.replace("thickness_mm = 2.0", f"thickness_mm = {thickness}").replace(
        '"champleve"', f'"{technique}"'
    )
    plan = plan_of(text)
    assert plan.flatness.reach == "not applicable"
    assert not [line for line in said(plan) if "predicted" in line]
    if thickness == 1.2:
        assert any("Bow is not worked out for recessed work: make a test piece." in line for line in said(plan))


def test_where_the_bow_is_worked_out_it_is_pointed_at() -> None:
    plan = plan_of(piece(WHITE, FRONT, thickness=1.2))
    verdict = next(v for v in plan.verdicts if v.rule == "COUNTER-MAYBE")
    assert plan.flatness.reach != "not applicable"
    assert "bow" in verdict.remedy


def test_a_large_piece_is_advised_at_its_first_firing() -> None:
    plan = plan_of(piece(WHITE, BACK, FRONT, size=180, thickness=1.6))
    line = next(a for a in plan.advice if a.rule == "SUPPORT-SPAN")
    assert line.place.firing == plan.firings[0].number


def test_a_late_cool_gold_colour_is_left_alone_even_before_a_flash() -> None:
    rose = jar("rose", kind="transparent", family="pink", maturity=770).replace(
        "synthetic", "gold_bearing = true\nsynthetic"
    )
    plan = plan_of(piece(WHITE, rose, BACK, FRONT, coat("front", "rose", "powder_depth_mm = 0.3")))
    assert "GOLD-LAST" not in {v.rule for v in plan.verdicts}
