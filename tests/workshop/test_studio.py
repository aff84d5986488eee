"""Transactions that join, entries that arrive twice, and text that is kept as it was typed."""

from __future__ import annotations

from datetime import timedelta

import pytest
from sqlalchemy import func, select

from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.records.errors import Conflict, RecordError
from enamelwright.records.kinds import metadata, tables
from enamelwright.records.schema.coats import coat_laid
from enamelwright.records.schema.house import device_entry
from enamelwright.records.schema.jars import stock_movement
from enamelwright.records.schema.loads import load
from enamelwright.records.schema.pieces import measure, piece
from enamelwright.records.writing import current
from enamelwright.workshop.coats import lay_coat
from enamelwright.workshop.history import correct, states, withdraw
from enamelwright.workshop.measures import take_measure
from enamelwright.workshop.people import people, person
from enamelwright.workshop.pieces import piece_row, start_pieces
from enamelwright.workshop.settings import set_setting, setting
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.typed import as_typed, fields
from morning import MORNING


def test_a_column_name_has_one_dimension_everywhere() -> None:
    found: dict[str, set[str]] = {}
    for table in tables():
        for column in table.c:
            if "dimension" in column.info:
                found.setdefault(column.name, set()).add(column.info["dimension"])
    assert {name for name, dimensions in found.items() if len(dimensions) > 1} == set()


def test_use_cases_inside_one_transaction_happen_together_or_not_at_all(studio: Studio) -> None:
    def several() -> None:
        with studio.writing():
            start_pieces(studio, 3)
            lay_coat(studio, 1, "J04", on_piece="0.2 g")
            studio.add(coat_laid, piece=1, face="sideways")

    with pytest.raises(RecordError):
        several()
    with studio.reading() as connection:
        assert connection.execute(select(func.count()).select_from(piece)).scalar() == 0
    assert start_pieces(studio)[0].number == "2026-001"


def test_an_entry_that_arrives_twice_is_written_once(studio: Studio) -> None:
    def work() -> dict[str, str]:
        return {"number": start_pieces(studio)[0].number}

    first = studio.once("entry-of-the-tablet", work, device_at="2026-03-02T09:00:00Z", fingerprint="a")
    again = studio.once("entry-of-the-tablet", work, device_at="2026-03-02T09:00:00Z", fingerprint="a")
    assert first == again == {"number": "2026-001"}
    with studio.reading() as connection:
        assert connection.execute(select(func.count()).select_from(piece)).scalar() == 1
        entry = connection.execute(select(device_entry).where(device_entry.c.entry == "entry-of-the-tablet")).one()
    assert entry.device_at == "2026-03-02T09:00:00Z"
    with pytest.raises(RecordError):
        studio.once("entry-of-the-tablet", work, fingerprint="b")


def test_what_was_typed_stands_beside_the_number(studio: Studio) -> None:
    made = start_pieces(studio)[0]
    take_measure(studio, made.id, "bow", "1/64 in")
    with studio.reading() as connection:
        row = connection.execute(select(measure)).one()
    assert row.length == pytest.approx(0.0254 / 64)  # an inch is 25.4 mm by definition
    assert row.typed == {"length": "1/64 in"}
    assert as_typed(row, "length") == "1/64 in"


def test_a_correction_keeps_what_was_typed_elsewhere(studio: Studio) -> None:
    row = studio.add(load, number="x", set_point="1450 F", seconds="3 min")
    new = studio.correct(load, row, "the clock was read wrong", seconds="190 s")
    with studio.reading() as connection:
        now = connection.execute(select(load).where(load.c.id == new)).one()
    assert now.typed == {"set_point": "1450 F", "seconds": "190 s"}
    assert now.set_point == pytest.approx((1450 - 32) / 1.8 + 273.15)
    assert now.seconds == 190


@pytest.mark.parametrize("unknown", ["?", "-", "don't know", "Unknown", ""])
def test_every_quantity_may_be_unknown(unknown: str) -> None:
    for table in tables("happened"):
        for column in table.c:
            if "dimension" in column.info or ("yes_no" in column.info and column.nullable):
                assert fields(table, {column.name: unknown})[column.name] is None


@pytest.mark.parametrize("text", ["790", "seven hundred", "790 mm", "nan C", "9" * 80 + " C"])
def test_a_temperature_nobody_can_read_is_refused_in_one_sentence(studio: Studio, text: str) -> None:
    with pytest.raises(InputError) as refused:
        studio.add(load, number="x", set_point=text)
    assert "set point" in str(refused.value)


def test_two_benches_changing_one_piece_see_both_values(studio: Studio) -> None:
    made = start_pieces(studio, labels=["A-01"])[0]
    studio.change(piece, made.id, made.version, label="A-1")
    with pytest.raises(Conflict) as conflict:
        studio.as_person("S1").change(piece, made.id, made.version, label="first")
    assert (conflict.value.mine["label"], conflict.value.theirs["label"]) == ("first", "A-1")
    assert [state.who for state in states(studio, "piece", made.number)] == ["M", "M"]


def test_a_correction_made_from_an_older_state_is_told_with_both_values(studio: Studio) -> None:
    made = start_pieces(studio)[0]
    first = take_measure(studio, made.id, "bow", "0.4 mm")
    second = correct(studio, "measure", first, "misread", seen=first, length="0.9 mm")
    with pytest.raises(Conflict) as conflict:
        correct(studio, "measure", first, "named the tool", seen=first, tool="feeler gauge")
    assert conflict.value.mine["tool"] == "feeler gauge"
    assert conflict.value.theirs["length"] == pytest.approx(0.9e-3)
    with pytest.raises(Conflict):
        withdraw(studio, "measure", first, "never measured", seen=first)
    correct(studio, "measure", first, "named the tool", seen=second, tool="feeler gauge")
    with studio.reading() as connection:
        (now,) = connection.execute(current(measure)).all()
    assert (now.typed["length"], now.tool) == ("0.9 mm", "feeler gauge")


def test_a_coat_and_what_is_kept_are_told_too(studio: Studio) -> None:
    made = start_pieces(studio)[0]
    row = lay_coat(studio, made.id, "J04", on_piece="0.2 g")
    later = correct(studio, "coat", row, "weighed again", on_piece="0.3 g", seen=row)
    for attempt in (lambda: correct(studio, "coat", row, "x", on_piece="0.1 g", seen=row),
                    lambda: withdraw(studio, "coat", row, "x", seen=row)):  # fmt: skip
        with pytest.raises(Conflict):
            attempt()
    with studio.reading() as connection:
        (moved,) = connection.execute(current(stock_movement).where(stock_movement.c.kind == "used")).all()
    assert moved.grams == pytest.approx(0.3e-3)
    withdraw(studio, "coat", row, "never laid", seen=later)
    correct(studio, "piece", made.number, "", label="A-1", seen=made.version)
    with pytest.raises(Conflict):
        correct(studio, "piece", made.number, "", label="A-2", seen=made.version)


def test_telling_afterwards_keeps_both_moments(studio: Studio) -> None:
    earlier = MORNING - timedelta(days=3)
    told = studio.telling(earlier)
    row = told.add(load, number="x")
    with studio.reading() as connection:
        found = connection.execute(select(load).where(load.c.id == row)).one()
    assert found.at < found.recorded_at
    assert told.today() == earlier.date()


def test_people_are_labels(studio: Studio) -> None:
    assert person(studio, " m ") == studio.person
    person(studio, "S1", "student")
    assert person(studio, "s1", "helper") == person(studio, "S1")
    assert [row.label for row in people(studio)] == ["M", "S1"]
    with pytest.raises(EnamelwrightError):
        person(studio, "A name that is far too long for a label")


def test_pieces_keep_their_numbers(studio: Studio) -> None:
    first = start_pieces(studio, labels=["A-01", "A-02"], batch="pair")
    assert [row.number for row in first] == ["2026-001", "2026-002"]
    later = start_pieces(studio.at(MORNING.replace(year=2027)))
    assert later[0].number == "2027-001"
    for name in ("2026-002", "a-02", "2", 2):
        assert piece_row(studio, name).number == "2026-002"
    start_pieces(studio, labels=["A-02"])
    with pytest.raises(RecordError):
        piece_row(studio, "A-02")
    with pytest.raises(InputError, match="a-01"):
        piece_row(studio, "A-01x")


def test_lists_inside_one_view_see_one_moment_and_what_is_written_in_it_afterwards(studio: Studio) -> None:
    with studio.reading() as outer:
        with studio.reading() as inner:
            assert inner is outer
        set_setting(studio, "name of the cat", "Lye")
        assert setting(studio, "name of the cat") == "Lye"
    assert setting(studio, "name of the cat") == "Lye"


def test_a_whole_number_no_column_can_hold_is_refused_in_one_sentence(studio: Studio) -> None:
    (row,) = start_pieces(studio)
    for count in (2**31, -(2**31) - 1, 10**30):
        with pytest.raises(RecordError, match="too large"):
            studio.add(metadata.tables["hand_time"], piece=row.id, work="sifting", pieces=count)
    with pytest.raises(RecordError, match="there is no piece"):
        piece_row(studio, 10**12)
    studio.add(metadata.tables["hand_time"], piece=row.id, work="sifting", pieces=2**31 - 1)
