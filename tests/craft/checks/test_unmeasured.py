"""Doubt that comes of jars nobody measured is told as such, once; a bad build is still told as a bad build."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from craft.checks.named_piece import back, firings_of, front, layup_of, model_of, weights_of
from craft.ordinary_practice import BAD, ORDINARY, judge

from enamelwright.craft.bench import Bench
from enamelwright.craft.checks.flatness import judge_flatness
from enamelwright.craft.checks.flatness_states import solve_all
from enamelwright.craft.checks.unmeasured import Found, merged, share_of_jars
from enamelwright.craft.verdict import Verdict

BUILD_WORDS = ("less glass", "heavier metal")
FLAT = ("FLAT-BOW", "FLAT-FACE", "FLAT-RIM")
STACKS = {stack.name: stack for stack in (*ORDINARY, *(bad.stack for bad in BAD))}


def known_by(layup, how: str):
    return replace(
        layup, layers=tuple(replace(layer, glass=replace(layer.glass, known_by=how)) for layer in layup.layers)
    )


def solved_of(how: str):
    model = model_of(layup_of([back(0.2), front(0.3)]), [0, 1])
    laminae = tuple(
        replace(one, layer=replace(one.layer, glass=replace(one.layer.glass, known_by=how)))
        for one in model.history.laminae
    )
    return solve_all(replace(model, history=replace(model.history, laminae=laminae)), 256)


def found_of(rule: str, draws, level="watch", likely="it comes out flat") -> Found:
    remedy = "Use less glass on this face, heavier metal."
    return Found(Verdict(rule=rule, level=level, words="bad", remedy=remedy), likely, f"the answer of {rule}", (draws,))


@pytest.mark.parametrize("name", ["foil under transparents, 40 mm", "high-fired bowl 120 mm, six coats"])
def test_a_figure_nobody_measured_is_called_unknown(name):
    """The jars of these stacks are known by class only, and most likely they end well."""
    _, verdicts, _ = judge(STACKS[name])
    (watch,) = [v for v in verdicts if v.rule in FLAT and v.level == "watch"]
    assert "not known, because nobody has measured" in watch.words
    assert "test tile" in watch.remedy
    assert "data sheet" in watch.remedy
    assert not any(word in watch.remedy for word in BUILD_WORDS)


def test_a_bad_build_of_unmeasured_jars_is_still_a_bad_build():
    _, verdicts, _ = judge(STACKS["0.4 mm glass on one side of 0.5 copper"])
    face = next(v for v in verdicts if v.rule == "FLAT-FACE")
    assert face.level == "stop"
    assert any(word in face.remedy for word in BUILD_WORDS)


@pytest.mark.parametrize("how", ["class", "nothing"])
def test_several_doubts_are_one_watch(how):
    solved = solved_of(how)
    strain = solved.draws.coat_strain[:, 0]
    verdicts = merged(tuple(found_of(rule, strain) for rule in FLAT), solved)
    assert [v.rule for v in verdicts] == list(FLAT)
    (watch,) = [v for v in verdicts if v.level == "watch"]
    assert watch.rule == "FLAT-FACE"
    assert all(f"the answer of {rule}" in watch.words for rule in FLAT)
    assert "named enamel" in watch.words
    assert not any(v.remedy for v in verdicts if v.level == "good")


@pytest.mark.parametrize(
    ("how", "likely", "level"),
    [("data sheet", "it comes out flat", "watch"), ("composition", "it comes out flat", "watch"), ("class", "", "watch"),
     ("class", "it comes out flat", "stop")],
)  # fmt: skip
def test_nothing_else_is_put_down_to_the_jars(how, likely, level):
    """Not a jar with a figure of its own, not a likely value that is bad, not a Stop."""
    solved = solved_of(how)
    found = found_of("FLAT-BOW", solved.draws.coat_strain[:, 0], level, likely)
    assert merged((found,), solved) == (found.verdict,)


def test_the_share_of_the_jars():
    """All of what hangs on their expansion, none of what hangs on the sheet, half of an even mixture."""
    solved = solved_of("class")
    jar, sheet = solved.draws.coat_strain[:, 0], solved.draws.metal
    assert share_of_jars(solved, jar) == pytest.approx(1.0)
    assert share_of_jars(solved, sheet) == pytest.approx(0.0, abs=0.15)
    mixed = jar / np.std(jar) + sheet / np.std(sheet)
    assert share_of_jars(solved, mixed) == pytest.approx(0.5, abs=0.15)
    assert share_of_jars(solved_of("data sheet"), jar) == 0.0


def reheating(coats, *fires, **more) -> SimpleNamespace:
    layup = layup_of(coats, **more)
    flatness, _, advice = judge_flatness(layup, weights_of(layup), firings_of(layup, *fires), Bench(), 32)
    return SimpleNamespace(flatness=flatness, told=any(line.rule == "FLAT-REHEAT" for line in advice))


def test_warming_in_front_of_the_kiln_is_for_work_begun_or_cracked():
    """An ordinary disc fired twice goes in as usual; the same, already fired or cracked, is warmed first."""
    assert not reheating([back(0.2), front(0.2)], [0], [1]).told
    begun = [back(0.2, fired=True), front(0.2)]
    assert reheating(begun, [1], so_far={"firings": 1}).told
    assert reheating(begun, [1], so_far={"firings": 1, "fault": "crack"}).told


def test_a_bow_to_either_side_may_and_a_sure_one_will():
    layup = layup_of([front(0.3)], thickness=0.4)
    sure = judge_flatness(layup, weights_of(layup), firings_of(layup, [0]), Bench(), 64)[1][0]
    assert "will be visibly domed" in sure.words
    assert "front high" in sure.words
    strict = Bench.from_outside({"house": {"bow_limit_mm": 0.005}})
    layup = layup_of([back(0.22), front(0.3)], diameter=50.0)
    either = judge_flatness(layup, weights_of(layup), firings_of(layup, [0, 1]), strict, 64)[1][0]
    assert "may be visibly domed" in either.words
    for text in (either.words, either.because[0]):
        assert "back high" in text
        assert "front high" in text
        assert "µm" not in text
