"""Errors of the record.

RecordError          the record refuses, and nothing was changed
|- Conflict          somebody else changed the same thing first; both values are carried
|- ForeignRecord     the database is damaged, is no record of ours, or is of a later version
`- NoRoom            the disk is full or cannot be written
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from enamelwright.errors import EnamelwrightError


class RecordError(EnamelwrightError):
    """The record refuses; nothing was changed."""


class ForeignRecord(RecordError):
    """The database is damaged, is no record of ours, or is of a later version."""


class NoRoom(RecordError):
    """The disk is full or cannot be written; nothing was changed."""


class Conflict(RecordError):
    """Somebody else changed the same thing first.

    Parameters
    ----------
    message, remedy, where : str
        As for every error.
    mine, theirs : mapping
        The values that were sent, and what stands there now.
    """

    def __init__(
        self,
        message: str,
        remedy: str = "",
        where: str = "",
        mine: Mapping[str, Any] | None = None,
        theirs: Mapping[str, Any] | None = None,
    ) -> None:
        super().__init__(message, remedy, where)
        self.mine = dict(mine or {})
        self.theirs = dict(theirs or {})
