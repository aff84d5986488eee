"""The weekly tile over everything that is done to its kiln: what lasts, what has ended, and who is told."""

from __future__ import annotations

from datetime import datetime, timedelta

import pytest

from enamelwright.learning.chart_constants import chart_constants
from enamelwright.learning.control_chart import RANGE_OF_TWO
from enamelwright.workshop.control_tiles import alarms, control_series
from enamelwright.workshop.kilns import kiln_event_happened
from enamelwright.workshop.loads import fired
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.tiles import make_tiles

STEADY = (165, 163, 167, 164, 166)


def weekly(studio: Studio, seconds: tuple[float, ...], first: str) -> datetime:
    """Fire one tile a week and return the day after the last."""
    at = datetime.fromisoformat(f"{first}T10:00:00+00:00")
    for one in seconds:
        tile = make_tiles(studio, 1, "control tile", metal="copper")[0]
        fired(studio, [tile.id], set_point="795 C", to_gloss=f"{one} s", stage_seen="gloss", at=at)
        at += timedelta(days=7)
    return at - timedelta(days=6)


def test_a_moved_thermocouple_does_not_end_in_nothing_has_changed(studio: Studio) -> None:
    """165 s before it and 185 s after it, six weeks each: every series is in order, and the kiln is not what it was."""
    moved = weekly(studio, STEADY, "2026-03-02")
    kiln_event_happened(studio, "thermocouple moved", at=moved)
    weekly(studio, tuple(one + 20 for one in STEADY), "2026-04-07")
    now, was = control_series(studio)
    assert "(thermocouple moved) the tile glosses after 185 s, 19 s later than before it" in now.words
    assert "settings from before it do not hold" in now.words
    assert "since then" in now.words
    assert (
        was.words == "Ended 31 March: thermocouple moved; the first tile after it came 19 s later than the last before."
    )
    assert not alarms(studio)


def test_a_change_the_tile_does_not_show_is_told_as_chance(studio: Studio) -> None:
    moved = weekly(studio, STEADY, "2026-03-02")
    kiln_event_happened(studio, "thermocouple moved", at=moved)
    weekly(studio, STEADY, "2026-04-07")
    now, _ = control_series(studio)
    assert "no more apart than chance" in now.words
    assert "do not hold" not in now.words


def test_an_alarm_lasts_until_something_is_done_and_is_told_as_past_then(studio: Studio) -> None:
    done = weekly(studio, (*STEADY, 140, 138, 136), "2026-03-02")
    (one,) = control_series(studio)
    assert one.active is not None
    assert "Until then do not trust the old settings." in one.words
    (line,) = alarms(studio).values()
    assert line.startswith("Control tile: gloss comes 29 s sooner than it did, since")
    assert "do not trust the old settings until the thermocouple was looked at" in line
    kiln_event_happened(studio, "thermocouple moved", at=done)
    (one,) = control_series(studio)  # what was kept at hand is read anew
    assert not alarms(studio)
    assert "Until then" not in one.words
    assert "Push it back" not in one.words
    assert "no tile was fired since" in one.words
    weekly(studio, (164,), "2026-05-01")
    _, one = control_series(studio)
    assert "the first tile after it came 28 s later than the last before" in one.words
    assert "the tile had glossed sooner than at first" in one.words


def test_a_note_ends_nothing(studio: Studio) -> None:
    done = weekly(studio, (*STEADY, 140, 138, 136), "2026-03-02")
    kiln_event_happened(studio, "note", at=done)
    assert alarms(studio)


def test_the_range_of_two_is_the_table_s() -> None:
    assert pytest.approx(chart_constants(2).d2, rel=1e-9) == RANGE_OF_TWO
