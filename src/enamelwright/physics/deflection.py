"""Bow of a piece from its curvature: large deflection, domes and saddles.

A flat or shallow round piece of one thickness is stiffened by the stretching of its middle plane as
soon as it bows by about its thickness.  With load ``S`` (the curvature a small piece would take,
made dimensionless) and bow ``K``, a one-term law with one fitted constant covers the useful range.
The stretching is taken as elastic; a yielded sheet stiffens less, so the true bow lies between the
linear and the corrected figure.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

Array = npt.NDArray[np.float64]

STIFFENING = 1.55
"""Membrane stiffening c / (1 - nu), fitted to the axisymmetric von Karman plate: bow within 1 % for
0.1 < S < 1.3 and nu 0.25..0.4 (computed; the textbook one-term value 1 bows up to 9 % too much)."""
LARGEST_RISE = 3.0
"""Dome rise in thicknesses up to which the law holds within 5 %; beyond it, it is held there."""
BISECTIONS = 60
"""Halvings of the bracket: to the last bit."""


def bow_of_curvature(curvature: npt.ArrayLike, chord: npt.ArrayLike) -> Array:
    """Rise of the middle over a chord at even curvature, ``k D^2 / 8`` [m].

    Parameters
    ----------
    curvature : array_like
        [1/m], positive when the front is convex.
    chord : array_like
        [m].

    Returns
    -------
    ndarray
        [m], positive when the front face is high in the middle.
    """
    return np.asarray(np.asarray(curvature, dtype=np.float64) * np.asarray(chord) ** 2 / 8)


def load(curvature: npt.ArrayLike, diameter: npt.ArrayLike, thickness: npt.ArrayLike) -> Array:
    """Dimensionless load ``S = k R^2 / (4 h)`` of a curvature from the linear solver.

    Parameters
    ----------
    curvature : array_like
        Linear curvature [1/m].
    diameter, thickness : array_like
        Of the complete piece [m].

    Returns
    -------
    ndarray
        Half the linear bow in thicknesses.
    """
    radius = np.asarray(diameter, dtype=np.float64) / 2
    height = np.asarray(thickness, dtype=np.float64)
    return np.asarray(np.asarray(curvature) * radius**2 / (4 * height))


def saddle_load(poisson: float) -> float:
    """Load above which a saddle or a cylinder may take over, ``2 / (1 + nu)^1.5``.

    Parameters
    ----------
    poisson : float
        Poisson's ratio of the piece.

    Returns
    -------
    float
        To be compared with the linear load; one-term theory (Salamon & Masters 1995; Freund, from
        memory, re-derived).
    """
    return float(2 / (1 + poisson) ** 1.5)


def saddle_bow(poisson: float) -> float:
    """Dimensionless bow of the one-term curve at the saddle load, ``1 / sqrt(1 + nu)``.

    Parameters
    ----------
    poisson : float
        Poisson's ratio of the piece.

    Returns
    -------
    float
        Belongs to the one-term curve with c = 1 - nu, not to ``bow_of_load``.
    """
    return float(1 / np.sqrt(1 + poisson))


def load_of_bow(bow: npt.ArrayLike, thickness: npt.ArrayLike, rise: npt.ArrayLike, poisson: float) -> Array:
    """Load that holds a measured change of bow: the explicit direction of the law.

    Parameters
    ----------
    bow : array_like
        Change of bow [m].
    thickness : array_like
        [m].
    rise : array_like
        Rise of the dome before [m]; positive when the bow deepens it.
    poisson : float
        Poisson's ratio.

    Returns
    -------
    ndarray
        S; the linear curvature is ``4 h S / R^2``.
    """
    height = np.asarray(thickness, dtype=np.float64)
    k = np.asarray(bow, dtype=np.float64) / (2 * height)
    k0 = np.clip(np.asarray(rise) / height, -LARGEST_RISE, LARGEST_RISE) / 2
    return np.asarray(_law(k, k0, STIFFENING * (1 - poisson)))


def bow_of_load(load: npt.ArrayLike, thickness: npt.ArrayLike, rise: npt.ArrayLike, poisson: float) -> Array:
    """Change of bow under a load, the root of ``S = K + c K (K + K0)(K + 2 K0)`` nearest zero.

    Parameters
    ----------
    load : array_like
        S, either sign.
    thickness : array_like
        [m].
    rise : array_like
        Rise of the dome before [m]; positive when the bow deepens it, negative when it works
        against it.  Beyond three thicknesses the value at three is used: see ``clamped`` of
        ``deflect``.
    poisson : float
        Poisson's ratio.

    Returns
    -------
    ndarray
        [m].
    """
    height = np.asarray(thickness, dtype=np.float64)
    c = STIFFENING * (1 - poisson)
    s, k0 = np.broadcast_arrays(
        np.asarray(load, dtype=np.float64),
        np.clip(np.asarray(rise, dtype=np.float64) / height, -LARGEST_RISE, LARGEST_RISE) / 2,
    )
    # A positive load with either dome: the mirrored problem has both signs changed.
    sign = np.where(s < 0, -1.0, 1.0)
    s, k0 = s * sign, k0 * sign
    # Working against a high dome (c K0^2 > 1) the law rises to a knee, falls and rises again.  The
    # root nearest zero lies before the knee, or past the snap-through when the load exceeds it.
    folded = (k0 < 0) & (c * k0**2 > 1)
    knee = _knee(k0, c)
    # A dome higher than the law reaches snaps at its own load, not at that of the dome it is counted as;
    # short of it the knee of the latter is an upper bound, and the bisection below ends there.
    own = np.minimum(sign * np.asarray(rise, dtype=np.float64) / (2 * height), k0)
    before = folded & (_law(_knee(own, c), own, c) >= s)
    low = np.where(folded & ~before, knee, 0.0)
    # Beyond 2 |K0| the cubic term is positive, so K = S is past the root.
    high = np.where(before, knee, s + 2 * np.abs(k0) + 1)
    for _ in range(BISECTIONS):
        k = (low + high) / 2
        under = _law(k, k0, c) < s
        low, high = np.where(under, k, low), np.where(under, high, k)
    return np.asarray(sign * (low + high) * height)


def _knee(k0: npt.NDArray[np.float64], c: float) -> Array:
    """Return where the law stops rising against a dome; zero where it never does."""
    folded = (k0 < 0) & (c * k0**2 > 1)
    return np.asarray(np.where(folded, -k0 - np.sqrt(np.maximum((k0**2 - 1 / c) / 3, 0)), 0.0))


def _law(k: npt.NDArray[np.float64], k0: npt.NDArray[np.float64], c: float) -> Array:
    return np.asarray(k + c * k * (k + k0) * (k + 2 * k0))


@dataclass(frozen=True, eq=False)
class Deflection:
    """Bow of a piece with what to say of it.

    Attributes
    ----------
    load : ndarray
        S.
    linear_bow : ndarray
        Change of bow without stiffening [m]; an upper bound.
    bow : ndarray
        Corrected change of bow [m].
    saddle : ndarray of bool
        The linear load is past the point where a saddle or a cylinder may win.
    clamped : ndarray of bool
        The dome is higher than the law reaches: it moves still less than ``bow`` says.
    """

    load: Array
    linear_bow: Array
    bow: Array
    saddle: npt.NDArray[np.bool_]
    clamped: npt.NDArray[np.bool_]


def deflect(
    curvature: npt.ArrayLike,
    diameter: npt.ArrayLike,
    thickness: npt.ArrayLike,
    rise: npt.ArrayLike,
    poisson: float,
) -> Deflection:
    """Change of bow of a round piece from the curvature of the linear solver.

    Parameters
    ----------
    curvature : array_like
        Linear curvature [1/m], positive when the front is convex.
    diameter, thickness : array_like
        Of the complete piece [m].
    rise : array_like
        Rise of its dome [m], positive when the front is convex, zero for a flat piece.
    poisson : float
        Poisson's ratio of the piece.

    Returns
    -------
    Deflection
        Signs as ``curvature``.

    Notes
    -----
    Checked against a boundary-value solution of the von Karman plate in
    tests/physics/test_deflection.py.
    """
    s = load(curvature, diameter, thickness)
    height = np.asarray(thickness, dtype=np.float64)
    return Deflection(
        load=s,
        linear_bow=np.asarray(2 * s * height),
        bow=bow_of_load(s, height, rise, poisson),
        saddle=np.asarray(np.abs(s) > saddle_load(poisson)),
        clamped=np.asarray(np.abs(np.asarray(rise) / height) > LARGEST_RISE) & np.ones_like(s, dtype=bool),
    )
