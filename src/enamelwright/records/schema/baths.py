"""Pickle baths and etching liquors with their entries, and waste until it is handed in."""

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

bath = kept(
    "bath",
    text("name", nullable=False, unique=True),
    one_of("kind", "pickle", "etching liquor", "rinse", nullable=False),
    text("recipe"),
    content("made_of"),
    quantity("volume", "volume"),
    day("opened_on"),
    day("closed_on"),
    yes_no("met_cadmium"),
    yes_no("met_lead"),
    yes_no("met_silver"),
    yes_no("invented", nullable=False, server_default="0"),
)

bath_entry = happened(
    "bath_entry",
    refers("bath", "bath", nullable=False),
    one_of(
        "what",
        "dip",
        "top up",
        "acidity",
        "colour",
        "temperature",
        "drawn off",
        "spill",
        "settled",
        "other",
        nullable=False,
    ),
    refers("piece", "piece"),
    refers("load", "load"),
    whole("pieces"),
    number("ph"),
    quantity("mass", "mass"),
    quantity("before", "mass"),
    quantity("after", "mass"),
    quantity("volume", "volume"),
    quantity("temperature", "temperature"),
    quantity("duration", "time"),
    quantity("copper_area", "area"),
)

waste_container = kept(
    "waste_container",
    text("label", nullable=False, unique=True),
    text("contents"),
    content("hazards"),
    text("destination"),
    day("opened_on"),
    day("handed_in_on"),
    text("handed_to"),
)

waste_entry = happened(
    "waste_entry",
    refers("container", "waste_container", nullable=False),
    refers("bath", "bath"),
    text("what", nullable=False),
    quantity("mass", "mass"),
    quantity("volume", "volume"),
)
