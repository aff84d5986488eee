"""Small-sample logistic fits against an exact identity, an exact test and direct integration."""

import numpy as np
import pytest
from scipy.integrate import dblquad
from scipy.special import expit
from scipy.stats import fisher_exact

from enamelwright.errors import InputError
from enamelwright.learning.rare_faults import effect_of_counts, firth, fisher_one_sided, one_effect, weak_prior


def table(a: int, b: int, c: int, d: int) -> tuple[np.ndarray, np.ndarray]:
    """Without the cause: a faults of a + b; with it: c of c + d."""
    x = np.r_[np.zeros(a + b), np.ones(c + d)]
    y = np.r_[np.ones(a), np.zeros(b), np.ones(c), np.zeros(d)]
    return np.c_[np.ones_like(x), x], y


@pytest.mark.parametrize("cells", [(0, 8, 4, 2), (1, 1, 1, 1), (0, 3, 5, 0), (10, 90, 30, 70)])
def test_a_full_table_equals_half_a_case_in_each_cell(cells: tuple[int, int, int, int]) -> None:
    """Exact identity of Firth's penalty in a saturated 2 x 2 table (Heinze & Schemper 2002)."""
    a, b, c, d = (value + 0.5 for value in cells)
    got = firth(*table(*cells)).coefficients
    assert got == pytest.approx([np.log(a / b), np.log(c / d) - np.log(a / b)], abs=1e-9)


def test_none_of_eight_against_four_of_six() -> None:
    got = firth(*table(0, 8, 4, 2)).coefficients
    assert got == pytest.approx([-2.833213344, 3.421000009], abs=1e-6)
    assert fisher_one_sided(4, 2, 0, 8) == pytest.approx(15 / 1001, abs=1e-12)


@pytest.mark.parametrize("cells", [(4, 2, 0, 8), (3, 5, 2, 7), (1, 0, 0, 1)])
def test_fisher_against_an_independent_library(cells: tuple[int, int, int, int]) -> None:
    other = fisher_exact([cells[:2], cells[2:]], alternative="greater").pvalue
    assert fisher_one_sided(*cells) == pytest.approx(other, rel=1e-9)


def test_weak_prior_by_summing_against_quadrature() -> None:
    x, y = table(0, 8, 4, 2)
    got = one_effect(x[:, 1], y)
    assert (got.mean, got.sd) == pytest.approx((2.90478, 1.25908), abs=1e-3)
    assert got.chance_positive == pytest.approx(0.9932, abs=1e-3)
    assert (got.without, got.with_it) == pytest.approx((0.10777, 0.58921), abs=1e-3)

    def weight(b: float, a: float) -> float:
        prior = np.exp(-(a * a + b * b) / (2 * 2.5**2))
        return float(prior * (1 - expit(a)) ** 8 * expit(a + b) ** 4 * (1 - expit(a + b)) ** 2)

    whole = dblquad(weight, -14, 14, -14, 14, epsabs=1e-12)[0]
    mean = dblquad(lambda b, a: b * weight(b, a), -14, 14, -14, 14, epsabs=1e-12)[0] / whole
    assert got.mean == pytest.approx(mean, abs=1e-4)


@pytest.mark.parametrize("counts", [(1, 1, 1, 0), (5, 4, 102, 2), (400, 40, 400, 20), (5000, 300, 5000, 250)])
def test_many_counts_are_weighed_as_finely_as_few(counts: tuple[int, int, int, int]) -> None:
    """The chance of the sign against quadrature of the posterior, laid about its top."""
    with_all, with_fault, without, without_fault = counts

    def log(a: float, b: float) -> float:
        yes = with_fault * np.log(expit(a + b)) + (with_all - with_fault) * np.log(expit(-a - b))
        no = without_fault * np.log(expit(a)) + (without - without_fault) * np.log(expit(-a))
        return float(yes + no - (a * a + b * b) / (2 * 2.5**2))

    rows = (with_fault, with_all - with_fault, without_fault, without - without_fault)
    x = np.repeat([1.0, 1.0, 0.0, 0.0], rows)
    top = weak_prior(np.c_[np.ones_like(x), x], np.repeat([1, 0, 1, 0], rows))
    (a, b), (wide_a, wide_b) = top.coefficients, 9 * top.deviations
    best = log(a, b)
    ends = (a - wide_a, a + wide_a)
    over, under = (
        dblquad(lambda one, two: np.exp(log(one, two) - best), low, high, *ends, epsabs=1e-7, epsrel=1e-7)[0]
        for low, high in ((0.0, b + wide_b), (min(b - wide_b, -1.0), 0.0))
    )
    assert effect_of_counts(*counts).chance_positive == pytest.approx(over / (over + under), abs=5e-4)


def test_separated_data_stay_finite_and_more_data_say_more() -> None:
    small, big = weak_prior(*table(0, 3, 3, 0)), weak_prior(*table(0, 60, 60, 0))
    assert np.all(np.isfinite(small.coefficients))
    assert big.coefficients[1] > small.coefficients[1] > 0
    assert small.probability([1, 1]) < big.probability([1, 1]) < 1


def test_the_spread_pulls_an_expectation_towards_even() -> None:
    effects = weak_prior(*table(0, 3, 3, 0))
    assert 0.5 < effects.probability([1, 1]) < expit(effects.coefficients.sum())


def test_order_of_rows_and_naming_of_levels_do_not_matter() -> None:
    x, y = table(1, 6, 4, 3)
    order = np.random.default_rng(0).permutation(len(y))
    assert firth(x[order], y[order]).coefficients == pytest.approx(firth(x, y).coefficients, abs=1e-9)
    swapped = np.c_[x[:, 0], 1 - x[:, 1]]
    assert firth(swapped, y).coefficients[1] == pytest.approx(-firth(x, y).coefficients[1], abs=1e-9)


def test_causes_that_always_came_together_are_told() -> None:
    x, y = table(1, 6, 4, 3)
    with pytest.raises(InputError, match="together"):
        firth(np.c_[x, x[:, 1]], y)
    with pytest.raises(InputError):
        firth(x, y[:-1])
    with pytest.raises(InputError):
        weak_prior(x, y + 1)


@pytest.mark.parametrize("counts", [(1, 3, 2, 0), (3, 1, 2, 3), (3, -1, 2, 0), (-1, -1, 2, 0)])
def test_more_faults_than_loads_are_refused(counts: tuple[int, int, int, int]) -> None:
    with pytest.raises(InputError, match="more faults than loads"):
        effect_of_counts(*counts)
