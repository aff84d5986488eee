"""Pieces with their permanent numbers, batches, and what was measured, found and done on a piece."""

from enamelwright.records.kinds import (
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

#: Pieces worked together.
batch = kept("batch", text("name", nullable=False), refers("design_version", "design_version"), day("made_on"))

#: A piece, a tile, a strip: anything that goes into the kiln and has a number.
piece = kept(
    "piece",
    text("number", nullable=False, unique=True),
    text("label", index=True),
    one_of("kind", "piece", "test tile", "control tile", "strip", "sample", nullable=False),
    refers("design_version", "design_version"),
    refers("batch", "batch"),
    refers("order_line", "order_line"),
    refers("sheet", "sheet"),
    refers("owner", "person"),
    text("metal"),
    quantity("thickness", "length"),
    quantity("metal_mass", "mass"),
    day("started_on", index=True),
    day("finished_on"),
    one_of("state", "planned", "in work", "finished", "second", "study", "spoilt", "lost", nullable=False, index=True),
    one_of("place", "bench", "fair", "gallery", "lent", "sold", "given", "kept", "unknown", index=True),
    yes_no("invented", nullable=False, server_default="0"),
)

#: A number read off a piece: bow, thickness, weight.
measure = happened(
    "measure",
    refers("piece", "piece", nullable=False),
    refers("load", "load"),
    one_of(
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
        nullable=False,
    ),
    quantity("length", "length"),
    quantity("mass", "mass"),
    quantity("over", "length"),
    text("tool"),
)

#: A fault that was seen.
fault_seen = happened(
    "fault_seen",
    refers("piece", "piece", nullable=False),
    refers("load", "load"),
    text("fault", nullable=False),
    one_of("when_seen", "in the kiln", "first minute", "hours later", "next days", "on stoning", "on setting", "later"),
    text("place_on_piece"),
    one_of("severity", "trace", "seen", "spoils"),
    text("remedy_tried"),
    yes_no("healed"),
)

#: Stoning, flash preparation, polishing, setting: work after the kiln.
finish = happened(
    "finish",
    refers("piece", "piece"),
    refers("batch", "batch"),
    one_of(
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
        nullable=False,
    ),
    text("grit"),
    yes_no("wet"),
    quantity("duration", "time"),
)

#: Something that went wrong in the hand, kept and not learned from.
mishap = happened(
    "mishap",
    refers("piece", "piece"),
    refers("load", "load"),
    one_of("what", "dropped", "slid off", "stuck", "touched", "powder lost", "knocked", "other", nullable=False),
)

#: Hand time, by batch or by piece.
hand_time = happened(
    "hand_time",
    refers("piece", "piece"),
    refers("batch", "batch"),
    text("work", nullable=False),
    quantity("duration", "time"),
    whole("pieces"),
    number("share"),
)
