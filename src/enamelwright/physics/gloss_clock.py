"""The gloss clock: fusion work at which a coat sinters, closes, turns glossy and over-fires.

Everything that surface tension drives goes by one number, the integral of 1 / viscosity over time, here
fusion work [1/Pa]. It adds up over all firings of a coat.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError
from enamelwright.physics.constants import GAS_CONSTANT
from enamelwright.physics.convection import GRAVITY
from enamelwright.physics.levelling import gloss_work
from enamelwright.physics.sintering import neck_work, work_to_density

Array = npt.NDArray[np.float64]

STEEP = 2.0
"""Growth of a clock over one step from which it is read between the steps in its logarithm."""
BEFORE_NECKS = 2.0
"""Decades of work before the first necks over which the progress runs from 0 to 1."""


@dataclass(frozen=True)
class StageRules:
    """Where one look of a coat ends and the next begins.

    Attributes
    ----------
    neck : float
        Neck over grain radius at which grains hold together, sugar.
    dense : float
        Relative density of a closed coat.
    slope : float
        Slope of a wave that an eye just sees [rad].
    run : float
        Way a sloping surface may creep down [m] ...
    thick : float
        ... where the coat is this much thicker than it is on the whole.
    late : float
        Gloss work times this is the measure of over-firing of a level face ...
    level_low, level_high : float
        ... within these bounds [1/Pa]: what a level face suffers, edges drawing back and the coat thinning over
        them, hardly depends on how coarse its powder was.
    least : float
        No coat is over-fired before this many times its gloss work, however thick or coarse.
    """

    neck: float
    dense: float
    slope: float
    run: float
    thick: float
    late: float
    level_low: float
    level_high: float
    least: float


@dataclass(frozen=True)
class Thresholds:
    """Fusion work at which each stage is reached [1/Pa], all of one shape.

    Attributes
    ----------
    neck, dense, gloss, over : ndarray
        Grains hold together, the coat is closed, it is level to the eye, it runs or has been left too long.
    """

    neck: Array
    dense: Array
    gloss: Array
    over: Array

    def moved(self, decades: npt.ArrayLike) -> Thresholds:
        """Return them with gloss and over-firing moved by decades, as a learned jar demands.

        Parameters
        ----------
        decades : array_like
            Of log10 work; positive for a jar that needs more.
        """
        factor = 10.0 ** np.asarray(decades, dtype=np.float64)
        return Thresholds(self.neck, self.dense, self.gloss * factor, self.over * factor)


def thresholds(
    grain: npt.ArrayLike,
    coat_depth: npt.ArrayLike,
    melt_depth: npt.ArrayLike,
    *,
    tension: npt.ArrayLike,
    density: npt.ArrayLike,
    packing: npt.ArrayLike,
    rules: StageRules,
    slope: npt.ArrayLike | None = None,
    tilt: npt.ArrayLike = 0.0,
) -> Thresholds:
    """Fusion work of the stages of a coat.

    Parameters
    ----------
    grain : array_like
        Effective diameter of grains or clumps [m].
    coat_depth : array_like
        Fused thickness of the coat laid now [m]; its grains make the unevenness.
    melt_depth : array_like
        Thickness of all glass that flows with it [m], at least its own.
    tension : array_like
        Surface tension of the melt [N/m].
    density : array_like
        Density of the melt [kg/m3].
    packing : array_like
        Relative density of the powder, above 0 and below ``rules.dense``.
    rules : StageRules
        Where the looks change.
    slope : array_like, optional
        Visible slope [rad], in place of that of the rules.
    tilt : array_like
        Sine of the steepest slope of the face: 0 level, 1 upright.

    Returns
    -------
    Thresholds
        In rising order of work for any ordinary powder.

    Raises
    ------
    InputError
        For entries no coat can have.
    """
    given = (grain, coat_depth, melt_depth, tension, density, packing)
    arrays = np.broadcast_arrays(*(np.asarray(x, dtype=np.float64) for x in given))
    if not all(np.all(np.isfinite(x) & (x > 0)) for x in arrays):
        raise InputError("grain, coat, tension, density and packing must be positive numbers")
    d, own, depth, gamma, rho, pack = arrays
    if np.any(depth < own) or np.any(pack >= rules.dense):
        raise InputError("a coat is part of the melt that levels, and its powder is not yet dense")
    seen = np.asarray(rules.slope if slope is None else slope, dtype=np.float64)
    gloss = gloss_work(d, own, depth, tension=gamma, density=rho, slope=seen)
    return Thresholds(
        neck_work(d / 2, rules.neck, gamma),
        work_to_density(d / 2, pack, rules.dense, gamma),
        gloss,
        over_work(gloss, depth, density=rho, rules=rules, tilt=tilt),
    )


def over_work(
    gloss: npt.ArrayLike,
    melt_depth: npt.ArrayLike,
    *,
    density: npt.ArrayLike,
    rules: StageRules,
    tilt: npt.ArrayLike = 0.0,
) -> Array:
    """Work at which a coat is over-fired [1/Pa]: late after gloss, or run down where it slopes.

    Parameters
    ----------
    gloss : array_like
        Its gloss work [1/Pa].
    melt_depth : array_like
        Thickness of all glass that flows with it [m].
    density : array_like
        Of the melt [kg/m3].
    rules : StageRules
        What counts as over-fired.
    tilt : array_like
        Sine of the steepest slope of the face: 0 level, 1 upright. A level face does not run.

    Notes
    -----
    The surface of a film of depth h on a slope of sine s moves by ``rho g s h^2 W / 2``.
    """
    shown = np.asarray(gloss, dtype=np.float64)
    level = np.clip(rules.late * shown, rules.level_low, rules.level_high)
    film = (rules.thick * np.asarray(melt_depth, dtype=np.float64)) ** 2
    with np.errstate(divide="ignore"):
        run = 2 * rules.run / (np.asarray(density) * GRAVITY * np.asarray(tilt, dtype=np.float64) * film)
    return np.asarray(np.maximum(np.minimum(level, run), rules.least * shown))


def stage_time(
    times: npt.ArrayLike, clock: npt.ArrayLike, threshold: npt.ArrayLike, *, steady_from: float = np.inf
) -> Array:
    """When a clock reaches a threshold [s]; infinite if never.

    Parameters
    ----------
    times : array_like, shape (n,)
        Seconds, rising.
    clock : array_like, shape (..., n)
        Fusion work, never falling [1/Pa].
    threshold : array_like, broadcastable to the leading shape
        [1/Pa].
    steady_from : float
        Time from which the clock runs evenly [s]; before it, a steep rise is read in its logarithm.

    Returns
    -------
    ndarray
        Of the leading shape.
    """
    at, work = np.asarray(times, dtype=np.float64), np.asarray(clock, dtype=np.float64)
    wanted = np.broadcast_to(np.asarray(threshold, dtype=np.float64), work.shape[:-1])[..., np.newaxis]
    reached = np.sum(work < wanted, axis=-1)
    after = np.clip(reached, 1, work.shape[-1] - 1)[..., np.newaxis]
    low = np.take_along_axis(work, after - 1, axis=-1)[..., 0]
    high = np.take_along_axis(work, after, axis=-1)[..., 0]
    begin, end, goal = at[after[..., 0] - 1], at[after[..., 0]], wanted[..., 0]
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (goal - low) / (high - low)
        steep = (low > 0) & (high > STEEP * low) & (begin < steady_from)
        share = np.where(steep, np.log(goal / low) / np.log(high / low), share)
    found = np.where(reached == 0, at[0], begin + share * (end - begin))
    return np.asarray(np.where(reached >= work.shape[-1], np.inf, found))


def progress(work: npt.ArrayLike, marks: Thresholds) -> Array:
    """Stage on a scale from 0 to 4: 1 necks, 2 dense, 3 gloss, 4 over-fired.

    Linear in the logarithm of the work between the marks, from two decades before the necks.

    Parameters
    ----------
    work : array_like
        Fusion work [1/Pa].
    marks : Thresholds
        Broadcastable against it.
    """
    with np.errstate(divide="ignore"):
        have = np.log10(np.asarray(work, dtype=np.float64))
    neck, dense, gloss, over = (np.log10(x) for x in (marks.neck, marks.dense, marks.gloss, marks.over))
    ends = (neck - BEFORE_NECKS, neck, dense, gloss, over)
    stretches = [np.clip((have - low) / (high - low), 0.0, 1.0) for low, high in pairwise(ends)]
    return np.asarray(sum(stretches, np.zeros(())))


def turning_work(
    times: npt.ArrayLike, temperature: npt.ArrayLike, activation: npt.ArrayLike, reference: float
) -> Array:
    """The second clock, of changes that no flow drives: seconds at a reference temperature that do as much.

    For colours that turn and oxide that dissolves, where the limit is learned jar by jar.

    Parameters
    ----------
    times : array_like, shape (n,)
        Seconds, rising.
    temperature : array_like, shape (..., n)
        [K].
    activation : array_like, broadcastable to the leading shape
        Activation energy Q [J/mol].
    reference : float
        Temperature at which the clock keeps time [K].

    Returns
    -------
    ndarray, shape (..., n)
        Seconds at the reference, from 0.

    Notes
    -----
    ``W2 = integral of exp(-(Q / R)(1 / T - 1 / T_ref))``, trapezoids between the samples.
    """
    at, kelvin = np.asarray(times, dtype=np.float64), np.asarray(temperature, dtype=np.float64)
    energy = np.asarray(activation, dtype=np.float64)[..., np.newaxis] / GAS_CONSTANT
    rate = np.exp(-energy * (1 / kelvin - 1 / reference))
    steps = np.diff(at) * (rate[..., 1:] + rate[..., :-1]) / 2
    return np.concatenate((np.zeros((*steps.shape[:-1], 1)), np.cumsum(steps, axis=-1)), axis=-1)
