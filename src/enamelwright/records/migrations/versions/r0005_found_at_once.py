"""A load and a version of a design have one number each, and lists find their rows at once."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0005"
down_revision = "0004"


def upgrade() -> None:
    """Make the indexes."""
    first_rows = sa.text("corrects IS NULL")
    for table, *columns in (("design_version", "design", "number"), ("load", "number")):
        name = f"once_{table}_{'_'.join(columns)}"
        op.create_index(name, table, columns, unique=True, sqlite_where=first_rows, postgresql_where=first_rows)
    for table in ("coat_laid", "design_version", "load", "photo"):  # a chain by its first row
        op.create_index(f"of_{table}", table, [sa.text("CAST(coalesce(first, id) AS INTEGER)")])
    for table in ("exposure", "load"):  # a span of days, and the newest first
        op.create_index(f"ix_{table}_at", table, ["at"])
