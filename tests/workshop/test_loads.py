"""Loads from the closed door to the closed record, and what was foretold of them."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from enamelwright.craft.kiln import Kiln
from enamelwright.errors import InputError
from enamelwright.records.errors import RecordError
from enamelwright.workshop import predictions
from enamelwright.workshop.bench import bench
from enamelwright.workshop.coats import lay_coat
from enamelwright.workshop.designs import keep_design
from enamelwright.workshop.firings import firings_of, load_row, looks_of, open_loads, pieces_in
from enamelwright.workshop.history import correct, states, story, withdraw
from enamelwright.workshop.jars import tell_fact
from enamelwright.workshop.kilns import keep_kiln, keep_support
from enamelwright.workshop.loads import begin_load, close_load, fired, look_in, mishap
from enamelwright.workshop.pieces import piece_row, start_pieces
from enamelwright.workshop.predictions import predictions_of
from enamelwright.workshop.studio import Studio
from morning import MORNING


def test_a_load_goes_in_is_looked_at_and_comes_out(studio: Studio) -> None:
    start_pieces(studio, labels=["A-01", "A-02"])
    keep_support(studio, "heavy trivet", "trivet", mass="120 g")
    begun = begin_load(
        studio, ["A-01", "A-02"], set_point="785 C", start="load", face_up="back", support_owned="heavy trivet",
        each={"A-02": {"position": "right rear"}},
    )  # fmt: skip
    assert begun.number == "2026-F001"
    assert [row.number for row in open_loads(studio)] == ["2026-F001"]
    look_in(studio, begun.load, seconds="90 s", stage_seen="sugar", back_in=True)
    look_in(studio, begun.load, seconds="150 s", stage_seen="orange peel", back_in=False)
    close_load(
        studio, "2026-F001", seconds="150 s", stage_seen="orange peel", cooled="on the pad",
        each={"A-02": {"stage_seen": "sugar"}},
    )  # fmt: skip
    assert open_loads(studio) == []
    row = load_row(studio, "2026-F001")
    assert (row.support, row.stage_seen, row.seconds) == ("trivet", "orange peel", 150)
    assert row.closed_at > row.at
    inside = {piece.label: piece for piece in pieces_in(studio, begun.load)}
    assert inside["A-01"].stage_seen is None
    assert (inside["A-02"].stage_seen, inside["A-02"].position) == ("sugar", "right rear")
    assert [one.seconds for one in looks_of(studio, begun.load)] == [90, 150]
    assert [state.why for state in states(studio, "load", "2026-F001")] == ["", "closed"]
    with pytest.raises(RecordError):
        close_load(studio, "2026-F001", stage_seen="gloss")


def test_a_whole_firing_in_one_line(studio: Studio) -> None:
    made = start_pieces(studio)[0]
    fired(studio, [made.number], set_point="790 C", seconds="180 s", stage_seen="gloss", start="load")
    row = firings_of(studio, made.id)[0]
    assert row.closed_at is not None
    assert row.at < studio.now()  # it was told when it came out, so it went in before
    fired(studio, [made.number], set_point="790 C")
    assert [one.firing for one in firings_of(studio, made.id)] == [1, 2]


def test_one_line_closes_the_load_that_is_open(studio: Studio) -> None:
    start_pieces(studio, labels=["A-01", "A-02", "A-03"])
    begun = begin_load(studio, ["A-01", "A-02"], set_point="785 C")
    done = fired(studio, ["A-01"], seconds="150 s", stage_seen="sugar")
    assert (done.number, len(done.pieces)) == (begun.number, 2)
    assert len(firings_of(studio, "A-01")) == 1
    begin_load(studio, ["A-01"])
    with pytest.raises(InputError):
        fired(studio, ["A-01", "A-03"], stage_seen="gloss")


def test_something_without_a_plan_gets_its_number_at_once(studio: Studio) -> None:
    done = fired(studio, [], new=["blue scrap"], set_point="1450 F", seconds="2 min", stage_seen="gloss")
    assert done.pieces == ("2026-001",)
    assert piece_row(studio, "blue scrap").design_version is None
    assert done.unforetold == {"2026-001": "it has no plan"}


def test_what_is_foretold_is_frozen_before_the_outcome(studio: Studio, disc: Path) -> None:
    keep_design(studio, disc)
    start_pieces(studio, 2, "Test disc")
    revision = bench(studio).revision
    begun = begin_load(studio, [1, 2], set_point="785 C", start="load")
    first = predictions_of(studio, begun.load)
    assert begun.foretold == len(first) == 2
    close_load(studio, begun.load, seconds="170 s", stage_seen="orange peel")
    tell_fact(studio, "J21", "fusing.maturity", "760 C", origin="measured", dimension="temperature")
    assert bench(studio).revision != revision
    again = predictions_of(studio, begun.load)
    assert [row.figures for row in again] == [row.figures for row in first]
    row = again[0]
    assert (row.bench_revision, row.firing, row.asked["told"]) == (revision, 1, "before the outcome")
    assert row.asked["settings"]["set_point"] == pytest.approx(785 + 273.15)
    assert row.figures["firing"]["number"] == 1
    assert row.engine
    late = fired(studio, [1], set_point="790 C", seconds="180 s", stage_seen="gloss")
    told = predictions_of(studio, late.load)[0]
    assert (told.firing, told.asked["told"]) == (2, "with the outcome")


def test_a_plan_that_breaks_keeps_no_firing_out(studio: Studio, disc: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(*_: object) -> None:
        raise ZeroDivisionError

    keep_design(studio, disc)
    start_pieces(studio, 1, "Test disc")
    monkeypatch.setattr(predictions, "plan_of", broken)
    done = fired(studio, [1], stage_seen="gloss")
    assert len(firings_of(studio, 1)) == 1
    assert "ZeroDivisionError" in done.unforetold["2026-001"]


def test_interrupted_and_mishap_are_kept_and_not_learned_from(studio: Studio) -> None:
    start_pieces(studio, labels=["K-06", "K-07"])
    begun = begin_load(studio, ["K-06", "K-07"], set_point="795 C")
    close_load(studio, begun.load, seconds="60 s", interrupted=True)
    mishap(studio, "slid off", piece="K-06", load=begun.number)
    assert {row.label: row.do_not_learn for row in pieces_in(studio, begun.load)} == {"K-06": True, "K-07": None}
    assert load_row(studio, begun.load).interrupted is True
    assert [one.what for one in story(studio, "K-06")] == ["load", "mishap"]


def test_a_load_that_never_happened_leaves_no_firing_behind(studio: Studio) -> None:
    start_pieces(studio, labels=["A-01"])
    done = fired(studio, ["A-01"], stage_seen="gloss")
    withdraw(studio, "load", done.number, "typed for the wrong day")
    assert firings_of(studio, "A-01") == []
    assert [state.withdrawn for state in states(studio, "load", done.load)][-1] is True
    assert fired(studio, ["A-01"], stage_seen="gloss").number == "2026-F002"  # its number is never given again


def test_complaints_about_a_load(studio: Studio) -> None:
    start_pieces(studio, labels=["A-01", "A-02"])
    with pytest.raises(InputError, match="no piece"):
        begin_load(studio, [])
    with pytest.raises(InputError, match="twice"):
        begin_load(studio, ["A-01", "2026-001"])
    with pytest.raises(InputError, match="no 'colour'"):
        begin_load(studio, ["A-01"], colour="blue")
    with pytest.raises(InputError, match="not in this load"):
        begin_load(studio, ["A-01"], each={"A-02": {"position": "middle"}})
    with pytest.raises(RecordError, match="gloss"):
        fired(studio, ["A-01"], stage_seen="shiny")
    keep_kiln(studio, Kiln(name="other kiln"))
    with pytest.raises(InputError, match="more than one kiln"):
        begin_load(studio, ["A-01"])
    assert begin_load(studio, ["A-01"], kiln="other kiln").number == "2026-F001"  # nothing was written before


def test_from_recovered_says_nothing_of_when_it_came_out(studio: Studio) -> None:
    start_pieces(studio, labels=["A-01"])
    begun = begin_load(studio, ["A-01"], start="recovered")
    out = studio.at(MORNING + timedelta(minutes=7))
    close_load(out, begun.load, seconds="100 s")
    assert load_row(studio, begun.load).closed_at == out.now()


def test_what_is_frozen_is_of_this_load_and_the_plan_stands_beside(studio: Studio, disc: Path) -> None:
    keep_design(studio, disc)
    start_pieces(studio, 2, "Test disc")
    cool = begin_load(studio, [1], set_point="780 C", target="orange peel", support="plate")
    hot = begin_load(studio, [2], set_point="820 C", target="orange peel", support="plate")
    first, second = (predictions_of(studio, one.load)[0].figures for one in (cool, hot))
    assert first["firing"]["window"]["set_point"]["value"] == pytest.approx(780 + 273.15)
    assert (first["firing"]["support"], first["firing"]["target"]) == ("plate", "orange peel")
    # A hotter kiln is the quicker one: common practice, no source.
    assert second["firing"]["window"]["seconds"]["value"] < first["firing"]["window"]["seconds"]["value"]
    assert first["planned"] == second["planned"]
    assert first["planned"]["support"] != "plate"


def test_a_firing_broken_off_or_without_a_new_coat_is_the_same_firing(studio: Studio, disc: Path) -> None:
    keep_design(studio, disc)
    start_pieces(studio, 1, "Test disc")

    def after(minutes: int) -> Studio:
        return studio.at(MORNING + timedelta(minutes=minutes))

    lay_coat(studio, 1, "J21", face="back", on_piece="0.5 g")
    broken = fired(after(5), [1], seconds="20 s", interrupted=True)
    again = fired(after(10), [1], seconds="90 s", stage_seen="orange peel")
    refire = fired(after(20), [1], seconds="60 s", stage_seen="gloss")
    lay_coat(after(30), 1, "J04", face="front", on_piece="0.4 g")
    following = fired(after(40), [1], seconds="90 s", stage_seen="gloss")
    assert [one.firing for one in firings_of(studio, 1)] == [1, 1, 1, 2]
    assert [bool(one.again) for one in (broken, again, refire, following)] == [False, True, True, False]


def test_a_firing_told_late_takes_its_place_by_its_time(studio: Studio) -> None:
    made = start_pieces(studio)[0]
    fired(studio, [made.number], at=MORNING, stage_seen="gloss")
    fired(studio, [made.number], at=MORNING - timedelta(days=1), stage_seen="sugar")
    assert [(one.stage_seen, one.firing) for one in firings_of(studio, made.id)] == [("sugar", 1), ("gloss", 2)]


def test_a_piece_is_in_one_load_at_a_time(studio: Studio) -> None:
    start_pieces(studio, labels=["A-01"])
    begun = begin_load(studio, ["A-01"])
    with pytest.raises(RecordError, match=begun.number):
        begin_load(studio, ["A-01"])


def test_closing_a_load_is_no_correction_and_seconds_may_be_told_by_the_clock(studio: Studio) -> None:
    start_pieces(studio, labels=["A-01"])
    done = fired(studio, ["A-01"], seconds="1:30", stage_seen="gloss")
    assert load_row(studio, done.load).seconds == 90
    assert [one.corrected for one in story(studio, "A-01")] == [False]
    correct(studio, "load", done.number, "misread", stage="orange peel", seconds="100")
    assert [one.corrected for one in story(studio, "A-01")] == [True]
    assert load_row(studio, done.load).seconds == 100
    with pytest.raises(InputError, match="stage seen"):
        correct(studio, "load", done.number, "misread", stag="gloss")


def test_what_is_kept_is_put_away_and_a_piece_only_while_nothing_was_done_to_it(studio: Studio) -> None:
    start_pieces(studio, labels=["A-01", "A-02"])
    fired(studio, ["A-01"], stage_seen="gloss")
    withdraw(studio, "kiln", "small kiln", "")
    withdraw(studio, "piece", "A-02", "")
    assert piece_row(studio, "A-02").put_away
    with pytest.raises(InputError, match="something was done"):
        withdraw(studio, "piece", "A-01", "")
