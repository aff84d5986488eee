"""Kilns, what was done to them, what anchors their display, and supports."""

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

#: `described` is the kiln as :class:`enamelwright.craft.kiln.Kiln` writes it outside.
kiln = kept("kiln", text("name", nullable=False, unique=True), content("described", nullable=False))

#: What was done to a kiln; some kinds begin a new epoch, before which its display is not comparable.
kiln_event = happened(
    "kiln_event",
    refers("kiln", "kiln", nullable=False),
    one_of(
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
        nullable=False,
    ),
    yes_no("new_epoch"),
    quantity("duration", "time"),
    number("duty"),
    quantity("shown", "temperature"),
)

#: One comparison of the display with a temperature that is known.
anchor = happened(
    "anchor",
    refers("kiln", "kiln", nullable=False),
    text("against", nullable=False),
    quantity("known", "temperature"),
    quantity("shown", "temperature"),
    yes_no("melted"),
    quantity("held", "time"),
    text("position"),
)

support = kept(
    "support",
    text("name", nullable=False, unique=True),
    text("kind", nullable=False),
    quantity("mass", "mass"),
    quantity("width", "length"),
    quantity("length", "length"),
    quantity("height", "length"),
    whole("owned"),
    day("washed_on"),
)
