"""Write files whole or not at all: one, or a set that belongs together."""

from __future__ import annotations

import os
import tempfile
from collections.abc import Iterable, Mapping
from pathlib import Path

from enamelwright.files.errors import FileError


def write_bytes(path: Path, data: bytes) -> None:
    """Write `data` to `path` so that a crash leaves the old file or the new one, never half of one.

    Parameters
    ----------
    path : Path
        Where to write; missing folders are made.
    data : bytes
        The whole content.

    Raises
    ------
    FileError
        When the place cannot be written; nothing is left behind.
    """
    write_all(path.parent, {path.name: data})


def write_all(folder: Path, files: Mapping[str, bytes], stale: Iterable[str] = ()) -> list[Path]:
    """Write a set of files that belong together.

    Every part is on the disk before the first takes its place, so a full disk changes nothing.

    Parameters
    ----------
    folder : Path
        Where to; made when missing.
    files : mapping of str to bytes
        Name and whole content; put in place in this order.
    stale : iterable of str
        Names of our own from an earlier run, removed when they are not among `files`.

    Returns
    -------
    list of Path
        The files written.

    Raises
    ------
    FileError
        When the place cannot be written; nothing is left behind.
    """
    parts: dict[str, Path] = {}
    try:
        folder.mkdir(parents=True, exist_ok=True)
        for name, data in files.items():
            handle, part = tempfile.mkstemp(dir=folder, prefix=".part-")
            parts[name] = Path(part)
            with os.fdopen(handle, "wb") as out:
                out.write(data)
                out.flush()
                os.fsync(out.fileno())
            parts[name].chmod(0o666 & ~_mask())
        for name, temporary in parts.items():
            temporary.replace(folder / name)
        for name in set(stale) - set(files):
            (folder / name).unlink(missing_ok=True)
    except OSError as error:
        for temporary in parts.values():
            temporary.unlink(missing_ok=True)
        reason = error.strerror or type(error).__name__
        where = folder / next(iter(files)) if len(files) == 1 else folder
        raise FileError(
            f"this cannot be written ({reason}).", "Free some room or choose another folder.", str(where)
        ) from error
    return [folder / name for name in files]


def _mask() -> int:
    """Return the permissions this process withholds; mkstemp withholds more than a plan needs."""
    mask = os.umask(0)
    os.umask(mask)
    return mask
