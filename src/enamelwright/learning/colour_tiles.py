"""The maker's own fired tiles come first: which are nearest to a stack, how the model fares, what a jar's shift is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.correction import moved
from enamelwright.craft.colour.fired_tile import FiredTile, TileCoat, TileStack
from enamelwright.craft.colour.jar_optics import class_of
from enamelwright.craft.colour.photo_colours import number
from enamelwright.craft.metal import metal
from enamelwright.learning.tile_model import TileModel, off
from enamelwright.reference.loader import value

Array = npt.NDArray[np.float64]


@dataclass(frozen=True)
class Near:
    """A tile beside a stack.

    Attributes
    ----------
    tile : FiredTile
        The tile.
    alike : float
        0 when it is the same stack; grows with every difference.
    words : tuple of str
        In what it differs.
    """

    tile: FiredTile
    alike: float
    words: tuple[str, ...]


def nearest(stack: TileStack, tiles: Sequence[FiredTile], bench: Bench, most: int = 3) -> tuple[Near, ...]:
    """Find the maker's own tiles that come nearest to a stack: same jar on top, then base, then thickness.

    Parameters
    ----------
    stack : TileStack
        What is wanted.
    tiles : sequence of FiredTile
        All there are.
    bench : Bench
        Jars by name.
    most : int
        How many to return.

    Returns
    -------
    tuple of Near
        The nearest first; empty when no tile has the jar on top.
    """
    top = bench.jar(stack.coats[-1].jar).id
    found = [_near(stack, tile, bench) for tile in tiles if bench.jar(tile.coats[-1].jar).id == top]
    return tuple(sorted(found, key=lambda near: near.alike)[:most])


def _near(stack: TileStack, tile: FiredTile, bench: Bench) -> Near:
    words: list[str] = []
    apart = 0.0
    wanted, has = _depth(stack, bench), _depth(tile, bench)
    ratio = float(np.log(has / wanted))
    apart += abs(ratio) * number("near_thickness")
    if abs(ratio) > value("colour/thickness/weighed_sd"):
        share = abs(has / wanted - 1)
        words.append(f"its coat is {share:.0%} {'thicker' if has > wanted else 'thinner'}")
    hides = class_of(bench.jar(stack.coats[-1].jar)) == "opaque"
    base = 0.0
    if _under(stack, bench) != _under(tile, bench):
        base += number("near_undercoat")
        words.append(f"it has {_words(tile, bench)} under it, not {_words(stack, bench)}")
    white = any(class_of(bench.jar(coat.jar)) == "opaque" for coat in _below(stack, bench))
    ground, other = (metal(one.foil or one.metal) for one in (stack, tile))
    if ground.id != other.id:
        base += number("near_metal") * (number("near_hidden") if white else 1.0)
        words.append(f"it is on {other.name}, not {ground.name}")
    apart += base * (number("near_hidden") if hides else 1.0)
    if tile.taken != stack.taken:
        apart += number("near_taken")
        words.append(f"its colour was taken otherwise ({tile.taken})")
    return Near(tile, apart, tuple(words))


def _below(stack: TileStack, bench: Bench) -> tuple[TileCoat, ...]:
    """Return the coats under the uppermost glass, however many coats of one jar that is."""
    top = bench.jar(stack.coats[-1].jar).id
    others = (n for n, coat in enumerate(stack.coats, 1) if bench.jar(coat.jar).id != top)
    return stack.coats[: max(others, default=0)]


def _depth(stack: TileStack, bench: Bench) -> float:
    """Return how thick the uppermost glass is [m]."""
    return sum(coat.thickness for coat in stack.coats[len(_below(stack, bench)) :])


def _under(stack: TileStack, bench: Bench) -> tuple[str, ...]:
    """Return how light passes each coat under the uppermost glass: what the eye can tell of them."""
    kinds = [class_of(bench.jar(coat.jar)) for coat in _below(stack, bench)]
    # under a hiding coat nothing is seen; clear ones differ little among each other
    last = max((n for n, kind in enumerate(kinds) if kind == "opaque"), default=0)
    return tuple(dict.fromkeys(kinds[last:]))


def _words(stack: TileStack, bench: Bench) -> str:
    return " and ".join(bench.jar(coat.jar).name for coat in _below(stack, bench)) or "nothing"


@dataclass(frozen=True)
class Beside:
    """A tile beside what is foretold of it, both under the light and with the gloss of its reading.

    Attributes
    ----------
    tile : FiredTile
        The tile.
    seen, foretold : tuple of float
        L*, a*, b* for D50 and 2 degrees.
    off : float
        Between the two [CIEDE2000].
    unseen : bool
        Whether no fit of its jars stands on this tile.
    """

    tile: FiredTile
    seen: tuple[float, float, float]
    foretold: tuple[float, float, float]
    off: float
    unseen: bool


def foretold_beside(tiles: Sequence[FiredTile], bench: Bench) -> tuple[Beside, ...]:
    """Foretell tiles from what the bench knows now, as they were lit when they were read.

    Parameters
    ----------
    tiles : sequence of FiredTile
        With their readings, of jars the bench knows the colour of.
    bench : Bench
        Jars and coupons.

    Raises
    ------
    OutOfReach
        When nothing tells the colour of a jar.
    """
    if not tiles:
        return ()
    model = TileModel(tiles, (), bench)
    labs = model.seen.lab(model.reflectance(model.start())[0])
    found = []
    for tile, lab in zip(tiles, labs, strict=True):
        seen = tile.lab if tile.lab is not None else _three(model.seen.lab(np.array(tile.reflectance)))
        known = {name for coat in tile.coats for name in bench.jar(coat.jar).optics.fitted_from or ()}
        found.append(Beside(tile, seen, _three(lab), off(lab, seen), tile.name not in known))
    return tuple(found)


def _three(lab: Array) -> tuple[float, float, float]:
    return float(lab[0]), float(lab[1]), float(lab[2])


def alike_key(stack: TileStack, bench: Bench) -> tuple[str, ...]:
    """Return what stacks must share for one to teach the other: jar on top, ground, and what lies between.

    Parameters
    ----------
    stack : TileStack
        A tile, or a stack that is wanted.
    bench : Bench
        Jars by name.
    """
    ground = metal(stack.foil or stack.metal).id
    return (bench.jar(stack.coats[-1].jar).id, ground, *_under(stack, bench))


@dataclass(frozen=True)
class Running:
    """How the model has fared against real tiles it had not seen.

    Attributes
    ----------
    count : int
        Tiles.
    off : float
        Root mean square of the differences [CIEDE2000]; what is expected while there are too few tiles.
    half : float
        What half of them were less than [CIEDE2000]; as `off` while there are too few tiles.
    earned : bool
        Whether these come from enough tiles rather than from an assumption.
    """

    count: int
    off: float
    half: float
    earned: bool

    def words(self) -> str:
        """Say it in one line."""
        if self.earned:
            return (
                f"{self.count} spots foretold so far were {self.off:.1f} off on average, half of them less than "
                f"{self.half:.1f}; 1 is just seen, 10 is another colour at a glance"
            )
        return f"expect about {self.off:.0f} off; {self.count} spots foretold are too few to say better"


def running_error(differences: Sequence[float]) -> Running:
    """Return the error of the model as the maker's own tiles tell it.

    Parameters
    ----------
    differences : sequence of float
        Of tiles that were foretold before they were seen [CIEDE2000].
    """
    count = len(differences)
    if count < value("colour/uncertainty/residuals"):
        model = value("colour/uncertainty/model")
        return Running(count, model, model, False)
    return Running(count, float(np.sqrt(np.mean(np.square(differences)))), float(np.median(differences)), True)


@dataclass(frozen=True)
class Shift:
    """By how much a jar comes out otherwise than predicted on one base and firing.

    Attributes
    ----------
    lab : tuple of float
        To be added to the prediction.
    sd : float
        Of each of the three.
    count : int
        Tiles it stands on.
    """

    lab: tuple[float, float, float]
    sd: float
    count: int

    @property
    def learned(self) -> bool:
        """Whether there are enough tiles to use it."""
        return self.count >= number("shift_least")


def learned_shift(gaps: npt.ArrayLike) -> Shift:
    """Learn a shift from tiles, drawn towards none while they are few.

    Parameters
    ----------
    gaps : array_like, shape (n, 3)
        Seen less predicted L*, a*, b* of tiles of one jar on one base, fired alike.

    Notes
    -----
    Normal prior about no shift: mean ``n t^2/(n t^2 + s^2)`` of the mean gap, variance ``t^2 s^2/(n t^2 + s^2)``.
    """
    rows = np.asarray(gaps, dtype=np.float64).reshape(-1, 3)
    count, tau, noise = len(rows), number("shift_tau"), number("shift_noise")
    below = count * tau**2 + noise**2
    mean = rows.mean(axis=0) if count else np.zeros(3)
    lab = mean * count * tau**2 / below
    return Shift((float(lab[0]), float(lab[1]), float(lab[2])), float(np.sqrt(tau**2 * noise**2 / below)), count)


def taught_off(beside: Sequence[Beside], bench: Bench) -> tuple[float, ...]:
    """Return how far each tile would be off now, with the shift that the others of its kind teach.

    Parameters
    ----------
    beside : sequence of Beside
        Tiles no fit stands on.
    bench : Bench
        Jars by name.

    Returns
    -------
    tuple of float
        In the same order [CIEDE2000]. A tile never teaches its own forecast; while the others are too few it
        stands as it was foretold.
    """
    kinds = [alike_key(one.tile, bench) for one in beside]
    gaps = np.array([np.subtract(one.seen, one.foretold) for one in beside]).reshape(-1, 3)
    found = []
    for n, one in enumerate(beside):
        others = [m for m, kind in enumerate(kinds) if kind == kinds[n] and m != n]
        shift = learned_shift(gaps[others])
        found.append(off(moved(one.foretold, shift.lab), one.seen) if shift.learned else one.off)
    return tuple(found)
