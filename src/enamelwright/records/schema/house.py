"""What the house needs for itself: device entries, given numbers, earlier versions, settings, drafts, jobs."""

from sqlalchemy import Column, Integer, PrimaryKeyConstraint, Text, UniqueConstraint

from enamelwright.records.kinds import content, housekeeping, instant, kept, number, one_of, text, whole, yes_no

#: One row for every write that arrived, by the id its device made; sending it again finds this row.
device_entry = housekeeping(
    "device_entry",
    Column("entry", Text, primary_key=True),
    text("device"),
    instant("device_at"),
    instant("arrived_at", nullable=False),
    text("fingerprint"),
    content("result"),
)

#: Permanent numbers, given on arrival and never again.
number_given = housekeeping(
    "number_given",
    text("series", nullable=False),
    whole("year", nullable=False),
    whole("serial", nullable=False),
    text("number", nullable=False),
    instant("given_at", nullable=False),
    PrimaryKeyConstraint("series", "year", "serial"),
    UniqueConstraint("number"),
)

#: What a kept row was before each change.
past_version = housekeeping(
    "past_version",
    Column("id", Integer, primary_key=True),
    text("of_table", nullable=False),
    whole("of_id", nullable=False),
    whole("version", nullable=False),
    instant("replaced_at", nullable=False),
    content("fields", nullable=False),
    UniqueConstraint("of_table", "of_id", "version"),
)

#: House rules and preferences, one a row.
setting = kept("setting", text("key", nullable=False, unique=True), content("value"))

#: A tablet or telephone that was paired; only a hash of its token is kept.
device = kept(
    "device",
    text("label", nullable=False, unique=True),
    text("token_hash", nullable=False, unique=True),
    one_of("may", "write", "read", nullable=False),
    yes_no("revoked", nullable=False, server_default="0"),
    instant("seen_at"),
)

#: What somebody is still typing; Undo goes back to `before`.
draft = housekeeping(
    "draft",
    Column("id", Integer, primary_key=True),
    text("subject", nullable=False, index=True),
    whole("before"),
    instant("at", nullable=False),
    content("content", nullable=False),
)

#: Long work the one worker does.
job = housekeeping(
    "job",
    Column("id", Integer, primary_key=True),
    text("kind", nullable=False),
    one_of("state", "waiting", "running", "done", "failed", "stopped", nullable=False, index=True),
    number("fraction"),
    text("words"),
    content("asked"),
    content("result"),
    instant("made_at", nullable=False),
    instant("beat_at"),
)

#: Copies of the record that were taken, whether they were read back, and how many device entries each holds.
snapshot_taken = housekeeping(
    "snapshot_taken",
    Column("id", Integer, primary_key=True),
    instant("at", nullable=False, index=True),
    one_of("reason", "before migration", "close of day", "asked for", "outside copy", nullable=False),
    text("file", nullable=False),
    text("sha256"),
    yes_no("verified"),
    yes_no("outside", nullable=False),
    whole("entries"),
)
