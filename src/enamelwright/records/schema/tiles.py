"""Layouts of test and control tiles, their spots, and colours read from them."""

from enamelwright.records.kinds import content, happened, kept, number, one_of, refers, text, whole

tile_layout = kept("tile_layout", text("name", nullable=False, unique=True), content("spots", nullable=False))

#: What lies on one spot of a tile.
tile_spot = happened(
    "tile_spot",
    refers("piece", "piece", nullable=False),
    refers("layout", "tile_layout"),
    text("spot", nullable=False),
    text("under"),
    content("coats"),
)

#: A colour read from a tile or a piece.
colour_reading = happened(
    "colour_reading",
    refers("piece", "piece", nullable=False),
    refers("load", "load"),
    refers("photo", "photo"),
    text("spot"),
    number("lightness"),
    number("a"),
    number("b"),
    text("light"),
    whole("observer"),
    content("spectrum"),
    one_of("read_by", "photo with chart", "photo with grey card", "instrument", "typed", "eye"),
    number("error"),
)
