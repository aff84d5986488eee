"""Firings in which several jars melted: against direct summing, limits, and invented workshops with a known truth.

The chance of the largest and the smallest of independent normal values is textbook matter (H. A. David, H. N. Nagaraja,
Order Statistics, 3rd ed. (2003), section 2.1); here it is summed up directly."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from scipy.stats import norm

from enamelwright.learning.kiln_fit import kiln_clock
from enamelwright.learning.kiln_parts import Spreads
from enamelwright.learning.proportions import wilson
from enamelwright.learning.several_coats import Several
from enamelwright.learning.stage_records import ORDER, Foretold, Melting, StageRecord

COURSE = Foretold((50.0, 69.0, 94.0, 304.0), (-2.2, -1.1, 0.0, 1.0), (-2.2, -1.1, 0.0, 1.0))
#: A jar that is due later than the others.
LATE = Foretold((50.0, 69.0, 94.0, 160.0, 304.0), (-2.8, -1.6, -0.5, 0.2, 0.7), (-2.5, -1.4, 0.0, 1.0))
SPREADS = Spreads(kiln=0.28, drift=0.02, kind=0.08, repeat=0.12, eye=4.0, lapse=0.03, jump=0.13, haste=0.15, early=0.8)


#: First firing that is foretold from those before it.
FIRST = 8
#: Weight of the last of a load; no note of one piece has it.
OF_LOAD = 0.25
#: So few firings that neither scatter nor ways of noting are weighed.
FEW = 3


def both(
    number: int, *, gloss: float | None = None, stage: str = "", seconds: float | None = None, late: Foretold = LATE
):  # type: ignore[no-untyped-def]
    return StageRecord(
        number, "small", 1, 0.0, "J1", "disc", COURSE, stage=stage, seconds=seconds, to_gloss=gloss,  # type: ignore[arg-type]
        beside=(Melting("J2", late),),
    )  # fmt: skip


def gathered(record: StageRecord, last: float, lapse: float = 1e-9) -> Several:
    gloss = [[{c: 1.0} for c in range(len(record.melting))]]
    early = [[{len(record.melting) + c: 1.0} for c in range(len(record.melting))]]
    several = Several.of([record], [[0.12] * len(record.melting)], 1e-6, lapse, gloss, early, 2 * len(record.melting))
    return several.by_hand(replace(SPREADS, repeat=0.0, last=last, last_of_load=OF_LOAD))


def test_the_chance_of_a_time_is_that_of_the_last_or_of_the_first_coat() -> None:
    """Density of the larger of two normal values by differences of its distribution, and of the smaller likewise."""
    record = both(1, gloss=120.0)
    state = np.array([0.1, -0.15, 0.0, 0.0])
    clocks = [COURSE.clock_at(120.0), LATE.clock_at(120.0)]
    off = [(z - s) / 0.12 for z, s in zip(clocks, state, strict=False)]
    step = 1e-5

    def larger(x: float) -> float:  # both have glossed once the clocks stand x standard deviations further
        return float(norm.cdf(off[0] + x) * norm.cdf(off[1] + x))

    def smaller(x: float) -> float:
        return float(1 - norm.sf(off[0] + x) * norm.sf(off[1] + x))

    for last, whole in ((1.0, larger), (0.0, smaller), (0.4, lambda x: 0.4 * larger(x) + 0.6 * smaller(x))):
        density = (whole(step) - whole(-step)) / (2 * step) / 0.12
        # The logarithms of normal densities are told without their constant here.
        found = np.exp(gathered(record, last).at(state).logs()[0]) / np.sqrt(2 * np.pi)
        assert found == pytest.approx(density, rel=1e-4)


def test_the_first_gloss_of_a_load_is_mostly_that_of_its_first_piece() -> None:
    """Its own weight counts, and only for a time: a stage noted of a load is noted as of a piece."""
    state = np.array([0.1, -0.15, 0.0, 0.0])
    timed, staged = both(1, gloss=120.0), both(1, stage="orange peel", seconds=110.0)
    for record, like in ((timed, OF_LOAD), (staged, 0.8)):
        found = gathered(replace(record, of_load=True), 0.8).at(state).logs()
        assert found == pytest.approx(gathered(record, like).at(state).logs(), abs=1e-12)
        assert gathered(record, 0.8).at(state).logs() != pytest.approx(gathered(record, OF_LOAD).at(state).logs())


@pytest.mark.parametrize("last", [0.0, 0.3, 1.0])
def test_the_chances_of_all_stages_are_one_together_and_drawn_ones_agree(last: float) -> None:
    rng = np.random.default_rng(2)
    state = np.array([0.1, -0.2, 0.05, -0.05])
    chances = []
    for stage in ORDER:
        record = both(1, stage=stage, seconds=110.0)
        chances.append(float(np.exp(gathered(record, last).at(state).logs()[0])))
    assert sum(chances) == pytest.approx(1.0, abs=1e-6)
    stages = []
    for n, told in enumerate((COURSE, LATE)):
        marks = np.array(told.marks) + np.array([state[2 + n], state[2 + n], state[n], state[n]])
        clock = told.clock_at(110.0) + rng.normal(0, 0.12, 200_000)
        stages.append(np.searchsorted(np.minimum.accumulate(marks[::-1])[::-1], clock))
    behind, ahead = np.minimum(*stages), np.maximum(*stages)
    over = ORDER.index("over-fired")
    behind = np.where(ahead == over, over, behind)
    share = [last * np.mean(behind == k) + (1 - last) * np.mean(ahead == k) for k in range(len(ORDER))]
    assert chances == pytest.approx(share, abs=0.005)


@pytest.mark.parametrize("record", [both(1, gloss=120.0), both(1, stage="orange peel", seconds=110.0)])
def test_slopes_are_those_of_the_chance(record: StageRecord) -> None:
    several = gathered(record, 0.4, 0.03)
    state = np.array([0.05, -0.1, 0.02, 0.03])
    slope, bend = several.at(state).curve()
    for k in range(len(state)):
        step = np.zeros(len(state))
        step[k] = 1e-5
        ahead, back = (float(several.at(state + sign * step).logs()[0]) for sign in (1, -1))
        assert slope[k] == pytest.approx((ahead - back) / 2e-5, rel=1e-3, abs=1e-3)
    assert np.linalg.eigvalsh(bend).min() > -1e-9


def test_the_coat_that_is_due_much_later_learns_and_the_other_does_not() -> None:
    """By the last coat alone: whatever J1 does, it was long glossy when J2 was."""
    far = Foretold((50.0, 69.0, 94.0, 304.0), (-3.2, -2.1, -1.0, 0.0), (-2.2, -1.1, 0.0, 1.0))
    spreads = replace(SPREADS, last=1.0)
    got = kiln_clock([both(k, gloss=300.0, late=far) for k in range(FEW)], {"J1": 0.15, "J2": 0.15}, spreads)
    assert got.part("jar J1")[2] > 0.95
    alone = [StageRecord(k, "small", 1, 0.0, "J2", "disc", far, to_gloss=300.0) for k in range(FEW)]
    single = kiln_clock(alone, {"J2": 0.15}, spreads)
    assert got.together("small", "J2", "disc", 0.0) == pytest.approx(single.together("small", "J2", "disc", 0.0), rel=0.02, abs=0.002)  # fmt: skip


def test_two_jars_due_together_learn_less_than_one_alone() -> None:
    """Nobody knows which of them it was: what each needs stays more open than if it had melted by itself."""
    together = kiln_clock([both(k, gloss=120.0, late=COURSE) for k in range(6)], {"J1": 0.15, "J2": 0.15}, SPREADS)
    alone = kiln_clock(
        [StageRecord(k, "small", 1, 0.0, "J1", "disc", COURSE, to_gloss=120.0) for k in range(6)], {"J1": 0.15}, SPREADS
    )
    open_still = [one.together("small", "J1", "disc", 0.0)[1] for one in (together, alone)]
    assert 1.1 * open_still[1] < open_still[0] < 0.25


def workshop(seed: int, firings: int = 24) -> list[tuple[bool, float, float]]:
    """Return of each firing of one jar whether its band held, and how far the likely value and the band lie off.

    A workshop of four jars, two or three of them in most firings; one maker notes the last coat, another the first.
    """
    rng = np.random.default_rng([seed, 17])
    jars = rng.normal(0, 0.15, 4)
    shift = rng.normal(0, 0.3, 4)  # how much later each is due by its label
    courses = [
        Foretold(COURSE.seconds, tuple(c - s for c in COURSE.clock), (-2.2 - s, -1.1 - s, 0.0, 1.0)) for s in shift
    ]
    kiln, notes_last = float(rng.normal(0, 0.28)), bool(rng.random() < 0.5)
    records: list[StageRecord] = []
    found = []
    for number in range(firings):
        kiln += float(rng.normal(0, 0.02 * np.sqrt(2)))
        day = 2.0 * number
        count = int(rng.choice([1, 2, 3], p=[0.25, 0.4, 0.35]))
        mine = [int(j) for j in rng.permutation(4)[:count]]
        times = [courses[j].seconds_at(jars[j] + kiln + float(rng.normal(0, 0.12))) for j in mine]
        gloss = max(times) if notes_last else min(times)
        seen = max(20.0, gloss + float(rng.normal(0, 4)))
        if count == 1 and number >= FIRST:
            known = kiln_clock(records, {f"J{j}": 0.15 for j in range(4)}, SPREADS, look_for_jumps=False)
            low, middle, high = known.gloss_time(courses[mine[0]], "small", f"J{mine[0]}", "disc", day)
            found.append((low <= seen <= high, np.log(seen / middle), np.log(high / low)))
        first, *others = mine
        timed = rng.random() < 0.7
        stage, seconds = "", None
        if not timed:
            seconds = gloss * float(rng.uniform(0.8, 1.3))
            stage = "gloss" if seconds > gloss else "orange peel"
        records.append(
            StageRecord(
                number, "small", 1, day, f"J{first}", "disc", courses[first], stage=stage, seconds=seconds,  # type: ignore[arg-type]
                to_gloss=seen if timed else None, beside=tuple(Melting(f"J{j}", courses[j]) for j in others),
            )
        )  # fmt: skip
    return found


def test_bands_learned_from_firings_of_several_jars_hold_nine_times_in_ten() -> None:
    """Found with 120 workshops: 88 % of 455 bands. Here fewer, told to within 5 %."""
    found = [one for seed in range(24) for one in workshop(seed)]
    held = sum(one[0] for one in found)
    assert len(found) > 70
    low, high = wilson(held, len(found), 0.9)
    assert high > 0.86
    assert low < 0.94
    # What is learned is right on the whole: no jar is told late for being seen beside slower ones.
    assert abs(float(np.median([one[1] for one in found]))) < 0.05
