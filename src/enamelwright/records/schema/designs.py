"""Designs and their versions, and the plans that were saved from them."""

from enamelwright.records.kinds import content, happened, kept, once, refers, text, whole, yes_no

design = kept(
    "design",
    text("name", nullable=False, unique=True),
    text("technique"),
    yes_no("invented", nullable=False, server_default="0"),
)

#: One version of a design: the piece as a piece file writes it. Versions are appended, never edited.
design_version = happened(
    "design_version",
    refers("design", "design", nullable=False),
    whole("number", nullable=False),
    refers("before", "design_version"),
    content("piece", nullable=False),
    content("drawing"),
    yes_no("kept_sequence"),
    once("design_version", "design", "number"),
    referred=True,
)

#: A plan as it was printed: input, answer and what made it.
saved_plan = happened(
    "saved_plan",
    refers("design_version", "design_version"),
    content("asked", nullable=False),
    content("answer", nullable=False),
    text("engine", nullable=False),
    text("bench_revision", nullable=False),
)
