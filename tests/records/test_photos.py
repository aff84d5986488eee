"""Pictures are kept by their content, once, and a row never names a file that is not there."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest
from PIL import Image
from sqlalchemy import select

from enamelwright.files.errors import FileError
from enamelwright.files.photo import SMALL_SIDE
from enamelwright.records.errors import NoRoom, RecordError
from enamelwright.records.home import Home
from enamelwright.records.photos import place_of, put, put_bytes, thumbnail
from enamelwright.records.schema.photos import photo
from enamelwright.records.store import Store
from filled import picture


def test_the_name_is_the_hash_of_what_is_kept(store: Store) -> None:
    kept = put(store.home, picture())
    path = place_of(store.home, kept.sha256, kept.columns["kind"])
    assert hashlib.sha256(path.read_bytes()).hexdigest() == kept.sha256 == path.stem
    assert path.stat().st_size == kept.columns["bytes"]
    with store.writing() as work:
        row = work.add(photo, **kept.columns, shows="the front")
    with store.reading() as view:
        found = view.execute(select(photo).where(photo.c.id == row)).one()
    assert (found.width, found.height, found.shows) == (60, 40, "the front")


def test_the_same_picture_is_one_file(tmp_path: Path) -> None:
    home = Home(tmp_path)
    assert put(home, picture()) == put(home, picture())
    assert put(home, picture()) != put(home, picture("blue"))
    assert len([path for path in home.photos.rglob("*") if path.is_file()]) == 2


def test_a_damaged_file_is_mended_by_the_same_picture(tmp_path: Path) -> None:
    home = Home(tmp_path)
    kept = put(home, picture())
    path = place_of(home, kept.sha256, "jpeg")
    whole = path.read_bytes()
    path.write_bytes(b"rot")
    with pytest.raises(RecordError, match="missing or damaged"):
        thumbnail(home, kept.sha256, "jpeg")
    put(home, picture())
    assert path.read_bytes() == whole


def test_a_small_one_is_made_when_asked_for(tmp_path: Path) -> None:
    home = Home(tmp_path)
    kept = put(home, picture())
    path = thumbnail(home, kept.sha256, "jpeg")
    with Image.open(path) as small:
        assert max(small.size) <= SMALL_SIDE
    assert thumbnail(home, kept.sha256, "jpeg") == path


def test_nothing_is_kept_of_what_is_refused(tmp_path: Path) -> None:
    with pytest.raises(FileError):
        put(Home(tmp_path), b"no picture")
    with pytest.raises(RecordError):
        put_bytes(Home(tmp_path), "0" * 64, "jpeg", picture())
    assert not list(tmp_path.rglob("*.*"))


def test_no_room_leaves_nothing(tmp_path: Path) -> None:
    home = Home(tmp_path)
    home.photos.write_text("a file where the folder should be")
    with pytest.raises(NoRoom):
        put(home, picture())


@pytest.mark.parametrize(("sha256", "kind"), [("../../../evil", "jpeg"), ("0" * 64, "../evil"), ("0" * 63, "png")])
def test_no_name_leads_out(tmp_path: Path, sha256: str, kind: str) -> None:
    with pytest.raises(RecordError):
        place_of(Home(tmp_path), sha256, kind)
