"""People, as labels only, and customers, who can be removed without breaking a record."""

from sqlalchemy import Index

from enamelwright.records.kinds import happened, kept, number, one_of, quantity, refers, text, yes_no

person = kept(
    "person",
    text("label", nullable=False, unique=True),
    one_of("role", "maker", "helper", "student", "guest"),
)

customer = kept("customer", text("label", nullable=False), text("contact"))

#: What somebody was exposed to in one piece of work.
exposure = happened(
    "exposure",
    refers("person", "person"),
    refers("lot", "lot"),
    one_of("work", "sifting", "dry brushing", "dry sanding", "wet stoning", "open door", "pickle", "etching", "other"),
    quantity("grams", "mass"),
    quantity("duration", "time"),
    number("looks"),
    yes_no("wet"),
    text("mask"),
    text("extraction"),
    Index("ix_exposure_at", "at"),
)
