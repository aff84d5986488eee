"""A record comes back as it was; what was there before is kept, and nothing is touched when it fails."""

from __future__ import annotations

from pathlib import Path

import pytest
from sqlalchemy import select, text

from enamelwright.records import placing
from enamelwright.records.archive import write_archive
from enamelwright.records.errors import ForeignRecord
from enamelwright.records.home import Home
from enamelwright.records.migrate import VERSION_TABLE, upgrade
from enamelwright.records.opening import open_store
from enamelwright.records.restore import restore
from enamelwright.records.schema.people import person
from enamelwright.records.snapshots import take, verify
from enamelwright.records.store import Store, connect
from filled import dump, fill


def test_back_and_forth(store: Store) -> None:
    fill(store)
    path = take(store, "asked for")
    with store.writing() as work:
        work.keep(person, label="later")
    now = dump(store)
    done = restore(store.home, path)
    again = open_store(store.home)
    assert "later" not in {row[-4] for row in dump(again)["person"]}
    again.close()
    assert done.before is not None
    restore(store.home, done.before)
    again = open_store(store.home)
    assert dump(again) == now
    again.close()


def test_who_has_it_open_sees_it(tmp_path: Path) -> None:
    """On SQLite the present file is written over in one transaction; nobody is left with the old one."""
    store = open_store(Home(tmp_path))
    empty = take(store, "asked for")
    fill(store)
    restore(store.home, empty)
    with store.reading() as view:
        assert view.execute(select(person.c.id)).all() == []
    store.close()


@pytest.mark.parametrize("version", ["0001", "0003"])
def test_an_earlier_version_is_brought_up_to_date(tmp_path: Path, home: Home, version: str) -> None:
    old = connect(Home(tmp_path / "old"))
    upgrade(old, version)
    path = take(old, "before migration")
    old.close()
    assert restore(home, path).upgraded
    open_store(home).close()


def test_a_later_version_is_refused(home: Home, tmp_path: Path) -> None:
    later = open_store(Home(tmp_path / "later"))
    with later.engine.begin() as connection:
        connection.execute(text(f"UPDATE {VERSION_TABLE} SET version_num = '9999'"))
    path = take(later, "before migration")
    later.close()
    before = _state(home)
    with pytest.raises(ForeignRecord, match="later version"):
        restore(home, path)
    assert _state(home) == before
    assert not list(home.snapshots.glob("*"))


def test_a_damaged_file_is_moved_aside(tmp_path: Path) -> None:
    store = open_store(Home(tmp_path))
    fill(store)
    path, before = take(store, "asked for"), dump(store)
    store.close()
    broken = b"not a database" * 1000
    store.home.database.write_bytes(broken)
    done = restore(store.home, path)
    assert done.aside is not None
    assert done.aside.read_bytes() == broken
    again = open_store(store.home)
    assert {name: rows for name, rows in dump(again).items() if name not in {"device_entry", "snapshot_taken"}} == {
        name: rows for name, rows in before.items() if name not in {"device_entry", "snapshot_taken"}
    }
    again.close()


def test_torn_pages_are_moved_aside(tmp_path: Path) -> None:
    """A file with a sound head whose inside is damaged: no snapshot of it can be taken."""
    store = open_store(Home(tmp_path))
    fill(store)
    path = take(store, "asked for")
    store.close()
    data = bytearray(store.home.database.read_bytes())
    data[8192:-4096] = bytes(len(data) - 8192 - 4096)
    store.home.database.write_bytes(bytes(data))
    assert restore(store.home, path).aside is not None
    open_store(store.home).close()


def test_a_changed_snapshot_changes_nothing(store: Store) -> None:
    fill(store)
    path = take(store, "asked for")
    path.write_bytes(path.read_bytes()[:-100])
    before = dump(store)
    with pytest.raises(ForeignRecord):
        restore(store.home, path)
    assert dump(store) == before


def test_an_archive_can_be_put_back_too(store: Store, tmp_path: Path) -> None:
    fill(store)
    write_archive(store, tmp_path / "a.zip")
    before = dump(store)
    with store.writing() as work:
        work.keep(person, label="later")
    restore(store.home, tmp_path / "a.zip")
    again = open_store(store.home)
    assert dump(again) == before
    with again.writing() as work:
        work.keep(person, label="goes on")
    again.close()


def test_cut_off_before_the_last_step_changes_nothing(store: Store, monkeypatch: pytest.MonkeyPatch) -> None:
    fill(store)
    path, before = take(store, "asked for"), dump(store)
    with monkeypatch.context() as patch:
        patch.setattr(placing, "_swap_tables", _cut_off)
        patch.setattr(placing, "_write_over", _cut_off)
        with pytest.raises(KeyboardInterrupt):
            restore(store.home, path)
    assert dump(store) == before
    restore(store.home, path)
    verify(take(store, "before restore"))


def _cut_off(*_: object) -> None:
    raise KeyboardInterrupt


def _state(home: Home) -> object:
    store = open_store(home)
    try:
        return dump(store)
    finally:
        store.close()
