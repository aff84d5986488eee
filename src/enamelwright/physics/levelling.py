"""How a melt of glass levels, and how much work it takes until grains that fell at random no longer show.

Work stands for the integral of 1 / viscosity over time [1/Pa].

Source: S. E. Orchard, Appl. Sci. Res. A 11 (1962) 451, for the rate (formula from memory, both of its limits
checked); the law of the sifted coat is derived here from it.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError
from enamelwright.physics.convection import GRAVITY

Array = npt.NDArray[np.float64]

SCANNED = np.linspace(0.2, 1.2, 41)
"""ln of how far a wave stands above the shortest visible one. The work is greatest where this equals 1 over the
power with which the rate grows, and that power lies between 1 (deep melt) and 4 (thin film)."""


def depth_factor(kappa: npt.ArrayLike) -> Array:
    """Orchard's ``(sinh k cosh k - k) / (cosh^2 k + k^2)``: 2 k^3 / 3 for a thin film, 1 for a deep melt.

    Parameters
    ----------
    kappa : array_like
        Wave number times depth, positive.
    """
    k = np.asarray(kappa, dtype=np.float64)
    # Both halves divided by cosh^2, so that nothing overflows; the series where the difference cancels.
    tangent = np.tanh(k)
    inverse = 1 - tangent**2
    whole = (tangent - k * inverse) / (1 + k**2 * inverse)
    series = 2 / 3 * k**3 * (1 - 9 / 5 * k**2)
    return np.where(k < _SERIES_BELOW, series, whole)


_SERIES_BELOW = 1e-3
"""Wave number times depth below which the series is used; the next term is then below 1e-11."""


def decay(wavelength: npt.ArrayLike, depth: npt.ArrayLike, tension: npt.ArrayLike, density: npt.ArrayLike) -> Array:
    """Rate of decay of a wave times the viscosity [Pa]: ``ln`` of the loss of height per unit of work.

    Parameters
    ----------
    wavelength, depth : array_like
        [m].
    tension : array_like
        Surface tension [N/m].
    density : array_like
        [kg/m3]; 0 leaves gravity out.
    """
    q = 2 * np.pi / np.asarray(wavelength, dtype=np.float64)
    pressure = np.asarray(tension) * q + np.asarray(density) * GRAVITY / q
    return np.asarray(pressure / 2 * depth_factor(q * np.asarray(depth)))


def thin_film_decay(wavelength: npt.ArrayLike, depth: npt.ArrayLike, tension: npt.ArrayLike) -> Array:
    """Limit of ``decay`` for a film thin against the wave, without gravity [Pa].

    Parameters
    ----------
    wavelength, depth : array_like
        [m].
    tension : array_like
        Surface tension [N/m].
    """
    q = 2 * np.pi / np.asarray(wavelength, dtype=np.float64)
    return np.asarray(np.asarray(tension) * q**4 * np.asarray(depth, dtype=np.float64) ** 3 / 3)


def limiting_wave(grain: npt.ArrayLike, coat_depth: npt.ArrayLike, slope: npt.ArrayLike) -> Array:
    """Wavelength above which the unevenness of a sifted coat is too gentle to see [m].

    ``n = h / (pi d^3 / 6)`` grains fell on a square metre at random; a wave then has the slope
    ``4 pi h / (L^2 sqrt n)``.

    Parameters
    ----------
    grain, coat_depth : array_like
        Diameter of grains or clumps, and the thickness they melt to [m].
    slope : array_like
        Slope the eye just sees [rad].
    """
    number = _grains(grain, coat_depth)
    return np.asarray(np.sqrt(4 * np.pi * np.asarray(coat_depth) / (np.asarray(slope) * np.sqrt(number))))


def _grains(grain: npt.ArrayLike, coat_depth: npt.ArrayLike) -> Array:
    return np.asarray(6 * np.asarray(coat_depth, dtype=np.float64) / (np.pi * np.asarray(grain, dtype=np.float64) ** 3))


def thin_film_gloss(
    grain: npt.ArrayLike,
    coat_depth: npt.ArrayLike,
    melt_depth: npt.ArrayLike,
    *,
    tension: npt.ArrayLike,
    slope: npt.ArrayLike,
) -> Array:
    """Work until a sifted coat is level to the eye, in the limit of a thin film [1/Pa].

    ``d^3 h_c / (4 pi e gamma h_t^3 s^2)``: the slowest wave is 0.78 of the limiting one.

    Parameters
    ----------
    grain, coat_depth, melt_depth : array_like
        Diameter of grains or clumps; the thickness they melt to; that of all glass flowing with them [m].
    tension : array_like
        Surface tension [N/m].
    slope : array_like
        Slope the eye just sees [rad].
    """
    top = np.asarray(grain, dtype=np.float64) ** 3 * np.asarray(coat_depth)
    below = np.asarray(tension) * np.asarray(melt_depth, dtype=np.float64) ** 3 * np.asarray(slope) ** 2
    return np.asarray(top / (4 * np.pi * np.e * below))


def gloss_work(
    grain: npt.ArrayLike,
    coat_depth: npt.ArrayLike,
    melt_depth: npt.ArrayLike,
    *,
    tension: npt.ArrayLike,
    density: npt.ArrayLike,
    slope: npt.ArrayLike,
) -> Array:
    """Work until a sifted coat is level to the eye, from the slowest wave of the whole law [1/Pa].

    Parameters
    ----------
    grain, coat_depth, melt_depth : array_like
        Diameter of grains or clumps; the thickness they melt to; that of all glass flowing with them [m].
    tension : array_like
        Surface tension [N/m].
    density : array_like
        Of the melt [kg/m3]; gravity helps a little.
    slope : array_like
        Slope the eye just sees [rad].

    Raises
    ------
    InputError
        If an entry is not a positive number; a density may be 0, without gravity.
    """
    positive = (grain, coat_depth, melt_depth, tension, slope)
    given = np.broadcast_arrays(*(np.asarray(x, dtype=np.float64) for x in (*positive, density)))
    if not (all(np.all(np.isfinite(x)) for x in given) and all(np.all(x > 0) for x in given[:-1])):
        raise InputError("the levelling of a coat needs positive numbers")
    if np.any(given[-1] < 0):
        raise InputError("the melt cannot be lighter than nothing")
    d, own, depth, gamma, seen, rho = (x[..., np.newaxis] for x in given)
    # ln(s0 / s) = 2 ln(limiting wave / wave): each wave scanned stands so far above being seen.
    wave = limiting_wave(d, own, seen) * np.exp(-SCANNED)
    work = 2 * SCANNED / decay(wave, depth, gamma, rho)
    best = np.clip(np.argmax(work, axis=-1), 1, len(SCANNED) - 2)[..., np.newaxis]
    left, top, right = (np.take_along_axis(work, best + k, axis=-1)[..., 0] for k in (-1, 0, 1))
    bend = left - 2 * top + right
    # Height of the parabola through the three highest.
    with np.errstate(divide="ignore", invalid="ignore"):
        peak = top - (right - left) ** 2 / (8 * bend)
    return np.asarray(np.where(bend < 0, np.maximum(peak, top), top))
