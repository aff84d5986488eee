"""Every table, one family a file; importing this package declares them all."""

from enamelwright.records.schema import (  # noqa: F401 - each declares its tables
    baths,
    coats,
    designs,
    finished,
    house,
    jars,
    kilns,
    learned,
    loads,
    metals,
    orders,
    people,
    photos,
    pieces,
    tiles,
)
