"""Bands with an open end, and firings in which gloss never came, count by what the record can tell of them."""

from __future__ import annotations

from math import hypot, inf
from types import SimpleNamespace

import pytest

from enamelwright.figure import Z95
from enamelwright.reference.loader import facts_of
from enamelwright.workshop.coverage import BOW, GLOSS, Compared, _bow, coverage


def gloss(low: float, high: float, happened: float, *, not_yet: bool = False) -> Compared:
    return Compared(GLOSS, "2026-F001", "2026-001", "2026-03-01", low, 100.0, high, happened, not_yet)


def test_an_open_band_holds_every_later_gloss_and_has_no_price() -> None:
    row = coverage([gloss(60.0, inf, 1200.0), gloss(60.0, inf, 50.0), gloss(60.0, 160.0, 120.0)])[0]
    assert (row.count, row.held, row.priced) == (3, 2, 1)
    assert row.score == pytest.approx(100.0)  # the width of the one band with two ends


def test_what_had_not_come_by_then_counts_where_the_band_says_so() -> None:
    cases = {
        gloss(120.0, 200.0, 90.0, not_yet=True): (False, False),  # the band begins later: it may be over when it comes
        gloss(60.0, 80.0, 90.0, not_yet=True): (True, False),  # the band was over
        gloss(60.0, inf, 900.0, not_yet=True): (True, True),  # whenever it comes, it comes inside
        gloss(60.0, 200.0, 90.0, not_yet=True): (False, False),  # nobody can tell
    }
    assert {one: (one.told, one.held) for one in cases} == cases
    row = coverage([one for one in cases if one.told])[0]
    assert (row.count, row.held, row.priced, row.score, row.ratio) == (2, 1, 0, 0.0, 0.0)


def test_the_ratio_is_the_middle_of_an_even_count_too() -> None:
    assert coverage([gloss(60.0, 200.0, 90.0), gloss(60.0, 200.0, 130.0)])[0].ratio == pytest.approx(1.1)
    bow = Compared(BOW, "2026-F001", "2026-001", "2026-03-01", -1e-4, 0.0, 1e-4, 5e-5)
    assert coverage([bow])[0].ratio == 0.0


@pytest.mark.parametrize(
    ("over", "kind", "part"),
    [(0.030, "piece", 1.0), (0.015, "piece", 0.25), (None, "piece", 1.0), (0.030, "strip", None)],
)
def test_a_bow_is_compared_over_the_measure_it_was_read_over(over: float | None, kind: str, part: float | None) -> None:
    """A rise goes with the square of the chord; the band is as wide as what it foretells and how it is read together."""
    figures = {"state": {"bow": {"low": 0.1e-3, "value": 0.3e-3, "high": 0.6e-3}}, "chord": 0.030}
    band = _bow(figures, SimpleNamespace(kind=kind, design_version=None), SimpleNamespace(over=over, length=0.0))
    if part is None:
        assert band is None
        return
    reading = Z95 * facts_of("heat/learning")["heat/learn_bow_reading"].value
    assert band is not None
    assert band["value"] == pytest.approx(0.3e-3 * part)
    assert band["high"] - band["value"] == pytest.approx(hypot(0.3e-3 * part, reading))


def test_a_miss_that_no_rule_can_read_is_none() -> None:
    """A disc of the demonstration: foretold -0.0996 to 0.142 mm, read as -0.10."""
    step = facts_of("heat/learning")["heat/learn_bow_reading"].low
    assert step == pytest.approx(1e-5)

    def bow(happened: float) -> Compared:
        return Compared(BOW, "2026-F001", "2026-001", "2026-03-01", -9.96e-5, 2e-5, 1.42e-4, happened, read_to=step)

    assert bow(-1.0e-4).held
    assert not bow(-1.2e-4).held
    assert not bow(1.6e-4).held
