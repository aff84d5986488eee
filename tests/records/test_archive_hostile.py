"""Archives that were changed, or made to do harm, are refused in one sentence and write nothing anywhere."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import shutil
import struct
import warnings
import zipfile
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from enamelwright.records.archive import write_archive
from enamelwright.records.archive_in import Archive
from enamelwright.records.errors import ForeignRecord
from enamelwright.records.home import Home
from enamelwright.records.opening import open_store
from enamelwright.records.restore import read_archive
from filled import fill

Change = Callable[[Path], object]


@pytest.fixture(scope="module")
def good(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A sound archive as a folder."""
    store = open_store(Home(tmp_path_factory.mktemp("good")))
    fill(store)
    folder = tmp_path_factory.mktemp("archive") / "good"
    write_archive(store, folder)
    store.close()
    return folder


@pytest.fixture
def folder(good: Path, tmp_path: Path) -> Path:
    """A copy to do harm to."""
    return Path(shutil.copytree(good, tmp_path / "inside" / "archive"))


def refused(source: Path, tmp_path: Path, words: str) -> None:
    """It is refused with these words, and neither a record nor any other file is left behind."""
    before = sorted(str(path) for path in tmp_path.rglob("*"))
    home = Home(tmp_path / "home")
    with pytest.raises(ForeignRecord, match=words) as refusal:
        read_archive(home, source)
    assert "\n" not in str(refusal.value)
    assert not home.database.exists()
    shutil.rmtree(home.folder, ignore_errors=True)
    assert sorted(str(path) for path in tmp_path.rglob("*")) == before


def manifest(folder: Path, change: Callable[[dict[str, Any]], object]) -> None:
    """Change the manifest."""
    path = folder / "manifest.json"
    content = json.loads(path.read_text("utf-8"))
    change(content)
    path.write_text(json.dumps(content), "utf-8")


def table(folder: Path, name: str, change: Callable[[bytes], bytes]) -> None:
    """Change a table, and the manifest so that size and hash fit."""
    path = folder / "tables" / f"{name}.csv"
    path.write_bytes(change(path.read_bytes()))
    data = path.read_bytes()
    rows = {"bytes": len(data), "sha256": hashlib.sha256(data).hexdigest()}
    manifest(folder, lambda content: content["tables"][name].update(rows))


def rename_column(folder: Path) -> None:
    """Give a table a column the record has not."""
    table(folder, "jar", lambda data: data.replace(b"reorder_below", b"reorder_beneath", 1))

    def rename(content: dict[str, Any]) -> None:
        for column in content["tables"]["jar"]["columns"]:
            column["name"] = column["name"].replace("reorder_below", "reorder_beneath")

    manifest(folder, rename)


def cell(folder: Path, name: str, column: str, value: str) -> None:
    """Write another value into the last row of a table."""

    def change(data: bytes) -> bytes:
        rows = list(csv.reader(io.StringIO(data.decode(), newline="")))
        rows[-1][rows[0].index(column)] = value
        out = io.StringIO(newline="")
        csv.writer(out, lineterminator="\r\n").writerows(rows)
        return out.getvalue().encode()

    table(folder, name, change)


def first_row(data: bytes, old: bytes, new: bytes) -> bytes:
    """Change the first row below the headings."""
    head, rest = data.split(b"\r\n", 1)
    return head + b"\r\n" + rest.replace(old, new, 1)


CASES: list[tuple[str, Change, str]] = [
    ("a hash that does not fit", lambda f: manifest(f, lambda c: c["tables"]["jar"].update(sha256="0" * 64)), "changed"),
    ("a byte of a table", lambda f: (f / "tables/lot.csv").write_bytes((f / "tables/lot.csv").read_bytes()[:-3] + b"9\r\n"), "changed|cannot be read"),
    ("a table cut short", lambda f: (f / "tables/lot.csv").write_bytes((f / "tables/lot.csv").read_bytes()[:-40]), "changed|cells|cannot be read"),
    ("a table too long", lambda f: (f / "tables/lot.csv").write_bytes((f / "tables/lot.csv").read_bytes() * 2), "larger than its manifest"),
    ("a table too many", lambda f: (f / "tables/evil.csv").write_text("id\r\n"), "does not name"),
    ("a table missing", lambda f: (f / "tables/lot.csv").unlink(), "lacks"),
    ("a table nobody knows", lambda f: [(f / "tables/lot.csv").rename(f / "tables/lots.csv"), manifest(f, lambda c: c["tables"].update(lots=c["tables"].pop("lot")))], "tables are not those"),
    ("an unknown column", rename_column, "columns of 'jar'"),
    ("a column left out", lambda f: manifest(f, lambda c: c["tables"]["jar"]["columns"].pop()), "columns"),
    ("a photo changed", lambda f: next((f / "photos").iterdir()).write_bytes(b"x" * next((f / "photos").iterdir()).stat().st_size), "changed"),
    ("a reference to nothing", lambda f: cell(f, "lot", "jar", "999999"), "breaks a rule|refers to"),
    ("a correction of nothing", lambda f: cell(f, "stock_movement", "corrects", "999999"), "breaks a rule|refers to"),
    ("two corrections of one row", lambda f: cell(f, "stock_movement", "corrects", "4"), "breaks a rule"),
    ("a word that is none of them", lambda f: cell(f, "piece", "state", "stolen"), "breaks a rule"),
    ("nothing where something must be", lambda f: cell(f, "piece", "number", ""), "breaks a rule"),
    ("a row twice", lambda f: table(f, "person", lambda d: first_row(d, b"2,", b"1,")), "breaks a rule|changed|cannot be read|cells"),
    ("a number beyond bounds", lambda f: table(f, "person", lambda d: first_row(d, b"1,", b"9" * 40 + b",")), "breaks a rule|cannot be read"),
    ("not a number", lambda f: table(f, "person", lambda d: first_row(d, b"1,", b"nan,")), "cannot be read"),
    ("no Unicode", lambda f: table(f, "person", lambda d: first_row(d, b"2026", b"\xff\xfe26")), "cannot be read"),
    ("a line without an end", lambda f: table(f, "person", lambda d: d + b'"' + b"a" * (17 << 20)), "absurd|cannot be read"),
    ("a later form", lambda f: manifest(f, lambda c: c.update(form=99)), "later program"),
    ("a later version", lambda f: manifest(f, lambda c: c.update(record="9999")), "later version"),
    ("an earlier version it is not", lambda f: manifest(f, lambda c: c.update(record="0001")), "tables are not those"),
    ("no version", lambda f: manifest(f, lambda c: c.update(record="")), "does not say"),
    ("a name that climbs", lambda f: manifest(f, lambda c: c["tables"].update({"../../evil": c["tables"]["lot"]})), "cannot be understood"),
    ("a photo that climbs", lambda f: manifest(f, lambda c: c["photos"].update({"../../evil.jpg": 1})), "cannot be understood"),
    ("no JSON", lambda f: (f / "manifest.json").write_text("{"), "cannot be understood"),
    ("JSON without end", lambda f: (f / "manifest.json").write_text("[" * 200_000), "cannot be understood"),
    ("a negative size", lambda f: manifest(f, lambda c: c["tables"]["jar"].update(bytes=-1)), "cannot be understood"),
    ("a link out of it", lambda f: [(f / "tables/lot.csv").unlink(), (f / "tables/lot.csv").symlink_to("/etc/passwd")], "no plain file"),
]  # fmt: skip


@pytest.mark.parametrize(("change", "words"), [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_a_folder_that_was_changed(folder: Path, tmp_path: Path, change: Change, words: str) -> None:
    change(folder)
    refused(folder, tmp_path, words)


def packed(folder: Path, target: Path, more: dict[str, bytes] | None = None) -> Path:
    """Pack a folder, with more files beside."""
    with zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED) as out:
        for path in sorted(folder.rglob("*")):
            if path.is_file():
                out.write(path, path.relative_to(folder).as_posix())
        for name, data in (more or {}).items():
            with warnings.catch_warnings():
                warnings.simplefilter("ignore")  # a name twice
                out.writestr(name, data)
    return target


@pytest.mark.parametrize("name", ["../evil", "../../evil", "/evil", "C:\\evil", "tables/../../evil", "tables/x\x00y"])
def test_names_that_lead_out(folder: Path, tmp_path: Path, name: str) -> None:
    refused(packed(folder, tmp_path / "a.zip", {name: b"evil"}), tmp_path, "does not name")


def test_a_name_twice(folder: Path, tmp_path: Path) -> None:
    refused(packed(folder, tmp_path / "a.zip", {"tables/jar.csv": b"id\r\n"}), tmp_path, "twice")


def test_a_bomb_that_says_its_size(folder: Path, tmp_path: Path) -> None:
    """A gibibyte of nothing in a megabyte; DEFLATE reaches about 1 : 1030 (RFC 1951)."""
    bomb = b"0" * (32 << 20)
    table(folder, "jar", lambda data: data + bomb)
    source = packed(folder, tmp_path / "a.zip")
    assert source.stat().st_size < len(bomb) / 100
    refused(source, tmp_path, "beyond measure")


def test_a_bomb_that_lies_about_its_size(folder: Path, tmp_path: Path) -> None:
    """The directory and the manifest promise a small table; what unpacks is larger."""
    source = packed(folder, tmp_path / "a.zip", {})
    data = bytearray(source.read_bytes())
    (folder / "tables/jar.csv").write_bytes(b"0" * (32 << 20))
    other = packed(folder, tmp_path / "b.zip")
    bomb = bytearray(other.read_bytes())
    at = bomb.index(b"PK\x01\x02")
    while bomb[at + 46 : at + 60] != b"tables/jar.csv":  # central directory of APPNOTE 6.3, section 4.3.12
        at = bomb.index(b"PK\x01\x02", at + 4)
    bomb[at + 24 : at + 28] = struct.pack("<I", 1000)
    other.write_bytes(bytes(bomb))
    assert len(data) > 0
    refused(other, tmp_path, "cannot be read|changed|cells|columns are not|absurd|larger")


def test_a_password(folder: Path, tmp_path: Path) -> None:
    source = packed(folder, tmp_path / "a.zip")
    data = bytearray(source.read_bytes())
    at = data.index(b"PK\x01\x02")
    while at >= 0:
        data[at + 8] |= 1
        at = data.find(b"PK\x01\x02", at + 4)
    source.write_bytes(bytes(data))
    refused(source, tmp_path, "password|cannot be read")


@pytest.mark.parametrize("content", [b"", b"PK", b"PK\x03\x04" + b"\x00" * 200, b"%PDF-1.7", b"SQLite format 3\x00"])
def test_other_files(tmp_path: Path, content: bytes) -> None:
    (tmp_path / "a.zip").write_bytes(content)
    refused(tmp_path / "a.zip", tmp_path, "no archive")


def test_a_byte_flipped_anywhere_is_seen(good: Path, tmp_path: Path) -> None:
    """Every hundredth byte of the whole file, one at a time: refused, or of no consequence to what it holds."""
    source = packed(good, tmp_path / "a.zip")
    data = source.read_bytes()
    with Archive.open(source) as archive:
        rows = archive.check()
    seen = 0
    for at in range(0, len(data), max(1, len(data) // 100)):
        source.write_bytes(data[:at] + bytes([data[at] ^ 0xFF]) + data[at + 1 :])
        try:
            with Archive.open(source) as archive:
                assert archive.check() == rows  # a date or a flag of the ZIP file itself
        except ForeignRecord:
            seen += 1
    assert seen > 50
