"""The record is learned from beside the pages, once for whatever teaches, and pages find it done or say that it fails."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterator
from datetime import timedelta
from typing import Any

import pytest
from starlette.testclient import TestClient

from enamelwright.craft.kiln import Kiln
from enamelwright.web import learned_view
from enamelwright.web.learns import LearnsBeside
from enamelwright.workshop import relearning
from enamelwright.workshop.coats import lay_coat
from enamelwright.workshop.designs import designs
from enamelwright.workshop.kept_learned import kept_clocks
from enamelwright.workshop.kilns import keep_kiln, kiln_event_happened
from enamelwright.workshop.loads import fired, mishap
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.studio import Studio
from record_forms import words

#: How often the thread of a test looks [s].
OFTEN = 0.02
#: How long what must come is waited for [s]; a machine that others use too may take its time.
PATIENCE = 300.0


def wait_for(what: Callable[[], object]) -> None:
    give_up = time.monotonic() + PATIENCE
    while not what():
        if time.monotonic() > give_up:
            raise AssertionError("it never came")
        time.sleep(0.05)


def fire(studio: Studio, label: str, to_gloss: str = "150 s") -> None:
    """Fire a piece of the pendant and note when it glossed."""
    pendant = next(one.name for one in designs(studio) if "pendant" in one.name.casefold())
    before = studio.clock() - timedelta(hours=2)
    made = start_pieces(studio.at(before), 1, pendant, labels=[label])[0]
    fired(studio, [made.id], to_gloss=to_gloss, seconds="200 s", stage_seen="gloss", closed_at=studio.clock())


@pytest.fixture
def taught(studio: Studio) -> Studio:
    """A studio with a kiln, in which one piece was fired."""
    keep_kiln(studio, Kiln(name="small"))
    fire(studio, "first")
    return studio


@pytest.fixture
def counted(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """How often firings were learned from."""
    learn, times = relearning.learn, list[int]()

    def one_more(studio: Studio) -> Any:
        times.append(1)
        return learn(studio)

    monkeypatch.setattr(relearning, "learn", one_more)
    return times


@pytest.fixture
def beside(taught: Studio) -> Iterator[LearnsBeside]:
    """What learns beside the pages, begun and done once."""
    thread = LearnsBeside(taught, every=OFTEN)
    thread.start()
    wait_for(lambda: thread.times == 1)
    yield thread
    thread.end()
    thread.join(PATIENCE)  # what is being learned is learned to its end
    assert not thread.is_alive()


def test_it_learns_once_for_whatever_teaches(taught: Studio, counted: list[int], beside: LearnsBeside) -> None:
    assert {one.kiln for one in kept_clocks(taught)} == {"small"}
    first = kept_clocks(taught)
    start_pieces(taught, count=1, kind="piece", metal="copper", thickness="0.9 mm")
    time.sleep(10 * OFTEN)
    assert (beside.times, len(counted)) == (1, 1)  # nothing that teaches
    fire(taught, "second", to_gloss="100 s")
    wait_for(lambda: beside.times == 2)
    assert kept_clocks(taught) != first


@pytest.mark.parametrize("entry", ["the kiln became another", "one was dropped"])
def test_what_is_no_firing_is_learned_from_too(taught: Studio, beside: LearnsBeside, entry: str) -> None:
    if entry == "one was dropped":
        mishap(taught, "dropped", piece="first", load=1)
    else:
        kiln_event_happened(taught, "thermocouple moved", at=taught.clock() - timedelta(days=30))
    wait_for(lambda: beside.times == 2)


def test_three_weighings_change_the_hand_without_a_firing(taught: Studio, beside: LearnsBeside) -> None:
    for n in range(3):
        start_pieces(taught, labels=[f"W{n}"], metal="copper", metal_mass="3 g")
        lay_coat(taught, f"W{n}", face="front", method="sift", mesh=80, on_piece="0.3 g", weighed_out="0.4 g")
    from enamelwright.workshop.kept_learned import kept_hands

    wait_for(lambda: kept_hands(taught))
    assert beside.times == 1


def test_visitors_find_what_was_learned_beside_the_pages(
    taught: Studio, counted: list[int], beside: LearnsBeside, client: TestClient
) -> None:
    wait_for(lambda: learned_view.at_hand(taught) is not None)
    for path in ("/learned", "/learned/kilns", "/learned?wait=1", "/learned/kilns"):
        assert "The jars in it" in client.get(path).text, path
    assert len(counted) == 1


def test_a_visitor_who_comes_first_learns_for_all(taught: Studio, counted: list[int], client: TestClient) -> None:
    assert "The jars in it" in client.get("/learned/kilns").text
    assert kept_clocks(taught)
    thread = LearnsBeside(taught, every=OFTEN)
    thread.start()
    time.sleep(10 * OFTEN)
    thread.end()
    thread.join(PATIENCE)
    assert (len(counted), thread.times) == (1, 0)


def test_a_failure_is_told_on_the_page_and_tried_again(
    taught: Studio, beside: LearnsBeside, client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    wait_for(lambda: learned_view.at_hand(taught) is not None)
    learn = relearning.learn

    def broken(_: Studio) -> Any:
        raise ValueError("done_sd is too large")

    monkeypatch.setattr(relearning, "learn", broken)
    fire(taught, "second", to_gloss="100 s")
    for path in ("/learned/kilns", "/learned?wait=1"):
        page = client.get(path)
        said = words(page.text)
        assert page.status_code == 200
        assert said.count("Learning from the record has failed since") == 1
        assert "what is shown, and what windows go by, is of" in said
        assert "The jars in it" in said
        assert "Nothing yet" not in said
    assert beside.is_alive()
    monkeypatch.setattr(relearning, "learn", learn)
    fire(taught, "third", to_gloss="110 s")  # something else to learn from
    wait_for(lambda: beside.times == 2)
    assert "has failed" not in client.get("/learned?wait=1").text


def test_a_failure_from_the_first_is_told_with_nothing_else(
    taught: Studio, client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(_: Studio) -> Any:
        raise ValueError("done_sd is too large")

    monkeypatch.setattr(relearning, "learn", broken)
    said = words(client.get("/learned/kilns").text)
    assert "Learning from the record has failed since" in said
    assert "nothing was learned before" in said
    assert "Nothing yet" not in said


def test_words_that_break_are_told_too(taught: Studio, client: TestClient, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: Any) -> Any:
        raise ValueError("no words for it")

    monkeypatch.setattr(learned_view, "kilns_learned", broken)
    page = client.get("/learned/kilns")
    assert page.status_code == 200
    assert "has failed since" in words(page.text)


def test_the_hands_are_shown_as_they_were_kept(
    taught: Studio, client: TestClient, monkeypatch: pytest.MonkeyPatch
) -> None:
    for n in range(3):
        start_pieces(taught, labels=[f"W{n}"], metal="copper", metal_mass="3 g")
        lay_coat(taught, f"W{n}", face="front", method="sift", mesh=80, on_piece="0.3 g", weighed_out="0.4 g")
    relearning.relearn(taught)

    def broken(*_: Any) -> Any:
        raise ValueError("a share above one")

    monkeypatch.setattr(relearning, "learned_hands", broken)
    page = client.get("/learned/work")
    assert page.status_code == 200
    assert "has failed since" in words(page.text)
    assert "of what is sifted misses the piece" in words(page.text)
