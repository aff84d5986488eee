"""Undo of what was just written: what happened is withdrawn, what is kept goes back one version."""

from __future__ import annotations

from collections.abc import Iterable

from sqlalchemy import Table, select

from enamelwright.errors import InputError
from enamelwright.records.schema.house import past_version
from enamelwright.workshop.history import noun_table, withdraw
from enamelwright.workshop.studio import Studio

#: The reason that stands in the history.
WHY = "taken back"
#: More rows than this did not come from one tap.
MOST = 64


def take_back(studio: Studio, rows: Iterable[tuple[str, int, int]]) -> None:
    """Take back what one tap wrote, all or nothing; everything stays readable in the history.

    Parameters
    ----------
    studio : Studio
        The studio.
    rows : iterable of (str, int, int)
        Noun, as for :func:`enamelwright.workshop.history.noun_table`, row, and for a kept row the version that
        tap wrote (0 for what happened). A kept row goes back to the version before; a new one is put away.

    Raises
    ------
    InputError
        When there is nothing to take back or too much, or it is not told which version of a kept row was written.
    Conflict
        When a kept row has moved on since.
    """
    wanted = list(rows)
    if not 1 <= len(wanted) <= MOST:
        raise InputError("there is nothing to take back.", "Correct it in the record of the piece.")
    with studio.writing():
        for noun, row, version in reversed(wanted):
            table = noun_table(noun)
            if table.info["kind"] == "kept":
                _back_one(studio, table, row, version)
            elif table.info["kind"] == "happened":
                withdraw(studio, noun, row, WHY)
            else:
                raise InputError("this cannot be taken back.", "Correct it in the record of the piece.")


def _back_one(studio: Studio, table: Table, row: int, version: int) -> None:
    if version < 1:  # without it, what somebody else wrote meanwhile would go as well
        raise InputError("it is not told which state was written.", "Change it back on its own page.")
    with studio.writing() as work:
        past = work.connection.execute(
            select(past_version.c.fields)
            .where(past_version.c.of_table == table.name, past_version.c.of_id == row)
            .order_by(past_version.c.version.desc())
            .limit(1)
        ).one_or_none()
        if past is None:
            work.change(table, row, version, put_away=True)
            return
        own = {"id", "version", "made_at", "changed_at", "changed_by"}
        before = {name: value for name, value in past.fields.items() if name in table.c and name not in own}
        work.change(table, row, version, **before)
