"""Grams in and out of a lot, counts, corrections, and tracing both ways."""

from __future__ import annotations

import random
from datetime import timedelta
from pathlib import Path

import pytest

from enamelwright.errors import InputError
from enamelwright.records.errors import RecordError
from enamelwright.workshop.coat_checks import check_coat
from enamelwright.workshop.coats import coat_row, coats_on, correct_coat, lay_coat, withdraw_coat
from enamelwright.workshop.designs import keep_design
from enamelwright.workshop.exposure import expose, exposures, sifted
from enamelwright.workshop.jars import add_jar, change_jar, described, jar_row
from enamelwright.workshop.lots import change_lot, levels, lot_row, move, open_lot, take_stock, to_buy, work_powder
from enamelwright.workshop.pieces import finish_piece, piece_row, start_pieces
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.tracing import lots_in, pieces_touched
from morning import MORNING, enamel


def left(studio: Studio, jar: str) -> dict[str, float | None]:
    """Grams left by lot."""
    return {one.label: None if one.grams is None else round(one.grams * 1e3, 6) for one in levels(studio, jar)}


def test_a_coat_takes_from_the_lot_what_was_weighed_out(studio: Studio) -> None:
    made = start_pieces(studio)[0]
    row = lay_coat(studio, made.id, "J04", weighed_before="3.07 g", weighed_after="3.30 g", weighed_out="0.27 g")
    assert coat_row(studio, row).on_piece == pytest.approx(0.23e-3)
    assert left(studio, "J04") == {"A": pytest.approx(99.73)}
    lay_coat(studio, made.id, "J04", on_piece="0.3 g")  # nothing weighed out: what lies on the piece is gone at least
    assert left(studio, "J04") == {"A": pytest.approx(99.43)}
    lay_coat(studio, made.id, "J04")  # not weighed at all: nothing is invented
    assert left(studio, "J04") == {"A": pytest.approx(99.43)}
    assert len(coats_on(studio, made.id)) == 3


def test_correcting_and_withdrawing_a_coat_moves_the_stock_along(studio: Studio) -> None:
    made = start_pieces(studio)[0]
    row = lay_coat(studio, made.id, "J04", on_piece="0.5 g")
    correct_coat(studio, row, "the balance was not at zero", on_piece="0.4 g")
    assert left(studio, "J04") == {"A": pytest.approx(99.6)}
    other = open_lot(studio, "J04", "B", grams="50 g")
    correct_coat(studio, row, "it came from the new lot", lot=other)
    assert left(studio, "J04") == {"A": pytest.approx(100.0), "B": pytest.approx(49.6)}
    correct_coat(studio, row, "weighed again", weighed_before="3 g", weighed_after="3.2 g", on_piece="?")
    withdraw_coat(studio, row, "it was wiped off")
    assert left(studio, "J04") == {"A": pytest.approx(100.0), "B": pytest.approx(50.0)}
    assert coats_on(studio, made.id) == []


def test_a_count_sets_the_level_whatever_was_written_before_it(studio: Studio) -> None:
    made = start_pieces(studio)[0]
    lay_coat(studio, made.id, "J04", on_piece="1 g")
    lot = lot_row(studio, "A", "J04").id
    later = studio.at(MORNING + timedelta(hours=1))
    take_stock(later, {lot: "90 g"})
    assert left(studio, "J04") == {"A": pytest.approx(90.0)}
    lay_coat(studio.at(MORNING + timedelta(hours=2)), made.id, "J04", on_piece="2 g")
    assert left(studio, "J04") == {"A": pytest.approx(88.0)}
    lay_coat(later.telling(MORNING), made.id, "J04", on_piece="3 g")  # told late, but it was before the count
    assert left(studio, "J04") == {"A": pytest.approx(88.0)}


def test_levels_agree_with_adding_up_by_hand(studio: Studio) -> None:
    """A hundred movements at random, some at one and the same moment, against a sum written out here."""
    chance = random.Random(4)
    lot = lot_row(studio, "A", "J21").id
    level = 200.0
    for minute in range(100):
        at = MORNING + timedelta(minutes=minute // 2)
        kind = chance.choice(["bought", "used", "lost", "washed out", "given away", "returned", "counted"])
        grams = round(chance.uniform(0.1, 5.0), 2)
        move(studio, kind, f"{grams} g", lot=lot, at=at)
        level = grams if kind == "counted" else level + grams if kind in ("bought", "returned") else level - grams
        if minute % 25 == 24:
            assert left(studio, "J21")["A"] == pytest.approx(level)


def test_washing_leaves_its_day_and_what_it_took(studio: Studio) -> None:
    work_powder(studio, "", "washed", jar="J04", before="100 g", after="93 g")
    assert lot_row(studio, "A", "J04").washed_on == "2026-03-02"
    assert left(studio, "J04") == {"A": pytest.approx(93.0)}
    work_powder(studio, "", "sieved", jar="J04", mesh=100)
    assert lot_row(studio, "A", "J04").mesh == 100


def test_traced_both_ways(studio: Studio) -> None:
    first, second, third = start_pieces(studio, 3)
    lay_coat(studio, first.id, "J04", on_piece="0.2 g")
    lay_coat(studio, first.id, "J21", on_piece="0.4 g")
    open_lot(studio.at(MORNING + timedelta(days=1)), "J04", "B")
    lay_coat(studio, second.id, "J04", on_piece="0.2 g")  # from now on the new lot
    lay_coat(studio, first.id, "J04", lot="A", on_piece="0.1 g")
    touched = pieces_touched(studio, "A", "J04")
    assert [(row.number, row.coats) for row in touched] == [(first.number, 2)]
    assert touched[0].on_piece == pytest.approx(0.3e-3)
    assert [row.number for row in pieces_touched(studio, "B")] == [second.number]
    assert {(row.code, row.label, row.coats) for row in lots_in(studio, first.id)} == {("J04", "A", 2), ("J21", "A", 1)}
    assert lots_in(studio, third.id) == []
    with pytest.raises(InputError):
        lot_row(studio, "A")  # two jars have a lot of that label


def test_a_jar_below_its_mark_is_to_be_bought(studio: Studio) -> None:
    add_jar(studio, enamel("J13", "orange", family="orange"), reorder_below="50 g")
    lot = open_lot(studio, "J13", "A", grams="60 g")
    assert to_buy(studio) == []
    move(studio, "used", "15 g", lot=lot)
    assert [(code, round(grams * 1e3)) for code, _, grams in to_buy(studio)] == [("J13", 45)]
    open_lot(studio, "J13", "B", grams="100 g")
    assert to_buy(studio) == []
    change_lot(studio, "A", "J13", finished=True)
    assert list(left(studio, "J13")) == ["B"]


def test_a_jar_described_anew_keeps_its_past(studio: Studio) -> None:
    row = jar_row(studio, "J04")
    change_jar(studio, "white, base", enamel("J04", "white, ground coat"))
    assert described(jar_row(studio, "J04")).name == "white, ground coat"
    assert jar_row(studio, "J04").version == row.version + 1
    with pytest.raises(InputError):
        add_jar(studio, enamel("J04", "another"))


def test_what_was_sifted_is_told_by_the_coats(studio: Studio) -> None:
    made = start_pieces(studio)[0]
    lay_coat(studio, made.id, "J04", on_piece="0.2 g", weighed_out="0.3 g", method="sift")
    lay_coat(studio.as_person("S1"), made.id, "J04", method="sift")
    lay_coat(studio, made.id, "J04", on_piece="0.2 g", method="wet-pack")  # raises no dust
    found = sifted(studio, "2026-01-01", "2027-01-01")
    assert {(one.person == studio.person, one.coats, one.unweighed) for one in found} == {(True, 1, 0), (False, 1, 1)}
    assert sum(one.grams for one in found) == pytest.approx(0.3e-3)
    expose(studio, "open door", duration="4 min", looks=6)
    assert [row.work for row in exposures(studio, "2026-01-01", "2027-01-01")] == ["open door"]


def test_a_lot_is_opened_once_and_a_label_in_work_names_one_piece(studio: Studio) -> None:
    with pytest.raises(InputError, match="already"):
        open_lot(studio, "J04", "a", grams="5 g")
    first, second = start_pieces(studio, labels=["T-100", "T-100"])
    with pytest.raises(RecordError, match=r"more than one piece"):
        piece_row(studio, "T-100")
    finish_piece(studio, first.number, "spoilt")
    assert piece_row(studio, "t-100").id == second.id


def test_slips_of_the_balance_are_asked_about(studio: Studio, disc: Path) -> None:
    keep_design(studio, disc)
    start_pieces(studio, 1, "Test disc")
    with pytest.raises(InputError, match="lighter"):
        check_coat(studio, 1, "J21", before="9.5 g", after="8.6 g")
    with pytest.raises(InputError, match="planned"):
        check_coat(studio, 1, "J21", before="9.5 g", after="85.9 g")
    assert check_coat(studio, 1, "J21", before="9.5 g", after="85.9 g", really=True) == []
    lay_coat(studio, 1, "J21", face="back")
    assert "not fired yet" in check_coat(studio, 1, "J21", face="back")[0]
    with pytest.raises(InputError, match="sift"):
        check_coat(studio, 1, "J21", method="sifted")


def test_a_lot_below_nothing_takes_nothing_from_another(studio: Studio) -> None:
    """4 g used of a lot of 1 g, and 60 g in another: 60 g are there, whatever is owed; a count clears it."""
    add_jar(studio, enamel("J13", "orange", family="orange"), reorder_below="58 g")
    made = start_pieces(studio, 1)[0]
    open_lot(studio, "J13", "A", grams="60 g")
    second = open_lot(studio, "J13", "B", grams="1 g")
    lay_coat(studio, made.id, "J13", weighed_out="4 g")
    assert left(studio, "J13") == {"A": pytest.approx(60), "B": pytest.approx(-3)}
    assert to_buy(studio) == [], "60 g are more than the mark of 58 g, and 57 g would not be"
    take_stock(studio.at(MORNING + timedelta(hours=1)), {second: "0 g"})
    assert left(studio, "J13")["B"] == 0
