"""Ordinary work passes without a Stop and with one Watch at most; known bad stacks are caught."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import pytest
from craft import pages
from craft.ordinary_practice import BAD, ORDINARY, Bad, Stack, judge, table, warnings
from craft.pages import AGAIN

from enamelwright.craft.planner import make_plan
from enamelwright.files.piece_file import read_piece

#: Words of the laboratory that a maker should not have to know.
ENGINE_WORDS = ("monte", "carlo", "curvature", "plastic strain", "vft", "isokom", "biaxial", "sublayer", "draws", "gpa")


STACKS = {stack.name: stack for stack in (*ORDINARY, *(bad.stack for bad in BAD))}
EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.toml"))


@cache
def judged(name: str):
    """Judge each stack once for all tests of this file."""
    return judge(STACKS[name])


def test_the_set_is_large_enough_to_mean_something():
    assert len(ORDINARY) >= 25
    assert len({stack.name for stack in ORDINARY}) == len(ORDINARY)
    assert all(stack.basis for stack in ORDINARY)


@pytest.mark.parametrize("stack", ORDINARY, ids=lambda stack: stack.name)
def test_ordinary_practice_is_not_warned_of(stack: Stack):
    _, verdicts, advice = judged(stack.name)
    said = warnings(verdicts)
    assert not [line for line in said if line.startswith("stop")]
    assert len(said) <= 1
    reheating = [line for line in advice if line.rule == "FLAT-REHEAT"]
    assert len(reheating) <= 1


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_examples_are_not_warned_of(path: Path):
    """Every example is ordinary work of its technique."""
    found = read_piece(path)
    plan = make_plan(found.piece, drawn=found.shape)
    said = warnings([verdict for verdict in plan.verdicts if verdict.rule.startswith("FLAT-")])
    assert not [line for line in said if line.startswith("stop")]
    assert len(said) <= 1
    assert plan.flatness.reach == "not applicable" or plan.flatness.states


@pytest.mark.parametrize("bad", BAD, ids=lambda bad: bad.stack.name)
def test_known_bad_stacks_are_caught(bad: Bad):
    _, verdicts, _ = judged(bad.stack.name)
    found = next(verdict for verdict in verdicts if verdict.rule == bad.rule)
    assert found.level in bad.levels
    assert found.remedy


@pytest.mark.parametrize("stack", [*ORDINARY, *(bad.stack for bad in BAD)], ids=lambda stack: stack.name)
def test_every_line_is_in_plain_words(stack: Stack):
    flatness, verdicts, advice = judged(stack.name)
    lines = [flatness.why, *flatness.limits]
    for verdict in verdicts:
        lines += [verdict.words, verdict.remedy, *verdict.because]
    for one in advice:
        lines += [one.words, *one.because]
    if flatness.counter is not None:
        lines.append(flatness.counter.words)
    for line in lines:
        assert not [word for word in ENGINE_WORDS if word in line.lower()], line
        assert "safe" not in line.lower()
        assert "legal" not in line.lower()


def test_out_of_reach_is_said_and_nothing_is_judged():
    recessed = next(stack for stack in ORDINARY if "champleve brooch" in stack.name)
    flatness, verdicts, advice = judged(recessed.name)
    assert flatness.reach == "not applicable"
    assert "recess" in flatness.why
    assert verdicts == ()
    assert advice == ()


def test_wires_make_it_rough_and_no_stress_is_judged():
    wired = next(stack for stack in ORDINARY if stack.piece.get("wires"))
    flatness, verdicts, _ = judged(wired.name)
    assert flatness.reach == "rough"
    assert "wires" in flatness.why
    assert {verdict.rule for verdict in verdicts} == {"FLAT-BOW"}


def test_the_table_names_every_stack():
    text = table(lambda stack: judged(stack.name))
    for name in (stack.name for stack in (*ORDINARY, *(bad.stack for bad in BAD))):
        assert name in text


def test_the_page_of_ordinary_practice_is_fresh():
    assert pages.PRACTICE_PAGE.read_text(encoding="utf-8") == pages.practice(lambda stack: judged(stack.name)), AGAIN
