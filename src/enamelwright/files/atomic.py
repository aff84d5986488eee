"""Write a file whole or not at all."""

from __future__ import annotations

import os
import tempfile
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
    temporary = ""
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        handle, temporary = tempfile.mkstemp(dir=path.parent, prefix=".part-")
        with os.fdopen(handle, "wb") as out:
            out.write(data)
            out.flush()
            os.fsync(out.fileno())
        Path(temporary).chmod(0o666 & ~_mask())
        Path(temporary).replace(path)
    except OSError as error:
        if temporary:
            Path(temporary).unlink(missing_ok=True)
        reason = error.strerror or type(error).__name__
        raise FileError(
            f"this cannot be written ({reason}).", "Free some room or choose another folder.", str(path)
        ) from error


def _mask() -> int:
    """Return the permissions this process withholds; mkstemp withholds more than a plan needs."""
    mask = os.umask(0)
    os.umask(mask)
    return mask
