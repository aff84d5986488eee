"""The model's windows against workshop settings in print, with the width of each window beside it.

Every row of trade/published_settings names its source; "trade web page" is unverified, "common practice"
has no source. Hardness, size and coat are ours where the source is silent. Nothing of the model was fitted
to these times.
"""

from __future__ import annotations

import math

import numpy as np
import published.settings_cases as settings_cases
import pytest
from published.settings_cases import OUTSIDE, Setting, settings

from enamelwright.craft.bench import Bench
from enamelwright.craft.kiln import Kiln
from enamelwright.craft.window.base_piece import base_gloss
from enamelwright.reference.loader import rows, sources

DONE = [one for one in settings() if one.verdict == "done"]
#: Permutations of the control.
SHUFFLES = 2000


@pytest.mark.parametrize("one", settings(), ids=lambda one: one.id)
def test_setting_and_window(one: Setting):
    assert one.window.seconds is not None
    assert one.holds() == (one.verdict == "done" and one.id not in OUTSIDE), one.window.seconds.shown("s")


def test_most_settings_lie_inside():
    # 13 of 19 as found; two thirds asked for, so that a better number may move a row over the edge.
    assert sum(one.holds() for one in DONE) >= 2 * len(DONE) / 3


def test_pulled_as_printed_the_piece_is_good():
    # Between the earliest gloss and the likely over-firing, for all but the bowl that is over-fired on purpose.
    assert [one.id for one in DONE if not one.fit()] == ["high-fired bowl"]


def test_a_burnt_setting_lies_beyond_the_window():
    # Trade web page, unverified: 826 C, 300 to 360 s good on 4 mm steel, 420 s burnt.
    burnt = next(one for one in settings() if one.verdict == "burnt")
    assert burnt.window.seconds is not None
    assert burnt.window.seconds.high < burnt.middle


def test_a_shuffled_table_hits_less_often():
    """A window so wide that any time fits would hit as often with the times dealt out at random."""
    generator = np.random.default_rng(0)
    times = [one.middle for one in DONE]
    hits = sum(one.holds() for one in DONE)
    dealt = [
        sum(one.holds(time) for one, time in zip(DONE, generator.permutation(times), strict=True))
        for _ in range(SHUFFLES)
    ]
    assert hits > np.mean(dealt) + 2
    # One in twenty of random deals hits as often, as found; one in ten allowed.
    assert np.mean([n >= hits for n in dealt]) < 0.1


def widths(found: tuple[Setting, ...]) -> list[float]:
    return [one.window.width for one in found if one.verdict == "done" and one.window.width is not None]


def test_width_of_an_uncalibrated_kiln():
    # Aim of the product: late over early near 3 for a kiln and jar nobody has measured. Found: median 2.5, first
    # coats near 790 C 3.3 to 4.1; one thin coat of flux at 769 C stands out with 11.
    assert 2 < np.median(widths(settings())) < 4


def test_width_of_a_calibrated_kiln(monkeypatch):
    # Aim: near 1.6 once kiln (foil, 2 K) and jar (dozens of firings, 0.08 decades) are learned. Found: 1.65.
    plain = settings_cases._jar
    monkeypatch.setattr(
        settings_cases,
        "_jar",
        lambda name, kind, row, **more: plain(name, kind, row, gloss_clock=base_gloss(), gloss_clock_sd=0.08),
    )
    bench = Bench(
        name="learned", jars=settings_cases.UNKNOWN_KILN.jars, kilns=(Kiln(name="checked kiln", reads_low_sd=2.0),)
    )
    learned = settings(bench)
    assert 1.4 < np.median(widths(learned)) < 1.9
    assert all(narrow < wide for narrow, wide in zip(widths(learned), widths(settings()), strict=True))


def test_every_row_is_cited_and_its_times_are_ordered():
    for row in rows("trade/published_settings"):
        assert row["source"] in sources()
        assert row["locator"]
        assert 0 < float(row["seconds_low"]) <= float(row["seconds_high"])
        assert math.isfinite(float(row["set_low"]))
        assert float(row["set_low"]) <= float(row["set_high"])
