"""The window of a jar as a map: where tiles come out well, as far as is known, over settings about the one expected.

Checked in tests/learning/test_tile_batch.py.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from enamelwright.learning.next_tile import (
    GoodWindow,
    TileTried,
    good_window,
    mostly_good,
    too_long,
    too_short,
    window_inputs,
)
from enamelwright.learning.tile_batch import beyond_a_step, grid

Array = npt.NDArray[np.float64]

Standing = Literal["good", "perhaps", "bad", "not known"]
LIKELY, UNLIKELY = 0.8, 0.35
"""Chances from which a setting is called good, and below which bad; between them and unsure, perhaps."""
LIKELY_END = 0.85
"""Ends of what a chance may be; where they lie on either side of good and bad the setting is not known."""


@dataclass(frozen=True)
class WindowCell:
    """One setting of the picture: how tiles come out there, as far as is known."""

    temperature: float
    seconds: float
    standing: Standing


def window_picture(
    tried: Sequence[TileTried], centre: tuple[float, float], longer: float = 0.0
) -> tuple[WindowCell, ...]:
    """Return how tiles come out over the grid, as far as is known.

    What must come out short or burnt is bad, what lies between two settings that came out well is good. A step about
    what came out well, where the laws do not say otherwise, a tile perhaps comes out well; further off is not known.

    Parameters
    ----------
    tried : sequence of TileTried
        So far.
    centre : tuple of float
        [K], [s].
    longer : float
        As for :func:`batch`.
    """
    temperatures, seconds = grid(centre)
    t, s = np.meshgrid(temperatures, seconds, indexing="ij")
    window = good_window(tried, centre)
    chance = window.good(t, s)
    least, most = _chances(window, t, s)
    sure = _between_good(tried, t, s, (temperatures[1] - temperatures[0]) / 2, (seconds[1] - seconds[0]) / 2)
    standing = np.full(t.shape, "perhaps", dtype=object)
    standing[chance > LIKELY] = "good"
    standing[chance < UNLIKELY] = "bad"
    unsure = (least < UNLIKELY) & (most > LIKELY)
    standing[unsure & (standing != "perhaps")] = "not known"
    standing[(standing == "perhaps") & beyond_a_step(tried, t, s, longer)] = "not known"
    standing[too_short(tried, t, s) | too_long(tried, t, s)] = "bad"
    standing[sure & (standing != "bad")] = "good"
    for lines in (standing, standing.T, standing):
        for line in lines:
            _one_stretch(line)
    if not tried:
        standing[:] = "not known"
    return tuple(
        WindowCell(float(a), float(b), one) for a, b, one in zip(t.ravel(), s.ravel(), standing.ravel(), strict=True)
    )


def _one_stretch(line: npt.NDArray[np.object_]) -> None:
    """Let what may come out well at one heat, or after one time, be one stretch, as between short and burnt it is."""
    well = np.flatnonzero((line == "good") | (line == "perhaps"))
    if well.size:
        inside = line[well[0] : well[-1] + 1]
        inside[inside == "not known"] = "perhaps"


def _between_good(tried: Sequence[TileTried], t: Array, s: Array, heat: float, time: float) -> npt.NDArray[np.bool_]:
    """Whether a setting lies between two that came out well: no less than the one, no more than the other.

    Heat and time only add, so it is neither short nor burnt. Where gloss was first seen a tile was not short any more.
    Half a step of the grid more or less is the same setting.
    """
    good = mostly_good(tried)
    least = [(one.temperature, one.first_gloss if one.first_gloss is not None else one.seconds) for one in good]
    enough, fine = np.zeros(t.shape, dtype=bool), np.zeros(t.shape, dtype=bool)
    for (cool, short), one in zip(least, good, strict=True):
        enough |= (t >= cool - heat) & (s >= short - time)
        fine |= (t <= one.temperature + heat) & (s <= one.seconds + time)
    return enough & fine


def _chances(window: GoodWindow, t: Array, s: Array) -> tuple[Array, Array]:
    """Return the least and the most a chance of a good tile may be, 15 and 85 % of each law."""
    from scipy.special import expit, ndtri

    x = window_inputs(t, s, window.centre)
    reach = float(ndtri(LIKELY_END))
    ends = []
    for law in window.laws:
        own = x[..., : len(law.coefficients)]
        middle, half = own @ law.coefficients, reach * np.sqrt(np.einsum("...i,ij,...j->...", own, law.covariance, own))
        ends.append((expit(middle - half), expit(middle + half)))
    if len(ends) == 1:
        return ends[0]
    (short_low, short_high), (burnt_low, burnt_high) = ends
    return np.asarray((1 - short_high) * (1 - burnt_high)), np.asarray((1 - short_low) * (1 - burnt_low))
