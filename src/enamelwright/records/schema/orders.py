"""Orders, their lines and what was paid; money in the smallest coin."""

from enamelwright.records.kinds import content, day, happened, kept, one_of, refers, text, whole

customer_order = kept(
    "customer_order",
    text("number", nullable=False, unique=True),
    refers("customer", "customer", deleted="SET NULL"),
    text("brief"),
    content("options"),
    text("approved_look"),
    day("asked_on"),
    day("deposit_due_on"),
    day("change_by"),
    day("due_on", index=True),
    day("collected_on"),
    whole("agreed_minor"),
    text("currency"),
    one_of(
        "state",
        "asked",
        "offered",
        "agreed",
        "in work",
        "ready",
        "collected",
        "declined",
        "cancelled",
        nullable=False,
        index=True,
    ),
)

order_line = kept(
    "order_line",
    refers("customer_order", "customer_order", nullable=False),
    refers("design", "design"),
    text("what"),
    whole("count"),
    whole("each_minor"),
)

payment = happened(
    "payment",
    refers("customer_order", "customer_order"),
    refers("piece", "piece"),
    one_of("kind", "deposit", "balance", "sale", "class", "refund", nullable=False),
    whole("minor", nullable=False),
    text("currency", nullable=False),
    text("how"),
)
