"""Which test tile next: where a tile comes out good, and which setting would teach most.

A tile is good when it is neither short nor burnt. Both tails get a logistic law in temperature and time of their own,
of which it is known beforehand which way it leans; where nobody told which of the two it was, one law with squares
must do. Temperature and time belong to the load: tiles of one load are
one try of them.

Source: planning by drawing from what is known, W. R. Thompson, Biometrika 25 (1933) 285. The priors are assumptions.
Checked in tests/learning/test_next_tile.py.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError
from enamelwright.learning.rare_faults import Effects, weak_prior

Array = npt.NDArray[np.float64]

TEMPERATURE_SCALE, TIME_SCALE = 40.0, 60.0
"""What counts as one step of temperature [K] and of time [s]."""
SQUARE_SDS = (2.5, 2.5, 2.5, 2.0, 2.5, 2.5)
"""Priors of 1, a, b, ab, a², b² (assumption)."""
SHORT_ABOUT, BURNT_ABOUT, LINE_SDS = (-2.0, -2.0, -2.0), (-2.0, 2.0, 2.0), (2.0, 1.0, 1.0)
"""Priors of 1, a, b for the tails: hotter and longer make a short tile rarer and a burnt one more frequent; where the
plan expects the window, about one in eight comes out either way (assumption)."""


@dataclass(frozen=True)
class TileTried:
    """A tile that was fired.

    Attributes
    ----------
    temperature : float
        Set point [K].
    seconds : float
        Time in the kiln [s].
    came : str
        "short", "good" or "burnt"; "bad" when nobody knows which of the two.
    """

    temperature: float
    seconds: float
    came: str

    def __post_init__(self) -> None:
        """Refuse what cannot be counted."""
        if self.came not in {"short", "good", "burnt", "bad"}:
            raise InputError(f"a tile does not come '{self.came}'", "Say short, good, burnt or bad.")
        if not (
            np.isfinite(self.temperature) and self.temperature > 0 and np.isfinite(self.seconds) and self.seconds > 0
        ):
            raise InputError("a tile needs its temperature and its time", "Leave it out until both are known.")


@dataclass(frozen=True, eq=False)
class GoodWindow:
    """Where tiles come out good, as far as is known.

    Attributes
    ----------
    centre : tuple of float
        Temperature [K] and time [s] about which the laws are written.
    laws : tuple of Effects
        One law with squares, or two lines: short, burnt.
    tiles : int
        How many tiles it stands on.
    against : int
        Pairs of tiles that contradict each other: one burnt, and one short though fired no cooler and no shorter.
    """

    centre: tuple[float, float]
    laws: tuple[Effects, ...]
    tiles: int
    against: int = 0

    def good(self, temperature: npt.ArrayLike, seconds: npt.ArrayLike) -> Array:
        """Chance of a good tile, the spread of what is known counted in.

        Parameters
        ----------
        temperature, seconds : array_like
            [K], [s].
        """
        x = self._inputs(temperature, seconds)
        chances = [law.probability(x[..., : len(law.coefficients)]) for law in self.laws]
        return chances[0] if len(chances) == 1 else np.asarray((1 - chances[0]) * (1 - chances[1]))

    def teaches(self, temperature: npt.ArrayLike, seconds: npt.ArrayLike) -> Array:
        """How much one more tile would teach there: the spread of the outcome times that of the law.

        Parameters
        ----------
        temperature, seconds : array_like
            [K], [s].
        """
        x = self._inputs(temperature, seconds)
        total = np.zeros(x.shape[:-1])
        for law in self.laws:
            own = x[..., : len(law.coefficients)]
            p = law.probability(own)
            total = total + p * (1 - p) * np.einsum("...i,ij,...j->...", own, law.covariance, own)
        return total

    def drawn(self, temperature: npt.ArrayLike, seconds: npt.ArrayLike, rng: np.random.Generator) -> Array:
        """Chance of a good tile in one world that fits what is known.

        Parameters
        ----------
        temperature, seconds : array_like
            [K], [s].
        rng : numpy.random.Generator
            Draws the world.
        """
        from scipy.special import expit

        x = self._inputs(temperature, seconds)
        chances = []
        for law in self.laws:
            world = rng.multivariate_normal(law.coefficients, law.covariance, method="cholesky")
            chances.append(expit(x[..., : len(world)] @ world))
        return np.asarray(chances[0] if len(chances) == 1 else (1 - chances[0]) * (1 - chances[1]))

    def _inputs(self, temperature: npt.ArrayLike, seconds: npt.ArrayLike) -> Array:
        return window_inputs(temperature, seconds, self.centre)


def window_inputs(temperature: npt.ArrayLike, seconds: npt.ArrayLike, centre: tuple[float, float]) -> Array:
    """Return 1, a, b, ab, a², b² of settings about a centre.

    Parameters
    ----------
    temperature, seconds : array_like
        [K], [s].
    centre : tuple of float
        [K], [s].
    """
    a = (np.asarray(temperature, dtype=np.float64) - centre[0]) / TEMPERATURE_SCALE
    b = (np.asarray(seconds, dtype=np.float64) - centre[1]) / TIME_SCALE
    a, b = np.broadcast_arrays(a, b)
    return np.stack([np.ones_like(a), a, b, a * b, a * a, b * b], axis=-1)


def good_window(tiles: Sequence[TileTried], centre: tuple[float, float]) -> GoodWindow:
    """Learn the window from tiles.

    Parameters
    ----------
    tiles : sequence of TileTried
        May be empty: then the prior speaks.
    centre : tuple of float
        Where the plan expects the window [K], [s].

    Raises
    ------
    OutOfReach
        When the fit does not settle.
    """
    x = window_inputs([t.temperature for t in tiles], [t.seconds for t in tiles], centre)
    if all(tile.came != "bad" for tile in tiles):
        lines = []
        for which, about in (("short", SHORT_ABOUT), ("burnt", BURNT_ABOUT)):
            if tiles:
                tail = np.asarray([t.came == which for t in tiles], dtype=float)
                lines.append(weak_prior(x[:, : len(LINE_SDS)], tail, LINE_SDS, about))
            else:
                lines.append(Effects(np.asarray(about), np.diag(np.asarray(LINE_SDS) ** 2)))
        return GoodWindow(centre, tuple(lines), len(tiles), _against(tiles))
    good = np.asarray([t.came == "good" for t in tiles], dtype=float)
    return GoodWindow(centre, (weak_prior(x, good, SQUARE_SDS),), len(tiles), _against(tiles))


def _against(tiles: Sequence[TileTried]) -> int:
    burnt = [one for one in tiles if one.came == "burnt"]
    short = [one for one in tiles if one.came == "short"]
    return sum(s.temperature >= b.temperature and s.seconds >= b.seconds for b in burnt for s in short)


def next_batch(
    window: GoodWindow,
    temperatures: Sequence[float],
    seconds: Sequence[float],
    count: int,
    *,
    seed: int = 0,
    loads: int = 1,
) -> tuple[tuple[float, float], ...]:
    """Choose settings to fire next, one a load: each is the best of one world that fits what is known.

    Parameters
    ----------
    window : GoodWindow
        What is known.
    temperatures, seconds : sequence of float
        Settings the kiln can do [K], [s].
    count : int
        Settings wanted, at least 1.
    seed : int
        The same seed gives the same settings.
    loads : int
        Loads already fired, so that the next batch draws other worlds.

    Returns
    -------
    tuple of (temperature, seconds)
        Different from each other as long as the grid allows.

    Raises
    ------
    InputError
        For an empty grid or no tile.
    """
    if not temperatures or not seconds or count < 1:
        raise InputError("no settings to choose from", "Give temperatures, times and how many tiles.")
    grid_t, grid_s = np.meshgrid(np.asarray(temperatures, float), np.asarray(seconds, float), indexing="ij")
    rng = np.random.default_rng([seed, window.tiles, loads])
    chosen: list[int] = []
    for _ in range(count):
        order = np.argsort(-window.drawn(grid_t, grid_s, rng).ravel(), kind="stable")
        fresh = [int(k) for k in order if int(k) not in chosen]
        chosen.append(fresh[0] if fresh else int(order[0]))
    return tuple((float(grid_t.ravel()[k]), float(grid_s.ravel()[k])) for k in chosen)
