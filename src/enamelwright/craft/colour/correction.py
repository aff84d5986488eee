"""By how much stacks of one kind come out otherwise than foretold, as the maker's own tiles teach it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.craft.colour.colour_stack import ColourStack

Array = npt.NDArray[np.float64]
Lab = tuple[float, float, float]
#: Of a stack that nothing corrects.
AS_FORETOLD: Lab = (0.0, 0.0, 0.0)


@dataclass(frozen=True)
class Correction:
    """What is added to a foretold colour.

    Attributes
    ----------
    jar : str
        Uppermost jar of the stacks it holds for.
    lab : tuple of float
        To be added.
    sd : float
        Of each of the three.
    tiles : int
        It was learned from.
    """

    jar: str
    lab: Lab
    sd: float
    tiles: int


def moved(lab: npt.ArrayLike, by: npt.ArrayLike) -> Array:
    """Add a correction to foretold colours, shape (..., 3); no lightness leaves 0 to 100."""
    found: Array = np.asarray(lab, np.float64) + np.asarray(by, np.float64)
    found[..., 0] = np.clip(found[..., 0], 0.0, 100.0)
    return found


def _nothing(_stack: ColourStack) -> Correction | None:
    """Return that nothing corrects a stack."""
    return None


@dataclass(frozen=True)
class Corrections:
    """All that was learned.

    Attributes
    ----------
    known : tuple of Correction
        Every one.
    find : callable
        Returns the one that holds for a stack.
    """

    known: tuple[Correction, ...] = ()
    find: Callable[[ColourStack], Correction | None] = _nothing

    def of(self, stack: ColourStack) -> Correction | None:
        """Return what corrects a stack; None when nothing does."""
        if not any(one.jar == stack.coats[-1].jar for one in self.known):
            return None
        return self.find(stack)

    def shift(self, stack: ColourStack) -> Lab:
        """Return what is added to the colour of a stack; nothing where nothing corrects it."""
        found = self.of(stack)
        return found.lab if found is not None else AS_FORETOLD
