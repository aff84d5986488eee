"""Least squares and analysis of variance against data with certified results.

NIST Statistical Reference Datasets (StRD): Norris (linear regression, lower difficulty), Longley (linear regression, higher
difficulty; J. W. Longley, J. Am. Stat. Assoc. 62 (1967) 819) and SiRstv (analysis of variance, lower difficulty; resistivity
of silicon). Norris and Longley as they stand in several open libraries' own tests; SiRstv from memory, where data and
certified results confirm each other to 12 digits. What the product has no fit of its own for is asked of the library it uses.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import stats

from enamelwright.craft.checks.unmeasured import explained
from enamelwright.planning.learning_curve import learnt, straight_line


def table(printed: str) -> np.ndarray:
    return np.array(printed.split(), dtype=float)


NORRIS_X, NORRIS_Y = table("""
0.2 337.4 118.2 884.6 10.1 226.5 666.3 996.3 448.6 777.0 558.2 0.4 0.6 775.5 666.9 338.0 447.5 11.6
556.0 228.1 995.8 887.6 120.2 0.3 0.3 556.8 339.1 887.2 999.0 779.0 11.1 118.3 229.2 669.1 448.9 0.5
0.1 338.8 118.1 888.0 9.2 228.1 668.5 998.5 449.1 778.9 559.2 0.3 0.1 778.1 668.8 339.3 448.9 10.8
557.7 228.3 998.0 888.8 119.6 0.3 0.6 557.6 339.3 888.0 998.5 778.9 10.2 117.6 228.9 668.4 449.2 0.2
""").reshape(2, 36)
NORRIS_SLOPE, NORRIS_START, NORRIS_R2 = 1.00211681802045, -0.262323073774029, 0.999993745883712
NORRIS_SLOPE_SD, NORRIS_START_SD = 0.429796848199937e-3, 0.232818234301152

LONGLEY = table("""
60323 83.0 234289 2356 1590 107608 1947  61122 88.5 259426 2325 1456 108632 1948
60171 88.2 258054 3682 1616 109773 1949  61187 89.5 284599 3351 1650 110929 1950
63221 96.2 328975 2099 3099 112075 1951  63639 98.1 346999 1932 3594 113270 1952
64989 99.0 365385 1870 3547 115094 1953  63761 100.0 363112 3578 3350 116219 1954
66019 101.2 397469 2904 3048 117388 1955  67857 104.6 419180 2822 2857 118734 1956
68169 108.4 442769 2936 2798 120445 1957  66513 110.8 444546 4681 2637 121950 1958
68655 112.6 482704 3813 2552 123366 1959  69564 114.2 502601 3931 2514 125368 1960
69331 115.7 518173 4806 2572 127852 1961  70551 116.9 554894 4007 2827 130081 1962
""").reshape(16, 7)
LONGLEY_FOUND = [
    -3482258.63459582, 15.0618722713733, -0.0358191792925910, -2.02022980381683, -1.03322686717359,
    -0.0511041056535807, 1829.15146461355,
]  # fmt: skip
LONGLEY_R2 = 0.995479004577296

SILICON = table("""
196.3052 196.1240 196.1890 196.2569 196.3403  196.3042 196.3825 196.1669 196.3257 196.0422
196.1303 196.2005 196.2889 196.0343 196.1811  196.2795 196.1748 196.1494 196.1485 195.9885
196.2119 196.1051 196.1850 196.0052 196.2090
""").reshape(5, 5)
SILICON_F, SILICON_R2 = 1.18046237440255, 0.190999039051129


def test_a_straight_line_through_norris() -> None:
    """The line by which hand time is fitted: slope, start and error of the slope, and the library the same."""
    line = straight_line(NORRIS_X, NORRIS_Y)
    assert line.slope == pytest.approx(NORRIS_SLOPE, rel=1e-12)
    assert line.start == pytest.approx(NORRIS_START, rel=1e-9)
    assert line.slope_sd == pytest.approx(NORRIS_SLOPE_SD, rel=1e-9)
    library = stats.linregress(NORRIS_X, NORRIS_Y)
    assert (library.slope, library.intercept) == pytest.approx((line.slope, line.start), rel=1e-9)
    assert (library.stderr, library.intercept_stderr) == pytest.approx((NORRIS_SLOPE_SD, NORRIS_START_SD), rel=1e-9)


def test_a_record_of_hand_times_is_that_line_in_logarithms() -> None:
    """Thirty-six noted times, told as powers of two, against the library's line and Student's band."""
    times = 2.0 ** (3.0 - NORRIS_Y / 1000)
    library = stats.linregress(np.log2(np.arange(1, 37)), np.log2(times))
    found = learnt(list(times))
    assert found is not None
    assert math.log2(found.rate) == pytest.approx(library.slope, rel=1e-9)
    assert math.log2(found.first) == pytest.approx(library.intercept, rel=1e-9)
    assert math.log2(found.high / found.rate) == pytest.approx(stats.t.ppf(0.95, 34) * library.stderr, rel=1e-9)


def test_seven_terms_that_nearly_repeat_each_other_by_longley() -> None:
    """The share of a number's scatter that a few terms explain, as used on draws, beside the certified R squared."""
    inputs = np.column_stack([np.ones(16), LONGLEY[:, 1:]])
    assert np.linalg.lstsq(inputs, LONGLEY[:, 0], rcond=None)[0] == pytest.approx(LONGLEY_FOUND, rel=1e-7)
    assert explained(LONGLEY[:, 1:], LONGLEY[:, 0]) == pytest.approx(1 - (1 - LONGLEY_R2) * 15 / 9, rel=1e-10)


def test_the_share_explained_by_norris() -> None:
    assert explained(NORRIS_X[:, np.newaxis], NORRIS_Y) == pytest.approx(1 - (1 - NORRIS_R2) * 35 / 34, rel=1e-12)


def test_one_way_analysis_of_variance_of_silicon() -> None:
    """Five instruments: the share explained by which one, as used on draws, beside the certified R squared and F."""
    groups = np.repeat(np.eye(5)[:, 1:], 5, axis=0)
    share = explained(groups, SILICON.ravel())
    assert share == pytest.approx(1 - (1 - SILICON_R2) * 24 / 20, rel=1e-9)
    rest = (1 - share) * 20 / 24
    assert (1 - rest) / 4 / (rest / 20) == pytest.approx(SILICON_F, rel=1e-9)
    assert stats.f_oneway(*SILICON).statistic == pytest.approx(SILICON_F, rel=1e-9)
