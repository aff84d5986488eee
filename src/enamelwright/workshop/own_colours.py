"""How well colours were foretold so far: every tile of the record beside its forecast, and what jars teach by it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.fired_tile import FiredTile, TileStack
from enamelwright.craft.colour.jar_optics import of_jar
from enamelwright.errors import EnamelwrightError
from enamelwright.learning.colour_tiles import (
    Beside,
    Running,
    Shift,
    alike_key,
    foretold_beside,
    learned_shift,
    running_error,
    taught_off,
)
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.tile_colours import own_tiles


@dataclass(frozen=True)
class OwnColours:
    """The maker's tiles beside what is foretold of them.

    Attributes
    ----------
    beside : dict of str to Beside
        By name of the tile.
    running : Running
        The error of forecasts, by tiles no fit stands on.
    shifts : dict
        By how much stacks of a kind come out otherwise, by :func:`~enamelwright.learning.colour_tiles.alike_key`;
        also those of too few tiles.
    taught : dict of str to float
        How far each tile no fit stands on would be off now, taught by the others of its kind [CIEDE2000].
    left_out : tuple of str
        Tiles with a reading that cannot be used, and why.
    """

    beside: Mapping[str, Beside]
    running: Running
    shifts: Mapping[tuple[str, ...], Shift]
    taught: Mapping[str, float]
    left_out: tuple[str, ...]

    def shift_of(self, stack: TileStack, bench: Bench) -> Shift | None:
        """Return the learned shift of a stack; None while too few tiles teach one.

        Parameters
        ----------
        stack : TileStack
            What is wanted.
        bench : Bench
            Jars by name.
        """
        found = self.shifts.get(alike_key(stack, bench))
        return found if found is not None and found.learned else None


def own_colours(studio: Studio, known: Bench) -> OwnColours:
    """Put every tile of the record beside what is foretold of it now.

    Parameters
    ----------
    studio : Studio
        The studio.
    known : Bench
        The bench of this moment.
    """
    found = own_tiles(studio)
    beside = foretold_beside([tile for tile in found.tiles if _told(tile, known)], known)
    # A tile a fit stands on is fitted, not foretold: it says nothing of the next one.
    unseen = [one for one in beside if one.unseen]
    gaps: dict[tuple[str, ...], list[tuple[float, ...]]] = {}
    for one in unseen:
        gap = tuple(seen - said for seen, said in zip(one.seen, one.foretold, strict=True))
        gaps.setdefault(alike_key(one.tile, known), []).append(gap)
    return OwnColours(
        {one.tile.name: one for one in beside},
        running_error([one.off for one in unseen]),
        {key: learned_shift(np.array(rows)) for key, rows in gaps.items()},
        dict(zip((one.tile.name for one in unseen), taught_off(unseen, known), strict=True)),
        found.left_out,
    )


def _told(tile: FiredTile, known: Bench) -> bool:
    """Whether something tells the colour of every jar of a tile."""
    try:
        return all(of_jar(known.jar(coat.jar)) is not None for coat in tile.coats)
    except EnamelwrightError:
        return False
