"""Coats as they were really laid."""

from sqlalchemy import Index

from enamelwright.records.kinds import happened, number, one_of, quantity, refers, text, whole, yes_no

coat_laid = happened(
    "coat_laid",
    refers("piece", "piece", nullable=False),
    refers("lot", "lot"),
    refers("jar", "jar"),
    refers("load", "load"),
    whole("coat"),
    one_of("face", "front", "back", "rim", "inside"),
    text("cell"),
    text("method"),
    quantity("weighed_before", "mass"),
    quantity("weighed_after", "mass"),
    quantity("on_piece", "mass"),
    quantity("weighed_out", "mass"),
    quantity("powder_depth", "length"),
    whole("mesh"),
    text("holding_agent"),
    number("gum_ratio"),
    quantity("dried", "time"),
    yes_no("vapour_seen"),
    Index("ix_coat_laid_at", "at"),
    Index("ix_coat_laid_colour", "jar", "piece", "withdrawn"),  # which pieces carry a jar
    referred=True,
)
