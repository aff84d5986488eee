"""Records that contradict themselves or cannot be: what is learned stays put, stays open, and names them."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from enamelwright.craft.learned_clock import FASTEST
from enamelwright.errors import InputError
from enamelwright.learning.kiln_clock import KilnClock
from enamelwright.learning.kiln_fit import kiln_clock
from enamelwright.learning.kiln_parts import Spreads
from enamelwright.learning.seen_stages import slip_firm, slip_log
from enamelwright.learning.stage_records import Foretold, Melting, StageRecord

COURSE = Foretold((50.0, 69.0, 94.0, 304.0), (-2.2, -1.1, 0.0, 1.0), (-2.2, -1.1, 0.0, 1.0))
SPREADS = Spreads(kiln=0.28, drift=0.02, kind=0.08, repeat=0.12, eye=4.0, lapse=0.03, jump=0.13, haste=0.15, early=0.8)


def record(number: int, stage: str = "", seconds: float | None = None, gloss: float | None = None, jar: str = "J1"):  # type: ignore[no-untyped-def]
    return StageRecord(number, "small", 1, 0.0, jar, "disc", COURSE, stage=stage, seconds=seconds, to_gloss=gloss)  # type: ignore[arg-type]


def learned(records: list[StageRecord]) -> KilnClock:
    return kiln_clock(records, {one.jar: 0.15 for one in records}, SPREADS)


def open_still(records: list[StageRecord]) -> float:
    return learned(records).together("small", "J1", "disc", 0.0)[1]


def test_contradicting_records_teach_less_than_agreeing_ones() -> None:
    """Gloss after 60 s and orange peel after 250 s, over and over, cannot both be so."""
    agree = [record(k, gloss=105.0 + k % 3) for k in range(8)]
    fight = [record(k, gloss=62.0 if k % 2 else 260.0) for k in range(8)]
    assert open_still(fight) > 2 * open_still(agree)
    assert learned(fight).spreads.repeat > SPREADS.repeat


def test_a_gloss_before_the_piece_is_hot_moves_next_to_nothing_and_is_named() -> None:
    usual = [record(k, gloss=105.0) for k in range(6)]
    early = [*usual, record(99, gloss=6.0)]
    before, after = (learned(one).together("small", "J1", "disc", 0.0)[0] for one in (usual, early))
    assert after == pytest.approx(before, abs=0.08)
    number, off = learned(early).surprises[0]
    assert number == 99
    assert abs(off) > 3


def test_a_swapped_jar_does_not_spoil_the_others() -> None:
    """One of two jars was really something else for a while: the other jar stays where it is."""
    usual = [record(k, gloss=105.0, jar="J1") for k in range(8)] + [
        record(20 + k, gloss=120.0, jar="J2") for k in range(8)
    ]
    swapped = [*usual[:8], *(record(20 + k, gloss=120.0 if k < 5 else 480.0, jar="J2") for k in range(8))]
    before, after = (learned(one).together("small", "J1", "disc", 0.0) for one in (usual, swapped))
    assert after[0] == pytest.approx(before[0], abs=0.1)
    assert after[1] >= before[1]
    assert {number for number, off in learned(swapped).surprises if abs(off) > 2} <= {25, 26, 27}


def test_ten_equal_successes_leave_the_clock_open() -> None:
    """Pulled glossy long after gloss: the clock is no later than that, and that is all."""
    well = [record(k, stage="gloss", seconds=200.0) for k in range(10)]
    bracket = [record(1, stage="orange peel", seconds=90.0), record(2, stage="gloss", seconds=104.0)]
    assert open_still(bracket) < 0.8 * open_still(well)


def test_an_empty_record_teaches_nothing_and_says_what_to_do() -> None:
    with pytest.raises(InputError, match="no firing to learn from") as caught:
        kiln_clock([], {}, SPREADS)
    assert caught.value.remedy


def test_a_jar_that_glosses_before_what_precedes_gloss_breaks_nothing() -> None:
    """Gloss of one jar far earlier than foretold leaves no room for orange peel before it: such a stage is a slip."""
    course = Foretold((50.0, 69.0, 94.0, 304.0), (-2.2, -1.1, 0.0, 1.0), (-2.2, -0.3, 0.0, 1.0))
    fast = [StageRecord(k, "small", 1, 0.0, "J2", "disc", course, to_gloss=course.seconds_at(-1.0)) for k in range(12)]
    usual = [StageRecord(20 + k, "small", 1, 0.0, "J1", "disc", course, to_gloss=94.0) for k in range(12)]
    slip = StageRecord(50, "small", 1, 0.0, "J2", "disc", course, stage="orange peel", seconds=course.seconds_at(-0.2))
    with np.errstate(all="raise"):
        known = kiln_clock([*fast, *usual, slip], {"J1": 0.6, "J2": 0.6}, replace(SPREADS, early=0.1))
    assert np.isfinite(known.mean).all()
    assert known.together("small", "J2", "disc", 0.0)[0] == pytest.approx(-1.0, abs=0.1)


def test_a_setting_far_from_what_was_set_tilts_nothing() -> None:
    """One firing noted 200 K too cold glosses as usual: by its time alone it would say that heat hardly matters."""
    taken = replace(SPREADS, heat=0.0025, heat_jar=0.002)
    usual = [replace(record(k, gloss=100.0 + k % 5), hotter=10.0 * (k % 3 - 1)) for k in range(20)]
    cold = Foretold((5e3, 5e4, 5e5), (-2.0, -1.0, 0.0), (-2.2, -1.1, 0.0, 1.0))
    slip = StageRecord(99, "small", 1, 0.0, "J1", "disc", cold, to_gloss=100.0, hotter=-200.0)
    slopes = [kiln_clock(one, {"J1": 0.15}, taken).needed("small", "J1").mean[1] for one in (usual, [*usual, slip])]
    assert slopes[1] == pytest.approx(slopes[0], abs=0.0005)  # a fifth of what such slopes may differ by beforehand
    others = replace(slip, beside=(Melting("J2", cold, hotter=-200.0),))
    both = kiln_clock([*usual, others], {"J1": 0.15, "J2": 0.15}, taken).needed("small", "J1").mean[1]
    assert both == pytest.approx(slopes[0], abs=0.0005)


@pytest.mark.parametrize("off", [0.0, 0.7, 3.0, 30.0])
def test_slips_have_the_density_of_cauchy(off: float) -> None:
    """Against scipy, told as the model tells densities: without the root of two pi."""
    from scipy.stats import cauchy

    assert slip_log(np.array(off)) == pytest.approx(cauchy.logpdf(off) + np.log(2 * np.pi) / 2)
    step = 1e-5
    slope = (cauchy.logpdf(off + step) - cauchy.logpdf(off - step)) / (2 * step)
    assert -off * slip_firm(np.array(off)) == pytest.approx(slope, abs=1e-8)


def test_a_pace_beyond_the_fastest_is_told_at_the_fastest() -> None:
    """Clocks are read at a pace, and none is faster than at once: what goes with it moves along."""
    known = kiln_clock([record(k, gloss=100.0) for k in range(4)], {"J1": 0.15}, replace(SPREADS, pace=0.2))
    place = known.names.index("pace small")
    mean = known.mean.copy()
    mean[place] = FASTEST + 1.0
    beyond = replace(known, mean=mean)
    plain, told = known.needed("small", "J1"), beyond.needed("small", "J1")
    assert told.pace == pytest.approx(FASTEST)
    assert beyond.pace("small") == pytest.approx(FASTEST)
    with_it = plain.covariance[0, -1] / plain.covariance[-1, -1]
    assert told.mean[0] == pytest.approx(plain.mean[0] - with_it)
