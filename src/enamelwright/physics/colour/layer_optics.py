"""Light in one layer of glass, at its upper surface, and at the metal below it.

Two fluxes go up and down through a layer that absorbs and scatters. All functions broadcast as numpy does:
where bands are told apart they are the last axis, and a number that is one for all bands either is a plain
number or ends in an axis of length one.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError

Array = npt.NDArray[np.float64]
ComplexArray = npt.NDArray[np.complex128]

#: Points of the Gauss rule over the cosine of incidence: metals and glass change little between them.
ANGLES = 64


def layer(absorption: npt.ArrayLike, scattering: npt.ArrayLike, thickness: npt.ArrayLike) -> tuple[Array, Array]:
    """Share of diffuse light a free layer sends back and lets through.

    Exact where nothing is absorbed, where nothing is scattered and where the layer is as thick as one likes.
    Light must be diffuse or soon become so; edges are far away.

    Parameters
    ----------
    absorption, scattering : array_like
        K and S of diffuse light [1/m], not negative. A path that absorbs ``a`` a metre straight through has K = 2 a.
    thickness : array_like
        [m], not negative.

    Returns
    -------
    reflected, transmitted : ndarray
        Their sum is 1 where K is 0 and less elsewhere.

    Raises
    ------
    InputError
        When anything is negative or not finite.

    Notes
    -----
    Source: the hyperbolic solution of P. Kubelka, J. Opt. Soc. Am. 38 (1948) 448, from memory, rewritten so that it
    neither overflows nor divides by nothing; tests/published/test_kubelka1948_layers.py.
    """
    k, s, d = (np.asarray(x, dtype=np.float64) for x in (absorption, scattering, thickness))
    if not all(np.all((x >= 0) & (x < np.inf)) for x in (k, s, d)):
        raise InputError("a layer cannot absorb, scatter or measure less than nothing")
    path = np.sqrt(k * (k + 2 * s)) * d
    some = path > 0
    safe = np.where(some, path, 1.0)
    #: (1 - exp(-2x)) / 2x, which is 1 where nothing is absorbed.
    mean = np.where(some, -np.expm1(-2 * safe) / (2 * safe), 1.0) * d
    below = (k + s) * mean + (1 + np.exp(-2 * path)) / 2
    return np.asarray(s * mean / below), np.asarray(np.exp(-path) / below)


def over(reflected: npt.ArrayLike, transmitted: npt.ArrayLike, below: npt.ArrayLike) -> Array:
    """Reflectance of a layer lying on something: light goes to and fro between them.

    Parameters
    ----------
    reflected, transmitted : array_like
        Of the free layer, from :func:`layer`.
    below : array_like
        Reflectance of what it lies on.

    Notes
    -----
    Source: G. G. Stokes's sum over all passes (1862), from memory.
    """
    r, t, base = (np.asarray(x, dtype=np.float64) for x in (reflected, transmitted, below))
    return np.asarray(r + t**2 * base / (1 - r * base))


def normal_reflectance(index: npt.ArrayLike) -> Array:
    """Share of light that bounces straight back where air meets glass.

    Parameters
    ----------
    index : array_like
        Refractive index of the glass, at least 1.

    Notes
    -----
    Source: A. Fresnel; at 1.5 it is 4 %.
    """
    n = _index(index)
    return np.asarray(((n - 1) / (n + 1)) ** 2)


def hemispherical_reflectance(index: npt.ArrayLike) -> Array:
    """Share of diffuse light from outside that the bare surface of glass sends back.

    Parameters
    ----------
    index : array_like
        Refractive index of the glass, at least 1.

    Notes
    -----
    Source: the closed form of Fresnel's equations averaged over the half sphere (J. W. T. Walsh 1926, S. Q. Duntley
    1942), from memory; tests/published/test_fresnel_surfaces.py adds up the angles by itself.
    """
    n = _index(index)
    apart = n > 1
    m = np.where(apart, n, 2.0)
    square, fourth = m**2, m**4
    found = (
        0.5
        + (m - 1) * (3 * m + 1) / (6 * (m + 1) ** 2)
        + square * (square - 1) ** 2 / (square + 1) ** 3 * np.log((m - 1) / (m + 1))
        - 2 * m**3 * (square + 2 * m - 1) / ((square + 1) * (fourth - 1))
        + 8 * fourth * (fourth + 1) / ((square + 1) * (fourth - 1) ** 2) * np.log(m)
    )
    return np.asarray(np.where(apart, found, 0.0))


def internal_reflectance(index: npt.ArrayLike) -> Array:
    """Share of diffuse light inside glass that its surface keeps in: beyond the critical angle, all of it.

    Parameters
    ----------
    index : array_like
        Refractive index of the glass, at least 1.

    Notes
    -----
    Source: what goes in one way comes out the other (Helmholtz), so 1 - k2 is (1 - re) / n squared.
    """
    n = _index(index)
    return np.asarray(1 - (1 - hemispherical_reflectance(n)) / n**2)


def surface(reflectance: npt.ArrayLike, index: npt.ArrayLike, gloss_included: bool = False) -> Array:
    """What is seen from outside of light that is diffuse inside the glass.

    Parameters
    ----------
    reflectance : array_like
        Below the surface, 0 to 1.
    index : array_like
        Refractive index of the uppermost glass, at least 1; 1 leaves everything as it is.
    gloss_included : bool
        Whether the light mirrored by the surface itself is measured too, as in a sphere without a trap.

    Notes
    -----
    Source: J. L. Saunderson, J. Opt. Soc. Am. 32 (1942) 727, as given by E. Allen in Grum and Bartleson, Optical
    Radiation Measurements 2 (1980), equations 24 and 26 (secondary source).
    """
    inside = np.asarray(reflectance, dtype=np.float64)
    return saunderson(inside, normal_reflectance(index), internal_reflectance(index), gloss_included)


def saunderson(
    reflectance: npt.ArrayLike, outer: npt.ArrayLike, inner: npt.ArrayLike, gloss_included: bool = False
) -> Array:
    """The same as :func:`surface` with both reflectances of the surface given.

    Parameters
    ----------
    reflectance : array_like
        Below the surface, 0 to 1.
    outer, inner : array_like
        k1, met by light from outside; k2, met by diffuse light from inside.
    gloss_included : bool
        Whether k1 itself is measured too.
    """
    inside, k1, k2 = (np.asarray(x, dtype=np.float64) for x in (reflectance, outer, inner))
    seen = (1 - k1) * (1 - k2) * inside / (1 - k2 * inside)
    return np.asarray(seen + k1 if gloss_included else seen)


def below_surface(seen: npt.ArrayLike, index: npt.ArrayLike, gloss_included: bool = False) -> Array:
    """What lies below a surface, from what is seen: undoes :func:`surface`.

    Parameters
    ----------
    seen : array_like
        Reflectance measured from outside.
    index : array_like
        Refractive index of the uppermost glass.
    gloss_included : bool
        Whether the light mirrored by the surface was measured too.
    """
    k1, k2 = normal_reflectance(index), internal_reflectance(index)
    q = np.asarray(seen, dtype=np.float64) - (k1 if gloss_included else 0.0)
    return np.asarray(q / ((1 - k1) * (1 - k2) + k2 * q))


def metal_reflectance(index: npt.ArrayLike, metal: npt.ArrayLike, cosine: npt.ArrayLike = 1.0) -> Array:
    """Unpolarised light mirrored where glass, or air, meets metal.

    Parameters
    ----------
    index : array_like
        Refractive index of what lies on the metal; 1 for air.
    metal : array_like of complex
        n + ik of the metal.
    cosine : array_like
        Of the angle from the upright, in the glass; 1 is straight down.

    Notes
    -----
    Source: Fresnel's equations with a complex index; M. Born, E. Wolf, Principles of Optics, from memory.
    """
    n = _index(index)
    m = np.asarray(metal, dtype=np.complex128)
    c1 = np.asarray(cosine, dtype=np.float64)
    c2 = np.sqrt(1 - (n / m) ** 2 * (1 - c1**2))
    across = (n * c1 - m * c2) / (n * c1 + m * c2)
    along = (m * c1 - n * c2) / (m * c1 + n * c2)
    return np.asarray((np.abs(across) ** 2 + np.abs(along) ** 2) / 2)


def metal_under_glass(n_glass: npt.ArrayLike, nk_complex: npt.ArrayLike) -> tuple[Array, Array]:
    """Reflectance of a metal as the glass on it sees it: straight down, and for diffuse light.

    Metal under glass is darker and more coloured than in air; putting glass on its colour in air is wrong.

    Parameters
    ----------
    n_glass : array_like
        Refractive index of the glass touching the metal; 1 for bare metal.
    nk_complex : array_like of complex, shape (..., 36)
        n + ik of the metal.

    Returns
    -------
    normal, hemispherical : ndarray, shape (..., 36)
        0 to 1.
    """
    n = np.asarray(n_glass, dtype=np.float64)
    m = np.asarray(nk_complex, dtype=np.complex128)
    cosines, weights = _gauss(ANGLES)
    around = metal_reflectance(n[..., np.newaxis], m[..., np.newaxis], cosines)
    return metal_reflectance(n, m), np.asarray(around @ (2 * weights * cosines))


def mirror(loss: npt.ArrayLike, base_normal: npt.ArrayLike, index: npt.ArrayLike) -> Array:
    """Light that goes straight through clear glass, is mirrored by smooth metal and comes straight back.

    Parameters
    ----------
    loss : array_like
        Sum of (K + S) d over the coats: what a path there and back loses; their order does not matter.
    base_normal : array_like
        Reflectance of the metal under glass, straight down.
    index : array_like
        Refractive index of the uppermost glass.

    Returns
    -------
    ndarray
        Without the gloss of the surface.
    """
    r = normal_reflectance(index)
    left = np.exp(-np.asarray(loss, dtype=np.float64)) * np.asarray(base_normal, dtype=np.float64)
    return np.asarray((1 - r) ** 2 * left / (1 - r * left))


def finish_mix(
    h: npt.ArrayLike, v: npt.ArrayLike, r_mirror: npt.ArrayLike, r_diffuse: npt.ArrayLike, f: npt.ArrayLike
) -> Array:
    """Mix the mirrored and the diffuse path by the finish of the metal and by what the metal mirrors.

    Our own proposal: it keeps the energy, and between its ends it is a straight line.

    Parameters
    ----------
    h : array_like
        Finish of the metal: 0 a mirror, 1 satin, textured or crinkled.
    v : array_like
        What the mirror shows: 1 a bright white surround (catching the light), 0 a dark one (turned away).
    r_mirror, r_diffuse : array_like
        From :func:`mirror` and :func:`surface`.
    f : array_like
        exp(-sum S d): the share of light that is not scattered on its way.
    """
    h, v, f = (np.asarray(x, dtype=np.float64) for x in (h, v, f))
    r_mirror, r_diffuse = (np.asarray(x, dtype=np.float64) for x in (r_mirror, r_diffuse))
    return np.asarray(h * r_diffuse + (1 - h) * (v * r_mirror + (1 - f) * r_diffuse))


@lru_cache(maxsize=4)
def _gauss(points: int) -> tuple[Array, Array]:
    x, w = np.polynomial.legendre.leggauss(points)
    cosines, weights = (x + 1) / 2, w / 2
    cosines.setflags(write=False)
    weights.setflags(write=False)
    return cosines, weights


def _index(index: npt.ArrayLike) -> Array:
    n = np.asarray(index, dtype=np.float64)
    if not np.all((n >= 1) & (n < np.inf)):
        raise InputError("a refractive index is at least that of air, 1")
    return n
