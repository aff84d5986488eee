"""Viscosity of a glass melt and the temperature at which a cooling glass becomes rigid."""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, isfinite, log

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError, OutOfReach

Array = npt.NDArray[np.float64]

LN10 = log(10.0)
EULER_GAMMA = 0.5772156649015329
"""Mean of the standard Gumbel law, which the strain freezing of a Maxwell glass follows."""
BIAXIAL_RELAXATION = 6.0
"""tau = 6 eta / B: a viscous film in equal biaxial stress carries 6 eta times its strain rate."""
LOG_VISCOSITY_CEILING = 25.0
"""Decades of Pa s above which a glass counts as frozen; also keeps the law from overflowing."""
NEAREST_TO_POLE = 1.0
"""Kelvin kept between the temperature and the pole of the law."""
ILL_CONDITIONED_POLE_SHIFT = 30.0
"""Kelvin that the pole may move for one kelvin at the middle point before the fit is flagged."""
NEWTON_LIMIT = 100
NEWTON_TOLERANCE = 1e-12


@dataclass(frozen=True)
class VftViscosity:
    """Vogel-Fulcher-Tammann law ``log10 eta = A + b / (T - T0)``.

    Attributes
    ----------
    log_prefactor : float
        A, decimal logarithm of the viscosity [Pa s] at infinite temperature.
    slope : float
        b [K], positive.
    pole : float
        T0 [K], below every temperature the law was fitted to.
    ill_conditioned : bool
        True when the three points scarcely fix the law; extrapolate it with care.
    """

    log_prefactor: float
    slope: float
    pole: float
    ill_conditioned: bool = False

    def __post_init__(self) -> None:
        """Refuse laws that rise with temperature or are not finite."""
        if not (isfinite(self.log_prefactor) and isfinite(self.pole) and isfinite(self.slope)):
            raise InputError("the viscosity law needs finite numbers")
        if self.slope <= 0 or self.pole <= 0:
            raise InputError("viscosity must fall with temperature and its pole be above 0 K")

    @classmethod
    def from_two_points(
        cls, first: tuple[float, float], second: tuple[float, float], log_prefactor: float
    ) -> VftViscosity:
        """Law through two points with a known high-temperature limit.

        Parameters
        ----------
        first, second : tuple of float
            (temperature [K], log10 of the viscosity [Pa s]); the second one hotter and thinner.
        log_prefactor : float
            A, below both logarithms.

        Returns
        -------
        VftViscosity

        Raises
        ------
        InputError
            If the viscosity does not fall from first to second, or A lies above the points.
        """
        (cool, log_cool), (hot, log_hot) = first, second
        if not hot > cool:
            raise InputError("the thinner point must be the hotter one")
        if not log_cool > log_hot > log_prefactor:
            raise InputError("viscosity must fall toward the high-temperature limit")
        ratio = (log_cool - log_prefactor) / (log_hot - log_prefactor)
        distance = (hot - cool) / (ratio - 1)
        if distance >= cool:
            raise InputError("the two points are too close in viscosity: the pole falls below 0 K")
        return cls(log_prefactor, (log_cool - log_prefactor) * distance, cool - distance)

    @classmethod
    def from_three_points(
        cls,
        first: tuple[float, float],
        second: tuple[float, float],
        third: tuple[float, float],
    ) -> VftViscosity:
        """Law through three isokoms, coolest first.

        Parameters
        ----------
        first, second, third : tuple of float
            (temperature [K], log10 of the viscosity [Pa s]) with rising temperature and falling
            viscosity.

        Returns
        -------
        VftViscosity
            With ``ill_conditioned`` set when one kelvin at the middle point moves the pole by
            more than 30 K.

        Raises
        ------
        InputError
            If the order is wrong or no law of this form passes through the points.
        """
        law = cls._through(first, second, third)
        (t2, l2) = second
        try:
            moved = [cls._through(first, (t2 + step, l2), third).pole for step in (-1.0, 1.0)]
            flag = max(abs(pole - law.pole) for pole in moved) > ILL_CONDITIONED_POLE_SHIFT
        except InputError:
            flag = True
        return cls(law.log_prefactor, law.slope, law.pole, flag)

    @classmethod
    def _through(
        cls,
        first: tuple[float, float],
        second: tuple[float, float],
        third: tuple[float, float],
    ) -> VftViscosity:
        (t1, l1), (t2, l2), (t3, l3) = first, second, third
        if not t1 < t2 < t3:
            raise InputError("give the three points with rising temperature")
        if not l1 > l2 > l3:
            raise InputError("viscosity must fall as the temperature rises")
        # Chord slope over (T1, T2) against (T2, T3): r = (T1 - T0) / (T3 - T0) for a VFT law.
        ratio = (l2 - l3) * (t2 - t1) / ((l1 - l2) * (t3 - t2))
        if not 0 < ratio < 1:
            raise InputError("the three points do not bend the way a melt does")
        pole = (t1 - ratio * t3) / (1 - ratio)
        if pole <= 0:
            raise InputError("the three points put the pole below 0 K")
        slope = (l1 - l3) * (t1 - pole) * (t3 - pole) / (t3 - t1)
        return cls(l1 - slope / (t1 - pole), slope, pole)

    def shifted(self, kelvin: float) -> VftViscosity:
        """Move the whole law along the temperature axis.

        Parameters
        ----------
        kelvin : float
            Shift [K]; positive for a harder glass.

        Returns
        -------
        VftViscosity
        """
        return VftViscosity(self.log_prefactor, self.slope, self.pole + kelvin, self.ill_conditioned)

    def log_viscosity(self, temperature: npt.ArrayLike) -> Array:
        """Decimal logarithm of the equilibrium viscosity [Pa s].

        Parameters
        ----------
        temperature : array_like
            Temperature [K]; values at or below the pole read as frozen.

        Returns
        -------
        ndarray
            At most ``LOG_VISCOSITY_CEILING``.
        """
        above = np.maximum(np.asarray(temperature, dtype=np.float64) - self.pole, NEAREST_TO_POLE)
        return np.minimum(self.log_prefactor + self.slope / above, LOG_VISCOSITY_CEILING)

    def temperature_at(self, log_viscosity: float) -> float:
        """Temperature of an isokom [K].

        Parameters
        ----------
        log_viscosity : float
            Decimal logarithm of the viscosity [Pa s], above the high-temperature limit.

        Returns
        -------
        float

        Raises
        ------
        OutOfReach
            If the law never reaches that viscosity.
        """
        if log_viscosity <= self.log_prefactor:
            raise OutOfReach("the glass never becomes that thin by its viscosity law")
        return self.pole + self.slope / (log_viscosity - self.log_prefactor)

    def maxwell_time(self, temperature: npt.ArrayLike, modulus: float) -> Array:
        """Time in which an equal biaxial stress relaxes, ``6 eta / B`` [s].

        Parameters
        ----------
        temperature : array_like
            Temperature [K].
        modulus : float
            Biaxial modulus [Pa].

        Returns
        -------
        ndarray
        """
        return np.asarray(BIAXIAL_RELAXATION * 10 ** self.log_viscosity(temperature) / modulus)

    def activation_temperature(self, log_viscosity: float) -> float:
        """Local Arrhenius slope ``d ln eta / d(1/T)`` at an isokom, H / R [K].

        Parameters
        ----------
        log_viscosity : float
            Decimal logarithm of the viscosity [Pa s] at which to take it.

        Returns
        -------
        float
        """
        at = self.temperature_at(log_viscosity)
        return LN10 * self.slope * at**2 / (at - self.pole) ** 2


@dataclass(frozen=True)
class SetPoint:
    """Where a Maxwell glass becomes rigid at a constant cooling rate.

    Attributes
    ----------
    crossing : float
        T1 [K], where the relaxation time equals the time to cool through ``width``.
    width : float
        w [K], the fall of temperature that lengthens the relaxation time e-fold.
    temperature : float
        Set temperature [K]: an elastic film starting here ends at the same stress.
    """

    crossing: float
    width: float
    temperature: float


def set_point(law: VftViscosity, modulus: float, cooling_rate: float) -> SetPoint:
    """Closed-form set temperature of a Maxwell glass without structural relaxation.

    A preview and a test value: with structural relaxation the effective set temperature of a
    soft glass lies tens of kelvin lower (see ``structural_relaxation``).

    Parameters
    ----------
    law : VftViscosity
        Viscosity.
    modulus : float
        Biaxial modulus [Pa].
    cooling_rate : float
        Rate [K/s], positive.

    Returns
    -------
    SetPoint

    Raises
    ------
    InputError
        If the rate is not positive.

    Notes
    -----
    ``q tau(T1) = w(T1)`` with ``w = (T - T0)^2 / (b ln 10)``; the frozen strain then follows a
    Gumbel law about T1 whose mean is ``T1 - 0.5772 w`` (derived).
    """
    if not cooling_rate > 0:
        raise InputError("a cooling rate must be positive")
    scale = log(cooling_rate * BIAXIAL_RELAXATION / modulus)
    above = law.temperature_at(min(12.0, LOG_VISCOSITY_CEILING)) - law.pole
    for _ in range(NEWTON_LIMIT):
        # ln(q tau) - ln(w) as a function of u = T - T0, decreasing and convex in u
        gap = scale + LN10 * (law.log_prefactor + law.slope / above)
        gap -= log(above**2 / (law.slope * LN10))
        slope = -LN10 * law.slope / above**2 - 2 / above
        # Newton in ln u keeps u positive
        change = -gap / (slope * above)
        above *= exp(max(min(change, 1.0), -1.0))
        if abs(change) < NEWTON_TOLERANCE:
            break
    width = above**2 / (law.slope * LN10)
    crossing = law.pole + above
    return SetPoint(crossing, width, crossing - EULER_GAMMA * width)
