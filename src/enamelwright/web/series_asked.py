"""What the pages of a series are asked for: how many of each design, for which side, and counts as they are typed."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlencode

from starlette.responses import Response

from enamelwright.errors import InputError
from enamelwright.web.posting import is_row

#: Pieces asked for at most.
MOST = 500


def wanted(asked: Any, letter: str = "n") -> dict[int, int]:
    """Return how many of each design are asked for; those for the other side with the letter m."""
    found = {}
    for key, value in asked.items():
        if key.startswith(letter) and is_row(key[1:]) and is_row(value.strip()):
            found[int(key[1:])] = min(int(value.strip()), MOST)
    return found


def query(asked: Any) -> str:
    """Return what is asked as an address says it, without what belongs to one visit."""
    return urlencode(
        [(key, value) for key, value in asked.items() if value and key not in {"job", "said", "undo", "sheet"}]
    )


def counts(sheet: Any) -> list[tuple[str, int]]:
    """Return how many blanks of each name are on a sheet of an answer, in the order they are laid."""
    found: dict[str, int] = {}
    for one in sheet["blanks"]:
        found[one["name"]] = found.get(one["name"], 0) + 1
    return list(found.items())


def number(text: str, field: str, default: int | None = None) -> int:
    """Read a count of pieces; the default where nothing is typed.

    Raises
    ------
    InputError
        For anything but a whole number of pieces.
    """
    if not text.strip() and default is not None:
        return default
    if not is_row(text.strip()) or not 0 < int(text) <= MOST:
        raise InputError(f"'{text[:20]}' is no count.", f"A whole number up to {MOST}.", field)
    return int(text)


def file(data: bytes, name: str, kind: str) -> Response:
    """Return a file that is shown in its own window."""
    return Response(data, media_type=kind, headers={"Content-Disposition": f'inline; filename="{name}"'})
