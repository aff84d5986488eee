"""Colours of tiles: read from a photo or an instrument into the record, fitted into jars, found again beside a stack.

A reading keeps for which light and observer it holds, how the tile was lit, and how far off it may be. Either
all readings of a photo or a file are kept, or none.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, get_args

import numpy as np
from sqlalchemy import Row, select

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.fired_tile import FiredTile, Taking, TileCoat, TileStack
from enamelwright.craft.colour.light import seen_under
from enamelwright.craft.colour.photo_colours import LIGHT, OBSERVER, PhotoColours, colours_of, number
from enamelwright.craft.colour.tile_photo import Card, Coding, Geometry
from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.files.cgats import is_cgats, read_cgats
from enamelwright.files.colour_csv import Measured, Told, read_colour_csv
from enamelwright.files.tile_photo import Point, Spot, corrected_small, read_picture, read_tile_photo
from enamelwright.learning.colour_tiles import Near, nearest
from enamelwright.learning.jar_optics import JarFit, fit_jars
from enamelwright.records.schema.house import setting as setting_table
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.schema.tiles import colour_reading, tile_spot
from enamelwright.records.writing import current
from enamelwright.workshop.bench import bench
from enamelwright.workshop.jars import change_jar, described, jar_row
from enamelwright.workshop.photos import photo_row, picture_file
from enamelwright.workshop.settings import coupons, set_coupons
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.tiles import read_colour
from enamelwright.workshop.undercoat import undercoat


@dataclass(frozen=True)
class Marked:
    """One tile marked in a photo.

    Attributes
    ----------
    piece, spot : str
        Number or label of the tile, empty for a point that is only looked at; name of the spot, empty for all of it.
    x, y, radius : float
        A disc inside it [pixels].
    """

    piece: str
    spot: str
    x: float
    y: float
    radius: float

    @property
    def name(self) -> str:
        """What it is called in messages."""
        return tile_name(self.piece, self.spot)


def tile_name(piece: str, spot: str | None) -> str:
    """Return what a spot of a tile is called: ``TL-01/2``, or ``TL-01`` for the whole tile."""
    return f"{piece}/{spot}" if piece and spot else piece or spot or ""


@dataclass(frozen=True)
class PhotoRead:
    """What a photo told.

    Attributes
    ----------
    colours : PhotoColours
        Of its tiles, and how the card fared.
    corrected : bytes or None
        The photo as corrected, small, as JPEG; None unless it was asked for, and by a grey card.
    """

    colours: PhotoColours
    corrected: bytes | None


def colours_in_photo(
    studio: Studio,
    photo: int,
    card: Card,
    corners: Sequence[Point],
    marked: Sequence[Marked],
    *,
    geometry: Geometry = "unknown",
    paper: int | None = None,
    coding: Coding | None = None,
    small: bool = False,
) -> PhotoRead:
    """Work out the colours of tiles in a kept photo, and keep nothing.

    Parameters
    ----------
    studio : Studio
        The studio.
    photo : int
        First row of the photo.
    card : Card
        The card in it.
    corners : sequence of (float, float)
        Middles of its four corner patches [pixels], going round.
    marked : sequence of Marked
        The tiles.
    geometry : str
        How they were lit.
    paper : int, optional
        A kept photo of plain paper in the same place.
    coding : str, optional
        How codes stand for light.
    small : bool
        Whether to return the photo as corrected too.

    Raises
    ------
    InputError
        As :func:`enamelwright.craft.colour.photo_colours.colours_of` says.
    """
    name = f"photo {photo}"
    pictures = [
        read_picture(picture_file(studio, photo_row(studio, which)).read_bytes(), f"photo {which}", coding)
        for which in ([photo] if paper is None else [photo, paper])
    ]
    spots = [Spot(one.name, one.x, one.y, one.radius) for one in marked]
    read = read_tile_photo(
        pictures[0],
        card,
        corners,
        spots,
        paper=pictures[1] if paper is not None else None,
        geometry=geometry,
        where=name,
    )
    try:
        found = colours_of(read)
    except InputError as error:
        raise error.at(name) from error
    return PhotoRead(found, corrected_small(pictures[0], found) if small and found.fit is not None else None)


def keep_photo_colours(
    studio: Studio,
    photo: int,
    card: Card,
    corners: Sequence[Point],
    marked: Sequence[Marked],
    *,
    geometry: Geometry = "unknown",
    paper: int | None = None,
    coding: Coding | None = None,
) -> list[int]:
    """Read the colours of tiles in a kept photo into the record, and return the rows.

    Parameters
    ----------
    studio : Studio
        The studio.
    photo, card, corners, marked, geometry, paper, coding
        As for :func:`colours_in_photo`.

    Raises
    ------
    InputError
        When the photo is refused, one of the tiles cannot be read or none is marked; nothing is kept then.
    """
    marked = [one for one in marked if one.piece]
    if not marked:
        raise InputError(
            "none of these spots belongs to a tile.", "Write which tile each is, such as TL-01/2.", "spots"
        )
    found = colours_in_photo(
        studio, photo, card, corners, marked, geometry=geometry, paper=paper, coding=coding
    ).colours  # fmt: skip
    for tile in found.tiles:
        if tile.lab is None:
            raise InputError(
                f"{tile.words[0]}.",
                "Leave this tile out, or read it from another photo.",
                f"photo {photo}, {tile.name}",
            )
    with studio.writing():
        return [
            read_colour(
                studio, one.piece, spot=one.spot or None, photo=photo, lightness=tile.lab[0], a=tile.lab[1],
                b=tile.lab[2], light=LIGHT, observer=int(OBSERVER), error=tile.error,
                read_by="photo with chart" if found.absolute else "photo with grey card",
                spectrum={"taken": geometry}, words="; ".join(tile.words) or None,
            )
            for one, tile in zip(marked, found.tiles, strict=True)
            if tile.lab is not None
        ]  # fmt: skip


def keep_file_colours(studio: Studio, data: bytes, where: str = "", told: Told | None = None) -> list[int]:
    """Read the colours an instrument measured into the record, and return the rows.

    Parameters
    ----------
    studio : Studio
        The studio.
    data : bytes
        A whole file, CSV or CGATS text; its names are tiles: ``TL-01``, or ``TL-01/2`` for a spot.
    where : str
        Its name, for messages.
    told : Told, optional
        Light, observer and geometry where the file does not say them.

    Raises
    ------
    InputError
        When the file cannot be read or names a tile that there is not; nothing is kept then.
    """
    found = read_cgats(data, where, told) if is_cgats(data) else read_colour_csv(data, where, told)
    with studio.writing():
        rows = []
        for one in found:
            try:
                rows.append(_keep(studio, one, "instrument"))
            except EnamelwrightError as error:
                raise error.at(where) from error
        return rows


def keep_typed_colour(
    studio: Studio,
    piece: str,
    lab: tuple[float, float, float],
    *,
    spot: str = "",
    light: str = LIGHT,
    observer: str = OBSERVER,
    taken: Taking = "lamps at 45 degrees",
    error: float | None = None,
) -> int:
    """Keep a colour read off the display of an instrument, and return its row.

    Parameters
    ----------
    studio : Studio
        The studio.
    piece : str
        Number or label of the tile.
    lab : tuple of float
        L*, a*, b*.
    spot : str
        The spot on it; empty for the whole tile.
    light, observer, taken : str
        For which they hold.
    error : float, optional
        How far off it may be [CIEDE2000].
    """
    if not (0 <= lab[0] <= 110 and all(abs(one) <= 150 for one in lab[1:])):
        raise InputError("this is no L*, a*, b*.", "L* goes from 0 to 100.", "lab")
    seen = Measured(tile_name(piece, spot), lab, None, light, observer, taken)
    with studio.writing():
        return _keep(studio, seen, "typed", error)


def _keep(studio: Studio, one: Measured, read_by: str, error: float | None = None) -> int:
    piece, _, spot = one.name.partition("/")
    more: dict[str, Any] = {"taken": one.taken}
    lab, light, observer = one.lab, one.light, one.observer
    if one.reflectance is not None:
        more["reflectance"] = [round(share, 5) for share in one.reflectance]
        lightness, a, b = seen_under(LIGHT, OBSERVER).lab(np.array(one.reflectance)).tolist()
        lab, light, observer = (lightness, a, b), LIGHT, OBSERVER
    assert lab is not None
    return read_colour(
        studio, piece, spot=spot or None, lightness=lab[0], a=lab[1], b=lab[2], light=light, observer=int(observer),
        read_by=read_by, error=error if error is not None else number("typed_error"), spectrum=more,
        words="; ".join(one.words) or None,
    )  # fmt: skip


@dataclass(frozen=True)
class OwnTiles:
    """The maker's tiles as they can be fitted and compared.

    Attributes
    ----------
    tiles : tuple of FiredTile
        With their newest reading each.
    left_out : tuple of str
        Tiles with a reading that cannot be used, and why.
    """

    tiles: tuple[FiredTile, ...]
    left_out: tuple[str, ...]


def own_tiles(studio: Studio) -> OwnTiles:
    """Return the tiles of the record that have a colour and whose coats are known.

    Parameters
    ----------
    studio : Studio
        The studio.
    """
    shelf = bench(studio)
    with studio.reading() as connection:
        readings = connection.execute(
            current(colour_reading)
            .where(colour_reading.c.lightness.is_not(None))
            .order_by(colour_reading.c.at, colour_reading.c.id)
        ).all()
        spots = {
            (row.piece, row.spot): row
            for row in connection.execute(current(tile_spot).order_by(tile_spot.c.at, tile_spot.c.id))
        }
        wanted = {row.piece for row in readings}
        pieces = {
            row.id: row for row in connection.execute(select(piece_table).where(piece_table.c.id.in_(wanted)))
        } if wanted else {}  # fmt: skip
    newest = {(row.piece, row.spot): row for row in readings}
    tiles, left_out = [], []
    for (piece, spot), reading in newest.items():
        row = pieces[piece]
        name = tile_name(row.label or row.number, spot)
        try:
            tiles.append(_fired(name, row, spots.get((piece, spot)), reading, shelf))
        except InputError as error:
            left_out.append(f"{name}: {error.message}")
    return OwnTiles(tuple(tiles), tuple(left_out))


def _fired(name: str, piece: Row[Any], spot: Row[Any] | None, reading: Row[Any], shelf: Bench) -> FiredTile:
    more: Mapping[str, Any] = reading.spectrum if isinstance(reading.spectrum, dict) else {}
    if reading.read_by in {"photo with grey card", "eye"}:
        raise InputError("read by eye or with a grey card: good for comparing only")
    reflectance = more.get("reflectance")
    if reflectance is None and (reading.light, reading.observer) != (LIGHT, int(OBSERVER)):
        raise InputError(f"its colour is for {reading.light or 'an unknown light'}, and {LIGHT} is needed")
    if reading.light and (reading.lightness is None or reading.a is None or reading.b is None):
        raise InputError("its reading is not whole")
    if not piece.metal:
        raise InputError("its metal is not told")
    if spot is None or not spot.coats:
        raise InputError("what lies on it is not told")
    below = undercoat(spot.under or "", shelf)
    taken = more.get("taken", "unknown")
    return FiredTile(
        name=name[:60], metal=piece.metal, foil=below.foil,
        coats=(*below.coats, *(_coat(one, shelf) for one in spot.coats)),
        lab=None if reflectance else (reading.lightness, reading.a, reading.b),
        reflectance=tuple(reflectance) if reflectance else None, error=reading.error,
        taken=taken if taken in get_args(Taking) else "unknown",
        photo=f"photo {reading.photo}" if reading.photo is not None else "",
    )  # fmt: skip


def _coat(one: Mapping[str, Any], shelf: Bench) -> TileCoat:
    jar = shelf.jar(str(one.get("jar", "")))
    for key in ("thickness_mm", "fired_thickness_mm"):
        if one.get(key) is not None:
            told = {"jar": jar.id, "thickness_mm": one[key], "weighed": bool(one.get("weighed", True))}
            return TileCoat.from_outside(told)
    raise InputError(f"the thickness of its coat of {jar.name} is not told")


def fit_from_tiles(studio: Studio, jars: Sequence[str]) -> JarFit:
    """Fit jars to all tiles of the record that show them, and keep nothing.

    Parameters
    ----------
    studio : Studio
        The studio.
    jars : sequence of str
        Codes or names; jars with tiles on the same metal are best fitted together.

    Raises
    ------
    InputError
        When there is no tile of one of them.
    """
    shelf = bench(studio)
    ids = {shelf.jar(jar).id for jar in jars}
    found = own_tiles(studio)
    tiles = [tile for tile in found.tiles if any(shelf.jar(coat.jar).id in ids for coat in tile.coats)]
    if not tiles:
        why = f" ({found.left_out[0]})" if found.left_out else ""
        raise InputError(
            f"no tile with a colour shows {' or '.join(sorted(ids))}{why}.",
            "Fire one, tell its coats, and read it.",
            "tiles",
        )
    return fit_jars(tiles, shelf, list(jars))


def keep_fit(studio: Studio, fit: JarFit, *, anyway: bool = False) -> list[tuple[str, int, int]]:
    """Keep a fit: as the optics of its jars, and as coupons of metals that stand on bare flux.

    Parameters
    ----------
    studio : Studio
        The studio.
    fit : JarFit
        Of :func:`fit_from_tiles`.
    anyway : bool
        Also when an alarm says not to use it.

    Returns
    -------
    list of (str, int, int)
        Noun, row and version of what was written, as :func:`enamelwright.workshop.taking_back.take_back` takes it.

    Raises
    ------
    InputError
        When an alarm says not to use it; nothing is kept then.
    """
    if fit.level == "stop" and not anyway:
        raise InputError(f"{fit.alarms[0].words}.", "Look at the tiles first.", "fit")
    with studio.writing() as work:
        wrote = []
        for name, curve in fit.jars.items():
            row = jar_row(studio, name)
            jar = described(row)
            version = change_jar(studio, row.id, jar.model_copy(update={"optics": curve.facet(jar)}))
            wrote.append(("jar", int(row.id), version))
        if fit.coupons:
            before = coupons(studio)
            if not before:
                set_coupons(studio, ())  # a state to go back to
            known = {coupon.metal: coupon for coupon in (*before, *fit.coupons)}
            kept = set_coupons(studio, tuple(known.values()))
            wrote.append(("setting", kept, int(work.one(setting_table, kept).version)))
        return wrote


def nearest_own(studio: Studio, stack: TileStack, most: int = 3) -> tuple[Near, ...]:
    """Return the maker's own tiles that come nearest to a stack, the nearest first.

    Parameters
    ----------
    studio : Studio
        The studio.
    stack : TileStack
        What is wanted.
    most : int
        How many.
    """
    return nearest(stack, own_tiles(studio).tiles, bench(studio), most)


def readings_of_photo(studio: Studio, photo: int) -> list[Row[Any]]:
    """List the colours that were read from one photo."""
    with studio.reading() as connection:
        return list(
            connection.execute(
                current(colour_reading).where(colour_reading.c.photo == photo).order_by(colour_reading.c.id)
            )
        )
