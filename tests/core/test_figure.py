"""Uncertain numbers: bands, common draws, correlation."""

from __future__ import annotations

import numpy as np
import pytest
from pydantic import ValidationError
from scipy import stats

from enamelwright.figure import (
    Figure,
    LogNormal,
    Normal,
    Origin,
    Spread,
    StudentT,
    Triangular,
    Uniform,
    quantiles,
    quantiles_of_rows,
    stratified,
)

ORIGIN = Origin(kind="assumption")

# scipy.stats as independent library: (ours, theirs)
LAWS = [
    (Normal(mean=2.0, sd=0.5), stats.norm(2.0, 0.5)),
    (LogNormal(median=2.0, sd=0.25), stats.lognorm(0.25, scale=2.0)),
    (StudentT(mean=1.0, scale=0.3), stats.t(3, loc=1.0, scale=0.3)),
    (Uniform(low=-1.0, high=3.0), stats.uniform(-1.0, 4.0)),
    (Triangular(low=0.45, likely=0.5, high=0.6), stats.triang((0.5 - 0.45) / 0.15, loc=0.45, scale=0.15)),
]


@pytest.mark.parametrize(("ours", "theirs"), LAWS)
def test_draws_follow_the_law_they_name(ours, theirs) -> None:  # type: ignore[no-untyped-def]
    drawn = Spread({"x": ours}).draw(["x"], 4000)["x"]
    for share in (0.05, 0.25, 0.5, 0.75, 0.95):
        width = theirs.ppf(0.75) - theirs.ppf(0.25)
        assert np.quantile(drawn, share) == pytest.approx(theirs.ppf(share), abs=0.01 * width)


def test_the_same_name_and_seed_give_the_same_numbers() -> None:
    assert np.array_equal(stratified("jar J04: expansion", 256), stratified("jar J04: expansion", 256))
    assert not np.array_equal(stratified("jar J04: expansion", 256), stratified("jar J05: expansion", 256))
    assert not np.array_equal(stratified("a", 256, seed=0), stratified("a", 256, seed=1))


def test_one_draw_falls_in_each_stratum() -> None:
    assert sorted((stratified("x", 100) * 100).astype(int)) == list(range(100))


def test_factors_move_together_as_told() -> None:
    spread = Spread({"a": Normal(mean=0, sd=1), "b": Normal(mean=0, sd=1)}, {("a", "b"): -0.5})
    drawn = spread.draw(["a", "b"], 8000)
    assert np.corrcoef(drawn["a"], drawn["b"])[0, 1] == pytest.approx(-0.5, abs=0.03)


def test_unrelated_factors_do_not_move_together() -> None:
    drawn = Spread({"a": Normal(mean=0, sd=1), "b": Normal(mean=0, sd=1)}).draw(["a", "b"], 8000)
    assert abs(np.corrcoef(drawn["a"], drawn["b"])[0, 1]) < 0.04


def test_an_unknown_factor_is_a_bug_not_a_guess() -> None:
    with pytest.raises(KeyError):
        Spread().draw(["x"], 10)


def test_a_value_outside_its_band_is_refused() -> None:
    with pytest.raises(ValidationError):
        Figure(value=3, low=0, high=2, dimension="length", origin=ORIGIN)
    with pytest.raises(ValidationError):
        Figure(value=float("nan"), low=0, high=2, dimension="length", origin=ORIGIN)


def test_rounding_is_not_uncertainty() -> None:
    drawn = np.full(100, 0.45e-3) * np.linspace(1 - 1e-15, 1 + 1e-15, 100)
    assert Figure.of_draws(drawn, "length", ORIGIN).shown("mm") == "0.45 mm"


def test_the_band_holds_nine_tenths_of_the_draws() -> None:
    drawn = Spread({"x": Normal(mean=5, sd=1)}).draw(["x"], 5000)["x"]
    figure = Figure.of_draws(drawn, "ratio", ORIGIN)
    inside = np.mean((drawn >= figure.low) & (drawn <= figure.high))
    assert inside == pytest.approx(0.9, abs=0.01)


def test_the_deviation_of_a_figure_is_that_of_the_normal_with_its_band() -> None:
    """scipy's own normal distribution puts 5 and 95 % at the ends of the band."""
    from scipy import stats

    figure = Figure(value=3.0, low=2.0, high=4.0, dimension="ratio", origin=Origin(kind="assumption"))
    assert stats.norm(3.0, figure.sd).ppf([0.05, 0.95]) == pytest.approx([2.0, 4.0])


def test_quantiles_are_those_of_numpy() -> None:
    """numpy.quantile, row by row and all at once; a row with something unknown in it has none."""
    draws = np.random.default_rng(3).normal(size=(37, 4, 2))
    shares = (0.05, 0.31, 0.5, 0.95)
    assert np.array_equal(np.array(quantiles_of_rows(draws, shares)), np.quantile(draws, shares, axis=0))
    assert quantiles(draws[:, 1, 1], shares) == tuple(np.quantile(draws[:, 1, 1], shares))
    tall = np.arange(24.0).reshape(8, 3)
    tall[-1, 0], tall[0, 1] = np.inf, -np.inf
    expected = [[-np.inf if s == 0.05 and n == 1 else np.inf if s == 0.95 and n == 0 else 21 * s + n for n in range(3)]
                for s in shares]  # fmt: skip
    assert np.array(quantiles_of_rows(tall, shares)) == pytest.approx(np.array(expected)), "without end, but a number"
    assert [quantiles(row, shares) for row in tall.T] == pytest.approx(
        [pytest.approx(one) for one in np.transpose(expected)]
    )
    draws[5, 2, 0] = np.nan
    assert np.argwhere(np.isnan(quantiles_of_rows(draws, shares)[0])).tolist() == [[2, 0]]
