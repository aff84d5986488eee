"""The maker's own metals: a coupon under clear flux, read once, takes the place of the optical tables."""

from __future__ import annotations

from collections.abc import Sequence

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.fired_tile import FiredTile
from enamelwright.craft.metal import metal
from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.learning.jar_optics import JarFit, fit_jars
from enamelwright.workshop.bench import bench
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.tile_colours import OwnTiles, own_tiles


def coupon_tiles(tiles: Sequence[FiredTile], known: Bench) -> dict[str, tuple[FiredTile, ...]]:
    """Return the tiles that show a metal under nothing but flux, by id of the metal.

    Parameters
    ----------
    tiles : sequence of FiredTile
        With their readings.
    known : Bench
        Jars by name.
    """
    found: dict[str, list[FiredTile]] = {}
    for tile in tiles:
        try:
            bare = tile.foil is None and all(known.jar(coat.jar).kind == "flux" for coat in tile.coats)
            name = metal(tile.metal).id
        except EnamelwrightError:
            continue
        if bare:
            found.setdefault(name, []).append(tile)
    return {name: tuple(mine) for name, mine in sorted(found.items())}


def coupon_from_tiles(studio: Studio, name: str, found: OwnTiles | None = None) -> JarFit:
    """Work out a metal from its fluxed tiles, and keep nothing; :func:`~.tile_colours.keep_fit` keeps it.

    Parameters
    ----------
    studio : Studio
        The studio.
    name : str
        The metal.
    found : OwnTiles, optional
        The tiles, when they are at hand.

    Raises
    ------
    InputError
        When no tile shows it.
    """
    known = bench(studio)
    own = found or own_tiles(studio)
    wanted = metal(name).id
    tiles = coupon_tiles(own.tiles, known).get(wanted, ())
    if not tiles:
        raise InputError(
            f"no tile with a colour shows {metal(name).name} under flux.",
            "Fire one under clear flux and read it.",
            "tiles",
        )
    # What was kept of this metal before is what is to be found anew.
    others = tuple(one for one in known.coupons if metal(one.metal).id != wanted)
    return fit_jars(tiles, known.model_copy(update={"coupons": others}), ())
