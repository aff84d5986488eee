"""No way round the guards, and a snapshot says how many entries it holds."""

from __future__ import annotations

import sqlalchemy as sa
from alembic import op

from enamelwright.records.migrations.first import guard, on_sqlite

revision = "0007"
down_revision = "0006"

_HAPPENED = (
    "anchor", "bath_entry", "coat_laid", "colour_reading", "design_version", "exposure", "fault_seen", "finish",
    "hand_time", "jar_fact", "kiln_event", "load", "load_piece", "look", "measure", "mishap", "payment", "photo",
    "powder_work", "prediction", "price", "saved_plan", "stock_movement", "tile_spot", "waste_entry", "whereabouts",
)  # fmt: skip
_ONCE = {"design_version": ("design", "number"), "load": ("number",)}
_KEYS = {
    "number_given": (("series", "year", "serial"), ("number",)),
    "past_version": (("id",), ("of_table", "of_id", "version")),
    "device_entry": (("entry",),),
}
_NOT_THE_ANSWER = ("entry", "device", "device_at", "arrived_at", "fingerprint")


def upgrade() -> None:
    """Make the triggers and the column."""
    op.add_column("snapshot_taken", sa.Column("entries", sa.Integer()))
    for table in (*_HAPPENED, *_KEYS):
        if on_sqlite():
            _guard_places(table)
        else:
            op.execute(
                f"CREATE TRIGGER never_truncate_{table} BEFORE TRUNCATE ON {table} "
                "FOR EACH STATEMENT EXECUTE FUNCTION never_change()"
            )
    guard("device_entry", "DELETE")
    differs = "IS NOT" if on_sqlite() else "IS DISTINCT FROM"
    more = " OR ".join(["OLD.result IS NOT NULL", *(f"NEW.{name} {differs} OLD.{name}" for name in _NOT_THE_ANSWER)])
    if on_sqlite():
        does = f"WHEN {more} BEGIN SELECT RAISE(ABORT, 'device_entry is only ever added to'); END"
    else:
        does = f"FOR EACH ROW WHEN ({more}) EXECUTE FUNCTION never_change()"
    op.execute(f"CREATE TRIGGER never_update_device_entry BEFORE UPDATE ON device_entry {does}")


def _guard_places(table: str) -> None:
    """Refuse a new row that has a key of another, which INSERT OR REPLACE would take out."""
    taken = []
    for key in _KEYS.get(table, (("id",), ("corrects",))):
        same = " AND ".join(f"{name} = NEW.{name}" for name in key)
        taken.append(f"EXISTS (SELECT 1 FROM {table} WHERE {same})")
    if table in _ONCE:
        same = " AND ".join(f"{name} = NEW.{name}" for name in _ONCE[table])
        taken.append(f"NEW.corrects IS NULL AND EXISTS (SELECT 1 FROM {table} WHERE {same} AND corrects IS NULL)")
    op.execute(
        f"CREATE TRIGGER never_replace_{table} BEFORE INSERT ON {table} WHEN {' OR '.join(taken)} "
        f"BEGIN SELECT RAISE(ABORT, '{table} is only ever added to'); END"
    )
