"""Copies of the record and a notebook, as a maker meets them in the terminal."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

NOTEBOOK = "Date;Piece;Kiln;Temp (°C);Time (min);Stage;Moon\n2024-04-03;A1;Rosa;790;2,5;gloss;full\n2024-04-04;A2;Rosa;1450 F;2:30;wobbly;\n"


@pytest.fixture
def home(tmp_path: Path) -> Path:
    """A data folder."""
    return tmp_path / "studio"


def run(*arguments: str | Path, ok: bool = True) -> str:
    """Run the command in a process of its own and return what it says."""
    done = subprocess.run(
        [sys.executable, "-m", "enamelwright", *map(str, arguments)],
        capture_output=True, text=True, timeout=300, check=False,
    )  # fmt: skip
    assert (done.returncode == 0) is ok, done.stderr
    assert "Traceback" not in done.stderr
    return done.stdout if ok else done.stderr


def test_a_notebook_is_shown_before_it_is_written(home: Path, tmp_path: Path) -> None:
    file = tmp_path / "old.csv"
    file.write_text(NOTEBOOK, encoding="utf-8-sig")
    said = run("notebook", file, "--home", home)
    for words in ("set_point", "2 of 2 rows", "'wobbly'", "Moon", "Nothing was written"):
        assert words in said
    assert not home.exists()
    assert "firings 2, new pieces 2, new kilns 1" in run(
        "notebook", file, "--column", "Moon=-", "--write", "--home", home
    )
    assert "nothing was written again" in run("notebook", file, "--write", "--home", home)
    assert "Write it like" in run("notebook", file, "--column", "Moon", ok=False)


def test_a_record_is_lost_and_comes_back(home: Path, tmp_path: Path) -> None:
    """Notebook in, copy to a stick, disk broken, back from the stick; then out and into another studio."""
    file, stick = tmp_path / "old.csv", tmp_path / "stick"
    file.write_text(NOTEBOOK, encoding="utf-8")
    stick.mkdir()
    run("notebook", file, "--write", "--home", home)
    assert "no outside copy" in run("outside-copy", "--when", "--home", home)
    said = run("outside-copy", stick, "--home", home)
    assert "Last outside copy today" in said
    assert "same disk" in said
    (copy,) = (stick / "snapshots").glob("*.sqlite")
    (home / "studio.sqlite").write_bytes(b"broken" * 1000)
    said = run("snapshot", "--home", home, ok=False)
    assert len(said.strip().splitlines()) == 1
    assert "moved aside" in run("restore", copy, "--home", home)
    assert "read back" in run("snapshot", "--home", home)
    listed = run("snapshot", "--list", "--home", home)
    assert "asked for" in listed
    assert "outside copy" in listed
    name = listed.split()[-1]
    assert "To undo this" in run("restore", name, "--home", home)
    run("archive", "out", tmp_path / "all.zip", "--home", home)
    assert "here already" in run("archive", "in", tmp_path / "all.zip", "--home", home, ok=False)
    run("archive", "in", tmp_path / "all.zip", "--home", tmp_path / "other")
    run("archive", "out", tmp_path / "again.zip", "--home", tmp_path / "other")
    assert (tmp_path / "all.zip").read_bytes() == (tmp_path / "again.zip").read_bytes()
