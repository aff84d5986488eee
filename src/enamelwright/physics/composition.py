"""Glass composition: weight per cent to mole per cent, and polynomials in mole per cent."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from math import isfinite, prod

from enamelwright.errors import InputError

#: Sums that stand for several components in printed terms.
GROUPS: Mapping[str, tuple[str, ...]] = {"R2O": ("Li2O", "Na2O", "K2O")}
#: Weight analyses outside these sums are incomplete or mistyped (listing F adds its oxygen).
LOWEST_SUM, HIGHEST_SUM = 90.0, 110.0
_HUNDRED = 100.0


def mole_percent(weight_percent: Mapping[str, float], molar_mass: Mapping[str, float]) -> dict[str, float]:
    """Turn weight per cent into mole per cent with a total of 100.

    Fluorine counts as one component, F, and its oxygen equivalent is not subtracted.

    Parameters
    ----------
    weight_percent : mapping of str to float
        Component to weight per cent; the sum lies between 90 and 110.
    molar_mass : mapping of str to float
        Component to molar mass, in any one unit.

    Returns
    -------
    dict of str to float
        Mole per cent, components with nothing left out.

    Raises
    ------
    InputError
        For an unknown component, a negative or infinite amount, or an impossible sum.
    """
    for component, amount in weight_percent.items():
        if component not in molar_mass:
            raise InputError(
                f"'{component[:20]}' is not a component the glass models know.",
                "Use oxides such as SiO2, PbO, Na2O, or F.",
            )
        if not isfinite(amount) or amount < 0:
            raise InputError(f"the amount of {component} must be a number from 0 to 100.")
    total = sum(weight_percent.values())
    if not LOWEST_SUM <= total <= HIGHEST_SUM:
        raise InputError(
            f"the composition adds up to {total:.1f} weight per cent.",
            "List every oxide so that the sum is near 100.",
        )
    moles = {name: amount / molar_mass[name] for name, amount in weight_percent.items() if amount > 0}
    return normalised(moles)


def normalised(amounts: Mapping[str, float]) -> dict[str, float]:
    """Scale amounts to a sum of 100, leaving out the absent.

    Raises
    ------
    InputError
        When nothing is there or an amount is negative.
    """
    total = sum(amounts.values())
    if not (isfinite(total) and total > 0) or min(amounts.values()) < 0:
        raise InputError("a composition needs positive amounts.")
    return {name: _HUNDRED * amount / total for name, amount in amounts.items() if amount > 0}


def _monomials(term: str) -> list[tuple[float, tuple[str, ...]]]:
    """Expand one printed term, such as ``"R2O*B2O3/100"`` or ``"PbO^2/100"``, into products."""
    scale = 1.0
    if term.endswith("/100"):
        scale, term = 1 / _HUNDRED, term.removesuffix("/100")
    result: list[tuple[float, tuple[str, ...]]] = []
    for part in term.strip("()").split("+"):
        products: list[tuple[str, ...]] = [()]
        for factor in part.split("*"):
            name, _, power = factor.partition("^")
            for _repeat in range(int(power or 1)):
                members = GROUPS.get(name, (name,))
                products = [(*product, member) for product in products for member in members]
        result += [(scale, product) for product in products]
    return result


@dataclass(frozen=True)
class CompositionPolynomial:
    """A property as a constant plus coefficients times products of mole per cents.

    Attributes
    ----------
    constant : float
        In the unit of the property.
    terms : tuple of (float, tuple of str)
        Coefficient and the components whose mole per cents multiply it.
    """

    constant: float
    terms: tuple[tuple[float, tuple[str, ...]], ...]

    @classmethod
    def of_rows(cls, rows: Iterable[tuple[str, float]]) -> CompositionPolynomial:
        """Build it from printed terms, e.g. ``[("constant", 2.7), ("Na2O*K2O", 0.1)]``.

        Raises
        ------
        InputError
            When there is no constant.
        """
        constant: float | None = None
        terms: list[tuple[float, tuple[str, ...]]] = []
        for term, coefficient in rows:
            if term == "constant":
                constant = coefficient
            else:
                terms += [(coefficient * scale, product) for scale, product in _monomials(term)]
        if constant is None:
            raise InputError("a composition model needs its constant.")
        return cls(constant, tuple(terms))

    @property
    def components(self) -> frozenset[str]:
        """Components that change the property."""
        return frozenset(name for _, product in self.terms for name in product)

    def at(self, mole: Mapping[str, float]) -> float:
        """Return the property of a composition in mole per cent."""
        return self.constant + sum(
            coefficient * prod(mole.get(name, 0.0) for name in product) for coefficient, product in self.terms
        )


@dataclass(frozen=True)
class Range:
    """Amounts of one component (or of a group) that a model has seen.

    Attributes
    ----------
    component : str
        Component or group of :data:`GROUPS`.
    low, high : float
        Mole per cent.
    """

    component: str
    low: float
    high: float

    def amount(self, mole: Mapping[str, float]) -> float:
        """Return how much of it a composition holds [mol%]."""
        return sum(mole.get(name, 0.0) for name in GROUPS.get(self.component, (self.component,)))

    def complaint(self, mole: Mapping[str, float]) -> str:
        """Return what is outside, in words; empty when nothing is."""
        amount = self.amount(mole)
        if amount > self.high:
            if self.high == 0:
                return f"{self.component} {amount:.2g} mol%: none in the model's data"
            return f"{self.component} {amount:.2g} mol% is above the {self.high:g} of the model's data"
        if amount < self.low:
            return f"{self.component} {amount:.2g} mol% is below the {self.low:g} of the model's data"
        return ""


def complaints(ranges: Iterable[Range], mole: Mapping[str, float]) -> tuple[str, ...]:
    """Return every range a composition leaves, in words."""
    return tuple(words for entry in ranges if (words := entry.complaint(mole)))
