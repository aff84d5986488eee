"""How many to start for enough good ones: binomial, beta-binomial, lost loads, two waves; learning curves.

Sources
-------
* Binomial and beta-binomial distributions as an independent library has them (scipy.stats), and tables of start
  quantities worked out from them; Jeffreys' prior, Theory of Probability (1961).
* Both forms of the learning curve: Hogan et al., Forecasting 2 (2020) 429, doi 10.3390/forecast2040023.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from enamelwright.errors import OutOfReach
from enamelwright.planning import learning_curve, series
from enamelwright.planning.series import Yield

# Wanted, yield: mean and deviation of the negative binomial, and the fewest at 50, 80, 90 and 95 %.
STARTS = [
    (12, 0.90, 13.33, 1.217, (13, 14, 15, 16)),
    (12, 0.80, 15.00, 1.936, (15, 17, 18, 19)),
    (36, 0.90, 40.00, 2.108, (40, 42, 43, 44)),
    (6, 0.70, 8.57, 1.917, (8, 10, 11, 12)),
]
# Twelve wanted, yield 0.95, one load in twenty lost, spread evenly over so many loads: fewest at 90 and 95 %.
LOADS = [(1, 14, None), (2, 16, 24), (3, 18, 19), (4, 16, 18), (5, 16, 17), (6, 16, 17), (8, 15, 16)]
# Sixteen pieces of the same in so many loads: chance of twelve good ones.
SPLIT = [(1, 0.9492), (2, 0.9017), (4, 0.9065)]
# Two waves of the same: first load, chance, pieces started on average.
WAVES = [(12, 0.9579, 13.38), (13, 0.9845, 13.88)]


@pytest.mark.parametrize(("wanted", "chance", "mean", "spread", "fewest"), STARTS)
def test_start_quantities(wanted: int, chance: float, mean: float, spread: float, fewest: tuple[int, ...]) -> None:
    good = Yield.known(chance)
    assert series.expected_starts(wanted, good) == (pytest.approx(mean, abs=5e-3), pytest.approx(spread, abs=5e-4))
    assert tuple(series.to_start(wanted, good, sure) for sure in (0.5, 0.8, 0.9, 0.95)) == fewest
    for sure, count in zip((0.5, 0.8, 0.9, 0.95), fewest, strict=True):
        assert stats.binom.sf(wanted - 1, count, chance) >= sure > stats.binom.sf(wanted - 1, count - 1, chance)


def test_the_binomial_tail() -> None:
    assert series.chance_of(12, (15,), Yield.known(0.9)) == pytest.approx(0.9444443700, abs=1e-9)


def test_a_record_is_not_taken_as_certain() -> None:
    """18 of 20 seen, 12 wanted: 15, 16, 17 at 80, 90, 95 %; the bare share would say 16 at 95 %."""
    good = Yield.record(18, 20)
    assert [series.to_start(12, good, sure) for sure in (0.8, 0.9, 0.95)] == [15, 16, 17]
    assert series.to_start(12, Yield.known(0.9), 0.95) == 16
    for count in (12, 15, 17, 40):
        assert series.chance_of(12, (count,), good) == pytest.approx(
            stats.betabinom.sf(11, count, 18.5, 2.5), abs=1e-12
        )


@pytest.mark.parametrize(("loads", "at_90", "at_95"), LOADS)
def test_lost_loads(loads: int, at_90: int, at_95: int | None) -> None:
    good = Yield.known(0.95)
    assert series.to_start(12, good, 0.90, lost=0.05, loads=loads) == at_90
    if at_95 is None:
        with pytest.raises(OutOfReach, match="no number of pieces"):
            series.to_start(12, good, 0.95, lost=0.05, loads=loads)
    else:
        assert series.to_start(12, good, 0.95, lost=0.05, loads=loads) == at_95


@pytest.mark.parametrize(("loads", "chance"), SPLIT)
def test_splitting_does_not_make_it_surer(loads: int, chance: float) -> None:
    split = series.spread_over(16, loads)
    assert series.chance_of(12, split, Yield.known(0.95), 0.05) == pytest.approx(chance, abs=1e-4)


@pytest.mark.parametrize(("first", "chance", "expected"), WAVES)
def test_two_waves(first: int, chance: float, expected: float) -> None:
    told = series.two_waves(12, first, Yield.known(0.95), 0.95, 0.05)
    assert told.chance == pytest.approx(chance, abs=1e-4)
    assert told.expected == pytest.approx(expected, abs=5e-3)


def test_loads_agree_with_drawing_lots() -> None:
    draw = np.random.default_rng(1)
    kept = draw.random((200_000, 3)) >= 0.1
    came = (draw.binomial(6, 0.9, kept.shape) * kept).sum(axis=1)
    told = series.good_ones((6, 6, 6), 0.9, 0.1)
    seen = np.bincount(came, minlength=19) / len(came)
    assert np.abs(told - seen).max() < 5 * math.sqrt(0.25 / len(came))  # five standard errors of a share


def test_pieces_of_a_load_that_live_or_die_together() -> None:
    assert series.load_spread([(8, 8), (0, 8), (8, 8), (0, 8)]) == pytest.approx(1.0)
    assert series.load_spread([(7, 8)] * 6) == 0.0


# 80 %: exponent; time of the tenth; totals of ten and a hundred in the unit form; total of ten in the other form.
LEARNING = [
    (learning_curve.exponent(0.8), -0.3219280949),
    (learning_curve.unit_time(1, 0.8, 10), 0.4765098749),
    (learning_curve.unit_total(1, 0.8, 10), 6.3153730176),
    (learning_curve.unit_total(1, 0.8, 100), 32.6508108332),
    (learning_curve.average_total(1, 0.8, 10), 4.7650987490),
]


@pytest.mark.parametrize(("found", "printed"), LEARNING)
def test_learning_curves(found: float, printed: float) -> None:
    assert found == pytest.approx(printed, abs=1e-9)


def test_learning_is_read_out_of_a_record_as_an_independent_library_does() -> None:
    times = [61.0, 50.2, 46.1, 41.0, 40.3, 37.9, 37.0, 35.2, 34.1]
    told = learning_curve.learnt(times)
    line = stats.linregress(np.log2(np.arange(1, 10)), np.log2(times))
    assert told is not None
    assert told.supported
    assert told.rate == pytest.approx(2**line.slope, rel=1e-12)
    assert told.high == pytest.approx(2 ** (line.slope + stats.t.ppf(0.95, 7) * line.stderr), rel=1e-12)
    assert learning_curve.learnt(times[:7]) is None
    flat = learning_curve.learnt([30, 31, 29, 30, 31, 30, 29, 30])
    assert flat is not None
    assert not flat.supported
