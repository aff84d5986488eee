"""Triggers that make the database itself refuse to change what happened, and numbers once given."""

from __future__ import annotations

from collections.abc import Iterator

from sqlalchemy import Table

#: Tables besides those of what happened whose rows are never changed or taken out.
ALSO = ("number_given", "past_version")


def guards(table: Table, dialect: str) -> Iterator[tuple[str, str]]:
    """Yield (name, statement) of the triggers of one table.

    Parameters
    ----------
    table : Table
        Any table; only those of what happened, and given numbers, get triggers.
    dialect : str
        ``sqlite`` or ``postgresql``.
    """
    if table.info["kind"] != "happened" and table.name not in ALSO:
        return
    # Removing a customer takes their earlier versions along, which is what removing means.
    actions = ("UPDATE",) if table.name == "past_version" else ("UPDATE", "DELETE")
    for action in actions:
        name = f"never_{action.lower()}_{table.name}"
        if dialect == "sqlite":
            yield (
                name,
                (
                    f"CREATE TRIGGER {name} BEFORE {action} ON {table.name} "
                    f"BEGIN SELECT RAISE(ABORT, '{table.name} is only ever added to'); END"
                ),
            )
        else:
            yield (
                name,
                (f"CREATE TRIGGER {name} BEFORE {action} ON {table.name} FOR EACH ROW EXECUTE FUNCTION never_change()"),
            )


#: What the triggers of PostgreSQL call.
POSTGRESQL_FUNCTION = """
CREATE OR REPLACE FUNCTION never_change() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN RAISE EXCEPTION '% is only ever added to', TG_TABLE_NAME; END $$
"""
