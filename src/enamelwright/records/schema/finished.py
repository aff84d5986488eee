"""Prices, and where finished pieces are."""

from enamelwright.records.kinds import day, happened, kept, number, one_of, refers, text, whole

price = happened(
    "price",
    refers("piece", "piece"),
    refers("design", "design"),
    one_of("channel", "studio", "fair", "gallery", "wholesale", "commission"),
    whole("minor", nullable=False),
    text("currency", nullable=False),
    day("valid_from"),
)

#: A gallery, a fair, a shelf.
outlet = kept(
    "outlet",
    text("name", nullable=False, unique=True),
    one_of("kind", "bench", "fair", "gallery", "shop", "online"),
    number("commission"),
)

#: A piece went somewhere; the last such row says where it is.
whereabouts = happened(
    "whereabouts",
    refers("piece", "piece", nullable=False),
    one_of("place", "bench", "fair", "gallery", "lent", "sold", "given", "kept", "unknown", nullable=False),
    refers("outlet", "outlet"),
    refers("customer_order", "customer_order"),
    whole("asked_minor"),
    whole("taken_minor"),
    text("currency"),
    day("until"),
)
