"""Cracks across and chips off a brittle coat: energy release and the stresses that reach it.

The figures rank designs; they are not pass or fail, because a real rim is closed, rounded and
well stuck, and a real face is scratched.
"""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

STEADY_CHANNEL = 1.976
"""Z of a channel crack running through a film like its base (Hutchinson & Suo 1992, table 1)."""
SURFACE_FLAW = 3.951
"""Z of a surface crack reaching through the film (Hutchinson & Suo 1992, table 1)."""
EDGE_CRACK = 1.12
"""Free-surface factor of a shallow edge crack."""


def channel_energy(stress: npt.ArrayLike, thickness: npt.ArrayLike, young: float, poisson: float, z: float) -> Array:
    """Energy released by a crack that runs across a stretched coat, ``Z s^2 h (1 - nu^2) / E``.

    Parameters
    ----------
    stress : array_like
        Tension [Pa]; compression releases nothing.
    thickness : array_like
        Of the coat [m].
    young, poisson : float
        Of the coat.
    z : float
        ``STEADY_CHANNEL`` or ``SURFACE_FLAW``.

    Returns
    -------
    ndarray
        [J/m^2].

    Notes
    -----
    Hutchinson & Suo, Adv. Appl. Mech. 29 (1992) 63 (from memory).
    """
    tension = np.maximum(np.asarray(stress, dtype=np.float64), 0.0)
    return np.asarray(z * tension**2 * np.asarray(thickness) * (1 - poisson**2) / young)


def channel_stress(toughness: float, thickness: npt.ArrayLike, z: float) -> Array:
    """Tension at which such a crack runs, ``K_Ic / sqrt(Z h)`` [Pa].

    Parameters
    ----------
    toughness : float
        K_Ic of the glass [Pa m^0.5].
    thickness : array_like
        Of the coat [m].
    z : float
        ``STEADY_CHANNEL`` or ``SURFACE_FLAW``.

    Returns
    -------
    ndarray
    """
    return toughness / np.sqrt(z * np.asarray(thickness, dtype=np.float64))


def mean_square(inner: npt.ArrayLike, outer: npt.ArrayLike) -> Array:
    """Mean square of a linear stress profile, ``(a^2 + a b + b^2) / 3`` [Pa^2].

    Parameters
    ----------
    inner, outer : array_like
        Face stresses [Pa].

    Returns
    -------
    ndarray
    """
    a, b = np.asarray(inner, dtype=np.float64), np.asarray(outer, dtype=np.float64)
    return np.asarray((a * a + a * b + b * b) / 3)


def spall_energy(
    inner: npt.ArrayLike,
    outer: npt.ArrayLike,
    thickness: npt.ArrayLike,
    young: float,
    poisson: float,
) -> Array:
    """Energy released when the rim of a coat chips off in a long front (plane strain).

    Parameters
    ----------
    inner, outer : array_like
        Face stresses [Pa].
    thickness : array_like
        [m].
    young, poisson : float
        Of the coat.

    Returns
    -------
    ndarray
        ``(1 - nu^2) <s^2> h / (2 E)`` [J/m^2].
    """
    square = mean_square(inner, outer)
    return np.asarray((1 - poisson**2) * square * np.asarray(thickness) / (2 * young))


def island_energy(
    inner: npt.ArrayLike,
    outer: npt.ArrayLike,
    thickness: npt.ArrayLike,
    young: float,
    poisson: float,
) -> Array:
    """Energy released when a whole coat comes off a thick base, ``(1 - nu) <s^2> h / E``.

    Parameters
    ----------
    inner, outer : array_like
        Face stresses [Pa].
    thickness : array_like
        [m].
    young, poisson : float
        Of the coat.

    Returns
    -------
    ndarray
        [J/m^2]; for a thin base use ``LaminateResult.interface_energy``.
    """
    square = mean_square(inner, outer)
    return np.asarray((1 - poisson) * square * np.asarray(thickness) / young)


def spall_stress(toughness: float, thickness: npt.ArrayLike) -> Array:
    """Even compression at which the rim chips, ``K sqrt(2 / h)`` [Pa].

    Parameters
    ----------
    toughness : float
        K_IIc for a straight front along the interface, K_Ic as a cautious figure [Pa m^0.5].
    thickness : array_like
        [m].

    Returns
    -------
    ndarray
        Positive number.
    """
    return toughness * np.sqrt(2 / np.asarray(thickness, dtype=np.float64))


def critical_energy(toughness: float, young: float, poisson: float) -> float:
    """Energy release at which a crack runs, ``K^2 (1 - nu^2) / E`` [J/m^2].

    Parameters
    ----------
    toughness : float
        [Pa m^0.5].
    young, poisson : float
        Of the glass.

    Returns
    -------
    float
    """
    return toughness**2 * (1 - poisson**2) / young


def flaw_stress(toughness: float, depth: npt.ArrayLike) -> Array:
    """Tension at which a surface flaw runs, ``K / (1.12 sqrt(pi a))`` [Pa].

    Parameters
    ----------
    toughness : float
        K_Ic at once, or the static-fatigue limit for months in moist air [Pa m^0.5].
    depth : array_like
        Flaw depth [m].

    Returns
    -------
    ndarray
    """
    return toughness / (EDGE_CRACK * np.sqrt(np.pi * np.asarray(depth, dtype=np.float64)))


def rim_pull(stress: npt.ArrayLike, thickness: npt.ArrayLike, radius: npt.ArrayLike) -> Array:
    """Pull on the interface where a compressed coat wraps a convex rim, ``|s| h / rho`` [Pa].

    Parameters
    ----------
    stress : array_like
        Mean coat stress [Pa]; compression pulls the coat off.
    thickness, radius : array_like
        Coat thickness and rim radius [m].

    Returns
    -------
    ndarray
        Tension positive; zero for a stretched coat.
    """
    squeeze = np.maximum(-np.asarray(stress, dtype=np.float64), 0.0)
    return np.asarray(squeeze * np.asarray(thickness) / np.asarray(radius))


def shock_resistance(strength: npt.ArrayLike, young: float, poisson: float, expansion: float) -> Array:
    """Sudden drop of surface temperature that spends a strength, ``s (1 - nu) / (E alpha)`` [K].

    Parameters
    ----------
    strength : array_like
        Tension the surface may still take [Pa]; add its residual compression.
    young, poisson : float
        Of the coat.
    expansion : float
        [1/K].

    Returns
    -------
    ndarray
    """
    return np.asarray(strength, dtype=np.float64) * (1 - poisson) / (young * expansion)
