"""Keeps pictures as files named by their content; the row that names one is written after the file is there.

A picture goes to a temporary file, onto the disk, into its place; only then may a transaction name
it. A crash in between leaves a file nobody names, never a row without its file.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from enamelwright.files.atomic import write_bytes
from enamelwright.files.errors import FileError
from enamelwright.files.photo import read_photo, small
from enamelwright.records.archive_form import is_hash
from enamelwright.records.errors import NoRoom, RecordError
from enamelwright.records.home import Home
from enamelwright.records.writing import moment

#: Ending of the file of each kind of picture.
ENDINGS = {"jpeg": "jpg", "png": "png"}


@dataclass(frozen=True)
class Picture:
    """A picture that is in its place.

    Attributes
    ----------
    sha256 : str
        Hash of the file.
    columns : dict
        What the row that names it holds, to go into ``work.add(photo, **columns, piece=...)``.
    """

    sha256: str
    columns: dict[str, Any]


def put(home: Home, data: bytes, name: str = "") -> Picture:
    """Put a picture into its place; the same picture twice is one file.

    Parameters
    ----------
    home : Home
        Where the studio's data lives.
    data : bytes
        A whole JPEG, PNG or HEIC file as it came.
    name : str
        Its name, for messages.

    Raises
    ------
    FileError
        When the picture cannot be read or is too large.
    NoRoom
        When the disk is full; nothing is left behind.
    """
    photo = read_photo(data, name)
    digest = hashlib.sha256(photo.content).hexdigest()
    put_bytes(home, digest, photo.kind, photo.content)
    return Picture(
        digest,
        {
            "sha256": digest,
            "kind": photo.kind,
            "bytes": len(photo.content),
            "width": photo.width,
            "height": photo.height,
            "taken_at": moment(photo.taken_at) if photo.taken_at is not None else None,
        },
    )


def put_bytes(home: Home, sha256: str, kind: str, content: bytes) -> Path:
    """Put a picture that is ready into its place, unless it is there already.

    Parameters
    ----------
    home : Home
        Where the studio's data lives.
    sha256 : str
        Hash of the content; checked.
    kind : str
        ``jpeg`` or ``png``.
    content : bytes
        The whole file.

    Raises
    ------
    RecordError
        When the hash is another.
    NoRoom
        When the disk is full; nothing is left behind.
    """
    if hashlib.sha256(content).hexdigest() != sha256:
        raise RecordError("this picture is not the one its name says.", "Use another copy of it.", sha256)
    path = place_of(home, sha256, kind)
    if not whole(path, sha256):
        _write(path, content)
    return path


def place_of(home: Home, sha256: str, kind: str) -> Path:
    """Return where a picture is kept.

    Parameters
    ----------
    home : Home
        Where the studio's data lives.
    sha256, kind : str
        As its row says.

    Raises
    ------
    RecordError
        When the row does not name a picture.
    """
    if not is_hash(sha256) or kind not in ENDINGS:
        raise RecordError("this names no picture.", "", f"{sha256[:70]} {kind[:20]}")
    return home.photos / sha256[:2] / f"{sha256}.{ENDINGS[kind]}"


def thumbnail(home: Home, sha256: str, kind: str) -> Path:
    """Return a small JPEG of a picture, made when there is none yet.

    Parameters
    ----------
    home : Home
        Where the studio's data lives.
    sha256, kind : str
        As its row says.

    Raises
    ------
    RecordError
        When the picture itself is missing or damaged.
    """
    source = place_of(home, sha256, kind)
    path = home.photos / "small" / sha256[:2] / f"{sha256}.jpg"
    if path.exists():
        return path
    if not whole(source, sha256):
        raise RecordError("this picture is missing or damaged.", "Fetch it from the outside copy.", str(source))
    _write(path, small(source.read_bytes()))
    return path


def whole(path: Path, sha256: str) -> bool:
    """Whether a picture is in its place and is still the one its name says."""
    try:
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").hexdigest() == sha256
    except OSError:
        return False


def _write(path: Path, content: bytes) -> None:
    try:
        write_bytes(path, content)
    except FileError as error:
        raise NoRoom("the photo cannot be written.", "Free some space and try again.", str(path)) from error
