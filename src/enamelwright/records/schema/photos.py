"""Photos: the row that names a picture kept by its hash."""

from enamelwright.records.kinds import happened, instant, refers, text, whole

photo = happened(
    "photo",
    text("sha256", nullable=False, index=True),
    text("kind", nullable=False),
    whole("bytes", nullable=False),
    whole("width", nullable=False),
    whole("height", nullable=False),
    instant("taken_at"),
    refers("piece", "piece"),
    refers("load", "load"),
    refers("jar", "jar"),
    refers("customer_order", "customer_order"),
    text("shows"),
    referred=True,
)
