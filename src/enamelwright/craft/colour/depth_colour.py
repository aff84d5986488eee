"""Colour against depth: what one glass shows over a ground carved to many depths, as in basse-taille."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.colour_stack import ColourStack
from enamelwright.craft.colour.light import USUAL, seen_under
from enamelwright.craft.colour.look import VIEWS, Look, looks_of
from enamelwright.craft.colour.stack_parts import parts_of
from enamelwright.errors import OutOfReach


@dataclass(frozen=True)
class DepthLook:
    """The colour at one depth of the uppermost glass.

    Attributes
    ----------
    depth : float
        Of the fired glass [m].
    catching, away : Look
        Where the metal mirrors something bright; where it mirrors something dark.
    """

    depth: float
    catching: Look
    away: Look


def colour_against_depth(stack: ColourStack, bench: Bench, depths: npt.ArrayLike) -> tuple[DepthLook, ...]:
    """Return the colour over a carved ground, where one glass lies at many depths.

    Parameters
    ----------
    stack : ColourStack
        With at least one coat; the depth of the uppermost is varied.
    bench : Bench
        Where jars are looked up.
    depths : array_like, shape (n,)
        Of the uppermost coat [m], not negative.

    Raises
    ------
    OutOfReach
        When there is no coat.
    """
    parts = parts_of(stack, bench)
    if not parts.jars:
        raise OutOfReach("bare metal has no depth of glass.", "Add a coat.")
    at = np.asarray(depths, dtype=np.float64)
    thickness = np.tile(parts.thickness, (at.size, 1))
    thickness[:, -1] = at
    ends = [looks_of(parts.seen(thickness, view), seen_under(USUAL[0])) for view in VIEWS]
    return tuple(DepthLook(float(d), one, other) for d, one, other in zip(at, *ends, strict=True))
