"""The database itself keeps what happened, whichever way somebody goes at it, and says so in one sentence."""

from __future__ import annotations

import shutil
import threading
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import Table, event, insert, select
from sqlalchemy import text as sql

from enamelwright.records import store as store_module
from enamelwright.records import writing
from enamelwright.records.errors import RecordError
from enamelwright.records.guards import ALSO
from enamelwright.records.home import Home
from enamelwright.records.kinds import tables
from enamelwright.records.opening import open_store
from enamelwright.records.schema.house import device_entry, setting
from enamelwright.records.schema.jars import jar
from enamelwright.records.schema.people import person
from enamelwright.records.schema.pieces import measure
from enamelwright.records.snapshots import close_of_day
from enamelwright.records.store import Store
from enamelwright.records.writing import Author
from filled import dump, fill

GUARDED = [table for table in tables() if table.info["kind"] == "happened" or table.name in ALSO]


def attack(store: Store, statement: str) -> None:
    """Say something to the database that this program would never say."""
    with store.keeping_house() as connection:
        connection.execute(sql(statement))


def test_no_statement_changes_takes_out_or_replaces_what_happened(store: Store) -> None:
    fill(store)
    before = dump(store)
    for table in GUARDED:
        name, key = table.name, next(iter(table.primary_key)).name
        attacks = [f"UPDATE {name} SET {key} = {key}"]
        if name != "past_version":  # which goes along with a customer who is removed
            attacks.append(f"DELETE FROM {name}")
        if store.on_sqlite:
            attacks.append(f"REPLACE INTO {name} SELECT * FROM {name} LIMIT 1")
        else:
            attacks.append(f"TRUNCATE {name} CASCADE")
        if name == "device_entry":  # the one that has an answer, and what is not the answer of one that has none
            attacks[0] = "UPDATE device_entry SET arrived_at = 'another'"
            attacks.append("UPDATE device_entry SET result = '{}' WHERE result IS NOT NULL")
        for statement in attacks:
            with pytest.raises(RecordError, match="never changed, replaced or taken out"):
                attack(store, statement)
    assert dump(store) == before


def test_every_unique_key_is_guarded_against_replacing(empty_sqlite: Path, tmp_path: Path) -> None:
    """A row under a new id, that shares another key, must not push the old one out; only SQLite knows REPLACE."""
    home = Home(tmp_path)
    shutil.copy(empty_sqlite, home.database)
    store = open_store(home)
    fill(store)
    before = dump(store)
    for statement in (
        "REPLACE INTO number_given SELECT series, year, serial + 1000, number, given_at FROM number_given LIMIT 1",
        "REPLACE INTO past_version SELECT 4711, of_table, of_id, version, replaced_at, fields FROM past_version LIMIT 1",
        "REPLACE INTO load (entry, recorded_at, number) SELECT entry, recorded_at, number FROM load LIMIT 1",
        "REPLACE INTO stock_movement (entry, recorded_at, kind, corrects, first) "
        "SELECT entry, recorded_at, kind, corrects, first FROM stock_movement WHERE corrects IS NOT NULL LIMIT 1",
    ):
        with pytest.raises(RecordError, match="never changed, replaced or taken out"):
            attack(store, statement)
    assert dump(store) == before
    store.close()


def test_an_entry_is_answered_once(store: Store) -> None:
    assert store.once(Author("one"), lambda _: {"number": 1}) == {"number": 1}
    with store.reading() as view:
        assert view.execute(select(device_entry.c.result).where(device_entry.c.entry == "one")).scalar() == {
            "number": 1
        }


def test_plain_mistakes_are_told_in_one_sentence(store: Store) -> None:
    def refused(words: str, **values: object) -> None:
        table = values.pop("table", measure)
        assert isinstance(table, Table)
        with pytest.raises(RecordError, match=words), store.writing() as work:
            (work.add if table.info["kind"] == "happened" else work.keep)(table, **values)

    with store.writing() as work:
        work.keep(setting, key="once", value=1)
    refused("a measure needs 'piece'", what="bow")
    refused("a measure needs 'what'", piece=1)
    refused("a measure needs 'what'", piece=1, what=None)
    refused("a jar needs 'code'", table=jar, name="white")
    refused("refers to something", piece=4711, what="bow")
    refused("there is one of this key already", table=setting, key="once", value=2)
    refused("cannot be kept", table=setting, key="half a sign \ud83d", value=2)
    with pytest.raises(RecordError, match="cannot be kept"), store.reading() as view:
        view.execute(select(measure).where(measure.c.id == 10**30)).all()
    with store.reading() as view:
        assert view.execute(select(measure)).all() == []


def test_a_broken_rule_the_program_did_not_see_is_told(store: Store) -> None:
    row = {"version": 1, "made_at": "x", "changed_at": "x", "label": "a", "put_away": False}
    for values, words in (
        ({"label": None}, "label is needed"),
        ({"changed_by": 4711}, "refers to something"),
    ):
        with pytest.raises(RecordError, match=words), store.keeping_house() as connection:
            connection.execute(insert(person).values({**row, **values}))
    with pytest.raises(RecordError, match="none the record can hold"):
        attack(store, "INSERT INTO job (kind, state, made_at) VALUES ('x', 'dancing', 'x')")


def test_nobody_waits_for_ever_for_another_bench(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    """Another bench holds the record and does not let go."""
    monkeypatch.setattr(store_module, "PATIENCE", 200)
    impatient = open_store(store.home)
    holds, done = threading.Event(), threading.Event()

    def hold() -> None:
        with store.writing():
            holds.set()
            done.wait(60)

    other = threading.Thread(target=hold)
    other.start()
    try:
        assert holds.wait(60)
        with pytest.raises(RecordError, match="another bench is writing"), impatient.writing():
            pass
    finally:
        done.set()
        other.join()
    with impatient.writing() as work:
        work.keep(person, label="afterwards")
    impatient.close()


def test_a_clock_that_was_ahead_once_does_not_end_the_snapshots(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    usual = writing.moment
    with monkeypatch.context() as wrong:
        ahead = timedelta(days=365)
        for module in ("writing", "snapshots"):
            name = "moment" if module == "writing" else "written_now"
            wrong.setattr(f"enamelwright.records.{module}.{name}", lambda when=None: usual((when or datetime.now(UTC)) + ahead))  # fmt: skip
        assert close_of_day(store) is not None
    assert close_of_day(store) is None
    for label in ("A", "B"):
        with store.writing() as work:
            work.keep(person, label=label)
    assert close_of_day(store) is not None
    assert close_of_day(store) is None


def test_a_snapshot_is_no_entry_of_a_device(store: Store) -> None:
    said: list[str] = []
    event.listen(store.engine, "before_cursor_execute", lambda *given: said.append(given[2]))
    close_of_day(store)
    assert [one for one in said if one.startswith("INSERT INTO snapshot_taken")]
    assert not [one for one in said if one.startswith("INSERT INTO device_entry")]
