"""From a reflectance at 36 bands to the numbers that name a colour: XYZ, Lab and sRGB."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError

Array = npt.NDArray[np.float64]
Flags = npt.NDArray[np.bool_]

#: Wavelengths of the 36 bands [m]: 380 to 730 nm in steps of 10.
BANDS: Array = np.linspace(380e-9, 730e-9, 36)
BANDS.setflags(write=False)

# Lab turns straight near black (CIE 15: 216/24389, 24389/27 and 16); the same numbers undo it.
_KNEE, _STEEP, _STEP = 216 / 24389, 24389 / 27, 16.0
_L_SCALE, _A_SCALE, _B_SCALE = 116.0, 500.0, 200.0

#: XYZ of daylight D65 (white has Y = 1) to linear sRGB: the inverse of IEC 61966-2-1 primaries and white, from memory;
#: checked against coloraide and colour-science.
_TO_LINEAR_SRGB: Array = np.array(
    [
        [3.2404542, -1.5371385, -0.4985314],
        [-0.9692660, 1.8760108, 0.0415560],
        [0.0556434, -0.2040259, 1.0572252],
    ]
)
_TO_LINEAR_SRGB.setflags(write=False)
_FROM_LINEAR_SRGB: Array = np.asarray(np.linalg.inv(_TO_LINEAR_SRGB), dtype=np.float64)
_FROM_LINEAR_SRGB.setflags(write=False)
#: The tone curve of sRGB (IEC 61966-2-1): straight below the knee, a power above it.
_SRGB_KNEE, _SRGB_SLOPE, _SRGB_GAIN, _SRGB_OFFSET, _SRGB_POWER = 0.0031308, 12.92, 1.055, 0.055, 2.4
#: XYZ to the three answers of the eye that are scaled white by white (Bradford; K. M. Lam, thesis, 1985, as
#: ICC.1:2010 annex E prints it), from memory; checked against colour-science.
_TO_CONES: Array = np.array(
    [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]], dtype=np.float64
)
_TO_CONES.setflags(write=False)
#: How far a linear channel may lie outside 0..1 before the colour counts as beyond the screen.
GAMUT_SLACK = 1e-4


def _bands(values: npt.ArrayLike, what: str) -> Array:
    found = np.asarray(values, dtype=np.float64)
    if found.shape[-1:] != BANDS.shape:
        raise InputError(f"{what} needs {BANDS.size} numbers, one a band")
    return found


def _threes(values: npt.ArrayLike, what: str) -> Array:
    found = np.asarray(values, dtype=np.float64)
    if found.shape[-1:] != (3,):
        raise InputError(f"{what} needs three numbers")
    return found


def xyz_of(reflectance: npt.ArrayLike, weights: npt.ArrayLike) -> Array:
    """Tristimulus values of a reflectance under one light.

    Parameters
    ----------
    reflectance : array_like, shape (..., 36)
        0 black, 1 perfect white.
    weights : array_like, shape (36, 3)
        Weights of the light and observer; their sums over the bands are the white, with Y = 100.

    Returns
    -------
    ndarray, shape (..., 3)
        Y of a perfect white is 100.

    Raises
    ------
    InputError
        When the bands do not fit.
    """
    table = _threes(weights, "a table of weights")
    if table.shape != (BANDS.size, 3):
        raise InputError(f"a table of weights needs {BANDS.size} rows of three")
    return np.asarray(_bands(reflectance, "a reflectance") @ table)


def lab_of(xyz: npt.ArrayLike, white: npt.ArrayLike) -> Array:
    """CIELAB of tristimulus values.

    Parameters
    ----------
    xyz : array_like, shape (..., 3)
        Not below nothing.
    white : array_like, shape (3,)
        The same light on a perfect white: the column sums of the table of weights.

    Returns
    -------
    ndarray, shape (..., 3)
        L* from 0 to 100, a* red against green, b* yellow against blue.

    Notes
    -----
    Source: CIE 15:2004, section 8.2.1; tests/physics/test_colour_space.py compares two independent libraries.
    """
    share = _threes(xyz, "XYZ") / _threes(white, "a white")
    curved = np.where(share > _KNEE, np.cbrt(share), (_STEEP * share + _STEP) / _L_SCALE)
    x, y, z = curved[..., 0], curved[..., 1], curved[..., 2]
    return np.stack([_L_SCALE * y - _STEP, _A_SCALE * (x - y), _B_SCALE * (y - z)], axis=-1)


def xyz_of_lab(lab: npt.ArrayLike, white: npt.ArrayLike) -> Array:
    """Tristimulus values of a CIELAB colour: undoes :func:`lab_of`.

    Parameters
    ----------
    lab : array_like, shape (..., 3)
        Under the light of `white`.
    white : array_like, shape (3,)
        The same light on a perfect white.
    """
    given = _threes(lab, "Lab")
    y = (given[..., 0] + _STEP) / _L_SCALE
    curved = np.stack([y + given[..., 1] / _A_SCALE, y, y - given[..., 2] / _B_SCALE], axis=-1)
    cubed = curved**3
    return np.asarray(np.where(cubed > _KNEE, cubed, (_L_SCALE * curved - _STEP) / _STEEP) * _threes(white, "a white"))


def adapted(xyz: npt.ArrayLike, white: npt.ArrayLike, to: npt.ArrayLike) -> Array:
    """Tristimulus values that look under another light as these do under theirs.

    Parameters
    ----------
    xyz : array_like, shape (..., 3)
        Under the light of `white`.
    white, to : array_like, shape (3,)
        The old and the new light on a perfect white, of the same Y.

    Notes
    -----
    White goes to white exactly. For a surface whose reflectance is not known this stands in for lighting it anew;
    strong colours may then be off by about 2. Source: ICC.1:2010, annex E.
    """
    old, new = (_threes(one, "a white") @ _TO_CONES.T for one in (white, to))
    cones = _threes(xyz, "XYZ") @ _TO_CONES.T * (new / old)
    return np.asarray(np.linalg.solve(_TO_CONES, cones[..., None])[..., 0])


def linear_srgb_of(xyz_d65: npt.ArrayLike) -> Array:
    """Light a screen must give in its three channels, before its tone curve; unbounded.

    Parameters
    ----------
    xyz_d65 : array_like, shape (..., 3)
        Under daylight D65, Y of white 100.
    """
    return np.asarray(_threes(xyz_d65, "XYZ") / 100 @ _TO_LINEAR_SRGB.T)


def xyz_of_linear_srgb(linear: npt.ArrayLike) -> Array:
    """Tristimulus values under daylight D65, Y of white 100: undoes :func:`linear_srgb_of`.

    Parameters
    ----------
    linear : array_like, shape (..., 3)
        Linear channels.
    """
    return np.asarray(_threes(linear, "sRGB") @ _FROM_LINEAR_SRGB.T * 100)


def toned(linear: npt.ArrayLike) -> Array:
    """Put linear channels through the tone curve of sRGB; they are cut to 0..1 first.

    Parameters
    ----------
    linear : array_like
        Linear channels.
    """
    held = np.clip(np.asarray(linear, dtype=np.float64), 0.0, 1.0)
    return np.asarray(
        np.where(held > _SRGB_KNEE, _SRGB_GAIN * held ** (1 / _SRGB_POWER) - _SRGB_OFFSET, _SRGB_SLOPE * held)
    )


def untoned(rgb: npt.ArrayLike) -> Array:
    """Take the tone curve of sRGB off again: undoes :func:`toned`.

    Parameters
    ----------
    rgb : array_like
        Channels, 0 to 1.
    """
    given = np.asarray(rgb, dtype=np.float64)
    if not np.all((given >= 0) & (given <= 1)):
        raise InputError("the channels of sRGB lie between 0 and 1")
    return np.asarray(
        np.where(
            given > _SRGB_KNEE * _SRGB_SLOPE,
            ((given + _SRGB_OFFSET) / _SRGB_GAIN) ** _SRGB_POWER,
            given / _SRGB_SLOPE,
        )
    )


def srgb_of(xyz_d65: npt.ArrayLike) -> tuple[Array, Flags]:
    """Channels of a screen, and whether the screen can show the colour at all.

    A colour beyond the screen is cut channel by channel, which shifts its hue: show the mark beside it.

    Parameters
    ----------
    xyz_d65 : array_like, shape (..., 3)
        Under daylight D65, Y of white 100.

    Returns
    -------
    rgb : ndarray, shape (..., 3)
        0 to 1, with the tone curve.
    in_gamut : ndarray of bool, shape (...)
        False when any linear channel lies outside 0..1 by more than :data:`GAMUT_SLACK`.

    Notes
    -----
    Source: IEC 61966-2-1.
    """
    linear = linear_srgb_of(xyz_d65)
    inside = np.all((linear >= -GAMUT_SLACK) & (linear <= 1 + GAMUT_SLACK), axis=-1)
    return toned(linear), np.asarray(inside)
