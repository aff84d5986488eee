"""Lists stay quick when years of work stand behind them."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

revision = "0006"
down_revision = "0005"


def upgrade() -> None:
    """Make the indexes."""
    still_in = sa.text("closed_at IS NULL AND withdrawn = 0")
    op.create_index("ix_load_open", "load", ["id"], sqlite_where=still_in, postgresql_where=still_in)
    level = ["lot", "kind", "at", "withdrawn", "first", "grams", "id"]
    op.create_index("ix_stock_movement_level", "stock_movement", level)
    op.create_index("ix_coat_laid_at", "coat_laid", ["at"])
    op.create_index("ix_coat_laid_colour", "coat_laid", ["jar", "piece", "withdrawn"])
