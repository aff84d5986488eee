"""Reads a photo of tiles beside a card into numbers: what the camera saw of each patch and each tile.

The four middles of the corner patches and the spots on the tiles are placed by a person, in pixels of the
upright picture. Nothing is looked for in the picture; which way round the card lies is told by its colours.
"""

from __future__ import annotations

import io
import warnings
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import numpy as np
import numpy.typing as npt

from enamelwright.craft.colour.photo_colours import PhotoColours, card_fits, linear, number
from enamelwright.craft.colour.tile_photo import Card, Coding, Geometry, Region, TilePhoto
from enamelwright.errors import InputError
from enamelwright.files.errors import FileError
from enamelwright.files.photo import MOST_BYTES, MOST_PIXELS, in_turn, is_heic, read_photo
from enamelwright.files.tiff16 import is_tiff, read_head, read_pixels
from enamelwright.physics.colour.camera_fit import correct_picture
from enamelwright.physics.colour.perspective import plane_map, seen_at

Array = npt.NDArray[np.float64]
Pixels = npt.NDArray[np.uint8] | npt.NDArray[np.uint16]
Point = tuple[float, float]

#: Half the side of what is read of a patch, in steps of the card: well inside a patch with its gap.
HALF_PATCH = 0.22
#: Points read along one side of a patch: more than enough for a middle value.
ACROSS = 32
#: Most pixels read of a tile, and least pixels of a spot.
MOST_OF_A_TILE, FEWEST_PIXELS = 40_000, 12
_BIT_DEPTH_AT = 24  # of the head of a PNG (ISO/IEC 15948, 11.2.2)


@dataclass(frozen=True)
class Spot:
    """Where a tile is in a photo.

    Attributes
    ----------
    name : str
        The tile.
    x, y, radius : float
        A disc inside it [pixels].
    """

    name: str
    x: float
    y: float
    radius: float


@dataclass(frozen=True, eq=False)
class Picture:
    """A picture as codes.

    Attributes
    ----------
    pixels : ndarray of uint8 or uint16, shape (height, width, 3)
        Upright.
    coding : str
        ``screen`` or ``linear``.
    """

    pixels: Pixels
    coding: Coding

    @property
    def full(self) -> int:
        """Largest code."""
        return int(np.iinfo(self.pixels.dtype).max)


@in_turn
def read_picture(data: bytes, where: str = "", coding: Coding | None = None) -> Picture:
    """Decode a photo without changing a single code.

    Parameters
    ----------
    data : bytes
        A whole file: JPEG, PNG, HEIC or TIFF.
    where : str
        Its name, for the message.
    coding : str, optional
        How codes stand for light; when left out, as on a screen for eight bits and linear for sixteen.

    Raises
    ------
    FileError
        When it is too large, of another kind, black and white, for print (CMYK) or damaged.
    """
    if len(data) > MOST_BYTES and not is_tiff(data):
        raise FileError(f"this photo has more than {MOST_BYTES // 1_000_000} megabytes.", "Send a smaller one.", where)
    if is_tiff(data):
        head = read_head(data, where)
        _judge_size(*head.size, where)
        if head.bits == 16:
            return Picture(read_pixels(data, head, where), coding or "linear")
    elif is_heic(data):
        data = read_photo(data, where).content
    return Picture(_decode(data, where), coding or "screen")


def judge_picture(data: bytes, where: str = "") -> None:
    """Refuse a photo whose colours could not be read, by its head alone, before it is kept.

    Parameters
    ----------
    data : bytes
        A whole file.
    where : str
        Its name, for the message.

    Raises
    ------
    FileError
        When it is black and white, for print (CMYK), of 16 bits in a way not read here, or damaged at its head.
    """
    if not (is_tiff(data) or is_heic(data)):
        with _refusing(where):
            _opened(data, where)


def _judge_size(width: int, height: int, where: str) -> None:
    if width < 1 or height < 1:
        raise FileError("this picture is damaged.", "Save it again.", where)
    if width * height > MOST_PIXELS:
        raise FileError(
            f"this photo has more than {MOST_PIXELS // 1_000_000} million pixels.", "Send a smaller one.", where
        )


def _opened(data: bytes, where: str) -> Any:
    """Open a picture and judge its head; nothing is decoded yet."""
    from PIL import Image

    if data[1:4] == b"PNG" and data[_BIT_DEPTH_AT : _BIT_DEPTH_AT + 1] == b"\x10":
        raise FileError(
            "this PNG has 16 bits a channel, which are not read here.",
            "Save it as TIFF with 16 bits, or as JPEG.",
            where,
        )
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # odd EXIF data are of no use here
        picture = Image.open(io.BytesIO(data), formats=("JPEG", "PNG", "TIFF"))
    _judge_size(picture.width, picture.height, where)
    _judge_mode(picture.mode, where)
    return picture


def _decode(data: bytes, where: str) -> npt.NDArray[np.uint8]:
    from PIL import ImageOps

    with _refusing(where), warnings.catch_warnings():
        warnings.simplefilter("ignore")
        return np.asarray(ImageOps.exif_transpose(_opened(data, where)).convert("RGB"))


@contextmanager
def _refusing(where: str) -> Iterator[None]:
    """Say in our words what the library could not read."""
    from PIL import Image, UnidentifiedImageError

    try:
        yield
    except FileError:
        raise
    except UnidentifiedImageError as error:
        raise FileError("this is no JPEG, PNG, HEIC or TIFF picture.", "Send one of those.", where) from error
    except (OSError, ValueError, SyntaxError, RuntimeError, EOFError, Image.DecompressionBombError) as error:
        raise FileError("this photo is damaged.", "Send it again, or take it again.", where) from error


def _judge_mode(mode: str, where: str) -> None:
    if mode == "CMYK":
        raise FileError("this picture is for print (CMYK).", "Save it as RGB, or send the camera's own file.", where)
    if mode.startswith(("I", "F")):
        raise FileError("this picture has 16 bits of grey.", "Send a colour picture of 8 bits.", where)
    if mode in {"1", "L", "LA"}:
        raise FileError("this picture is black and white.", "Send one in colour.", where)
    if mode not in {"RGB", "RGBA", "RGBX", "YCbCr"}:
        raise FileError("this picture has few colours of its own choice.", "Send the camera's own file.", where)


def read_tile_photo(
    picture: Picture,
    card: Card,
    corners: Sequence[Point],
    spots: Sequence[Spot],
    *,
    paper: Picture | None = None,
    geometry: Geometry = "unknown",
    where: str = "",
) -> TilePhoto:
    """Read patches and tiles of a photo.

    Parameters
    ----------
    picture : Picture
        The photo.
    card : Card
        The card in it.
    corners : sequence of (float, float)
        Middles of the four corner patches [pixels], going round, from any of them; of a grey card its corners.
    spots : sequence of Spot
        The tiles.
    paper : Picture, optional
        Plain paper in the same place and light, of the same size, to even out the light.
    geometry : str
        How it was lit.
    where : str
        Name of the photo, for messages.

    Raises
    ------
    InputError
        When corners or spots are not in the picture or make no card.
    """
    try:
        _judge_places(picture, corners, spots)
        if paper is not None and paper.pixels.shape != picture.pixels.shape:
            raise InputError("the photo of the paper has another size.", "Take both with the same camera.", "paper")
        tiles = tuple(_region(picture, paper, _disc(picture, spot), spot.name) for spot in spots)
        patches = _patches(picture, paper, card, np.array(corners, dtype=np.float64))
        return TilePhoto(card=card, patches=patches, tiles=tiles, coding=picture.coding, geometry=geometry)
    except InputError as error:
        raise error.at(where) from error


def _judge_places(picture: Picture, corners: Sequence[Point], spots: Sequence[Spot]) -> None:
    height, width, _ = picture.pixels.shape
    if len(corners) != 4:
        raise InputError(f"{len(corners)} corners are placed, and four are wanted.", "Place all four.", "corners")
    if not spots:
        raise InputError("no tile is marked.", "Mark a spot on at least one tile.", "spots")
    for what, x, y in [("corners", *corner) for corner in corners] + [(spot.name, spot.x, spot.y) for spot in spots]:
        if not (0 <= x < width and 0 <= y < height):
            raise InputError("a point lies outside the picture.", "Place it inside.", what)
    for spot in spots:
        if not 2 <= spot.radius <= min(width, height) / 2:
            raise InputError("this spot is too small or too large.", "Draw it well inside the tile.", spot.name)


def _patches(picture: Picture, paper: Picture | None, card: Card, corners: Array) -> tuple[Region, ...]:
    """Read the patches with the long side of the card either way, and keep the way its colours speak for."""
    if card.kind == "grey":
        mapped = plane_map([[0, 0], [1, 0], [1, 1], [0, 1]], corners)
        middle = _square(mapped, 1 / 2, 1 / 2)
        return (_region(picture, paper, _pixel(picture, middle), "grey card"),)
    right, bottom = card.columns - 1.0, card.rows - 1.0
    if right < 1 or bottom < 1:
        raise InputError("a card of one row cannot be placed by four corners.", "Type its readings in.", "card")
    square = [[0.0, 0.0], [right, 0.0], [right, bottom], [0.0, bottom]]
    found = []
    for first in (0, 1):
        mapped = plane_map(square, np.roll(corners, -first, axis=0))
        places = [_square(mapped, n % card.columns, n // card.columns) for n in range(card.patches)]
        regions = tuple(
            _region(picture, paper, _pixel(picture, place)).model_copy(update={"place": tuple(place.mean(axis=0))})
            for place in places
        )
        found.append((card_fits(card, regions, picture.coding), first, regions))
    return min(found)[2]


def _square(mapped: Array, column: float, row: float) -> Array:
    line = np.linspace(-HALF_PATCH, HALF_PATCH, ACROSS)
    across, down = np.meshgrid(column + line, row + line)
    return seen_at(mapped, np.stack([across.ravel(), down.ravel()], axis=-1))


def _pixel(picture: Picture, points: Array) -> npt.NDArray[np.int64]:
    """Return the pixels that hold points; points outside the picture are left out."""
    height, width, _ = picture.pixels.shape
    place = np.floor(points + 1 / 2).astype(np.int64)
    inside = np.all((place >= 0) & (place < [width, height]), axis=-1)
    if inside.sum() < len(place) / 2:
        raise InputError("a patch of the card lies outside the picture.", "Check the four corners.", "corners")
    return np.unique(place[inside], axis=0)


def _disc(picture: Picture, spot: Spot) -> npt.NDArray[np.int64]:
    height, width, _ = picture.pixels.shape
    step = max(1, int(np.ceil(np.sqrt(np.pi * spot.radius**2 / MOST_OF_A_TILE))))
    xs = np.arange(max(0, int(spot.x - spot.radius)), min(width, int(spot.x + spot.radius) + 1), step)
    ys = np.arange(max(0, int(spot.y - spot.radius)), min(height, int(spot.y + spot.radius) + 1), step)
    across, down = np.meshgrid(xs, ys)
    places = np.stack([across.ravel(), down.ravel()], axis=-1)
    inside: npt.NDArray[np.int64] = places[np.sum((places - [spot.x, spot.y]) ** 2, axis=1) <= spot.radius**2]
    return inside


def _region(picture: Picture, paper: Picture | None, places: npt.NDArray[np.int64], name: str = "") -> Region:
    if len(places) < FEWEST_PIXELS:
        raise InputError("this place has too few pixels.", "Take the photo from nearer.", name or "corners")
    codes = picture.pixels[places[:, 1], places[:, 0]] / picture.full
    middle = np.median(codes, axis=0)
    brightest, grey = codes.max(axis=1), codes.mean(axis=1)
    low, high = np.quantile(grey, [1 / 4, 3 / 4])
    blank = None
    if paper is not None:
        seen = np.median(paper.pixels[places[:, 1], places[:, 0]] / paper.full, axis=0)
        blank = (float(seen[0]), float(seen[1]), float(seen[2]))
    return Region(
        name=name,
        seen=(float(middle[0]), float(middle[1]), float(middle[2])),
        paper=blank,
        clipped=float(np.mean(brightest > number("clipped_code"))),
        glare=float(np.mean(grey > float(np.median(grey)) + number("glare_over"))),
        uneven=float(min(1.0, (high - low) / max(float(np.median(grey)), 1 / picture.full))),
    )


def corrected(picture: Picture, found: PhotoColours) -> npt.NDArray[np.uint8]:
    """Correct a whole photo by the card in it, for looking at.

    Parameters
    ----------
    picture : Picture
        The photo; light is not evened out.
    found : PhotoColours
        What was worked out from it.

    Returns
    -------
    ndarray of uint8, shape (height, width, 3)
        Codes of a screen.

    Raises
    ------
    InputError
        When the photo has no card of known colours.
    """
    if found.fit is None or found.straighten is None:
        raise InputError("a photo without a card of known colours cannot be corrected.", "Use a card.", "card")
    codes = np.repeat(np.linspace(0.0, 1.0, picture.full + 1)[:, None], 3, axis=1)
    light_of = np.maximum(found.straighten(linear(codes, picture.coding)), 0.0).astype(np.float32)
    return correct_picture(picture.pixels, found.fit, light_of, found.to_screen())


def corrected_small(picture: Picture, found: PhotoColours, longest: int = 640) -> bytes:
    """Return a photo as corrected, small enough to stand beside the original, as JPEG.

    Parameters
    ----------
    picture : Picture
        The photo.
    found : PhotoColours
        What was worked out from it.
    longest : int
        Of its sides, at the most [pixels].
    """
    from PIL import Image

    step = -(-max(picture.pixels.shape) // longest)
    file = io.BytesIO()
    Image.fromarray(corrected(Picture(picture.pixels[::step, ::step], picture.coding), found)).save(file, "JPEG")
    return file.getvalue()
