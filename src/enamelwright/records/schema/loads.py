"""Loads: what was in the kiln at once, how it was fired, what was seen, and what had been foretold."""

from sqlalchemy import Index
from sqlalchemy import text as sql

from enamelwright.records.kinds import (
    content,
    happened,
    instant,
    number,
    once,
    one_of,
    quantity,
    refers,
    text,
    whole,
    yes_no,
)

#: Rows in which a load has not come out.
OPEN = sql("closed_at IS NULL AND withdrawn = 0")
STAGES = ("powder", "sugar", "orange peel", "gloss", "cleared", "over-fired")

#: One trip of the door: everything in the kiln at once.
load = happened(
    "load",
    text("number", nullable=False, index=True),
    refers("kiln", "kiln"),
    quantity("set_point", "temperature"),
    quantity("shown_at_load", "temperature"),
    quantity("shown_lowest", "temperature"),
    one_of("start", "load", "recovered"),
    quantity("seconds", "time"),
    quantity("to_gloss", "time"),
    one_of("stage_seen", *STAGES),
    one_of("target", *STAGES),
    one_of("face_up", "front", "back"),
    text("support"),
    refers("support_owned", "support"),
    quantity("idle_before", "time"),
    one_of("cooled", "on the pad", "in the kiln", "slowly", "quenched", "under weight"),
    yes_no("interrupted"),
    text("programme"),
    instant("closed_at"),
    once("load", "number"),
    Index("ix_load_at", "at"),
    Index("ix_load_open", "id", sqlite_where=OPEN, postgresql_where=OPEN),
    referred=True,
)

#: A piece in a load; what differs from the load as a whole.
load_piece = happened(
    "load_piece",
    refers("load", "load", nullable=False),
    refers("piece", "piece", nullable=False),
    whole("firing"),
    text("position"),
    one_of("face_up", "front", "back"),
    text("support"),
    one_of("stage_seen", *STAGES),
    quantity("seconds", "time"),
    quantity("to_gloss", "time"),
    yes_no("do_not_learn"),
)

#: One look through the door, and whether the load went back in.
look = happened(
    "look",
    refers("load", "load", nullable=False),
    refers("piece", "piece"),
    quantity("seconds", "time"),
    quantity("shown", "temperature"),
    one_of("stage_seen", *STAGES),
    quantity("door_open", "time"),
    yes_no("back_in"),
)

#: What was foretold when a load went in, frozen before the outcome was seen.
prediction = happened(
    "prediction",
    refers("load", "load", nullable=False),
    refers("piece", "piece"),
    refers("design_version", "design_version"),
    whole("firing"),
    content("asked"),
    content("figures", nullable=False),
    text("engine", nullable=False),
    text("bench_revision", nullable=False),
    number("seed"),
)
