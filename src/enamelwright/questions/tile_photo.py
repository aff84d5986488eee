"""Which colours do these tiles have, by one photo of them beside a card?"""

from __future__ import annotations

import numpy as np
from pydantic import BaseModel, ConfigDict

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.photo_colours import LIGHT, OBSERVER, PhotoColours, TileColour, colours_of
from enamelwright.craft.colour.tile_photo import TilePhoto
from enamelwright.figure import Figure, Origin
from enamelwright.physics.colour.colour_difference import ciede2000
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import Question, engine

#: Digits of L*, a*, b* and of a difference worth showing.
DIGITS = 1


class TileRead(BaseModel):
    """One tile: its colour for D50 and 2 degrees, how far off it may be, and how far it is from the first tile."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    name: str
    lab: tuple[float, float, float] | None
    may_be_off: Figure
    from_first: Figure | None
    words: tuple[str, ...]


class TilePhotoAnswer(BaseModel):
    """Colours of the tiles, and what the card says of the photo."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    tiles: tuple[TileRead, ...]
    between_photos: bool
    level: str
    card_off: Figure | None
    patches_used: int
    dropped: tuple[str, ...]
    blown_out: tuple[str, ...]
    card_lies: str
    codes: str
    edition: str


def answer(asked: TilePhoto, bench: Bench) -> Answer[TilePhotoAnswer]:
    """Correct the readings of one photo by its card.

    Parameters
    ----------
    asked : TilePhoto
        Readings of card and tiles.
    bench : Bench
        Not used; a photo is corrected the same everywhere.

    Raises
    ------
    InputError
        When the card is not in the photo, is covered or blown out, or its patches disagree.
    """
    found = colours_of(asked)
    first = next((tile for tile in found.tiles if tile.lab is not None), None)
    payload = TilePhotoAnswer(
        tiles=tuple(_read(tile, first) for tile in found.tiles),
        between_photos=found.absolute,
        level=found.level,
        card_off=None
        if found.card_error is None
        else _difference(found.card_error, "card, each patch left out in turn"),
        patches_used=found.fit.used if found.fit is not None else 1,
        dropped=found.dropped,
        blown_out=found.left_off,
        card_lies=found.placing,
        codes=found.curve,
        edition=found.edition,
    )
    return Answer[TilePhotoAnswer](
        question="tile-photo",
        payload=payload,
        because=found.words,
        sources=_sources(found),
        assumptions=_assumptions(asked, found),
        cautions=(),
        engine=engine(),
        bench=bench.revision,
    )


def _difference(number: float, how: str) -> Figure:
    return Figure.exact(round(number, DIGITS), "ratio", Origin(kind="computed", source=how, status="CIEDE2000"))


def _read(tile: TileColour, first: TileColour | None) -> TileRead:
    lab = None if tile.lab is None else tuple(round(one, DIGITS) for one in tile.lab)
    apart = None
    if tile.lab is not None and first is not None and first.lab is not None:
        apart = _difference(
            float(ciede2000(np.array(first.lab), np.array(tile.lab))), "between two tiles of this photo"
        )
    return TileRead(
        name=tile.name,
        lab=lab,
        may_be_off=_difference(tile.error, "twice the card's left-out difference, and photo to photo"),
        from_first=apart,
        words=tile.words,
    )


def _sources(found: PhotoColours) -> tuple[str, ...]:
    if found.fit is None:
        return ()
    rooted = ("G. D. Finlayson, M. Mackiewicz, A. Hurlbert, IEEE Trans. Image Process. 24 (2015) 1460",)
    return (*(rooted if found.fit.roots else ()), f"values of the card: {found.edition}")


def _assumptions(asked: TilePhoto, found: PhotoColours) -> tuple[str, ...]:
    lines = [f"colours are for {LIGHT} and {OBSERVER} degrees, as the card's values are"]
    if asked.patches[0].paper is None:
        lines.append(
            "card and tiles are lit alike; a photo of plain paper in the same place would show whether they are"
        )
    if asked.geometry == "unknown":
        lines.append(
            "nobody said how the tiles were lit; metal under clear glass looks otherwise in a tent and by lamps"
        )
    if asked.coding == "screen" and found.absolute:
        lines.append("the camera made this picture for a screen; raw files developed without changes are truer")
    return tuple(lines)


def _example() -> dict[str, object]:
    """A card seen by an invented camera, and two tiles."""
    from enamelwright.craft.colour.tile_photo import Card

    patches = [
        {"seen": [round(min(1.0, max(0.0, share)), 4) for share in _seen(lab)]}
        for lab in Card(edition="from November 2014").values_of()
    ]
    tiles = [
        {"name": "TL-01", "seen": [round(one, 4) for one in _seen((52.0, 12.0, -38.0))]},
        {"name": "TL-02", "seen": [round(one, 4) for one in _seen((61.0, 30.0, 42.0))]},
    ]
    return {
        "card": {"edition": "from November 2014"}, "patches": patches, "tiles": tiles, "coding": "linear",
        "geometry": "tent",
    }  # fmt: skip


#: An invented camera: what its red, green and blue make of X, Y and Z (Y of white = 100).
INVENTED_CAMERA = ((0.0072, 0.0021, -0.0012), (-0.0018, 0.0098, 0.0012), (0.0004, -0.0008, 0.0098))


def _seen(lab: tuple[float, float, float]) -> tuple[float, ...]:
    from enamelwright.craft.colour.photo_colours import white
    from enamelwright.physics.colour.colour_space import xyz_of_lab

    xyz = xyz_of_lab(lab, white())
    return tuple(float(max(0.001, np.dot(row, xyz))) for row in INVENTED_CAMERA)


QUESTION = Question(
    name="tile-photo",
    words="Which colours do these tiles have, by one photo of them beside a card?",
    input=TilePhoto,
    output=TilePhotoAnswer,
    answer=answer,
    example=_example(),
)
