"""Reflectance of coats fired on metal: diffuse and mirrored light, mixed by the finish."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError
from enamelwright.physics.colour.colour_space import BANDS
from enamelwright.physics.colour.layer_optics import finish_mix, layer, mirror, over, surface

Array = npt.NDArray[np.float64]
#: K [1/m] and S [1/m], both (..., 36), and the thickness [m], (...) without an axis of bands.
Layer = tuple[npt.ArrayLike, npt.ArrayLike, npt.ArrayLike]


@dataclass(frozen=True, eq=False)
class StackLight:
    """The two paths of light through a stack, before finish and view mix them.

    Attributes
    ----------
    diffuse, mirrored : ndarray, shape (..., 36)
        Reflectance seen from outside along either path.
    unscattered : ndarray, shape (..., 36)
        Share of light that is not scattered on its way down and up.
    """

    diffuse: Array
    mirrored: Array
    unscattered: Array

    def seen(self, h: npt.ArrayLike, v: npt.ArrayLike) -> Array:
        """Mix both paths.

        Parameters
        ----------
        h, v : array_like, shape (...)
            Finish of the metal, 0 mirror to 1 satin; what the metal mirrors, 0 dark to 1 bright.
        """
        return finish_mix(_wide(h), _wide(v), self.mirrored, self.diffuse, self.unscattered)


def _wide(values: npt.ArrayLike) -> Array:
    return np.asarray(values, dtype=np.float64)[..., np.newaxis]


def scattering_at_bands(at_reference: npt.ArrayLike, power: npt.ArrayLike, reference: float) -> Array:
    """Scattering that falls with wavelength as a power law.

    Parameters
    ----------
    at_reference : array_like, shape (...)
        S at the reference wavelength [1/m].
    power : array_like, shape (...)
        How steeply it falls: 0 alike at all wavelengths (large flaws), 4 that of very small ones.
    reference : float
        [m].

    Returns
    -------
    ndarray, shape (..., 36)
    """
    return np.asarray(_wide(at_reference) * (reference / BANDS) ** _wide(power))


def stack_light(
    layers: Sequence[Layer], base_normal: npt.ArrayLike, base_hemispherical: npt.ArrayLike, n_top: npt.ArrayLike
) -> StackLight:
    """Follow light down both paths.

    Parameters
    ----------
    layers : sequence of (absorption, scattering, thickness)
        From the metal outward; K and S (..., 36) [1/m], thickness (...) [m]. None for bare metal.
    base_normal, base_hemispherical : array_like, shape (..., 36)
        Of the metal under the glass that touches it, from :func:`~.layer_optics.metal_under_glass`.
    n_top : array_like, shape (...)
        Refractive index of the uppermost glass; 1 for bare metal.

    Returns
    -------
    StackLight
    """
    normal, below = (np.asarray(x, dtype=np.float64) for x in (base_normal, base_hemispherical))
    if normal.shape[-1:] != BANDS.shape or below.shape[-1:] != BANDS.shape:
        raise InputError(f"the metal needs {BANDS.size} reflectances, one a band")
    index = _wide(n_top)
    loss: Array = np.zeros(BANDS.size)
    scattered: Array = np.zeros(BANDS.size)
    for absorption, scattering, thickness in layers:
        k, s = np.asarray(absorption, dtype=np.float64), np.asarray(scattering, dtype=np.float64)
        d = _wide(thickness)
        below = over(*layer(k, s, d), below)
        loss = loss + (k + s) * d
        scattered = scattered + s * d
    return StackLight(surface(below, index), mirror(loss, normal, index), np.exp(-scattered))


def stack_reflectance(
    layers: Sequence[Layer],
    base_normal: npt.ArrayLike,
    base_hemispherical: npt.ArrayLike,
    n_top: npt.ArrayLike,
    h: npt.ArrayLike,
    v: npt.ArrayLike,
) -> Array:
    """Reflectance of a stack, without the gloss of its surface.

    Parameters
    ----------
    layers : sequence of (absorption, scattering, thickness)
        From the metal outward; K and S (..., 36) [1/m], thickness (...) [m].
    base_normal, base_hemispherical : array_like, shape (..., 36)
        Of the metal under the glass that touches it.
    n_top : array_like, shape (...)
        Refractive index of the uppermost glass.
    h, v : array_like, shape (...)
        Finish of the metal, 0 mirror to 1 satin; what the metal mirrors, 0 dark (turned away) to 1 bright
        (catching the light).

    Returns
    -------
    ndarray, shape (..., 36)
        Draws broadcast over the leading axes.

    Notes
    -----
    Never above 1 less the reflectance of the bare surface; tests/physics/test_stack_optics.py tries 20,000 stacks.
    """
    return stack_light(layers, base_normal, base_hemispherical, n_top).seen(h, v)
