"""A file is written whole or not at all, and may be read by whom the process allows."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from enamelwright.files.atomic import write_all, write_bytes
from enamelwright.files.errors import FileError


def test_a_file_has_the_permissions_any_new_file_has(tmp_path: Path) -> None:
    (tmp_path / "ordinary").write_bytes(b"x")
    write_bytes(tmp_path / "ours", b"x")
    modes = {stat.S_IMODE((tmp_path / name).stat().st_mode) for name in ("ordinary", "ours")}
    assert len(modes) == 1


def test_a_failed_write_keeps_the_old_file_and_leaves_nothing_else(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_bytes(tmp_path / "ours", b"old")

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(FileError, match="No space left"):
        write_bytes(tmp_path / "ours", b"new")
    assert [path.name for path in tmp_path.iterdir()] == ["ours"]
    assert (tmp_path / "ours").read_bytes() == b"old"


def test_a_set_is_put_in_place_together_or_not_at_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    write_all(tmp_path, {"a": b"1", "b": b"1"})
    real = os.fsync
    calls: list[int] = []

    def full_at_the_second(handle: int) -> None:
        calls.append(handle)
        if len(calls) == 2:
            raise OSError(28, "No space left on device")
        real(handle)

    monkeypatch.setattr(os, "fsync", full_at_the_second)
    with pytest.raises(FileError):
        write_all(tmp_path, {"a": b"2", "b": b"2"})
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == {"a": b"1", "b": b"1"}


def test_what_an_earlier_run_left_and_no_longer_belongs_is_removed(tmp_path: Path) -> None:
    (tmp_path / "mine.txt").write_text("a person's own", encoding="utf-8")
    write_all(tmp_path, {"a": b"1", "b": b"1"})
    write_all(tmp_path, {"a": b"2"}, stale=("a", "b"))
    assert sorted(path.name for path in tmp_path.iterdir()) == ["a", "mine.txt"]
