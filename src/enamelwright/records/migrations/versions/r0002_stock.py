"""Metals, jars and lots, baths and waste, and what people were exposed to."""

from __future__ import annotations

from enamelwright.records.migrations.first import happened, kept, look_up, real, refers, text, whole, words

revision = "0002"
down_revision = "0001"


def upgrade() -> None:
    """Make the tables."""
    kept(
        "sheet",
        text("label", needed=True, once=True),
        text("metal", needed=True),
        real("thickness"),
        real("width"),
        real("length"),
        text("outline"),
        text("grain"),
        refers("cut_from", "sheet"),
        text("lot"),
        real("mass"),
        whole("price_minor"),
        text("currency"),
        text("bought_from"),
        text("bought_on"),
        words("state", "in stock", "used up", "given away"),
        whole("invented", needed=True, begins="0"),
    )
    look_up("sheet", "cut_from")
    kept(
        "jar",
        text("code", needed=True, once=True),
        text("name", needed=True),
        text("kind", needed=True),
        text("family"),
        text("described", needed=True),
        real("reorder_below"),
        whole("invented", needed=True, begins="0"),
    )
    kept(
        "lot",
        refers("jar", "jar", needed=True),
        text("label", needed=True),
        text("bought_on"),
        text("opened_on"),
        text("washed_on"),
        text("use_by"),
        real("bought_grams"),
        whole("mesh"),
        whole("price_minor"),
        text("currency"),
        text("bought_from"),
        text("hazards"),
        words("condition", "good", "damp", "many fines", "mixed", "doubtful"),
        whole("finished", needed=True, begins="0"),
    )
    look_up("lot", "jar")
    happened(
        "jar_fact",
        refers("jar", "jar", needed=True),
        refers("lot", "lot"),
        text("fact", needed=True),
        real("value"),
        text("dimension"),
        text("answer"),
        words("origin", "measured", "learned", "data sheet", "safety data sheet", "label", "told", "assumption"),
        text("source"),
        text("status"),
        text("said_on"),
    )
    look_up("jar_fact", "jar", "lot")
    happened(
        "powder_work",
        refers("lot", "lot", needed=True),
        words("work", "washed", "ground", "sieved", "dried", "tested", needed=True),
        whole("mesh"),
        real("before"),
        real("after"),
        text("sieves"),
    )
    look_up("powder_work", "lot")
    kept(
        "bath",
        text("name", needed=True, once=True),
        words("kind", "pickle", "etching liquor", "rinse", needed=True),
        text("recipe"),
        text("made_of"),
        real("volume"),
        text("opened_on"),
        text("closed_on"),
        whole("met_cadmium"),
        whole("met_lead"),
        whole("met_silver"),
        whole("invented", needed=True, begins="0"),
    )
    kept(
        "waste_container",
        text("label", needed=True, once=True),
        text("contents"),
        text("hazards"),
        text("destination"),
        text("opened_on"),
        text("handed_in_on"),
        text("handed_to"),
    )
    happened(
        "waste_entry",
        refers("container", "waste_container", needed=True),
        refers("bath", "bath"),
        text("what", needed=True),
        real("mass"),
        real("volume"),
    )
    look_up("waste_entry", "container", "bath")
    happened(
        "exposure",
        refers("person", "person"),
        refers("lot", "lot"),
        words(
            "work", "sifting", "dry brushing", "dry sanding", "wet stoning", "open door", "pickle", "etching", "other"
        ),
        real("grams"),
        real("duration"),
        real("looks"),
        whole("wet"),
        text("mask"),
        text("extraction"),
    )
    look_up("exposure", "person", "lot")
