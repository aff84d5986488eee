"""Windows of what own firings taught: the same coat again, a hotter setting, a coat unlike those fired."""

from __future__ import annotations

from itertools import pairwise
from math import log10

import numpy as np
import pytest

from enamelwright.craft.bench import Bench
from enamelwright.craft.coat import Coat
from enamelwright.craft.jar import FusingFacet, Jar
from enamelwright.craft.learned_clock import AXES, LearnedClock
from enamelwright.craft.operation import Window
from enamelwright.craft.piece import Circle, Piece, Sheet
from enamelwright.learning.stage_records import Foretold
from enamelwright.questions.plan import answer

JAR = Jar(id="T", name="test white", kind="opaque", fusing=FusingFacet(hardness="medium"))
PLAIN = {"kiln": "", "jar": "T", "decades": 0.2, "sd": 0.1, "firings": 12, "done": 0.1, "done_sd": 0.05}
#: Variance of the slope with the setting: 0.0032 decades a kelvin.
SLOPE = 1e-5


def window(*clocks: LearnedClock, celsius: float = 800.0, depth: float = 0.45e-3) -> Window:
    bench = Bench.starter().with_jars((JAR,)).model_copy(update={"learned_clocks": clocks})
    piece = Piece(
        name="disc",
        metal=Sheet(kind="copper", thickness=0.9e-3),
        outline=Circle(shape="circle", diameter=0.03),
        coats=(
            Coat(face="back", jar="T", powder_depth=0.5e-3),
            Coat(face="front", jar="T", powder_depth=depth, set=celsius + 273.15),
        ),
    )
    found = answer(piece, bench).payload.firings[1].window
    assert found is not None
    return found


def spread(**variances: float) -> tuple[float, ...]:
    """Covariances as a clock keeps them, of which only some variances are not nought."""
    square = np.diag([variances.get(name, 0.0) for name in ("value", "heat", "law", "others", "pace")])
    return tuple(square[np.triu_indices(AXES)][1:])


def width(one: Window) -> float:
    """Decades of the clock between early and late gloss."""
    gloss = next(stage.begins for stage in one.stages if stage.stage == "gloss")
    assert gloss is not None
    clock = dict(zip(("low", "high"), (_clock(one, t) for t in (gloss.low, gloss.high)), strict=True))
    return clock["high"] - clock["low"]


def _clock(one: Window, seconds: float) -> float:
    pairs = one.coats[0].clock
    for (a, low), (b, high) in pairwise(pairs):
        if a <= seconds <= b:
            return low + (high - low) * log10(seconds / a) / log10(b / a)
    raise AssertionError("beyond what was foretold")


def test_a_coat_that_was_fired_is_not_charged_again_for_powder_and_laws() -> None:
    """5 to 95 % of a normal law are 3.29 standard deviations; depth and laws of its own come on top for a new coat."""
    jar = LearnedClock(**PLAIN)
    name = window(jar).coats[0].likeness
    same = window(jar, LearnedClock(**{**PLAIN, "coat": name, "law": window(jar).coats[0].law}))
    assert width(same) == pytest.approx(3.29 * 0.1, rel=0.05)
    new = window(jar)
    assert width(new) == pytest.approx(3.29 * (0.1**2 + new.coats[0].own_sd ** 2) ** 0.5, rel=0.05)
    assert window(jar, depth=0.3e-3).coats[0].likeness == name  # laid anew every time


def test_a_setting_far_from_those_fired_is_wider_in_proportion() -> None:
    told = window(LearnedClock(**PLAIN)).coats[0]
    taught = LearnedClock(**PLAIN, hotter=told.hotter, spread=spread(heat=SLOPE))
    near, half, far = (taught.at(told.hotter + more, 0.0)[1] for more in (0.0, 30.0, 60.0))
    assert far**2 - near**2 == pytest.approx(4 * (half**2 - near**2))
    assert width(window(taught, celsius=860.0)) > width(window(taught))


def test_pieces_are_taken_out_as_late_after_gloss_as_they_are_here() -> None:
    habit, other = window(LearnedClock(**PLAIN)), window(LearnedClock(**{**PLAIN, "done": None}))
    assert habit.seconds is not None
    assert other.seconds is not None
    gloss = next(stage.begins for stage in habit.stages if stage.stage == "gloss")
    assert gloss is not None
    assert _clock(habit, habit.seconds.value) - _clock(habit, gloss.value) == pytest.approx(0.1, abs=0.02)
    assert habit.seconds.value < other.seconds.value


def test_a_clock_told_by_hand_wins_over_what_was_learned() -> None:
    told = JAR.model_copy(update={"fusing": JAR.fusing.model_copy(update={"gloss_clock": 0.0})})
    bench = Bench.starter().with_jars((told,)).model_copy(update={"learned_clocks": (LearnedClock(**PLAIN),)})
    assert bench.clocks_of(["T"]) == ()
    fresh = Bench.starter().with_jars((JAR,)).model_copy(update={"learned_clocks": (LearnedClock(**PLAIN),)})
    assert [one.jar for one in fresh.clocks_of(["T"])] == ["T"]


def test_a_kiln_that_heats_up_faster_moves_early_gloss_more_than_late_gloss() -> None:
    """Heated faster by a fifth, a disc is as hot a sixth sooner; once it is hot that is worth a few seconds."""
    fast, late = ({**PLAIN, "decades": decades} for decades in (-0.2, 0.7))
    sooner = []
    for told in (fast, late):
        plain, quick = (
            next(stage.begins for stage in window(LearnedClock(**told, pace=pace)).stages if stage.stage == "gloss")
            for pace in (0.0, 0.2)
        )
        assert plain is not None
        assert quick is not None
        sooner.append(1 - quick.value / plain.value)
    assert 0.1 < sooner[0] < 1 - np.exp(-0.2)
    assert sooner[1] < 0.6 * sooner[0]


def test_a_pace_that_is_not_known_widens_early_gloss() -> None:
    for decades, least in ((-0.2, 1.5), (0.7, 1.0)):
        sure, unsure = (
            window(LearnedClock(**{**PLAIN, "decades": decades, "sd": 0.05}, spread=spread(pace=sd**2)))
            for sd in (0.0, 0.2)
        )
        assert width(unsure) > least * width(sure)


def test_the_frozen_course_tells_the_pace_it_was_made_at() -> None:
    """Taken back to no pace, a course made at any pace is the same course."""
    courses = []
    for pace in (0.0, 0.3):
        one = window(LearnedClock(**PLAIN, pace=pace)).coats[0]
        assert one.pace == pytest.approx(pace)
        times, clock = zip(*one.clock, strict=True)
        courses.append(Foretold.at_pace(times, clock, one.marks, one.learned, one.pace))
    for seconds in (60.0, 90.0, 150.0, 300.0):
        assert courses[1].clock_at(seconds) == pytest.approx(courses[0].clock_at(seconds), abs=0.05)
        assert courses[0].clock_at(seconds, 0.3) == pytest.approx(
            courses[0].clock_at(seconds * np.exp(0.3)) - 0.1303, abs=1e-3
        )
