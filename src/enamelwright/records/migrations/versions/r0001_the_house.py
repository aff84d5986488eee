"""The house itself, its people, kilns and whatever is not about one enamel or one piece."""

from __future__ import annotations

import sqlalchemy as sa

from enamelwright.records.migrations.first import (
    begin,
    derived,
    guard,
    happened,
    housekeeping,
    kept,
    look_up,
    real,
    refers,
    text,
    whole,
    words,
)

revision = "0001"
down_revision = None


def upgrade() -> None:
    """Make the tables."""
    begin()
    housekeeping(
        "device_entry",
        sa.Column("entry", sa.Text(), primary_key=True),
        text("device"),
        text("device_at"),
        text("arrived_at", needed=True),
        text("fingerprint"),
        text("result"),
    )
    housekeeping(
        "number_given",
        text("series", needed=True),
        whole("year", needed=True),
        whole("serial", needed=True),
        text("number", needed=True),
        text("given_at", needed=True),
        sa.PrimaryKeyConstraint("series", "year", "serial"),
        sa.UniqueConstraint("number"),
    )
    guard("number_given", "UPDATE", "DELETE")
    housekeeping(
        "past_version",
        sa.Column("id", sa.Integer(), primary_key=True),
        text("of_table", needed=True),
        whole("of_id", needed=True),
        whole("version", needed=True),
        text("replaced_at", needed=True),
        text("fields", needed=True),
        sa.UniqueConstraint("of_table", "of_id", "version"),
    )
    guard("past_version", "UPDATE")
    housekeeping(
        "draft",
        sa.Column("id", sa.Integer(), primary_key=True),
        text("subject", needed=True),
        whole("before"),
        text("at", needed=True),
        text("content", needed=True),
    )
    look_up("draft", "subject")
    housekeeping(
        "job",
        sa.Column("id", sa.Integer(), primary_key=True),
        text("kind", needed=True),
        words("state", "waiting", "running", "done", "failed", "stopped", needed=True),
        real("fraction"),
        text("words"),
        text("asked"),
        text("result"),
        text("made_at", needed=True),
        text("beat_at"),
    )
    look_up("job", "state")
    housekeeping(
        "snapshot_taken",
        sa.Column("id", sa.Integer(), primary_key=True),
        text("at", needed=True),
        words("reason", "before migration", "close of day", "asked for", "outside copy", needed=True),
        text("file", needed=True),
        text("sha256"),
        whole("verified"),
        whole("outside", needed=True),
    )
    look_up("snapshot_taken", "at")
    kept("person", text("label", needed=True, once=True), words("role", "maker", "helper", "student", "guest"))
    kept(
        "device",
        text("label", needed=True, once=True),
        text("token_hash", needed=True, once=True),
        words("may", "write", "read", needed=True),
        whole("revoked", needed=True, begins="0"),
        text("seen_at"),
    )
    kept("setting", text("key", needed=True, once=True), text("value"))
    kept(
        "outlet",
        text("name", needed=True, once=True),
        words("kind", "bench", "fair", "gallery", "shop", "online"),
        real("commission"),
    )
    kept(
        "support",
        text("name", needed=True, once=True),
        text("kind", needed=True),
        real("mass"),
        real("width"),
        real("length"),
        real("height"),
        whole("owned"),
        text("washed_on"),
    )
    kept("tile_layout", text("name", needed=True, once=True), text("spots", needed=True))
    derived(
        "posterior",
        text("of_table", needed=True),
        whole("of_id"),
        text("quantity", needed=True),
        text("figures", needed=True),
        text("from_records", needed=True),
    )
    kept("kiln", text("name", needed=True, once=True), text("described", needed=True))
    happened(
        "kiln_event",
        refers("kiln", "kiln", needed=True),
        words(
            "what",
            "thermocouple moved",
            "thermocouple changed",
            "element changed",
            "relined",
            "controller tuned",
            "moved",
            "furniture cleaned",
            "kiln wash",
            "minutes to set point",
            "hold duty",
            "note",
            needed=True,
        ),
        whole("new_epoch"),
        real("duration"),
        real("duty"),
        real("shown"),
    )
    look_up("kiln_event", "kiln")
    happened(
        "anchor",
        refers("kiln", "kiln", needed=True),
        text("against", needed=True),
        real("known"),
        real("shown"),
        whole("melted"),
        real("held"),
        text("position"),
    )
    look_up("anchor", "kiln")
