"""The model's windows against workshop settings in print, with the width of each window beside it.

Every row of trade/published_settings names its source; "trade web page" is unverified, "common practice"
has no source. Jar, size and coat are ours where the source is silent. Half of the rows are marked
``use=calibration``: the time in which a jar is done at its stated temperature, how far the law of gloss is
trusted and how wide a class of jars is were chosen on them. The others are a check, not a blind test: their scores
were in view while those numbers, the jar of each row and the rows set aside were settled, so the score flatters.
Rows are judged together, by an interval score. Rows fired past gloss on purpose, by their own source, say
nothing of when a coat is done and are only listed.
"""

from __future__ import annotations

import itertools
import math

import numpy as np
import published.settings_cases as settings_cases
import pytest
from published.settings_cases import Setting, best_constant, geometric, interval_score, mean, settings

from enamelwright.craft.bench import Bench
from enamelwright.craft.kiln import Kiln
from enamelwright.reference.loader import rows, sources

DONE = [one for one in settings() if one.verdict == "done"]
FITTED, TESTED = ([one for one in DONE if one.use == use] for use in ("calibration", "test"))


def test_there_are_settings_on_both_sides():
    assert len(TESTED) >= 7
    assert len(FITTED) >= 7


def test_windows_score_better_than_any_one_window_for_all():
    """Found: 1.1 against 1.6 to 1.7. The best constant is chosen once on the fitted rows, once on the tested ones."""
    ours = mean([one.score() for one in TESTED])
    for told in (FITTED, TESTED):
        low, high = best_constant([one.middle for one in told])
        assert ours < mean([interval_score(low, high, one.middle) for one in TESTED])


def test_a_shuffled_table_scores_worse():
    """Every way to deal the tested times out to the windows: nearly all of them score worse than the true one."""
    times = [one.middle for one in TESTED]
    ours = mean([one.score() for one in TESTED])
    table = np.array([[one.score(time) for time in times] for one in TESTED])
    places = np.arange(len(TESTED))
    dealt = np.array([table[places, list(order)].mean() for order in itertools.permutations(places)])
    assert np.mean(dealt <= ours + 1e-12) < 0.05


def test_the_likely_time_is_neither_early_nor_late_on_the_whole():
    # Settings are rounded and pieces guessed: a third either way on their mean. Found 0.95.
    assert 0.7 < geometric([one.middle / one.window.seconds.value for one in TESTED]) < 1.4


def test_nine_of_ten_windows_hold_their_setting():
    # 5 to 95 %: of 17 rows 15 would be expected. Found 15; one in five may miss before the bands are called too narrow.
    assert sum(one.holds() for one in DONE) >= 0.8 * len(DONE)


def test_no_setting_printed_as_good_is_likely_over_fired():
    late = [one.id for one in DONE if one.window.over is not None and one.middle >= one.window.over.value]
    assert not late


def test_a_burnt_setting_may_be_over_fired_and_a_good_one_is_less_likely_so():
    # Trade web page, unverified: 826 C, 300 to 360 s good on 4 mm steel, 420 s burnt.
    burnt = next(one for one in settings() if one.verdict == "burnt")
    good = next(one for one in DONE if one.id == "steel 4 mm")
    assert good.middle < burnt.window.over.low < burnt.middle


def widths(found: tuple[Setting, ...]) -> list[float]:
    return [one.window.width for one in found if one.verdict == "done" and one.window.width is not None]


def test_width_of_an_uncalibrated_kiln():
    # Aim of the product: late over early near 3 for a kiln and jar nobody has measured. Found: median 3.25; it was 2.4 to
    # 2.6 before the laws got a spread of their own (laws_sd). The late end is where a plan of looks ends, at most 2.5
    # times the likely time, so it is no 95 % point any more.
    assert 2.0 < np.median(widths(settings())) < 4.2


def test_width_of_a_calibrated_kiln(monkeypatch):
    # Aim: near 1.6 once kiln (foil, 2 K) and jar (dozens of firings, 0.08 decades) are learned.
    plain = settings_cases._jar
    monkeypatch.setattr(
        settings_cases,
        "_jar",
        lambda name, kind, row, **more: plain(name, kind, row, gloss_clock=0.0, gloss_clock_sd=0.08),
    )
    bench = Bench(
        name="learned", jars=settings_cases.UNKNOWN_KILN.jars, kilns=(Kiln(name="checked kiln", reads_low_sd=2.0),)
    )
    learned = settings(bench)
    # Found 2.1: a piece is taken out later than gloss shows, and what soaks longer spreads wider.
    assert 1.4 < np.median(widths(learned)) < 2.6
    assert all(narrow < wide * 1.001 for narrow, wide in zip(widths(learned), widths(settings()), strict=True))


@pytest.mark.parametrize("row", rows("trade/published_settings"), ids=lambda row: row["id"])
def test_every_row_is_cited_and_its_times_are_ordered(row):
    assert row["source"] in sources()
    assert row["locator"]
    assert row["use"] in {"calibration", "test"}
    assert row["verdict"] in {"done", "past", "burnt"}
    assert 0 < float(row["seconds_low"]) <= float(row["seconds_high"])
    assert math.isfinite(float(row["set_low"]))
    assert float(row["set_low"]) <= float(row["set_high"])
