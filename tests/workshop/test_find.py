"""Anything is found by number, word, colour, metal or date; and what is open is told."""

from __future__ import annotations

from datetime import date, timedelta
from pathlib import Path

import pytest

from enamelwright.errors import InputError, UnknownName
from enamelwright.workshop.coats import coats_without_firing, lay_coat
from enamelwright.workshop.designs import keep_design
from enamelwright.workshop.faults import heal, known_fault, see_fault
from enamelwright.workshop.find import find
from enamelwright.workshop.jars import add_jar
from enamelwright.workshop.loads import begin_load, fired
from enamelwright.workshop.metals import add_sheet, change_sheet, cut_remnant, sheets
from enamelwright.workshop.open_work import open_work
from enamelwright.workshop.orders import take_order
from enamelwright.workshop.pieces import finish_piece, start_pieces
from enamelwright.workshop.studio import Studio
from morning import MORNING, enamel


@pytest.fixture
def full(studio: Studio, disc: Path) -> Studio:
    """A studio in which a few things have happened."""
    keep_design(studio, disc)
    add_jar(studio, enamel("J10", "Meergrün", family="green"))
    start_pieces(studio, design="Test disc", labels=["A-01", "A-02"])
    start_pieces(studio, labels=["brooch"], metal="fine silver", words="for the Übersee fair")
    lay_coat(studio, "A-01", "J10", on_piece="0.2 g")
    fired(studio, ["A-01"], set_point="790 C", seconds="180 s", stage_seen="gloss", at=MORNING)
    fired(studio, ["brooch"], stage_seen="sugar", at=MORNING + timedelta(days=20))
    see_fault(studio, "A-02", "hairlines")
    add_sheet(studio, "silver 1", "fine_silver", "0.81 mm", bought_on=date(2026, 2, 1))
    take_order(studio, "pendant with reeds", due_on=date(2026, 4, 1))
    return studio


def names(studio: Studio, text: str = "", **more: object) -> list[tuple[str, str]]:
    """Kind and name of what is found."""
    return [(one.kind, one.name) for one in find(studio, text, **more)]  # type: ignore[arg-type]


def test_by_number_label_and_word(full: Studio) -> None:
    assert ("piece", "2026-001") in names(full, "2026-001")
    assert ("load", "2026-F001") in names(full, "2026-001")  # a load is found by what was in it
    assert ("load", "2026-F001") in names(full, "a-01")
    assert ("piece", "2026-003") in names(full, "übersee")
    assert ("jar", "J10") in names(full, "meergrün")
    assert names(full, "reeds pendant") == [("order", "2026-C001")]
    assert names(full, "reeds brooch") == []  # all of it must hold
    assert ("piece", "2026-002") in names(full, "hairlines")
    assert ("piece", "2026-002") in names(full, "Test")  # by its design
    assert names(full, "100%") == []  # no sign is a wild card


def test_by_colour_metal_and_date(full: Studio) -> None:
    assert set(names(full, family="green")) == {("piece", "2026-001"), ("load", "2026-F001"), ("jar", "J10")}
    assert ("piece", "2026-001") in names(full, "green")
    assert set(names(full, metal="fine silver")) == {
        ("piece", "2026-003"), ("load", "2026-F002"), ("sheet", "silver 1"),
    }  # fmt: skip
    assert [name for kind, name in names(full, "2026-03-22") if kind == "load"] == ["2026-F002"]
    assert len([1 for kind, _ in names(full, "2026-03") if kind == "load"]) == 2
    assert ("order", "2026-C001") in names(full, since=date(2026, 4, 1), until=date(2026, 4, 1))
    for wrong in ({"family": "greenish"}, {}):
        with pytest.raises(InputError):
            find(full, **wrong)  # type: ignore[arg-type]
    with pytest.raises(UnknownName):
        find(full, metal="unobtainium")


def test_what_is_open(full: Studio) -> None:
    work = open_work(full)
    assert len(work.pieces) == 3
    assert [row.number for row in work.faults] == ["2026-002"]
    assert work.loads == []
    assert work.overdue == []
    lay_coat(full.at(MORNING + timedelta(days=1)), "A-01", "J04", on_piece="0.2 g")
    assert len(coats_without_firing(full)) == 1
    begin_load(full.at(MORNING + timedelta(days=2)), ["A-01"])
    heal(full, work.faults[0].of, "refired at once", True)
    finish_piece(full, "brooch")
    later = open_work(full.at(MORNING + timedelta(days=60)))
    assert [(row.number, pieces) for row, pieces in later.loads] == [("2026-F003", ["2026-001"])]
    assert later.to_fire == []
    assert later.faults == []
    assert later.overdue == ["2026-C001"]
    assert len(later.pieces) == 2


def test_faults_go_by_their_names_in_the_trade(full: Studio) -> None:
    assert known_fault("PITS") == "pits"
    assert known_fault("a sad look") is None


def test_sheets_and_remnants(full: Studio) -> None:
    add_sheet(full, "copper 1", "copper", "18 gauge (B&S)", width="300 mm", length="150 mm")
    row = sheets(full, "copper")[0]
    assert row.thickness == pytest.approx(1.024e-3, rel=1e-3)  # ASTM B258: No. 18 is 0.0403 in
    assert row.typed["thickness"] == "18 gauge (B&S)"
    cut_remnant(full, "copper 1", "copper 1b", width="100 mm")
    assert [one.label for one in sheets(full, "copper")] == ["copper 1b"]
    assert sheets(full, "copper")[0].cut_from == row.id
    change_sheet(full, "copper 1b", state="given away")
    assert sheets(full, "copper") == []


@pytest.mark.parametrize("written", ["2026-03-22", "22.3.2026", "22.03.2026", "22 Mar 2026", "22. March 2026"])
def test_a_day_may_be_written_as_people_write_it(full: Studio, written: str) -> None:
    assert [name for kind, name in names(full, written) if kind == "load"] == ["2026-F002"]


@pytest.mark.parametrize("written", ["2026-03", "3.2026", "Mar 2026", "march 2026"])
def test_so_may_a_month(full: Studio, written: str) -> None:
    assert names(full, written) == names(full, "2026-03")


def test_what_is_no_day_is_looked_for_as_it_stands(full: Studio) -> None:
    for words in ("31.2.2026", "13.2026", "Mayfair 2026", "1.2.2026.3"):
        assert not [name for kind, name in names(full, words) if kind == "load"]


def test_whole_words_come_before_letters_inside_other_words(full: Studio) -> None:
    add_jar(full, enamel("J30", "strong red, soft", family="red"))
    start_pieces(full, labels=["B-01"], metal="copper", words="prepared in February")
    start_pieces(full, labels=["B-02"], metal="copper", words="a red heron")
    fired(full, ["B-01"], stage_seen="over-fired", at=MORNING)
    found = find(full, "red")
    pieces = [one for one in found if one.kind == "piece"]
    assert [one.words.split(",")[0] for one in pieces] == ["B-02", "B-01"]
    assert [one.inside for one in pieces] == [0, 2]
    assert [one.inside for one in found if one.kind == "jar"] == [0]
    assert not any(one.kind == "load" for one in found), "over-fired is no red"
    assert any(one.kind == "load" for one in find(full, "over-fired"))
    assert any(one.kind == "load" for one in find(full, "fired"))


@pytest.mark.parametrize("word", ["100%", "a_b", "c\\d", "e/f", "Über", "çava", "(2nd)"])
def test_every_sign_stands_for_itself(full: Studio, word: str) -> None:
    other = word.translate(str.maketrans("%_\\/(", "xxxxx"))
    start_pieces(full, labels=["B-01"], metal="copper", words=f"so {word} here")
    start_pieces(full, labels=["B-02"], metal="copper", words=f"so {other}x here")
    for typed in dict.fromkeys((word, word.lower(), word.upper())):
        found = [one.words.split(",")[0] for one in find(full, typed) if one.kind == "piece"]
        assert found[:1] == ["B-01"]
        assert ("B-02" in found) == (word in other)


def test_a_load_is_found_by_its_own_number_in_any_capitals(full: Studio) -> None:
    assert ("load", "2026-F002") in names(full, "2026-f002")
    assert [one for one in names(full, "f002") if one[0] == "load"] == [("load", "2026-F002")]
    assert [one for one in names(full, "2026-F002 brooch") if one[0] == "load"] == [("load", "2026-F002")]
    assert not [one for one in names(full, "2026-F002 a-01") if one[0] == "load"]


def test_of_too_many_those_that_begin_so_are_listed(full: Studio, monkeypatch: pytest.MonkeyPatch) -> None:
    start_pieces(full, labels=["red-0"], metal="copper")
    start_pieces(full, labels=[f"scarred-{n}" for n in range(4)], metal="copper")
    monkeypatch.setattr("enamelwright.workshop.find.MOST", 3)
    found = [one.words.split(",")[0] for one in find(full, "red") if one.kind == "piece"]
    assert found == ["red-0", "scarred-3", "scarred-2"]
