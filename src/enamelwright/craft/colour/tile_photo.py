"""What was read off one photo of tiles beside a card, as numbers: the input from which colours are worked out."""

from __future__ import annotations

from typing import Annotated, Literal, get_args

from pydantic import Field, model_validator

from enamelwright.craft.description import Described
from enamelwright.errors import InputError
from enamelwright.reference.loader import rows

#: Codes of a picture as shares of full scale, red, green and blue.
Share = Annotated[float, Field(ge=0, le=1)]
Codes = tuple[Share, Share, Share]
Lab = tuple[
    Annotated[float, Field(ge=0, le=110)],
    Annotated[float, Field(ge=-150, le=150)],
    Annotated[float, Field(ge=-150, le=150)],
]  # fmt: skip
CardKind = Literal["24 patches", "own values", "grey"]
Edition = Literal["from November 2014", "before November 2014", "unknown"]
#: How the codes of a picture stand for light: as on a screen (JPEG, HEIC, most PNG) or in proportion to it.
Coding = Literal["screen", "linear"]
#: How the tiles were lit; it decides whether metal below clear glass is seen mirroring.
Geometry = Literal["tent", "lamps at 45 degrees", "unknown"]


class Region(Described):
    """One patch or one tile as the camera saw it."""

    name: Annotated[str, Field(max_length=60)] = ""
    seen: Codes = Field(description="middle values of red, green and blue, 0 to 1 of full scale")
    paper: Codes | None = Field(None, description="the same place in a photo of plain paper, to even out the light")
    clipped: Share = Field(0.0, description="share of its pixels that are blown out")
    glare: Share = Field(0.0, description="share of its pixels that are far brighter than the middle")
    place: tuple[float, float] | None = Field(None, description="where in the picture it was read [pixels]")
    uneven: Share = Field(0.0, description="difference of its bright and dim half beside the middle value")


class Card(Described):
    """The card in the photo and what its patches are."""

    kind: CardKind = "24 patches"
    edition: Edition = Field("unknown", description="of the card with 24 patches; its values changed in autumn 2014")
    rows: Annotated[int, Field(ge=1, le=20)] = 4
    columns: Annotated[int, Field(ge=1, le=20)] = 6
    values: Annotated[tuple[Lab, ...], Field(max_length=400)] = Field(
        (), description="L*, a*, b* of your own card for D50 and 2 degrees, row by row"
    )
    reflectance: Annotated[float, Field(gt=0.01, le=1)] | None = Field(None, description="of a grey card")

    @model_validator(mode="after")
    def _whole(self) -> Card:
        if self.kind == "own values" and len(self.values) != self.rows * self.columns:
            raise InputError(
                f"{len(self.values)} values are told for a card of {self.rows} rows and {self.columns} columns.",
                "Tell one L*, a*, b* for each patch, row by row.", "card.values",
            )  # fmt: skip
        if self.kind == "24 patches" and (self.rows, self.columns) != (4, 6):
            raise InputError(
                "the card with 24 patches has 4 rows and 6 columns.", "Choose 'own values' for another card.", "card"
            )
        if self.kind == "grey" and self.values:
            raise InputError("a grey card has no values.", "Tell its reflectance, or choose 'own values'.", "card")
        return self

    @property
    def patches(self) -> int:
        """How many patches it has."""
        return 1 if self.kind == "grey" else self.rows * self.columns

    def values_of(self, edition: str = "") -> tuple[Lab, ...]:
        """Return L*, a*, b* of its patches, row by row, for D50 and 2 degrees.

        Parameters
        ----------
        edition : str
            Of the card with 24 patches; its own when left out, the later one when unknown.
        """
        if self.kind != "24 patches":
            return self.values
        which = edition or (self.edition if self.edition != "unknown" else EDITIONS[0])
        return tuple(
            (float(row["lightness"]), float(row["a"]), float(row["b"]))
            for row in rows("colour/chart_24")
            if row["edition"] == which
        )

    def names(self) -> tuple[str, ...]:
        """Return what its patches are called."""
        if self.kind == "24 patches":
            return tuple(row["name"] for row in rows("colour/chart_24") if row["edition"] == EDITIONS[0])
        return tuple(f"row {n // self.columns + 1}, column {n % self.columns + 1}" for n in range(self.patches))


#: Editions of the card with 24 patches whose values are at hand.
EDITIONS = tuple(word for word in get_args(Edition) if word != "unknown")


class TilePhoto(Described):
    """Readings of the card and of the tiles in one photo."""

    card: Card = Card()
    patches: Annotated[tuple[Region, ...], Field(min_length=1, max_length=400)] = Field(
        description="patches of the card, row by row as its corners were placed"
    )
    tiles: Annotated[tuple[Region, ...], Field(min_length=1, max_length=200)]
    coding: Coding = "screen"
    geometry: Geometry = "unknown"

    @model_validator(mode="after")
    def _fits(self) -> TilePhoto:
        if len(self.patches) != self.card.patches:
            raise InputError(
                f"{len(self.patches)} patches were read of a card that has {self.card.patches}.",
                "Choose the card that is in the photo.", "patches",
            )  # fmt: skip
        papers = {region.paper is None for region in (*self.patches, *self.tiles)}
        if len(papers) > 1:
            raise InputError("some readings have the paper beside them and some not.", "Read it everywhere.", "paper")
        return self
