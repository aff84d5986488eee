"""Jars, the lots they are bought in, what is known of them, and every gram that moved."""

from sqlalchemy import Index

from enamelwright.records.kinds import (
    content,
    day,
    happened,
    kept,
    number,
    one_of,
    quantity,
    refers,
    text,
    whole,
    yes_no,
)

#: One enamel. `described` is the jar as :class:`enamelwright.craft.jar.Jar` writes it outside.
jar = kept(
    "jar",
    text("code", nullable=False, unique=True),
    text("name", nullable=False),
    text("kind", nullable=False),
    text("family"),
    content("described", nullable=False),
    quantity("reorder_below", "mass"),
    yes_no("invented", nullable=False, server_default="0"),
)

#: One fact about a jar with where it comes from; a later fact does not erase an earlier one.
jar_fact = happened(
    "jar_fact",
    refers("jar", "jar", nullable=False),
    refers("lot", "lot"),
    text("fact", nullable=False),
    number("value"),
    text("dimension"),
    text("answer"),
    one_of("origin", "measured", "learned", "data sheet", "safety data sheet", "label", "told", "assumption"),
    text("source"),
    text("status"),
    day("said_on"),
)

lot = kept(
    "lot",
    refers("jar", "jar", nullable=False),
    text("label", nullable=False),
    day("bought_on"),
    day("opened_on"),
    day("washed_on"),
    day("use_by"),
    quantity("bought_grams", "mass"),
    whole("mesh"),
    whole("price_minor"),
    text("currency"),
    text("bought_from"),
    content("hazards"),
    one_of("condition", "good", "damp", "many fines", "mixed", "doubtful"),
    yes_no("finished", nullable=False, server_default="0"),
)

#: Grams in and out of one lot, sheet or other stock. A count sets the level; the others change it.
stock_movement = happened(
    "stock_movement",
    refers("lot", "lot"),
    refers("sheet", "sheet"),
    one_of("kind", "bought", "used", "lost", "washed out", "given away", "returned", "counted", nullable=False),
    quantity("grams", "mass"),
    whole("count"),
    refers("coat", "coat_laid"),
    Index(
        "ix_stock_movement_level", "lot", "kind", "at", "withdrawn", "first", "grams", "id"
    ),  # what a level is made of
)

#: What was done to the powder of a lot.
powder_work = happened(
    "powder_work",
    refers("lot", "lot", nullable=False),
    one_of("work", "washed", "ground", "sieved", "dried", "tested", nullable=False),
    whole("mesh"),
    quantity("before", "mass"),
    quantity("after", "mass"),
    content("sieves"),
)
