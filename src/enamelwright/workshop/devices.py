"""Tablets and telephones that may speak to the app: paired, named, revoked; only a hash of each token is kept."""

from __future__ import annotations

import hashlib
import secrets
from typing import Any

from sqlalchemy import Row, select, update

from enamelwright.errors import InputError
from enamelwright.records.errors import RecordError
from enamelwright.records.schema.house import device as device_table
from enamelwright.workshop.named import in_use
from enamelwright.workshop.studio import Studio

#: What a device is called when nobody says, and the most signs of its name.
NAMELESS, LONGEST_NAME = "tablet", 40
#: Bytes of a token.
TOKEN = 32
#: A device is noted as seen at most this often: the same minute is not written twice [signs of the moment].
_MINUTE = len("2026-03-02T10:15")


def hashed(token: str) -> str:
    """Return what is kept of a token."""
    return hashlib.sha256(token.encode()).hexdigest()


def pair(studio: Studio, label: str, may: str = "write") -> str:
    """Pair a device and return its token, which is told once and never kept.

    Parameters
    ----------
    studio : Studio
        The studio.
    label : str
        What it is called; a number is added when another one is called so.
    may : str
        ``write``, or ``read`` for a guest.
    """
    wished = " ".join(label.split())[:LONGEST_NAME] or NAMELESS
    token = secrets.token_urlsafe(TOKEN)
    with studio.writing() as work:
        taken = {str(one).casefold() for one in work.connection.execute(select(device_table.c.label)).scalars()}
        name, more = wished, 1
        while name.casefold() in taken:
            more += 1
            name = f"{wished} {more}"
        work.keep(device_table, label=name, token_hash=hashed(token), may=may, revoked=False)
    return token


def right_of(studio: Studio, token: str) -> str:
    """Return what the device of a token may do: ``write``, ``read`` or nothing.

    Parameters
    ----------
    studio : Studio
        The studio.
    token : str
        As the device sent it; empty when it has none.
    """
    if not token:
        return ""
    with studio.reading() as view:
        found = view.execute(
            select(device_table.c.may).where(
                device_table.c.token_hash == hashed(token),
                device_table.c.revoked == False,  # noqa: E712 - SQL, not Python
                in_use(device_table),
            )
        ).scalar()
    return str(found or "")


def devices(studio: Studio) -> list[Row[Any]]:
    """List every device that was ever paired, those that may still speak first."""
    with studio.reading() as view:
        return list(
            view.execute(
                select(device_table).where(in_use(device_table)).order_by(device_table.c.revoked, device_table.c.label)
            )
        )


def device_row(studio: Studio, row: int) -> Row[Any]:
    """Return one device.

    Raises
    ------
    RecordError
        When there is none.
    """
    with studio.reading() as view:
        found = view.execute(select(device_table).where(device_table.c.id == row)).one_or_none()
    if found is None:
        raise RecordError("there is no such device.", "Open the list again.")
    return found


def change_device(
    studio: Studio, row: int, *, label: str = "", may: str = "", revoked: bool | None = None, version: int | None = None
) -> int:
    """Rename a device, change what it may do, or turn it away, and return its new version.

    Parameters
    ----------
    studio : Studio
        The studio.
    row : int
        The device.
    label, may : str
        Its new name, and ``write`` or ``read``; as before when empty.
    revoked : bool, optional
        True turns it away from its next request on.
    version : int, optional
        The version that was shown when the change was made.

    Raises
    ------
    InputError
        When another device is called so.
    Conflict
        When it was changed since `version`.
    """
    changes: dict[str, Any] = {}
    if label.strip():
        changes["label"] = " ".join(label.split())[:LONGEST_NAME]
    if may:
        changes["may"] = "read" if may == "read" else "write"
    if revoked is not None:
        changes["revoked"] = revoked
    with studio.writing():
        before = device_row(studio, row)
        others = {one.label.casefold() for one in devices(studio) if one.id != row}
        if "label" in changes and changes["label"].casefold() in others:
            raise InputError("another device is called so.", "Choose another name.", "label")
        if all(getattr(before, key) == value for key, value in changes.items()):
            return int(before.version)
        return studio.change(device_table, row, version, **changes)


def saw(studio: Studio, token: str) -> None:
    """Note that a device spoke, at most once a minute; it is no change of what is kept of it.

    Parameters
    ----------
    studio : Studio
        The studio.
    token : str
        As the device sent it.
    """
    now = studio.now()
    with studio.reading() as view:
        found = view.execute(
            select(device_table.c.id, device_table.c.seen_at).where(device_table.c.token_hash == hashed(token))
        ).one_or_none()
    if found is None or (found.seen_at or "")[:_MINUTE] == now[:_MINUTE]:
        return
    with studio.store.keeping_house() as connection:  # nothing was told, and nothing is to be taken back
        connection.execute(update(device_table).where(device_table.c.id == found.id).values(seen_at=now))
