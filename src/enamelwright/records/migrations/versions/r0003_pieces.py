"""Designs, orders and pieces, and where pieces went."""

from __future__ import annotations

from enamelwright.records.migrations.first import happened, kept, look_up, real, refers, text, whole, words

revision = "0003"
down_revision = "0002"


def upgrade() -> None:
    """Make the tables."""
    kept("design", text("name", needed=True, once=True), text("technique"), whole("invented", needed=True, begins="0"))
    happened(
        "design_version",
        refers("design", "design", needed=True),
        whole("number", needed=True),
        refers("before", "design_version"),
        text("piece", needed=True),
        text("drawing"),
        whole("kept_sequence"),
    )
    look_up("design_version", "design", "before")
    happened(
        "saved_plan",
        refers("design_version", "design_version"),
        text("asked", needed=True),
        text("answer", needed=True),
        text("engine", needed=True),
        text("bench_revision", needed=True),
    )
    look_up("saved_plan", "design_version")
    kept("batch", text("name", needed=True), refers("design_version", "design_version"), text("made_on"))
    look_up("batch", "design_version")
    kept("customer", text("label", needed=True), text("contact"))
    kept(
        "customer_order",
        text("number", needed=True, once=True),
        refers("customer", "customer", deleted="SET NULL"),
        text("brief"),
        text("options"),
        text("approved_look"),
        text("asked_on"),
        text("deposit_due_on"),
        text("change_by"),
        text("due_on"),
        text("collected_on"),
        whole("agreed_minor"),
        text("currency"),
        words(
            "state", "asked", "offered", "agreed", "in work", "ready", "collected", "declined", "cancelled", needed=True
        ),
    )
    look_up("customer_order", "customer", "due_on", "state")
    kept(
        "order_line",
        refers("customer_order", "customer_order", needed=True),
        refers("design", "design"),
        text("what"),
        whole("count"),
        whole("each_minor"),
    )
    look_up("order_line", "customer_order", "design")
    kept(
        "piece",
        text("number", needed=True, once=True),
        text("label"),
        words("kind", "piece", "test tile", "control tile", "strip", "sample", needed=True),
        refers("design_version", "design_version"),
        refers("batch", "batch"),
        refers("order_line", "order_line"),
        refers("sheet", "sheet"),
        refers("owner", "person"),
        text("metal"),
        real("thickness"),
        real("metal_mass"),
        text("started_on"),
        text("finished_on"),
        words("state", "planned", "in work", "finished", "second", "study", "spoilt", "lost", needed=True),
        words("place", "bench", "fair", "gallery", "lent", "sold", "given", "kept", "unknown"),
        whole("invented", needed=True, begins="0"),
    )
    look_up("piece", "label", "design_version", "batch", "order_line", "sheet", "owner", "started_on", "state", "place")
    happened(
        "price",
        refers("piece", "piece"),
        refers("design", "design"),
        words("channel", "studio", "fair", "gallery", "wholesale", "commission"),
        whole("minor", needed=True),
        text("currency", needed=True),
        text("valid_from"),
    )
    look_up("price", "piece", "design")
    happened(
        "payment",
        refers("customer_order", "customer_order"),
        refers("piece", "piece"),
        words("kind", "deposit", "balance", "sale", "class", "refund", needed=True),
        whole("minor", needed=True),
        text("currency", needed=True),
        text("how"),
    )
    look_up("payment", "customer_order", "piece")
    happened(
        "whereabouts",
        refers("piece", "piece", needed=True),
        words("place", "bench", "fair", "gallery", "lent", "sold", "given", "kept", "unknown", needed=True),
        refers("outlet", "outlet"),
        refers("customer_order", "customer_order"),
        whole("asked_minor"),
        whole("taken_minor"),
        text("currency"),
        text("until"),
    )
    look_up("whereabouts", "piece", "outlet", "customer_order")
