"""Viscosity of a glass from its composition: isokoms, the law through them, a second opinion."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from enamelwright.errors import InputError
from enamelwright.physics.composition import CompositionPolynomial, Range, complaints
from enamelwright.physics.viscosity import VftViscosity

#: Decades between poise and pascal second.
POISE_DECADES = 1.0
_PARTS = 100.0  # Lakatos counts parts by weight per 100 parts of silica


@dataclass(frozen=True)
class IsokomModel:
    """Temperature of one viscosity as a polynomial in mole per cent.

    Attributes
    ----------
    log_viscosity : float
        Decimal logarithm of the viscosity [Pa s].
    polynomial : CompositionPolynomial
        Gives the temperature in the scale of `zero`.
    zero : float
        Kelvin to add to the polynomial's result.
    ranges : tuple of Range
        What the model's data hold at this level.
    unusable : frozenset of str
        Components whose coefficient is lost; any amount is flagged.
    """

    log_viscosity: float
    polynomial: CompositionPolynomial
    zero: float
    ranges: tuple[Range, ...]
    unusable: frozenset[str] = frozenset()

    def temperature(self, mole: Mapping[str, float]) -> float:
        """Return the temperature [K] of a composition in mole per cent."""
        return self.polynomial.at(mole) + self.zero

    def flags(self, mole: Mapping[str, float]) -> tuple[str, ...]:
        """Return in words where the composition leaves the data of this level."""
        level = f"at 10^{self.log_viscosity:g} Pa s"
        found = [f"{words} {level}" for words in complaints(self.ranges, mole)]
        known = {entry.component for entry in self.ranges}
        found += [
            f"{name} {amount:.2g} mol%: not in the model {level}"
            for name, amount in mole.items()
            if name not in known and amount > 0
        ]
        found += [f"{name}: coefficient lost in print {level}" for name in sorted(self.unusable) if mole.get(name, 0)]
        return tuple(found)


@dataclass(frozen=True)
class Isokoms:
    """Temperatures of several viscosities of one glass.

    Attributes
    ----------
    points : tuple of (float, float)
        (temperature [K], log10 of the viscosity [Pa s]), coolest first.
    flags : tuple of tuple of str
        For each point, where the composition leaves the data.
    """

    points: tuple[tuple[float, float], ...]
    flags: tuple[tuple[str, ...], ...]

    def at(self, log_viscosity: float) -> float:
        """Return the temperature [K] of one of the points."""
        return next(t for t, level in self.points if level == log_viscosity)

    def law(self) -> VftViscosity:
        """Return the Vogel-Fulcher-Tammann law through the three points.

        Raises
        ------
        InputError
            When the points are not those of a melt: not falling, or bent the wrong way.
        """
        if len(self.points) != len(("cool", "middle", "hot")):
            raise InputError("a viscosity law needs exactly three points.")
        cool, middle, hot = self.points
        return VftViscosity.from_three_points(cool, middle, hot)


def isokoms(models: tuple[IsokomModel, ...], mole: Mapping[str, float]) -> Isokoms:
    """Evaluate isokom models for one composition.

    Source: A. Fluegel, Glass Technol.: Eur. J. Glass Sci. Technol. A 48 (2007) 13-30.

    Parameters
    ----------
    models : tuple of IsokomModel
        One for each level.
    mole : mapping of str to float
        Mole per cent, total 100.
    """
    ordered = sorted(models, key=lambda model: -model.log_viscosity)
    return Isokoms(
        tuple((model.temperature(mole), model.log_viscosity) for model in ordered),
        tuple(model.flags(mole) for model in ordered),
    )


@dataclass(frozen=True)
class AdditiveLaw:
    """Constants of ``T = T0 + B / (log10 poise + A)`` that add up over the components.

    Source: Lakatos, Johansson & Simmingskoeld, August 1976; oxides as parts per 100 parts of silica.

    Attributes
    ----------
    slope, prefactor, pole : mapping of str to float
        Contributions to B [K], A and T0 (in the scale of `zero`) by term: ``"constant"``, a
        component, or a component squared (``"B2O3^2"``).
    zero : float
        Kelvin to add to T0.
    ranges : tuple of Range
        Weight per cent of the glasses it was made from.
    """

    slope: Mapping[str, float]
    prefactor: Mapping[str, float]
    pole: Mapping[str, float]
    zero: float
    ranges: tuple[Range, ...] = ()

    def law(self, weight_percent: Mapping[str, float]) -> VftViscosity:
        """Return the law of a composition in weight per cent, in pascal seconds.

        Raises
        ------
        InputError
            When the composition holds no silica.
        """
        silica = weight_percent.get("SiO2", 0.0)
        if silica <= 0:
            raise InputError("this viscosity model needs silica in the glass.")
        parts = {name: _PARTS * amount / silica for name, amount in weight_percent.items()}

        def total(table: Mapping[str, float]) -> float:
            result = 0.0
            for term, factor in table.items():
                name, _, power = term.partition("^")
                result += factor if name == "constant" else factor * parts.get(name, 0.0) ** int(power or 1)
            return result

        return VftViscosity(-total(self.prefactor) - POISE_DECADES, total(self.slope), total(self.pole) + self.zero)

    def flags(self, weight_percent: Mapping[str, float]) -> tuple[str, ...]:
        """Return in words where the composition leaves the glasses of the paper (weight per cent)."""
        known = {entry.component for entry in self.ranges}
        other = [name for name, amount in weight_percent.items() if name not in known and amount > 0]
        return (
            *(words.replace("mol%", "wt%") for words in complaints(self.ranges, weight_percent)),
            *(f"{name}: not in the model" for name in other),
        )
