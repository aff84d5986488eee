"""Every state a record was in, and tables by their names."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Connection, Table, select

from enamelwright.records.errors import RecordError
from enamelwright.records.kinds import metadata
from enamelwright.records.schema.house import past_version


def history(connection: Connection, table: Table, row: int) -> list[dict[str, Any]]:
    """Return every state of one record, oldest first.

    Parameters
    ----------
    connection : Connection
        A view of the record.
    table : Table
        Of the kind *happened* or *kept*.
    row : int
        Any row of the chain, or the id of what is kept.
    """
    if table.info["kind"] == "happened":
        found = connection.execute(select(table.c.first, table.c.id).where(table.c.id == row)).one_or_none()
        if found is None:
            return []
        first = found.first or found.id
        rows = connection.execute(
            select(table).where((table.c.id == first) | (table.c.first == first)).order_by(table.c.id)
        )
        return [dict(one._mapping) for one in rows]
    past = connection.execute(
        select(past_version.c.fields, past_version.c.version)
        .where(past_version.c.of_table == table.name, past_version.c.of_id == row)
        .order_by(past_version.c.version)
    )
    states = [{"id": row, "version": one.version, **one.fields} for one in past]
    now = connection.execute(select(table).where(table.c.id == row)).one_or_none()
    return states + ([dict(now._mapping)] if now is not None else [])


def table_named(name: str) -> Table:
    """Return a table by name.

    Raises
    ------
    RecordError
        When there is none.
    """
    try:
        return metadata.tables[name]
    except KeyError as error:
        raise RecordError(f"the record has no table '{name}'.") from error
