"""Decodes a picture in a process of its own, with limits of the system on its memory and its time.

Run as ``python -m enamelwright.files.photo_apart``: the file comes in, one line of JSON and the
finished picture go out, or one line of JSON with what is wrong.
"""

from __future__ import annotations

import json
import subprocess
import sys
from datetime import datetime

from enamelwright.files.errors import FileError
from enamelwright.files.photo import Photo, decode

#: What the process may use: memory [bytes] and time [s]; sixty million pixels need a fifth of either.
MOST_MEMORY, MOST_SECONDS = 3 << 30, 60
_REFUSED = 3


def read_apart(data: bytes, where: str = "") -> Photo:
    """Read a photo in a process of its own.

    Parameters
    ----------
    data : bytes
        A whole file.
    where : str
        Its name, for the message.

    Raises
    ------
    FileError
        When it cannot be read, or brings the process down.
    """
    try:
        done = subprocess.run(
            [sys.executable, "-m", "enamelwright.files.photo_apart"],
            input=data, capture_output=True, timeout=2 * MOST_SECONDS, check=False,
        )  # fmt: skip
    except (OSError, subprocess.TimeoutExpired) as error:
        raise FileError("this photo cannot be decoded here.", "Send it as JPEG.", where) from error
    head, _, content = done.stdout.partition(b"\n")
    if done.returncode == _REFUSED:
        told = json.loads(head)
        raise FileError(told["message"], told["remedy"], where)
    if done.returncode != 0:
        raise FileError("this photo is damaged.", "Send it again, or take it again.", where)
    told = json.loads(head)
    taken_at = datetime.fromisoformat(told["taken_at"]) if told["taken_at"] else None
    return Photo(content, told["kind"], told["width"], told["height"], taken_at)


def _limit() -> None:
    try:
        import resource
    except ImportError:  # a system that has no such limits
        return
    resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))
    resource.setrlimit(resource.RLIMIT_CPU, (MOST_SECONDS, MOST_SECONDS))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def _main() -> int:
    _limit()
    try:
        photo = decode(sys.stdin.buffer.read())
    except FileError as error:
        sys.stdout.buffer.write(json.dumps({"message": error.message, "remedy": error.remedy}).encode() + b"\n")
        return _REFUSED
    told = {
        "kind": photo.kind,
        "width": photo.width,
        "height": photo.height,
        "taken_at": photo.taken_at.isoformat() if photo.taken_at is not None else "",
    }
    sys.stdout.buffer.write(json.dumps(told).encode() + b"\n" + photo.content)
    return 0


if __name__ == "__main__":
    sys.exit(_main())
