"""Triggers that make the database itself refuse to change what happened, numbers once given, and what arrived."""

from __future__ import annotations

from collections.abc import Iterator

from sqlalchemy import Table, UniqueConstraint

#: Tables besides those of what happened whose rows are never changed or taken out.
ALSO = ("number_given", "past_version", "device_entry")


def guards(table: Table, dialect: str) -> Iterator[tuple[str, str]]:
    """Yield (name, statement) of the triggers of one table.

    A row may neither be changed nor taken out, on SQLite not by ``INSERT OR REPLACE`` either, which
    takes a row out without telling its triggers, and on PostgreSQL not by ``TRUNCATE``, which does
    the same with all of them. The answer to a device's entry is written once, after the entry.

    Parameters
    ----------
    table : Table
        Any table; only those of what happened, given numbers, earlier versions and device entries get triggers.
    dialect : str
        ``sqlite`` or ``postgresql``.
    """
    if table.info["kind"] != "happened" and table.name not in ALSO:
        return
    on_sqlite = dialect == "sqlite"
    # Removing a customer takes their earlier versions along, which is what removing means.
    actions = ("UPDATE",) if table.name == "past_version" else ("UPDATE", "DELETE")
    for action in actions:
        answered = action == "UPDATE" and table.name == "device_entry"
        yield _trigger(table, action, action, dialect, _more_than_the_answer(table, on_sqlite) if answered else "")
    if on_sqlite:
        yield _trigger(table, "REPLACE", "INSERT", dialect, " OR ".join(_takes_a_place(table)))
    else:
        yield _trigger(table, "TRUNCATE", "TRUNCATE", dialect, "")


def _trigger(table: Table, what: str, action: str, dialect: str, when: str) -> tuple[str, str]:
    name = f"never_{what.lower()}_{table.name}"
    begins = f"CREATE TRIGGER {name} BEFORE {action} ON {table.name}"
    if dialect == "sqlite":
        only = f" WHEN {when}" if when else ""
        return name, f"{begins}{only} BEGIN SELECT RAISE(ABORT, '{table.name} is only ever added to'); END"
    each = "STATEMENT" if action == "TRUNCATE" else "ROW"
    only = f" WHEN ({when})" if when else ""
    return name, f"{begins} FOR EACH {each}{only} EXECUTE FUNCTION never_change()"


def _more_than_the_answer(table: Table, on_sqlite: bool) -> str:
    """Say in SQL that a change of a device entry is not its first answer alone."""
    differs = "IS NOT" if on_sqlite else "IS DISTINCT FROM"
    others = [column.name for column in table.c if column.name != "result"]
    return " OR ".join(["OLD.result IS NOT NULL", *(f"NEW.{name} {differs} OLD.{name}" for name in others)])


def _takes_a_place(table: Table) -> Iterator[str]:
    """Say in SQL that a new row has a key some row has already, one condition for each key."""
    keys = [[column.name for column in table.primary_key]]
    keys += sorted([c.name for c in one.columns] for one in table.constraints if isinstance(one, UniqueConstraint))
    for key in keys:
        same = " AND ".join(f"{name} = NEW.{name}" for name in key)
        yield f"EXISTS (SELECT 1 FROM {table.name} WHERE {same})"
    for index in sorted((one for one in table.indexes if one.unique), key=lambda one: str(one.name)):  # of `once`
        same = " AND ".join(f"{column.name} = NEW.{column.name}" for column in index.columns)
        yield f"NEW.corrects IS NULL AND EXISTS (SELECT 1 FROM {table.name} WHERE {same} AND corrects IS NULL)"


#: What the triggers of PostgreSQL call.
POSTGRESQL_FUNCTION = """
CREATE OR REPLACE FUNCTION never_change() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN RAISE EXCEPTION '% is only ever added to', TG_TABLE_NAME; END $$
"""
