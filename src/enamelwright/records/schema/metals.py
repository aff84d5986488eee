"""Metal in stock: sheets and what is left of them."""

from enamelwright.records.kinds import content, day, kept, one_of, quantity, refers, text, whole, yes_no

#: A sheet, or a remnant cut from one; a remnant keeps its outline in millimetres.
sheet = kept(
    "sheet",
    text("label", nullable=False, unique=True),
    text("metal", nullable=False),
    quantity("thickness", "length"),
    quantity("width", "length"),
    quantity("length", "length"),
    content("outline"),
    text("grain"),
    refers("cut_from", "sheet"),
    text("lot"),
    quantity("mass", "mass"),
    whole("price_minor"),
    text("currency"),
    text("bought_from"),
    day("bought_on"),
    one_of("state", "in stock", "used up", "given away"),
    yes_no("invented", nullable=False, server_default="0"),
)
