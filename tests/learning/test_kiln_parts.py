"""Heating up, full loads, trends and declared changes are parts of their own: found, and charged for where they matter.

By simulation from the model itself and from the heat balance of the product; no outside source tells how kilns differ.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

import enamelwright.craft.window.window as heating
from enamelwright.craft.bench import Bench
from enamelwright.craft.coat import Coat
from enamelwright.craft.jar import FusingFacet, Jar
from enamelwright.craft.kiln import Kiln
from enamelwright.craft.piece import Circle, Piece, Sheet
from enamelwright.craft.window.members import KilnDraws
from enamelwright.learning.kiln_clock import KilnClock
from enamelwright.learning.kiln_fit import kiln_clock
from enamelwright.learning.kiln_parts import OTHERS, Spreads, trend_name
from enamelwright.learning.stage_records import Foretold, StageRecord
from enamelwright.questions.plan import answer

#: A disc that heats up, and one of the same glass fired much cooler: gloss after 94 and after 240 s.
EARLY = Foretold((50.0, 69.0, 94.0, 304.0), (-2.2, -1.1, 0.0, 1.0), (-2.2, -1.1, 0.0, 1.0))
LATE = Foretold((50.0, 69.0, 94.0, 240.0, 700.0), (-3.0, -1.9, -0.8, 0.0, 0.6), (-2.2, -1.1, 0.0, 1.0))
SPREADS = Spreads(
    kiln=0.28, drift=0.01, kind=0.08, repeat=0.06, eye=3.0, lapse=0.03, jump=0.13, haste=0.15, early=0.8, trend=0.002,
    pace=0.2, others=0.04,
)  # fmt: skip
JAR = {"J1": 0.15}


def fired(number: int, course: Foretold, seconds: float, day: float = 0.0, **more: object) -> StageRecord:
    return StageRecord(number, "small", 0, day, "J1", "disc", course, to_gloss=seconds, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize("pace", [-0.25, 0.0, 0.35])
def test_how_fast_a_kiln_heats_up_shows_in_early_and_late_glosses_together(pace: float) -> None:
    rng = np.random.default_rng(8)
    records = [
        fired(k, course, course.seconds_at(0.1 + rng.normal(0, 0.04), pace))
        for k, course in enumerate([EARLY, LATE] * 12)
    ]
    known = kiln_clock(records, JAR, SPREADS)
    found, sd, _ = known.part("pace small")
    assert abs(found - pace) < 2 * sd
    assert sd < 0.6 * SPREADS.pace
    for course in (EARLY, LATE):
        low, middle, high = known.gloss_time(course, "small", "J1", "disc", 0.0)
        assert low < course.seconds_at(0.1, pace) < high
        assert middle == pytest.approx(course.seconds_at(0.1, pace), rel=0.06)


def test_one_gloss_cannot_tell_the_pace_from_the_glass_and_says_so() -> None:
    known = kiln_clock([fired(k, EARLY, 80.0) for k in range(8)], JAR, SPREADS)
    assert known.part("pace small")[1] > 0.5 * SPREADS.pace
    early, late = (known.gloss_time(course, "small", "J1", "disc", 0.0) for course in (EARLY, LATE))
    assert np.log(late[2] / late[0]) > np.log(early[2] / early[0])


def test_a_pace_is_what_more_heat_does_to_a_piece(monkeypatch: pytest.MonkeyPatch) -> None:
    """The heat balance with all radiation a quarter more or less, against the same course at a pace.

    Fitted where the clock stands at gloss, a pace should be right elsewhere within a tenth of a decade: half of what the
    hand scatters.
    """
    jar = Jar(id="T", name="test white", kind="opaque", mesh=80, fusing=FusingFacet(hardness="medium"))
    bench = Bench.starter().with_jars((jar,))
    piece = Piece(
        name="disc",
        metal=Sheet(kind="copper", thickness=0.9e-3),
        outline=Circle(shape="circle", diameter=0.03),
        coats=(Coat(face="back", jar="T"), Coat(face="front", jar="T", powder_depth=0.45e-3, set=800 + 273.15)),
    )

    def course(factor: float) -> Foretold:
        of = KilnDraws.of

        def moved(kiln: Kiln, draws: int = 0, extra: float = 0.0) -> KilnDraws:
            return replace(of(kiln, 0, extra), transfer=np.array([factor]))

        with monkeypatch.context() as patch:
            patch.setattr(heating.KilnDraws, "of", moved)
            one = answer(piece, bench).payload.firings[1].window.coats[0]
        times, clock = zip(*one.clock, strict=True)
        return Foretold(times, clock, one.marks)

    usual = course(1.0)
    for factor in (0.8, 1.25):
        other = course(factor)
        near = other.seconds_at(0.0)
        grid = np.linspace(-0.5, 0.5, 201)
        pace = float(grid[np.argmin([abs(usual.clock_at(near, one)) for one in grid])])
        assert np.sign(pace) == np.sign(factor - 1)
        for seconds in (0.8 * near, near, 1.5 * near, 3 * near):
            assert usual.clock_at(seconds, pace) == pytest.approx(other.clock_at(seconds), abs=0.1)


def test_full_loads_are_learned_and_a_load_unlike_those_fired_is_wider() -> None:
    rng = np.random.default_rng(3)
    alone = [fired(k, EARLY, EARLY.seconds_at(rng.normal(0, 0.05))) for k in range(10)]
    full = [fired(20 + k, EARLY, EARLY.seconds_at(0.2 + rng.normal(0, 0.05)), others=4) for k in range(6)]
    known = kiln_clock([*alone, *full], JAR, SPREADS)
    found, sd, _ = known.part(OTHERS)
    assert abs(found - 0.05) < 2 * sd
    lone = kiln_clock(alone, JAR, SPREADS).needed("small", "J1", "disc", 0.0)
    assert lone.at(others=5)[1] ** 2 - lone.at()[1] ** 2 == pytest.approx((5 * SPREADS.others) ** 2, rel=0.05)


def test_a_steady_drift_is_foretold_to_go_on_until_somebody_changes_the_kiln() -> None:
    rng = np.random.default_rng(5)
    needed = [(4.0 * k, -0.004 * 4 * k) for k in range(12)]
    records = [fired(k, LATE, LATE.seconds_at(x + rng.normal(0, 0.04)), day) for k, (day, x) in enumerate(needed)]
    known = kiln_clock(records, JAR, SPREADS)
    slope, sd, _ = known.part(trend_name("small", 0))
    assert abs(slope + 0.12) < 2 * sd  # decades in thirty days
    last = known.needed("small", "J1", "disc", 44.0).at()
    later = known.needed("small", "J1", "disc", 52.0).at()
    assert later[0] < last[0]
    assert later[1] > last[1]
    changed = known.needed("small", "J1", "disc", 52.0, epoch=1).at()
    assert changed[0] == pytest.approx(last[0], abs=0.01)
    assert changed[1] ** 2 > last[1] ** 2 + 0.95 * SPREADS.jump**2


def test_bands_after_a_declared_change_hold_as_often_as_they_say() -> None:
    """The thermocouple was moved this morning, by as much as is taken of it: nine in ten still hold."""

    def holds(seed: int) -> bool:
        rng = np.random.default_rng(seed)
        jar, kiln = rng.normal(0, JAR["J1"]), rng.normal(0, SPREADS.kiln)
        times = [
            max(15.0, LATE.seconds_at(jar + kiln + rng.normal(0, SPREADS.repeat)) + rng.normal(0, SPREADS.eye))
            for _ in range(8)
        ]
        known = kiln_clock([fired(k, LATE, one) for k, one in enumerate(times)], JAR, SPREADS)
        low, _, high = _band(known, epoch=1)
        jump = rng.normal(0, SPREADS.jump)
        now = LATE.seconds_at(jar + kiln + jump + rng.normal(0, SPREADS.repeat)) + rng.normal(0, SPREADS.eye)
        return low <= now <= high

    held = sum(holds(seed) for seed in range(60))
    assert held >= 48  # nine in ten less than that once in two hundred
    known = kiln_clock([fired(k, LATE, 90.0) for k in range(8)], JAR, SPREADS)
    low, _, high = _band(known, epoch=1)
    plain_low, _, plain_high = _band(known, epoch=0)
    assert np.log(high / low) > 1.3 * np.log(plain_high / plain_low)


def _band(known: KilnClock, epoch: int) -> tuple[float, float, float]:
    needed = known.needed("small", "J1", "disc", 0.0, epoch=epoch)
    return needed.seconds(LATE, scatter=known.spreads.repeat, eye=SPREADS.eye)


def test_a_walk_with_a_trend_is_no_worse_where_kilns_only_wander() -> None:
    """A kiln without any trend, to which the model grants one: bands still hold, and cost hardly more."""

    def bands(trend: float) -> tuple[int, float]:
        spreads, held, width = replace(SPREADS, trend=trend), 0, 0.0
        for seed in range(40):
            rng = np.random.default_rng(seed)
            walk = np.cumsum(rng.normal(0, 0.01 * np.sqrt(4.0), 13))
            times = [LATE.seconds_at(one + rng.normal(0, SPREADS.repeat)) for one in walk]
            records = [fired(k, LATE, one, 4.0 * k) for k, one in enumerate(times[:-1])]
            low, _, high = kiln_clock(records, JAR, spreads).gloss_time(LATE, "small", "J1", "disc", 48.0)
            held, width = held + (low <= times[-1] <= high), width + float(np.log(high / low))
        return held, width / 40

    (without, plain), (held, wide) = bands(0.0), bands(SPREADS.trend)
    assert held >= without - 1
    assert held >= 31
    assert wide < 1.15 * plain
