"""What a black body sends out, in all and between two wavelengths."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError
from enamelwright.physics.constants import STEFAN_BOLTZMANN

Array = npt.NDArray[np.float64]

#: Second radiation constant h c / k [m K] and the constant of Wien's displacement law [m K], exact in the SI of
#: 2019 (CODATA 2018).
SECOND_RADIATION = 1.438776877e-2
WIEN_DISPLACEMENT = 2.897771955e-3
#: Terms of the series of the shares below a wavelength; enough for ten digits from x = 0.3 up.
TERMS = 120
#: Least h c / (wavelength k T) at which that series is used.
LEAST_ARGUMENT = 0.3
#: 15 / pi^4, from the integral of x^3 / (exp x - 1).
_NORM = 15.0 / np.pi**4


def _kelvin(temperature: npt.ArrayLike) -> Array:
    kelvin = np.asarray(temperature, dtype=np.float64)
    if not np.all(np.isfinite(kelvin)) or np.any(kelvin <= 0):
        raise InputError("a body that glows has an absolute temperature above zero")
    return kelvin


def emitted(temperature: npt.ArrayLike) -> Array:
    """Radiation that leaves a black surface, all wavelengths [W/m2].

    Parameters
    ----------
    temperature : array_like
        [K].
    """
    return np.asarray(STEFAN_BOLTZMANN * _kelvin(temperature) ** 4)


def peak_wavelength(temperature: npt.ArrayLike) -> Array:
    """Wavelength at which a black body is brightest, a metre of wavelength taken [m].

    Parameters
    ----------
    temperature : array_like
        [K].
    """
    return np.asarray(WIEN_DISPLACEMENT / _kelvin(temperature))


def share_below(wavelength: npt.ArrayLike, temperature: npt.ArrayLike) -> Array:
    """Share of the radiation of a black body that is shorter than a wavelength.

    ``(15 / pi^4) sum_n exp(-n x) (x^3 / n + 3 x^2 / n^2 + 6 x / n^3 + 6 / n^4)``, x = c2 / (wavelength T).

    Parameters
    ----------
    wavelength : array_like
        [m].
    temperature : array_like
        [K].

    Raises
    ------
    InputError
        For wavelengths so long that the series would need more terms.

    Notes
    -----
    Source: Planck's law integrated by parts; the series of S. L. Chang and K. T. Rhee, Int. Commun. Heat Mass
    Transf. 11 (1984) 451, from memory. Checked against quadrature.
    """
    length = np.asarray(wavelength, dtype=np.float64)
    if not np.all(np.isfinite(length)) or np.any(length <= 0):
        raise InputError("a wavelength is longer than nothing")
    x = np.asarray(SECOND_RADIATION / (length * _kelvin(temperature)))
    if np.any(x < LEAST_ARGUMENT):
        raise InputError("this wavelength is too long for the series")
    n = np.arange(1.0, TERMS + 1)
    y = x[..., None]
    series = np.exp(-n * y) * (y**3 / n + 3 * y**2 / n**2 + 6 * y / n**3 + 6 / n**4)
    return np.asarray(_NORM * series.sum(axis=-1))


def band_radiance(shortest: float, longest: float, temperature: npt.ArrayLike) -> Array:
    """Radiance of a black body between two wavelengths [W/m2/sr].

    Parameters
    ----------
    shortest, longest : float
        [m].
    temperature : array_like
        [K].
    """
    share = share_below(longest, temperature) - share_below(shortest, temperature)
    return np.asarray(emitted(temperature) * share / np.pi)


def spectral_radiance(wavelength: npt.ArrayLike, temperature: npt.ArrayLike) -> Array:
    """Radiance of a black body by wavelength [W/m3/sr].

    Parameters
    ----------
    wavelength : array_like
        [m].
    temperature : array_like
        [K].
    """
    length = np.asarray(wavelength, dtype=np.float64)
    # 2 h c^2 from sigma: sigma T^4 / pi is the whole, and its integral over x is pi^4 / 15.
    scale = STEFAN_BOLTZMANN * SECOND_RADIATION**4 * _NORM / np.pi
    return np.asarray(scale / length**5 / np.expm1(SECOND_RADIATION / (length * _kelvin(temperature))))
