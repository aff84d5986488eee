"""Which further tile would tell most of a jar: the one after which the colours wanted are surest."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.craft.colour.fired_tile import TileCoat, TileStack
from enamelwright.craft.colour.photo_colours import number
from enamelwright.learning.jar_optics import JarFit
from enamelwright.learning.tile_model import THREE_AXES, TileModel, even_axes

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class NextTile:
    """A tile worth making.

    Attributes
    ----------
    stack : TileStack
        What to lay on what.
    now, after : float
        How sure the wanted colours are, mean, before and after it [CIEDE2000].
    """

    stack: TileStack
    now: float
    after: float

    def words(self) -> str:
        """Say it in one line."""
        thick = f"{self.stack.coats[-1].thickness * 1e3:.2f} mm of {self.stack.coats[-1].jar}"
        return f"{thick} over {self.stack.base_words()}: about {self.now:.1f} now, {self.after:.1f} after it"


def next_tiles(fit: JarFit, jar: str, wanted: Sequence[TileStack] = (), most: int = 3) -> tuple[NextTile, ...]:
    """Rank further tiles of one jar by how sure they would make the colours wanted.

    Parameters
    ----------
    fit : JarFit
        So far.
    jar : str
        Id of a jar fitted.
    wanted : sequence of TileStack
        Stacks whose colour matters; the tiles made so far, thinner and thicker, when none is named.
    most : int
        How many to return.

    Returns
    -------
    tuple of NextTile
        The most telling first.

    Notes
    -----
    The tile of which the mean variance of the wanted colours falls most, by the straightened model (A-optimal
    design; F. Pukelsheim, Optimal Design of Experiments, 1993, from memory).
    """
    choices = candidates(fit, jar)
    aims = list(wanted) or choices
    model = TileModel([*choices, *aims], fit.layout.jars, fit.bench, fit.layout)
    lab, seen, slopes = model.moves(fit.unknowns)
    axes = np.stack([even_axes(one) for one in lab])
    moves = axes @ model.lab_slopes(seen) @ slopes
    own = axes @ model.thickness_moves(fit.unknowns)
    noise = np.eye(3) * (number("tile_error") / THREE_AXES) ** 2
    first = len(choices)
    now = _sure(moves[first:], fit.covariance)
    found = []
    for n, stack in enumerate(choices):
        reach = moves[n] @ fit.covariance
        told = reach @ moves[n].T + noise + own[n] @ own[n].T
        left = fit.covariance - reach.T @ np.linalg.solve(told, reach)
        found.append(NextTile(stack, now, _sure(moves[first:], left)))
    return tuple(sorted(found, key=lambda tile: tile.after)[:most])


def _sure(moves: Array, covariance: Array) -> float:
    spread = np.einsum("nij,jk,nik->n", moves, covariance, moves)
    return float(np.mean(np.sqrt(np.maximum(spread, 0.0))))


def candidates(fit: JarFit, jar: str) -> list[TileStack]:
    """Return tiles that could be made of a jar: at three thicknesses, on every metal and undercoat in use.

    Parameters
    ----------
    fit : JarFit
        So far.
    jar : str
        Id of a jar.
    """
    depths = [number(name) for name in ("tile_thin", "tile_middle", "tile_thick")]
    bases: dict[tuple[str, ...], TileStack] = {}
    for tile in fit.stacks:
        for under in {tile.coats[:-1], ()}:
            if any(fit.bench.jar(coat.jar).id == jar for coat in under):
                continue
            key = (tile.metal, tile.foil or "", tile.finish, tile.taken, *(coat.jar for coat in under))
            bases.setdefault(key, tile.model_copy(update={"coats": under}))
    return [
        TileStack(
            name=f"{tile.foil or tile.metal} {depth * 1e3:.2f}", metal=tile.metal, foil=tile.foil, taken=tile.taken,
            finish=tile.finish, coats=(*tile.coats, TileCoat(jar=jar, thickness=depth)),
        )
        for tile in bases.values()
        for depth in depths
    ]  # fmt: skip
