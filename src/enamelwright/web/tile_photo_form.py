"""The form of a tile photo: points typed or pointed at, the card, the light; read into what the engine takes."""

from __future__ import annotations

import re
from dataclasses import dataclass

from enamelwright.craft.colour.tile_photo import Card, Geometry
from enamelwright.errors import InputError
from enamelwright.web.posting import Filled
from enamelwright.workshop.tile_colours import Marked

Point = tuple[float, float]

#: Cards by the word the form sends, with what the page calls them.
CARDS: tuple[tuple[str, str], ...] = (
    ("new", "24 patches, made from November 2014"),
    ("old", "24 patches, made before"),
    ("24", "24 patches, age not known"),
    ("grey", "a plain grey card: for comparing in this photo only"),
    ("own", "another card, with values of its own"),
)
_EDITIONS = {"new": "from November 2014", "old": "before November 2014", "24": "unknown"}
#: How the tiles were lit, with what the page calls it.
LIT: tuple[tuple[Geometry, str], ...] = (
    ("tent", "in a white tent or under an even white sky"),
    ("lamps at 45 degrees", "by lamps from the sides, the rest dark"),
    ("unknown", "otherwise, or nobody knows"),
)
#: Spots offered beyond those the tile has, and most of one photo.
SPARE, MOST_SPOTS = 2, 60
#: Radius of a spot when nobody sets one, as a share of the longer side.
USUAL_RADIUS = 1 / 60
#: Most signs of the values of a card.
_LONGEST = 20_000
_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?")


@dataclass(frozen=True)
class SpotRow:
    """One spot as typed.

    Attributes
    ----------
    tile, x, y : str
        ``TL-01/2``; pixels.
    """

    tile: str
    x: str = ""
    y: str = ""

    @property
    def placed(self) -> bool:
        """Whether it has a place."""
        return bool(self.x and self.y)


@dataclass(frozen=True)
class PhotoForm:
    """Everything typed on the page of a tile photo.

    Attributes
    ----------
    corners : tuple of (str, str)
        Four, x and y in pixels, empty where none is placed.
    spots : tuple of SpotRow
        The spots.
    radius : str
        Of every spot [pixels].
    card, rows, columns, values, reflectance : str
        Which card; of another card its patches and their L*, a*, b*; of a grey one how much it reflects.
    lit, paper : str
        How the tiles were lit; another photo, of plain paper in their place.
    """

    corners: tuple[tuple[str, str], ...]
    spots: tuple[SpotRow, ...]
    radius: str
    card: str = "24"
    rows: str = "4"
    columns: str = "6"
    values: str = ""
    reflectance: str = ""
    lit: str = "unknown"
    paper: str = ""

    @classmethod
    def empty(cls, tiles: list[str], width: int, height: int) -> PhotoForm:
        """Return the form before anything is placed.

        Parameters
        ----------
        tiles : list of str
            Spots of the tile in the photo.
        width, height : int
            Of the photo [pixels].
        """
        spots = [SpotRow(one) for one in tiles[: MOST_SPOTS - SPARE]] + [SpotRow("")] * SPARE
        radius = max(2, round(max(width, height) * USUAL_RADIUS))
        return cls((("", ""),) * 4, tuple(spots), str(radius))

    @classmethod
    def told(cls, form: Filled) -> PhotoForm:
        """Return the form as it arrived; nothing is judged yet."""
        corners = tuple((form.text(f"c{n}x")[:12], form.text(f"c{n}y")[:12]) for n in range(1, 5))
        numbers = sorted(int(key) for key in {*form.starting("tile"), *form.starting("x"), *form.starting("y")}
                         if key.isdecimal() and len(key) < 4)  # fmt: skip
        spots = [
            SpotRow(form.text(f"tile{n}")[:60], form.text(f"x{n}")[:12], form.text(f"y{n}")[:12])
            for n in numbers[:MOST_SPOTS]
        ]
        spare = [SpotRow("")] * max(0, SPARE - sum(not one.tile for one in spots))
        return cls(
            corners, tuple([*spots, *spare][:MOST_SPOTS]), form.text("radius")[:12], form.text("card") or "24",
            form.text("rows")[:3] or "4", form.text("columns")[:3] or "6", form.text("values")[:_LONGEST],
            form.text("reflectance")[:12], form.text("lit") or "unknown", form.text("paper")[:12],
        )  # fmt: skip

    def points(self) -> list[Point]:
        """Return the four corners.

        Raises
        ------
        InputError
            When one is not placed.
        """
        missing = [str(n) for n, (x, y) in enumerate(self.corners, 1) if not (x and y)]
        if missing:
            raise InputError(
                f"corner {' and '.join(missing)} of the card is not placed.",
                "Point at the middle of each corner patch, or type where it is.", "corners",
            )  # fmt: skip
        return [
            (_pixel(x, f"corner {n}"), _pixel(y, f"corner {n}")) for n, (x, y) in enumerate(self.corners, 1)
        ]  # fmt: skip

    def marked(self) -> list[Marked]:
        """Return the spots that have a place.

        Raises
        ------
        InputError
            When one has half a place, or none is marked.

        Notes
        -----
        A spot of no tile is a point that is only looked at.
        """
        radius = _pixel(self.radius, "size of the spots")
        found = []
        for n, one in enumerate(self.spots, 1):
            if not (one.x or one.y):
                continue
            if not one.placed:
                raise InputError("half of its place is missing.", "Tell how far across and how far down.", f"spot {n}")
            piece, _, spot = one.tile.partition("/") if one.tile else ("", "", f"point {n}")
            where = one.tile or spot
            found.append(Marked(piece.strip(), spot.strip(), _pixel(one.x, where), _pixel(one.y, where), radius))
        again = [one.name for one in found if [other.name for other in found].count(one.name) > 1]
        if again:
            raise InputError("this spot is marked twice.", "Leave one of the two out.", again[0])
        if not found:
            raise InputError("no spot is marked.", "Point at one in the photo, or type where it is.", "spots")
        return found

    def the_card(self) -> Card:
        """Return the card.

        Raises
        ------
        InputError
            When it is no card, or its values are not all there.
        """
        if self.card in _EDITIONS:
            return Card.from_outside({"kind": "24 patches", "edition": _EDITIONS[self.card]}, "card")
        if self.card == "grey":
            told = _pixel(self.reflectance, "reflectance") if self.reflectance else None
            if told is not None and told > 1:
                told = told / 100  # people say 18 % and write 18
            return Card.from_outside({"kind": "grey", **({"reflectance": told} if told is not None else {})}, "card")
        if self.card != "own":
            raise InputError("which card is in the photo?", "Choose one of the list.", "card")
        values = [
            [float(one.replace(",", ".")) for one in _NUMBER.findall(line)]
            for line in self.values.splitlines() if line.strip()
        ]  # fmt: skip
        wrong = next((n for n, row in enumerate(values, 1) if len(row) != 3), None)
        if wrong is not None:
            raise InputError("a patch has three numbers, L*, a* and b*.", "One patch a line.", f"values, line {wrong}")
        told_card = {
            "kind": "own values", "rows": int(_pixel(self.rows, "rows")),
            "columns": int(_pixel(self.columns, "columns")), "values": values,
        }  # fmt: skip
        return Card.from_outside(told_card, "card")

    def geometry(self) -> Geometry:
        """Return how the tiles were lit."""
        return next((one for one, _ in LIT if one == self.lit), "unknown")

    def paper_row(self) -> int | None:
        """Return the photo of the plain paper, when there is one."""
        return int(_pixel(self.paper, "paper")) if self.paper else None


def _pixel(text: str, where: str) -> float:
    if not _NUMBER.fullmatch(text.strip()):
        raise InputError(f"'{text[:12]}' is no number.", "Write a number.", where)
    return float(text.strip().replace(",", "."))


def placed(text: str) -> float | None:
    """Return a number for drawing a mark, or None when there is none to draw.

    Parameters
    ----------
    text : str
        As typed.
    """
    return float(text.replace(",", ".")) if _NUMBER.fullmatch(text) else None
