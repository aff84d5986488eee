"""The second place holds snapshots and photos, and Today knows how old they are."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import select

from enamelwright.records.errors import RecordError
from enamelwright.records.home import Home
from enamelwright.records.opening import open_store
from enamelwright.records.outside import copy_outside, outside_state, remembered
from enamelwright.records.photos import place_of, put
from enamelwright.records.restore import restore
from enamelwright.records.schema.photos import photo
from enamelwright.records.snapshots import verify
from enamelwright.records.store import Store
from filled import dump, fill, picture


@pytest.fixture
def stick(tmp_path: Path) -> Path:
    """A second place."""
    folder = tmp_path / "stick"
    folder.mkdir()
    return folder


def test_the_line_of_today(store: Store, stick: Path) -> None:
    fill_nothing = outside_state(store)
    assert fill_nothing.due
    assert fill_nothing.days is None
    copy_outside(store, stick)
    at = datetime.fromisoformat(outside_state(store).at)
    for days, due in [(0, False), (1, False), (7, False), (8, True), (30, True)]:
        state = outside_state(store, at + timedelta(days=days, minutes=1))
        assert (state.days, state.due) == (days, due)
        assert str(days) in state.words or days == 0


def test_record_and_photos_come_back_from_the_stick(store: Store, stick: Path, bare_home: Home) -> None:
    fill(store)
    done = copy_outside(store, stick)
    assert done.photos == 1
    assert done.same_disk
    verify(done.path)
    restore(bare_home, done.path)
    there = open_store(bare_home)
    with there.reading() as view:
        kept = view.execute(select(photo.c.sha256, photo.c.kind).where(photo.c.kind == "jpeg")).one()
    assert place_of(bare_home, *kept).read_bytes() == place_of(store.home, *kept).read_bytes()
    names = {"person", "photo", "jar", "stock_movement", "number_given"}
    assert {n: r for n, r in dump(there).items() if n in names} == {n: r for n, r in dump(store).items() if n in names}
    there.close()


def test_only_new_photos_are_copied(store: Store, stick: Path) -> None:
    fill(store)
    copy_outside(store, stick)
    assert copy_outside(store).photos == 0  # and the place is remembered
    assert remembered(store) == stick.resolve()
    with store.writing() as work:
        work.add(photo, **put(store.home, picture("blue")).columns)
    assert copy_outside(store).photos == 1


def test_a_stick_that_is_not_there_is_not_made(store: Store, tmp_path: Path) -> None:
    with pytest.raises(RecordError, match="no second place"):
        copy_outside(store)
    with pytest.raises(RecordError, match="not there"):
        copy_outside(store, tmp_path / "unplugged")
    assert not (tmp_path / "unplugged").exists()
    assert outside_state(store, datetime.now(UTC)).due


def test_a_damaged_photo_is_not_passed_on(store: Store, stick: Path) -> None:
    fill(store)
    with store.reading() as view:
        kept = view.execute(select(photo.c.sha256, photo.c.kind).where(photo.c.kind == "jpeg")).one()
    place_of(store.home, *kept).write_bytes(b"rot")
    done = copy_outside(store, stick)
    assert done.missing == (kept.sha256,)
    assert not place_of(Home(stick), *kept).exists()
