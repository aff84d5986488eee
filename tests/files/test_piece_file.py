"""Piece files from strangers: one sentence, nothing lost."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from enamelwright.errors import InputError
from enamelwright.files.piece_file import LARGEST_PIECE, read_piece

GOOD = """
name = "disc"
[metal]
kind = "copper"
thickness = "20 gauge (B&S)"
[outline]
shape = "circle"
diameter_mm = 25
"""


def refused(tmp_path: Path, data: bytes) -> str:
    """Return the sentence a file is refused with."""
    path = tmp_path / "piece.toml"
    path.write_bytes(data)
    with pytest.raises(InputError) as caught:
        read_piece(path)
    sentence = str(caught.value)
    assert "piece.toml" in sentence
    assert "\n" not in sentence
    return sentence


def test_a_gauge_with_its_system_is_read(tmp_path: Path) -> None:
    path = tmp_path / "piece.toml"
    path.write_text("\ufeff" + GOOD, encoding="utf-8")
    # 20 B&S = 0.127 mm x 92^(16/39), definition
    assert read_piece(path).piece.metal.thickness == pytest.approx(0.127e-3 * 92 ** (16 / 39))


def test_a_syntax_error_names_its_line(tmp_path: Path) -> None:
    assert "line 3" in refused(tmp_path, b'name = "x"\n[metal]\nkind = = 1\n')


def test_a_bare_gauge_is_asked_about(tmp_path: Path) -> None:
    sentence = refused(tmp_path, GOOD.replace("20 gauge (B&S)", "22 gauge").encode())
    assert "metal.thickness" in sentence
    assert "0.64" in sentence


def test_too_large_is_refused_unread(tmp_path: Path) -> None:
    assert "kB" in refused(tmp_path, b"#" * (LARGEST_PIECE + 10))
    assert "kB" in refused(tmp_path, b"a = 1\n" * 1_700_000)


@pytest.mark.parametrize(
    "data",
    [
        b"\xff\xfe\x00\x01",
        b"x = " + b"[" * 5000 + b"]" * 5000,
        b"a." * 3000 + b"b = 1",
        b"x = " + b"9" * 5000,
        b"",
        b"name = 3",
    ],
)
def test_junk_is_refused(tmp_path: Path, data: bytes) -> None:
    assert refused(tmp_path, data)


def test_a_missing_file_and_a_folder_are_refused(tmp_path: Path) -> None:
    for path in (tmp_path / "none.toml", tmp_path):
        with pytest.raises(InputError, match="no such file"):
            read_piece(path)


def test_a_drawing_outside_the_folder_is_refused(tmp_path: Path) -> None:
    text = GOOD.replace('shape = "circle"\ndiameter_mm = 25', 'shape = "drawing"\nfile = "../../etc/passwd"')
    assert "outside the folder" in refused(tmp_path, text.encode())


@settings(max_examples=150, deadline=None)
@given(data=st.binary(max_size=200))
def test_no_bytes_escape_as_anything_but_one_sentence(tmp_path_factory: pytest.TempPathFactory, data: bytes) -> None:
    path = tmp_path_factory.mktemp("fuzz") / "piece.toml"
    path.write_bytes(data)
    with pytest.raises(InputError):
        read_piece(path)


@pytest.mark.parametrize("name", ["me.svg", "../out.svg", "linked.svg", "missing.svg"])
def test_a_drawing_that_leads_nowhere_or_elsewhere_is_refused(tmp_path: Path, name: str) -> None:
    folder = tmp_path / "pieces"
    folder.mkdir()
    (tmp_path / "out.svg").write_text("<svg/>")
    (folder / "me.svg").symlink_to(folder / "me.svg")
    (folder / "linked.svg").symlink_to(tmp_path / "out.svg")
    refused(folder, GOOD.replace('"circle"\ndiameter_mm = 25', f'"drawing"\nfile = "{name}"').encode())
