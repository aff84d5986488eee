"""Words the first revisions are written in: the kinds of table as they were when the record began.

Frozen: a later idea of a table belongs into a later revision, never in here.
"""

from __future__ import annotations

from typing import Any

import sqlalchemy as sa
from alembic import op
from sqlalchemy.dialects.sqlite import REAL

_REAL: sa.types.TypeEngine[float] = sa.Double().with_variant(REAL(), "sqlite")
_FUNCTION = """
CREATE OR REPLACE FUNCTION never_change() RETURNS trigger LANGUAGE plpgsql AS
$$ BEGIN RAISE EXCEPTION '% is only ever added to', TG_TABLE_NAME; END $$
"""


def text(name: str, *, needed: bool = False, once: bool = False) -> sa.Column[Any]:
    """Return a column of text, JSON, days or moments."""
    return sa.Column(name, sa.Text(), nullable=not needed, unique=once or None)


def whole(name: str, *, needed: bool = False, begins: str | None = None) -> sa.Column[Any]:
    """Return a column of whole numbers, or of yes and no."""
    return sa.Column(name, sa.Integer(), nullable=not needed, server_default=begins)


def real(name: str) -> sa.Column[Any]:
    """Return a column of numbers."""
    return sa.Column(name, _REAL)


def words(name: str, *allowed: str, needed: bool = False) -> sa.Column[Any]:
    """Return a column of text that holds one of a few words, or nothing."""
    listed = ", ".join("'" + word.replace("'", "''") + "'" for word in allowed)
    check = sa.CheckConstraint(f"{name} IN ({listed})", name=f"{name}_words")
    return sa.Column(name, sa.Text(), check, nullable=not needed)


def refers(name: str, table: str, *, needed: bool = False, deleted: str | None = None) -> sa.Column[Any]:
    """Return a column that names a row of another table."""
    return sa.Column(name, sa.Integer(), sa.ForeignKey(f"{table}.id", ondelete=deleted), nullable=not needed)


def happened(name: str, *columns: Any) -> None:
    """Make a table of what happened, with its guards and its look-ups."""
    op.create_table(
        name,
        sa.Column("id", sa.Integer(), primary_key=True),
        sa.Column("entry", sa.Text(), sa.ForeignKey("device_entry.entry"), nullable=False),
        refers("first", name),
        refers("corrects", name),
        whole("withdrawn", needed=True, begins="0"),
        text("why"),
        text("at"),
        text("recorded_at", needed=True),
        refers("who", "person"),
        *columns,
        text("words"),
        text("typed"),
        sa.UniqueConstraint("corrects"),
        sa.CheckConstraint("(corrects IS NULL) = (first IS NULL)", name="chain"),
        sa.CheckConstraint("withdrawn = 0 OR corrects IS NOT NULL", name="withdrawal"),
        sqlite_strict=True,
    )
    look_up(name, "first")
    guard(name, "UPDATE", "DELETE")


def kept(name: str, *columns: Any) -> None:
    """Make a table of what is kept."""
    op.create_table(
        name,
        sa.Column("id", sa.Integer(), primary_key=True),
        whole("version", needed=True, begins="1"),
        text("made_at", needed=True),
        text("changed_at", needed=True),
        refers("changed_by", "person"),
        whole("put_away", needed=True, begins="0"),
        *columns,
        text("words"),
        text("typed"),
        sqlite_strict=True,
    )


def derived(name: str, *columns: Any) -> None:
    """Make a table of what was worked out."""
    op.create_table(
        name,
        sa.Column("id", sa.Integer(), primary_key=True),
        text("made_at", needed=True),
        text("engine", needed=True),
        *columns,
        sqlite_strict=True,
    )


def housekeeping(name: str, *columns: Any) -> None:
    """Make a table the house needs for itself."""
    op.create_table(name, *columns, sqlite_strict=True)


def look_up(table: str, *columns: str) -> None:
    """Make lists find rows by each of these columns alone."""
    for column in columns:
        op.create_index(f"ix_{table}_{column}", table, [column])


def on_sqlite() -> bool:
    """Whether the database at hand is SQLite."""
    return bool(op.get_bind().dialect.name == "sqlite")


def guard(table: str, *actions: str) -> None:
    """Make the database itself refuse to change rows of a table, or to take them out."""
    for action in actions:
        name = f"never_{action.lower()}_{table}"
        if on_sqlite():
            does = f"BEGIN SELECT RAISE(ABORT, '{table} is only ever added to'); END"
        else:
            does = "FOR EACH ROW EXECUTE FUNCTION never_change()"
        op.execute(f"CREATE TRIGGER {name} BEFORE {action} ON {table} {does}")


def begin() -> None:
    """Make what the guards call."""
    if not on_sqlite():
        op.execute(_FUNCTION)
