"""How far two colours lie apart, as an eye would judge it."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError

Array = npt.NDArray[np.float64]

# CIEDE2000, numbers of the formula (Sharma, Wu and Dalal 2005, equations 2 to 22).
_KNEE_C = 25.0**7
_L_MIDDLE, _L_RISE, _L_BEND = 50.0, 0.015, 20.0
_C_RISE, _H_RISE = 0.045, 0.015
_T = ((1, -0.17, -30.0), (2, 0.24, 0.0), (3, 0.32, 6.0), (4, -0.20, -63.0))
_TURN, _TURN_AT, _TURN_WIDE = 30.0, 275.0, 25.0
_FULL, _HALF = 360.0, 180.0

# DIN99d, numbers of the formula (Cui, Luo, Rigg, Roesner and Witt 2002).
_D_TURN, _D_STRETCH = 50.0, 1.14
_D_L, _D_L_KNEE, _D_C, _D_C_KNEE = 325.22, 0.0036, 22.5, 0.06


def _labs(values: npt.ArrayLike) -> Array:
    found = np.asarray(values, dtype=np.float64)
    if found.shape[-1:] != (3,):
        raise InputError("Lab needs three numbers")
    return found


def _seventh(value: Array) -> Array:
    """Raise to the seventh power; by products it takes a fraction of the time."""
    square = value * value
    return square * square * square * value


def ciede2000(lab1: npt.ArrayLike, lab2: npt.ArrayLike) -> Array:
    """CIEDE2000 between colours, all weights 1.

    Below 1 hardly anybody sees it; above 4 everybody does. Both colours must be told under one light.

    Parameters
    ----------
    lab1, lab2 : array_like, shape (..., 3)
        They broadcast against each other.

    Returns
    -------
    ndarray, shape (...)
        Never negative; the order of the two does not matter.

    Notes
    -----
    Source: G. Sharma, W. Wu, E. N. Dalal, Color Res. Appl. 30 (2005) 21;
    tests/published/test_sharma2005_ciede2000.py.
    """
    first, second = _labs(lab1), _labs(lab2)
    l1, a1, b1 = first[..., 0], first[..., 1], first[..., 2]
    l2, a2, b2 = second[..., 0], second[..., 1], second[..., 2]
    c7 = _seventh((np.hypot(a1, b1) + np.hypot(a2, b2)) / 2)
    stretch = 1 + (1 - np.sqrt(c7 / (c7 + _KNEE_C))) / 2
    a1, a2 = a1 * stretch, a2 * stretch
    c1, c2 = np.hypot(a1, b1), np.hypot(a2, b2)
    h1 = np.degrees(np.arctan2(b1, a1)) % _FULL
    h2 = np.degrees(np.arctan2(b2, a2)) % _FULL
    grey = c1 * c2 == 0
    turn = h2 - h1
    turn = np.where(turn > _HALF, turn - _FULL, np.where(turn < -_HALF, turn + _FULL, turn))
    turn = np.where(grey, 0.0, turn)
    dl, dc = l2 - l1, c2 - c1
    dh = 2 * np.sqrt(c1 * c2) * np.sin(np.radians(turn) / 2)
    lm, cm = (l1 + l2) / 2, (c1 + c2) / 2
    both = h1 + h2
    far = np.abs(h1 - h2) > _HALF
    hm = np.where(far, np.where(both < _FULL, both + _FULL, both - _FULL), both) / 2
    hm = np.where(grey, both, hm)
    shape = 1.0 + sum(size * np.cos(np.radians(times * hm + at)) for times, size, at in _T)
    light = (lm - _L_MIDDLE) ** 2
    sl = 1 + _L_RISE * light / np.sqrt(_L_BEND + light)
    sc = 1 + _C_RISE * cm
    sh = 1 + _H_RISE * cm * shape
    cm7 = _seventh(cm)
    blue = _TURN * np.exp(-(((hm - _TURN_AT) / _TURN_WIDE) ** 2))
    rt = -2 * np.sqrt(cm7 / (cm7 + _KNEE_C)) * np.sin(np.radians(2 * blue))
    lightness, chroma, hue = dl / sl, dc / sc, dh / sh
    return np.asarray(np.sqrt(np.maximum(lightness**2 + chroma**2 + hue**2 + rt * chroma * hue, 0.0)))


def weighted_difference(target: npt.ArrayLike, lab: npt.ArrayLike) -> Array:
    """A quick stand-in for CIEDE2000, weighted at the target: for drawing up a short list only.

    Parameters
    ----------
    target : array_like, shape (..., 3)
        Lab aimed at.
    lab : array_like, shape (..., 3)
        Colours to be sorted.

    Returns
    -------
    ndarray, shape (...)
        The order of the two matters: the weights are those of `target`.

    Notes
    -----
    Source: the chroma and hue weights of CIE94 (CIE 116-1995), the lightness weight of CIEDE2000.
    """
    aim, found = _labs(target), _labs(lab)
    sl, sc, sh = weights_at(aim)
    dl, da, db = (found[..., n] - aim[..., n] for n in range(3))
    dc = np.hypot(found[..., 1], found[..., 2]) - np.hypot(aim[..., 1], aim[..., 2])
    dh2 = np.maximum(da**2 + db**2 - dc**2, 0.0)
    return np.asarray(np.sqrt((dl / sl) ** 2 + (dc / sc) ** 2 + dh2 / sh**2))


def weights_at(target: npt.ArrayLike) -> tuple[Array, Array, Array]:
    """Return what lightness, chroma and hue differences are divided by in :func:`weighted_difference`.

    Parameters
    ----------
    target : array_like, shape (..., 3)
        Lab aimed at.
    """
    aim = _labs(target)
    chroma = np.hypot(aim[..., 1], aim[..., 2])
    light = (aim[..., 0] - _L_MIDDLE) ** 2
    sl = 1 + _L_RISE * light / np.sqrt(_L_BEND + light)
    return np.asarray(sl), np.asarray(1 + _C_RISE * chroma), np.asarray(1 + _H_RISE * chroma)


def din99d(lab: npt.ArrayLike) -> Array:
    """Coordinates in which plain distance goes roughly as the eye judges: for finding neighbours quickly.

    Parameters
    ----------
    lab : array_like, shape (..., 3)
        Under D65.

    Returns
    -------
    ndarray, shape (..., 3)
        Lightness, and two of colour.

    Notes
    -----
    Source: G. Cui et al., Color Res. Appl. 27 (2002) 282, without its change of X, as colour libraries do.
    """
    given = _labs(lab)
    turn = np.radians(_D_TURN)
    e = given[..., 1] * np.cos(turn) + given[..., 2] * np.sin(turn)
    f = _D_STRETCH * (given[..., 2] * np.cos(turn) - given[..., 1] * np.sin(turn))
    lightness = _D_L * np.log1p(_D_L_KNEE * given[..., 0])
    chroma = _D_C * np.log1p(_D_C_KNEE * np.hypot(e, f))
    hue = np.arctan2(f, e) + turn
    return np.stack([lightness, chroma * np.cos(hue), chroma * np.sin(hue)], axis=-1)
