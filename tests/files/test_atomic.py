"""A file is written whole or not at all, and may be read by whom the process allows."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from enamelwright.files.atomic import write_bytes
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
