"""Properties of a glass by regression on its composition, with domain and scatter.

A model knows how far it may be trusted: the range of every component it was fitted on, and the
scatter of the groups of glasses it was scored on. Errors of such models have heavy tails.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from math import hypot

from enamelwright.physics.composition import CompositionPolynomial, Range, complaints


@dataclass(frozen=True)
class GlassGroup:
    """Glasses told apart by what they hold.

    Attributes
    ----------
    name : str
        Key of the group.
    above : tuple of (str, float)
        Components and the mole per cent that must be exceeded.
    absent : tuple of (str, float)
        Components and the mole per cent that must not be exceeded.
    """

    name: str
    above: tuple[tuple[str, float], ...] = ()
    absent: tuple[tuple[str, float], ...] = ()

    def holds(self, mole: Mapping[str, float]) -> bool:
        """Whether a composition in mole per cent belongs to it."""
        return all(mole.get(name, 0.0) > least for name, least in self.above) and all(
            mole.get(name, 0.0) <= most for name, most in self.absent
        )


@dataclass(frozen=True)
class Scatter:
    """How far a model was off on one group of measured glasses.

    Attributes
    ----------
    group : GlassGroup
        Which glasses.
    sd : float
        Robust standard deviation of observed minus predicted, in the unit of the property.
    bias : float
        Median of observed minus predicted.
    """

    group: GlassGroup
    sd: float
    bias: float = 0.0


def scatter_of(table: tuple[Scatter, ...], mole: Mapping[str, float]) -> float:
    """Return the standard deviation to expect for a composition.

    The largest of the groups it belongs to; a bias is not corrected but added in quadrature, since
    it was found on few glasses.

    Parameters
    ----------
    table : tuple of Scatter
        Must hold a group that every composition belongs to.
    mole : mapping of str to float
        Mole per cent.
    """
    return max(hypot(entry.sd, entry.bias) for entry in table if entry.group.holds(mole))


@dataclass(frozen=True)
class Regression:
    """One property as a polynomial, with its domain and scatter.

    Attributes
    ----------
    polynomial : CompositionPolynomial
        SI value from mole per cent; silica is the remainder.
    domain : tuple of Range
        Compositions that were selected for the fit.
    largest : tuple of Range
        Largest amount of each component among them.
    scatter : tuple of Scatter
        In SI.
    """

    polynomial: CompositionPolynomial
    domain: tuple[Range, ...]
    largest: tuple[Range, ...]
    scatter: tuple[Scatter, ...]

    def value(self, mole: Mapping[str, float]) -> float:
        """Return the property [SI]."""
        return self.polynomial.at(mole)

    def sd(self, mole: Mapping[str, float]) -> float:
        """Return one standard deviation [SI]."""
        return scatter_of(self.scatter, mole)

    def inside(self, mole: Mapping[str, float]) -> bool:
        """Whether every component lies within what the fit has seen."""
        return not complaints((*self.domain, *self.largest), mole)

    def flags(self, mole: Mapping[str, float]) -> tuple[str, ...]:
        """Return in words where the composition leaves the domain; no flag is given twice."""
        seen: dict[str, None] = dict.fromkeys(complaints(self.domain, mole))
        spoken = {words.split()[0] for words in seen}
        for words in complaints(self.largest, mole):
            if words.split()[0] not in spoken:
                seen[words] = None
        known = {entry.component for entry in (*self.domain, *self.largest)} | self.polynomial.components
        for name in mole:
            if name not in known:
                seen[f"{name}: counted as silica"] = None
        return tuple(seen)
