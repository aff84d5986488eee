"""Numbers that tell whether anything was written in some tables since somebody looked."""

from __future__ import annotations

from sqlalchemy import Connection, Table, func, select

from enamelwright.records.schema.house import past_version
from enamelwright.workshop.studio import Studio


class Marks:
    """The newest rows of some tables, and of what stood in them before.

    Whatever happens, is corrected or is withdrawn is a new row; whatever is kept and changed leaves a past version.

    Parameters
    ----------
    *tables : Table
        All that somebody reads.
    """

    def __init__(self, *tables: Table) -> None:
        self.tables = tables
        kept = [table.name for table in tables if table.info["kind"] == "kept"]
        past = select(func.max(past_version.c.id)).where(past_version.c.of_table.in_(kept))
        self._newest = select(
            past.scalar_subquery(), *(select(func.max(table.c.id)).scalar_subquery() for table in tables)
        )

    def of(self, studio: Studio) -> tuple[int, ...]:
        """Return the marks of this record as it stands.

        Parameters
        ----------
        studio : Studio
            The studio.
        """
        with studio.reading() as connection:
            return self.on(connection)

    def on(self, connection: Connection) -> tuple[int, ...]:
        """Return the marks as one transaction sees them.

        Parameters
        ----------
        connection : Connection
            Its connection.
        """
        return tuple(int(one or 0) for one in connection.execute(self._newest).one())
