"""A glass that flows, sets and contracts: what the stress solvers need to know of it."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError
from enamelwright.physics.viscosity import VftViscosity

Array = npt.NDArray[np.float64]

TRANSITION_LOG_VISCOSITY = 12.0
"""Isokom (log10 Pa s) at which the activation energy of the frozen structure is read."""


@dataclass(frozen=True)
class RelaxationSpectrum:
    """Sum of exponentials that stands for a stretched-exponential relaxation.

    Attributes
    ----------
    ratios : tuple of float
        Times of the terms divided by the structural relaxation time.
    weights : tuple of float
        Shares of the terms; they add to one.
    """

    ratios: tuple[float, ...]
    weights: tuple[float, ...]

    def __post_init__(self) -> None:
        """Check the sum and scale away its last rounding."""
        if len(self.ratios) != len(self.weights) or not self.ratios:
            raise InputError("a relaxation spectrum needs one weight for each time")
        if min(self.ratios) <= 0 or min(self.weights) < 0:
            raise InputError("relaxation times must be positive and no weight negative")
        total = sum(self.weights)
        if abs(total - 1) > SUM_TOLERANCE:
            raise InputError("the weights of a relaxation spectrum must add to one")
        object.__setattr__(self, "weights", tuple(w / total for w in self.weights))

    @classmethod
    def stretched(cls, exponent: float, terms: int = 8) -> RelaxationSpectrum:
        """Fit ``exp(-u^exponent)`` by non-negative least squares.

        Parameters
        ----------
        exponent : float
            Stretching exponent, above 0 and at most 1.
        terms : int
            Number of exponentials, spread evenly over the logarithm of time.

        Returns
        -------
        RelaxationSpectrum
        """
        from scipy.optimize import nnls

        if not 0 < exponent <= 1:
            raise InputError("the stretching exponent lies between 0 and 1")
        if exponent == 1:
            return cls((1.0,), (1.0,))
        ratios = np.geomspace(*FIT_RATIOS, terms)
        u = np.geomspace(*FIT_RANGE, FIT_SAMPLES)
        basis = np.exp(-u[:, None] / ratios)
        # A heavy extra row makes the weights add to one, i.e. the start of the decay exact.
        rows = np.vstack([basis, np.full(terms, FIT_SUM_WEIGHT)])
        wanted = np.append(np.exp(-(u**exponent)), FIT_SUM_WEIGHT)
        weights, _ = nnls(rows, wanted)
        return cls(tuple(map(float, ratios)), tuple(map(float, weights)))


FIT_RATIOS = (1e-3, 10.0)
"""Shortest and longest term of a fitted spectrum, in structural relaxation times."""
FIT_RANGE = (1e-4, 30.0)
"""Range of reduced time over which a spectrum is fitted."""
FIT_SAMPLES = 400
FIT_SUM_WEIGHT = 1e3
SUM_TOLERANCE = 1e-3
"""Rounding allowed in printed weights."""

STRETCHED_06 = RelaxationSpectrum(
    (1e-3, 3.727594e-3, 1.389495e-2, 5.179475e-2, 0.1930698, 0.7196857, 2.682696, 10.0),
    (
        0.01651433,
        0.00262748,
        0.03309434,
        0.06409390,
        0.14055308,
        0.34199128,
        0.37810049,
        0.02302510,
    ),
)
"""Eight-term fit of exp(-u^0.6), the stretching usual for silicate glasses (assumption)."""


@dataclass(frozen=True)
class SolidGlass:
    """A thermorheologically simple glass.

    Attributes
    ----------
    young : float
        Young's modulus of the fired glass [Pa].
    poisson : float
        Poisson's ratio.
    expansion_glass : float
        Linear expansion below the transition [1/K].
    expansion_liquid : float
        Linear expansion of the equilibrium melt [1/K].
    viscosity : VftViscosity
        Equilibrium viscosity.
    activation_fraction : float
        Share x of the activation energy at the transition that the frozen structure keeps, 0..1.
    structural_modulus : float
        Ks [Pa]; viscosity divided by it is the structural relaxation time.
    spectrum : RelaxationSpectrum
        Distribution of structural relaxation times.
    """

    young: float
    poisson: float
    expansion_glass: float
    expansion_liquid: float
    viscosity: VftViscosity
    activation_fraction: float
    structural_modulus: float
    spectrum: RelaxationSpectrum = field(default=STRETCHED_06)

    def __post_init__(self) -> None:
        """Check that every property is possible."""
        if not min(self.young, self.structural_modulus) > 0 or not 0 <= self.poisson < 0.5:
            raise InputError("moduli must be positive and Poisson's ratio below 0.5")
        if not 0 <= self.activation_fraction <= 1:
            raise InputError("the activation fraction lies between 0 and 1")
        if not self.expansion_liquid >= self.expansion_glass:
            raise InputError("a melt expands at least as much as its glass")

    @property
    def modulus(self) -> float:
        """Biaxial modulus ``E / (1 - nu)`` [Pa]."""
        return self.young / (1 - self.poisson)

    @property
    def frozen_slope(self) -> float:
        """Arrhenius slope of the viscosity of a frozen structure, ``x H / R`` [K]."""
        return self.activation_fraction * self.viscosity.activation_temperature(TRANSITION_LOG_VISCOSITY)

    def shifted(self, kelvin: float) -> SolidGlass:
        """Return the same glass with every isokom moved.

        Parameters
        ----------
        kelvin : float
            Shift [K]; positive for a harder glass.

        Returns
        -------
        SolidGlass
        """
        return replace(self, viscosity=self.viscosity.shifted(kelvin))
