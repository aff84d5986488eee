"""The record is learned from beside the pages, and only when a firing was written down."""

from __future__ import annotations

import time

from enamelwright.web.learns import LearnsBeside, changed
from enamelwright.workshop.kept_learned import kept_clocks
from enamelwright.workshop.loads import fired
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.studio import Studio


def wait_for(what) -> None:  # type: ignore[no-untyped-def]
    for _ in range(400):
        if what():
            return
        time.sleep(0.05)
    raise AssertionError("it never came")


def test_it_learns_once_for_each_change_and_ends_when_told(studio: Studio) -> None:
    thread = LearnsBeside(studio, every=0.02)
    thread.start()
    wait_for(lambda: thread.times == 1)
    assert kept_clocks(studio) == ()
    before = changed(studio)
    start_pieces(studio, count=1, kind="piece", metal="copper", thickness="0.9 mm")
    time.sleep(0.2)
    assert thread.times == 1
    fired(studio, ["2026-001"], seconds="120 s", stage_seen="gloss")
    assert changed(studio) != before
    wait_for(lambda: thread.times == 2)
    thread.end()
    assert not thread.is_alive()
