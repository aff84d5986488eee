"""From what a camera saw of patches of known colour to the colours of everything else in the photo.

Raw numbers of a camera are no colours: its three sensitivities are not those of an eye. A correction
is fitted on the patches of a card, judged by leaving each patch out in turn, and freed of patches
that were covered, soiled or missed.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError
from enamelwright.physics.colour.colour_difference import ciede2000
from enamelwright.physics.colour.colour_space import lab_of, toned

Array = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]

#: Usable patches from which on the rooted polynomial is fitted, and under which nothing is (own choice).
ENOUGH_FOR_ROOTS, FEWEST = 12, 9
#: A patch is dropped when it is this far off [CIEDE2000] and this many times the median (own choice).
FAR_OFF, TIMES_MEDIAN = 5.0, 4.0
#: Patches that may be dropped before the photo is refused (own choice).
MOST_DROPPED = 4
#: Least X, Y or Z (white: Y = 100) a correction may give; Lab has no meaning below.
DARKEST = 1e-2
#: Median difference above which patches in some order are not taken for the card [CIEDE2000] (own choice).
NOT_THE_CARD = 8.0
#: Pixels of a picture that are corrected at once: few enough to stay in the processor's own memory.
AT_ONCE = 32_768
#: Steps of the table by which light is turned into codes for a screen.
SCREEN_STEPS = 4096


def rooted(raw: npt.ArrayLike) -> Array:
    """Return r, g, b and the roots of their products: all grow in step with the exposure.

    Parameters
    ----------
    raw : array_like, shape (..., 3)
        Linear in light, not negative.

    Returns
    -------
    ndarray, shape (..., 6)

    Notes
    -----
    G. D. Finlayson, M. Mackiewicz & A. Hurlbert, IEEE Trans. Image Process. 24 (2015) 1460, degree 2.
    """
    r, g, b = np.moveaxis(np.maximum(np.asarray(raw, dtype=np.float64), 0.0), -1, 0)
    return np.stack([r, g, b, np.sqrt(r * g), np.sqrt(g * b), np.sqrt(r * b)], axis=-1)


def _features(raw: npt.ArrayLike, roots: bool) -> Array:
    return rooted(raw) if roots else np.asarray(raw, dtype=np.float64)


@dataclass(frozen=True)
class CameraFit:
    """A correction from linear camera numbers to X, Y, Z.

    Attributes
    ----------
    matrix : ndarray, shape (6 or 3, 3)
        From the features of a reading to X, Y, Z (Y of white = 100).
    white : ndarray, shape (3,)
        X, Y, Z of white.
    left_out : ndarray, shape (patches,)
        How far each patch is off when the others predict it [CIEDE2000]; NaN where it was not used.
    dropped : tuple of int
        Patches that fit no better than a wrong one, in the order they were dropped.
    """

    matrix: Array
    white: Array
    left_out: Array
    dropped: tuple[int, ...]

    @property
    def roots(self) -> bool:
        """Whether the rooted polynomial was fitted, rather than three by three numbers."""
        return len(self.matrix) > 3

    @property
    def error(self) -> float:
        """Mean of the patches left out in turn [CIEDE2000]; expect about twice it on enamel."""
        return float(np.nanmean(self.left_out))

    @property
    def used(self) -> int:
        """How many patches it stands on."""
        return int(np.sum(np.isfinite(self.left_out)))

    def xyz(self, raw: npt.ArrayLike) -> Array:
        """Return X, Y, Z of readings.

        Parameters
        ----------
        raw : array_like, shape (..., 3)
            Linear in light, on the scale of the patches.
        """
        return np.maximum(_features(raw, self.roots) @ self.matrix, DARKEST)

    def lab(self, raw: npt.ArrayLike) -> Array:
        """Return L*, a*, b* of readings for the white of the card's values.

        Parameters
        ----------
        raw : array_like, shape (..., 3)
            Linear in light, on the scale of the patches.
        """
        return np.asarray(lab_of(self.xyz(raw), self.white))


def fit_camera(
    raw: npt.ArrayLike, xyz: npt.ArrayLike, white: npt.ArrayLike, usable: npt.ArrayLike | None = None
) -> CameraFit:
    """Fit the correction of one photo on the patches of a card.

    Least squares without a constant, so that black stays black and exposure cancels. A patch that the
    others predict far worse than they predict each other is dropped, one at a time.

    Parameters
    ----------
    raw : array_like, shape (n, 3)
        What the camera saw of each patch, linear in light.
    xyz : array_like, shape (n, 3)
        What the patches are (Y of white = 100).
    white : array_like, shape (3,)
        X, Y, Z of the white of these values.
    usable : array_like of bool, shape (n,), optional
        False for patches that are blown out or covered; all when left out.

    Raises
    ------
    InputError
        When too few patches are usable, or too many would have to be dropped.

    Notes
    -----
    The left-out prediction is ``y + (yhat - y)/(1 - H)`` with the diagonal H of the hat matrix: exact for
    least squares (Belsley, Kuh & Welsch, Regression Diagnostics, 1980, ch. 2; from memory).
    """
    seen, known, light = (np.asarray(part, dtype=np.float64) for part in (raw, xyz, white))
    good = np.all(np.isfinite(seen), axis=1) & np.all(np.isfinite(known), axis=1)
    if usable is not None:
        good &= np.asarray(usable, dtype=bool)
    dropped: list[int] = []
    while True:
        if int(good.sum()) < FEWEST:
            raise InputError(
                f"only {int(good.sum())} patches of the card can be used and {FEWEST} are needed.",
                "Take the photo again with the whole card in view, not covered and not blown out.",
                "card",
            )
        matrix, off = _fit_once(seen[good], known[good], light)
        worst, median = int(np.argmax(off)), float(np.median(off))
        if off[worst] <= max(FAR_OFF, TIMES_MEDIAN * median):
            break
        if len(dropped) == MOST_DROPPED:
            raise InputError(
                f"more than {MOST_DROPPED} patches of the card do not fit the others.",
                "Check which card it is and where its corners were placed, or take the photo again.",
                "card",
            )
        dropped.append(int(np.flatnonzero(good)[worst]))
        good[dropped[-1]] = False
    left_out = np.full(len(seen), np.nan)
    left_out[good] = off
    return CameraFit(matrix, light, left_out, tuple(dropped))


def _fit_once(seen: Array, known: Array, white: Array) -> tuple[Array, Array]:
    """Fit on all patches given; return the numbers and how far each patch left out is off."""
    features = _features(seen, len(seen) >= ENOUGH_FOR_ROOTS)
    inverse = np.linalg.pinv(features)
    matrix = inverse @ known
    share = np.clip(np.einsum("np,pn->n", features, inverse), 0.0, 1.0 - np.finfo(np.float64).eps)
    alone = known + (features @ matrix - known) / (1.0 - share)[:, None]
    off = ciede2000(lab_of(np.maximum(alone, DARKEST), white), lab_of(known, white))
    return matrix, np.asarray(off, dtype=np.float64)


@dataclass(frozen=True)
class Placing:
    """How a card lies in a photo.

    Attributes
    ----------
    order : ndarray of int, shape (patches,)
        For each patch of the card, which reading is its own.
    name : str
        ``as placed``, ``upside down``, ``mirrored`` or ``mirrored and upside down``.
    off, next_off : float
        Median difference with it, and with the second-best order [CIEDE2000].
    """

    order: npt.NDArray[np.int64]
    name: str
    off: float
    next_off: float

    @property
    def is_the_card(self) -> bool:
        """Whether the readings can be this card at all."""
        return self.off <= NOT_THE_CARD


def placing_of(
    raw: npt.ArrayLike,
    xyz: npt.ArrayLike,
    white: npt.ArrayLike,
    rows: int,
    columns: int,
    usable: npt.ArrayLike | None = None,
) -> Placing:
    """Find which way round a card was placed, by which order of its patches fits.

    Parameters
    ----------
    raw : array_like, shape (rows * columns, 3)
        Readings, row by row as the corners were placed; linear in light.
    xyz : array_like, shape (rows * columns, 3)
        What the patches are, row by row.
    white : array_like, shape (3,)
        X, Y, Z of the white.
    rows, columns : int
        Of the card.
    usable : array_like of bool, shape (rows * columns,), optional
        Readings that can be used.
    """
    seen, known, light = (np.asarray(part, dtype=np.float64) for part in (raw, xyz, white))
    fine = np.ones(len(seen), dtype=bool) if usable is None else np.asarray(usable, dtype=bool)
    grid = np.arange(rows * columns).reshape(rows, columns)
    ways = {
        "as placed": grid,
        "upside down": grid[::-1, ::-1],
        "mirrored": grid[:, ::-1],
        "mirrored and upside down": grid[::-1, :],
    }
    found: list[tuple[float, str, npt.NDArray[np.int64]]] = []
    for name, way in ways.items():
        order = way.reshape(-1)
        good = fine[order]
        if good.sum() >= FEWEST:
            # three by three numbers only: the rooted polynomial bends itself to wrong orders too
            features = seen[order][good]
            there = np.maximum(features @ np.linalg.pinv(features) @ known[good], DARKEST)
            off = ciede2000(lab_of(there, light), lab_of(known[good], light))
            found.append((float(np.median(off)), name, order))
    if not found:
        return Placing(grid.reshape(-1), "as placed", float("inf"), float("inf"))
    found.sort(key=lambda one: one[0])
    return Placing(found[0][2], found[0][1], found[0][0], found[1][0])


def grey_curve(seen: npt.ArrayLike, light: npt.ArrayLike) -> Callable[[Array], Array] | None:
    """Straighten a camera's contrast by its own picture of a row of greys.

    Parameters
    ----------
    seen : array_like, shape (n, 3)
        Readings of neutral patches, one column a channel.
    light : array_like, shape (n,)
        What they reflect, Y.

    Returns
    -------
    callable or None
        From readings (..., 3) to light, never falling, a power law beyond the ends; None when the
        greys do not rise one after the other in every channel.
    """
    from scipy.interpolate import PchipInterpolator

    codes, known = np.asarray(seen, dtype=np.float64), np.asarray(light, dtype=np.float64)
    order = np.argsort(known)
    codes, known = codes[order], known[order]
    if len(known) < 4 or np.any(codes <= 0) or np.any(np.diff(codes, axis=0) <= 0) or np.any(np.diff(known) <= 0):
        return None
    lines = []
    for channel in codes.T:
        x, y = np.log(channel), np.log(known)
        # beyond the ends goes on as between the last two, which is a power law of light
        x = np.concatenate([[2 * x[0] - x[1]], x, [2 * x[-1] - x[-2]]])
        y = np.concatenate([[2 * y[0] - y[1]], y, [2 * y[-1] - y[-2]]])
        lines.append((PchipInterpolator(x, y), x, y))
    least = float(codes.min()) * np.finfo(np.float32).eps

    def straighten(values: Array) -> Array:
        logs = np.log(np.maximum(np.asarray(values, dtype=np.float64), least))
        out = np.empty_like(logs)
        for n, (curve, x, y) in enumerate(lines):
            at = logs[..., n]
            within = curve(np.clip(at, x[0], x[-1]))
            below = (at - x[0]) * (y[1] - y[0]) / (x[1] - x[0])
            above = (at - x[-1]) * (y[-1] - y[-2]) / (x[-1] - x[-2])
            out[..., n] = np.exp(within + np.minimum(below, 0.0) + np.maximum(above, 0.0))
        return out

    return straighten


def correct_picture(
    pixels: npt.NDArray[np.uint8] | npt.NDArray[np.uint16],
    fit: CameraFit,
    light_of: npt.NDArray[np.float32],
    to_screen: npt.ArrayLike,
) -> npt.NDArray[np.uint8]:
    """Correct every pixel of a photo, for looking at.

    Parameters
    ----------
    pixels : ndarray of unsigned integers, shape (height, width, 3)
        Codes as they stand in the file.
    fit : CameraFit
        Of the card in it.
    light_of : ndarray, shape (codes, 3)
        Light of each code in each channel, as the card was read.
    to_screen : array_like, shape (3, 3)
        Rows: from X, Y, Z (Y of white = 100, the white of the fit) to linear light of a screen.

    Returns
    -------
    ndarray of uint8, shape (height, width, 3)
        Codes for a screen; colours it cannot show are cut off at its limits.
    """
    final = (fit.matrix @ np.asarray(to_screen, dtype=np.float64).T).astype(np.float32)
    steps = np.linspace(0.0, 1.0, SCREEN_STEPS)
    codes = np.round(toned(steps) * np.iinfo(np.uint8).max).astype(np.uint8)
    out = np.empty(pixels.shape, dtype=np.uint8)
    # one table a channel: everything else follows from the roots of the light
    root_of = [np.ascontiguousarray(np.sqrt(light_of[:, n])) for n in range(3)]
    rows = max(1, AT_ONCE // max(1, pixels.shape[1]))
    features = np.empty((6 if fit.roots else 3, rows * pixels.shape[1]), dtype=np.float32)
    for top in range(0, len(pixels), rows):
        part = pixels[top : top + rows]
        here = features[:, : part.shape[0] * part.shape[1]]
        r, g, b = (np.take(root_of[n], part[..., n]).ravel() for n in range(3))
        pairs = ((r, r), (g, g), (b, b), (r, g), (g, b), (r, b))
        for feature, (one, other) in zip(here, pairs, strict=False):
            np.multiply(one, other, out=feature)
        shown = final.T @ here
        shown *= np.float32(SCREEN_STEPS - 1)
        shown += np.float32(0.5)
        for n in range(3):
            place = np.maximum(shown[n], 0.0).astype(np.int32)
            out[top : top + rows, :, n] = np.take(codes, place, mode="clip").reshape(part.shape[:2])
    return out
