"""Decades of the clock become seconds of the first gloss by the course that was foretold."""

from __future__ import annotations

from math import log10

import pytest

from enamelwright.craft.bench import Bench
from enamelwright.craft.window.facts import number
from enamelwright.reference.loader import facts_of
from enamelwright.workshop.differs_matter import UNTOLD, Course, Effect, Models

#: At heat the clock goes with the time: ten times the seconds are one decade more.
PAIRS = tuple((seconds, log10(seconds / 200.0)) for seconds in (50.0, 100.0, 200.0, 400.0, 800.0))


@pytest.fixture
def models() -> Models:
    """What tells how much things matter, with nothing learned."""
    return Models(Bench.starter())


def test_seconds_follow_the_course_that_was_foretold() -> None:
    course = Course(PAIRS)
    assert course.at(0.0) == pytest.approx(200.0)
    assert course.at(log10(2)) == pytest.approx(400.0)
    assert course.at(1.0) == pytest.approx(2000.0)  # beyond what was foretold
    later = course.matters(Effect("law", log10(2), one_way=True))
    assert (later.seconds, later.words) == (pytest.approx(200.0), "about 200 s later")
    sooner = course.matters(Effect("law", -log10(2), one_way=True))
    assert (sooner.seconds, sooner.words) == (pytest.approx(-100.0), "about 100 s sooner")
    assert course.matters(Effect("spread", log10(2))).words == "about 150 s either way"
    assert course.matters(Effect("spread", 0.0)).words == "less than a second"
    assert course.matters(None) == UNTOLD


def test_without_a_course_it_is_told_as_a_share_of_the_time_at_heat() -> None:
    told = Course().matters(Effect("law", log10(1.2), one_way=True))
    assert told.words == "about 20 % of the time at heat later"
    assert told.size == pytest.approx(0.2 * number("maturity_seconds"))
    assert Course.of({"firing": {"window": {}}}) == Course()


def test_what_is_known_one_way_has_its_sign(models: Models) -> None:
    """A thinner coat, a coarser sieve, a cooler setting and a shorter pause each need more of the clock."""
    thinner, thicker = models.amounts(0.4, 0.2), models.amounts(0.2, 0.4)
    assert thinner is not None
    assert thicker is not None
    assert thinner.decades == -thicker.decades > 0
    assert models.sieves(80, 60).decades > 0 > models.sieves(60, 80).decades
    assert models.pauses(3600.0, 0.0).decades == pytest.approx(facts_of("heat/learning")["heat/learn_haste"].value)
    assert models.pauses(3600.0, 7200.0).decades == pytest.approx(0.0, abs=1e-9)
    jar = Bench.starter().jars[0].id
    cooler = models.settings(1073.15, 1063.15, [jar])
    assert cooler is not None
    # Glasses near 800 C gain 0.011 to 0.019 decades a kelvin, E/(R T^2 ln 10) at 250 to 420 kJ/mol.
    assert 0.1 < cooler.decades < 0.22


def test_spreads_grow_as_those_of_the_windows_do(models: Models) -> None:
    """Jumps by the root of how many, days by the root and the trend; a kiln that rests wears no further."""
    assert models.jumps(4).decades == pytest.approx(2 * models.jumps(1).decades)
    assert models.days([1.0] * 4).decades > 2 * models.days([1.0]).decades
    assert models.days([500.0]).decades == models.days([10.0]).decades
    assert models.hands(weighed=True) is None
    assert models.eyes().decades == 0.0 < models.eyes().seconds
