"""The thicknesses at which a stack comes nearest to a colour, found between and beyond those a search tried."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import numpy.typing as npt

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.coat_laid import LAID_TO, least_laid
from enamelwright.craft.colour.colour_risk import limit
from enamelwright.craft.colour.colour_stack import ColourStack
from enamelwright.craft.colour.correction import AS_FORETOLD, Lab, moved
from enamelwright.craft.colour.jar_optics import optics_of
from enamelwright.craft.colour.light import seen_under
from enamelwright.craft.colour.look import View
from enamelwright.craft.colour.stack_parts import parts_of
from enamelwright.physics.colour.colour_difference import ciede2000, weights_at

Array = npt.NDArray[np.float64]

#: Steps of the fit, the step of a logarithm for slopes, what keeps a step short, and how far one step may go.
STEPS, SLOPE, DAMPING, LONGEST = 7, 1e-3, 1e-2, 0.5


def refined(
    stack: ColourStack,
    target: npt.ArrayLike,
    bench: Bench,
    view: View = "catching the light",
    learned: Lab = AS_FORETOLD,
) -> tuple[ColourStack, Array, float]:
    """Return a stack with better thicknesses, its Lab in daylight, and the CIEDE2000 that is left.

    Parameters
    ----------
    stack : ColourStack
        To start from.
    target : array_like, shape (3,)
        Lab in daylight.
    bench : Bench
        Where jars are looked up.
    view : str
        How it is held.
    learned : tuple of float
        What is added to every colour foretold.

    Notes
    -----
    Damped least squares on the logarithms of the thicknesses, within what can be laid; nothing is kept that is not
    nearer than what it began with.
    """
    aim = np.asarray(target, np.float64)
    look = _look_of(stack, bench, view, learned)
    least = np.array([least_laid(optics_of(coat.jar, bench)) for coat in stack.coats])
    low, high = np.log(least), np.log(limit("match/thickest"))
    at = np.clip(np.log([coat.thickness for coat in stack.coats]), low, high)
    scale = 1 / _metric(aim)
    best, away = at, np.inf
    for _ in range(STEPS):
        labs = look(np.exp(np.vstack([at, at + SLOPE * np.eye(len(at))])))
        now = float(ciede2000(aim, labs[0]))
        if now < away:
            best, away = at, now
        left = (labs[0] - aim) * scale
        slope = (labs[1:] - labs[0]).T / SLOPE * scale[:, np.newaxis]
        step = -np.linalg.solve(slope.T @ slope + DAMPING * np.eye(len(at)), slope.T @ left)
        step = np.clip(at + np.clip(step, -LONGEST, LONGEST), low, high) - at
        if np.max(np.abs(step)) < SLOPE:
            break
        at = at + step
    depths = np.clip(np.round(np.exp(best) / LAID_TO) * LAID_TO, least, limit("match/thickest"))
    lab = look(depths[np.newaxis])[0]
    coats = tuple(
        coat.model_copy(update={"thickness": float(depth)}) for coat, depth in zip(stack.coats, depths, strict=True)
    )
    return stack.model_copy(update={"coats": coats}), lab, float(ciede2000(aim, lab))


def lab_as_meant(
    stack: ColourStack, bench: Bench, view: View = "catching the light", learned: Lab = AS_FORETOLD
) -> Array:
    """Return Lab of a stack in daylight, and nothing else of it, shape (3,).

    Parameters
    ----------
    stack : ColourStack
        With at least one coat.
    bench : Bench
        Where jars are looked up.
    view : str
        How it is held.
    learned : tuple of float
        What is added to the colour foretold.
    """
    found: Array = _look_of(stack, bench, view, learned)(np.array([[coat.thickness for coat in stack.coats]]))[0]
    return found


def _metric(aim: Array) -> Array:
    """Return what L*, a* and b* count by near a colour: lightness by its weight, colour by that of its hue."""
    sl, _, sh = weights_at(aim)
    return np.array([float(sl), float(sh), float(sh)])


def _look_of(stack: ColourStack, bench: Bench, view: View, learned: Lab) -> Callable[[Array], Array]:
    """Return what turns rows of thicknesses into Lab in daylight."""
    parts, seen = parts_of(stack, bench), seen_under("D65")
    return lambda thickness: moved(seen.lab(parts.seen(thickness, view)), learned)
