"""Plans worked out beside the pages: the first page has them, and they stop when the app does."""

from __future__ import annotations

import threading

import pytest

from enamelwright.web import ahead, sections
from enamelwright.web.ahead import PlansAhead, wanted
from enamelwright.workshop.bench import bench
from enamelwright.workshop.coats import lay_coat
from enamelwright.workshop.designs import designs
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.studio import Studio


@pytest.fixture
def versions(studio: Studio) -> list[int]:
    """One piece of each design; the last waits for the kiln."""
    made = [start_pieces(studio, 1, row.name)[0] for row in designs(studio)]
    lay_coat(studio, made[0].id, face="back")
    return [int(row.design_version) for row in made]


def test_what_waits_for_the_kiln_comes_first_and_each_plan_once(studio: Studio, versions: list[int]) -> None:
    start_pieces(studio, 3, designs(studio)[0].name)
    assert wanted(studio)[0] == versions[0]
    assert sorted(wanted(studio)) == sorted(set(versions))
    assert len(wanted(studio)) <= ahead.MOST < sections.MOST_PLANS


def test_plans_are_at_hand_when_it_is_done(studio: Studio, versions: list[int]) -> None:
    thread = PlansAhead(studio, first=0.0, between=0.0)
    thread.start()
    thread.join(120)
    assert not thread.is_alive()
    assert thread.daemon, "it never keeps the app from ending"
    known = bench(studio)
    assert all(sections.at_hand(studio, version, known) is not None for version in versions)


def test_it_stops_after_the_plan_it_is_at(studio: Studio, versions: list[int], monkeypatch: pytest.MonkeyPatch) -> None:
    begun, go_on, worked = threading.Event(), threading.Event(), []

    def slow(_studio: Studio, version: int) -> None:
        worked.append(version)
        begun.set()
        go_on.wait(30)

    monkeypatch.setattr(sections, "work_out", slow)
    thread = PlansAhead(studio, first=0.0, between=0.0)
    thread.start()
    assert begun.wait(30)
    threading.Timer(0.1, go_on.set).start()
    thread.end()
    thread.join(30)
    assert len(worked) == 1 < len(versions)


def test_it_stops_before_it_began(studio: Studio, versions: list[int]) -> None:
    thread = PlansAhead(studio, first=60.0)
    thread.start()
    thread.end()
    assert not thread.is_alive()
    assert thread.done == 0
