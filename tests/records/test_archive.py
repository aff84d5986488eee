"""An archive holds everything, says so in plain files, and comes back as it was, on either database."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import zipfile
from pathlib import Path

import pytest
from sqlalchemy import func, select, text
from sqlalchemy.exc import DBAPIError

from enamelwright.records.archive import write_archive
from enamelwright.records.errors import ForeignRecord, RecordError
from enamelwright.records.home import Home
from enamelwright.records.kinds import tables
from enamelwright.records.migrate import HEAD, upgrade
from enamelwright.records.opening import open_store
from enamelwright.records.photos import place_of
from enamelwright.records.restore import read_archive
from enamelwright.records.schema.people import person
from enamelwright.records.schema.photos import photo
from enamelwright.records.store import Store, connect
from filled import CONTENT, NUMBERS, TEXTS, dump, fill


def test_archive_to_empty_database_to_archive_is_the_same_bytes(store: Store, bare_home: Home, tmp_path: Path) -> None:
    """On every pairing of the two databases."""
    fill(store)
    first, second = tmp_path / "first.zip", tmp_path / "second.zip"
    written = write_archive(store, first)
    assert all(written.rows[table.name] > 0 for table in tables())
    assert read_archive(bare_home, first).rows == sum(written.rows.values())
    there = open_store(bare_home)
    try:
        write_archive(there, second)
        assert first.read_bytes() == second.read_bytes()
        assert dump(store) == dump(there)
        with there.writing() as work:  # and it goes on: new rows get new ids, and what happened stays
            assert work.keep(person, label="new") > 3
        with pytest.raises((RecordError, DBAPIError)), there.engine.begin() as connection:
            connection.execute(text("UPDATE stock_movement SET grams = 1"))
    finally:
        there.close()


def test_the_same_record_is_the_same_bytes_again(store: Store, tmp_path: Path) -> None:
    fill(store)
    for name in ("a.zip", "b.zip"):
        write_archive(store, tmp_path / name)
    assert (tmp_path / "a.zip").read_bytes() == (tmp_path / "b.zip").read_bytes()


def test_plain_tools_can_read_it(store: Store, tmp_path: Path) -> None:
    """With nothing but JSON, CSV after RFC 4180 and SHA-256, as somebody without the program would."""
    fill(store)
    folder = tmp_path / "plain"
    write_archive(store, folder)
    manifest = json.loads((folder / "manifest.json").read_text("utf-8"))
    assert set(manifest["tables"]) == {table.name for table in tables()}
    for name, part in manifest["tables"].items():
        content = (folder / "tables" / f"{name}.csv").read_bytes()
        assert hashlib.sha256(content).hexdigest() == part["sha256"]
        rows = list(csv.reader(io.StringIO(content.decode("utf-8"), newline="")))
        assert rows[0] == [column["name"] for column in part["columns"]]
        assert len(rows) - 1 == part["rows"]
    for name in manifest["photos"]:
        assert hashlib.sha256((folder / "photos" / name).read_bytes()).hexdigest() == name.partition(".")[0]
    with (folder / "tables" / "jar.csv").open(encoding="utf-8", newline="") as file:
        jars = list(csv.DictReader(file))
    assert json.loads(jars[0]["described"]) == CONTENT
    assert {float(row["reorder_below"]) for row in jars if row["reorder_below"]} <= set(NUMBERS)
    seen = {cell for row in jars for cell in row.values()}
    assert any(cell in seen for cell in TEXTS)
    column = next(one for one in manifest["tables"]["jar"]["columns"] if one["name"] == "reorder_below")
    assert column["unit"] == "kg"


def test_a_folder_and_a_zip_hold_the_same(store: Store, tmp_path: Path) -> None:
    fill(store)
    write_archive(store, tmp_path / "a.zip")
    write_archive(store, tmp_path / "a")
    with zipfile.ZipFile(tmp_path / "a.zip") as packed:
        assert packed.testzip() is None
        for name in packed.namelist():
            assert packed.read(name) == (tmp_path / "a" / name).read_bytes()
        there = {path.relative_to(tmp_path / "a").as_posix() for path in (tmp_path / "a").rglob("*") if path.is_file()}
        assert there == set(packed.namelist())


def test_an_archive_of_an_earlier_version_is_brought_up_to_date(bare_home: Home, tmp_path: Path) -> None:
    old = connect(Home(tmp_path / "old"))
    upgrade(old, "0003")
    with old.engine.begin() as connection:
        connection.execute(
            text("INSERT INTO person (made_at, changed_at, label) VALUES ('2026-01-01', '2026-01-01', 'Ada')")
        )
    write_archive(old, tmp_path / "old.zip")
    old.close()
    assert read_archive(bare_home, tmp_path / "old.zip").upgraded is (HEAD != "0003")
    now = open_store(bare_home)
    with now.reading() as view:
        assert view.execute(select(person.c.label)).scalars().all() == ["Ada"]
    now.close()


def test_it_goes_only_where_nothing_is(home: Home, tmp_path: Path) -> None:
    store = open_store(home)
    write_archive(store, tmp_path / "empty.zip")
    fill(store)
    before = dump(store)
    with pytest.raises(RecordError, match="there is a record here already"):
        read_archive(home, tmp_path / "empty.zip")
    assert dump(store) == before
    store.close()


def test_an_archive_that_breaks_off_leaves_nothing(store: Store, bare_home: Home, tmp_path: Path) -> None:
    fill(store)
    folder = tmp_path / "broken"
    write_archive(store, folder)
    last = sorted((folder / "tables").iterdir(), key=lambda path: path.stat().st_size)[-1]
    last.write_bytes(last.read_bytes()[:-1] + b"?")
    with pytest.raises(ForeignRecord):
        read_archive(bare_home, folder)
    again = open_store(bare_home)
    with again.reading() as view:
        assert view.execute(select(func.count()).select_from(person)).scalar() == 0
    again.close()
    assert not [path for path in bare_home.folder.iterdir() if path.name.startswith(".incoming")]


def test_progress_goes_up_and_can_stop_it(store: Store, tmp_path: Path) -> None:
    fill(store)
    seen: list[float] = []
    write_archive(store, tmp_path / "a.zip", progress=lambda fraction, words: seen.append(fraction) is None)
    assert seen == sorted(seen)
    assert seen[-1] == 1.0
    with pytest.raises(RecordError, match="stopped"):
        write_archive(store, tmp_path / "b.zip", progress=lambda fraction, words: fraction < 0.5)
    assert [path.name for path in tmp_path.iterdir() if path.suffix == ".zip"] == ["a.zip"]
    assert not list(tmp_path.glob(".part-*"))


def test_nothing_is_written_over(store: Store, tmp_path: Path) -> None:
    (tmp_path / "mine.zip").write_text("mine")
    with pytest.raises(RecordError, match="something here already"):
        write_archive(store, tmp_path / "mine.zip")
    assert (tmp_path / "mine.zip").read_text() == "mine"


def test_a_missing_or_damaged_photo_is_named(store: Store, bare_home: Home, tmp_path: Path) -> None:
    fill(store)
    with store.reading() as view:
        rows = view.execute(select(photo.c.sha256, photo.c.kind)).all()
    (kept,) = [row for row in rows if row.kind == "jpeg"]
    place_of(store.home, kept.sha256, kept.kind).write_bytes(b"not it")
    written = write_archive(store, tmp_path / "a.zip")
    assert (written.photos, written.missing) == (0, (kept.sha256,))
    read_archive(bare_home, tmp_path / "a.zip")  # the record itself still comes back


def test_others_may_write_while_it_is_written(store: Store, tmp_path: Path) -> None:
    """The archive is of one moment: what arrives while it is written is in none of its tables."""
    fill(store)
    wrote = []

    def interrupt(fraction: float, words: str) -> bool:
        if not wrote:
            other = open_store(store.home)
            with other.writing() as work:
                wrote.append(work.keep(person, label="meanwhile"))
            other.close()
        return True

    before = sum(write_archive(store, tmp_path / "before.zip").rows.values())
    written = write_archive(store, tmp_path / "during.zip", progress=interrupt)
    assert wrote
    assert sum(written.rows.values()) == before
    assert (tmp_path / "before.zip").read_bytes() == (tmp_path / "during.zip").read_bytes()
