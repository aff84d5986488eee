"""Density of a glass at room temperature from its composition."""

from __future__ import annotations

from collections.abc import Mapping

from enamelwright.physics.composition import CompositionPolynomial

#: Components without a term of their own because the others are counted against them.
REMAINDER = "SiO2"


def density(model: CompositionPolynomial, mole: Mapping[str, float]) -> tuple[float, tuple[str, ...]]:
    """Return density and the components the model does not know.

    Valid for annealed silicate glass without crystals. Source: A. Fluegel, J. Am. Ceram. Soc. 90
    (2007) 2622-2635.

    Parameters
    ----------
    model : CompositionPolynomial
        Density in mole per cent.
    mole : mapping of str to float
        Mole per cent, total 100.

    Returns
    -------
    density : float
        In the unit of the model.
    unknown : tuple of str
        In words.
    """
    unknown = sorted(set(mole) - model.components - {REMAINDER})
    return model.at(mole), tuple(f"{name}: not in the density model" for name in unknown)
