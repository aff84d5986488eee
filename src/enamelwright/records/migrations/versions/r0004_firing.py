"""Coats and loads, what was foretold, and everything seen and done afterwards."""

from __future__ import annotations

from enamelwright.records.migrations.first import happened, look_up, real, refers, text, whole, words

revision = "0004"
down_revision = "0003"


def upgrade() -> None:
    """Make the tables."""
    happened(
        "load",
        text("number", needed=True),
        refers("kiln", "kiln"),
        real("set_point"),
        real("shown_at_load"),
        real("shown_lowest"),
        words("start", "load", "recovered"),
        real("seconds"),
        real("to_gloss"),
        words("stage_seen", "powder", "sugar", "orange peel", "gloss", "cleared", "over-fired"),
        words("target", "powder", "sugar", "orange peel", "gloss", "cleared", "over-fired"),
        words("face_up", "front", "back"),
        text("support"),
        refers("support_owned", "support"),
        real("idle_before"),
        words("cooled", "on the pad", "in the kiln", "slowly", "quenched", "under weight"),
        whole("interrupted"),
        text("programme"),
        text("closed_at"),
    )
    look_up("load", "number", "kiln", "support_owned")
    happened(
        "load_piece",
        refers("load", "load", needed=True),
        refers("piece", "piece", needed=True),
        whole("firing"),
        text("position"),
        words("face_up", "front", "back"),
        text("support"),
        words("stage_seen", "powder", "sugar", "orange peel", "gloss", "cleared", "over-fired"),
        real("seconds"),
        real("to_gloss"),
        whole("do_not_learn"),
    )
    look_up("load_piece", "load", "piece")
    happened(
        "coat_laid",
        refers("piece", "piece", needed=True),
        refers("lot", "lot"),
        refers("jar", "jar"),
        refers("load", "load"),
        whole("coat"),
        words("face", "front", "back", "rim", "inside"),
        text("cell"),
        text("method"),
        real("weighed_before"),
        real("weighed_after"),
        real("on_piece"),
        real("weighed_out"),
        real("powder_depth"),
        whole("mesh"),
        text("holding_agent"),
        real("gum_ratio"),
        real("dried"),
        whole("vapour_seen"),
    )
    look_up("coat_laid", "piece", "lot", "jar", "load")
    happened(
        "stock_movement",
        refers("lot", "lot"),
        refers("sheet", "sheet"),
        words("kind", "bought", "used", "lost", "washed out", "given away", "returned", "counted", needed=True),
        real("grams"),
        whole("count"),
        refers("coat", "coat_laid"),
    )
    look_up("stock_movement", "lot", "sheet", "coat")
    happened(
        "look",
        refers("load", "load", needed=True),
        refers("piece", "piece"),
        real("seconds"),
        real("shown"),
        words("stage_seen", "powder", "sugar", "orange peel", "gloss", "cleared", "over-fired"),
        real("door_open"),
        whole("back_in"),
    )
    look_up("look", "load", "piece")
    happened(
        "prediction",
        refers("load", "load", needed=True),
        refers("piece", "piece"),
        refers("design_version", "design_version"),
        whole("firing"),
        text("asked"),
        text("figures", needed=True),
        text("engine", needed=True),
        text("bench_revision", needed=True),
        real("seed"),
    )
    look_up("prediction", "load", "piece", "design_version")
    happened(
        "fault_seen",
        refers("piece", "piece", needed=True),
        refers("load", "load"),
        text("fault", needed=True),
        words(
            "when_seen", "in the kiln", "first minute", "hours later", "next days", "on stoning", "on setting", "later"
        ),
        text("place_on_piece"),
        words("severity", "trace", "seen", "spoils"),
        text("remedy_tried"),
        whole("healed"),
    )
    look_up("fault_seen", "piece", "load")
    happened(
        "measure",
        refers("piece", "piece", needed=True),
        refers("load", "load"),
        words(
            "what",
            "bow",
            "total thickness",
            "metal thickness",
            "weight before",
            "weight after",
            "weight",
            "width",
            "depth of recess",
            "other",
            needed=True,
        ),
        real("length"),
        real("mass"),
        real("over"),
        text("tool"),
    )
    look_up("measure", "piece", "load")
    happened(
        "finish",
        refers("piece", "piece"),
        refers("batch", "batch"),
        words(
            "work",
            "stone",
            "burr out",
            "glass brush",
            "file edge",
            "polish",
            "press flat",
            "set",
            "clean oxide",
            "other",
            needed=True,
        ),
        text("grit"),
        whole("wet"),
        real("duration"),
    )
    look_up("finish", "piece", "batch")
    happened(
        "mishap",
        refers("piece", "piece"),
        refers("load", "load"),
        words("what", "dropped", "slid off", "stuck", "touched", "powder lost", "knocked", "other", needed=True),
    )
    look_up("mishap", "piece", "load")
    happened(
        "hand_time",
        refers("piece", "piece"),
        refers("batch", "batch"),
        text("work", needed=True),
        real("duration"),
        whole("pieces"),
        real("share"),
    )
    look_up("hand_time", "piece", "batch")
    happened(
        "bath_entry",
        refers("bath", "bath", needed=True),
        words(
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
            needed=True,
        ),
        refers("piece", "piece"),
        refers("load", "load"),
        whole("pieces"),
        real("ph"),
        real("mass"),
        real("before"),
        real("after"),
        real("volume"),
        real("temperature"),
        real("duration"),
        real("copper_area"),
    )
    look_up("bath_entry", "bath", "piece", "load")
    happened(
        "photo",
        text("sha256", needed=True),
        text("kind", needed=True),
        whole("bytes", needed=True),
        whole("width", needed=True),
        whole("height", needed=True),
        text("taken_at"),
        refers("piece", "piece"),
        refers("load", "load"),
        refers("jar", "jar"),
        refers("customer_order", "customer_order"),
        text("shows"),
    )
    look_up("photo", "sha256", "piece", "load", "jar", "customer_order")
    happened(
        "tile_spot",
        refers("piece", "piece", needed=True),
        refers("layout", "tile_layout"),
        text("spot", needed=True),
        text("under"),
        text("coats"),
    )
    look_up("tile_spot", "piece", "layout")
    happened(
        "colour_reading",
        refers("piece", "piece", needed=True),
        refers("load", "load"),
        refers("photo", "photo"),
        text("spot"),
        real("lightness"),
        real("a"),
        real("b"),
        text("light"),
        whole("observer"),
        text("spectrum"),
        words("read_by", "photo with chart", "photo with grey card", "instrument", "typed", "eye"),
        real("error"),
    )
    look_up("colour_reading", "piece", "load", "photo")
