"""What own firings say of one coat in one firing, taken in once.

A learned clock holds the grain of its jar, and of a coat that was fired before its depth and what the laws miss of it
as well: they were all there when the record was made. So nothing of this is added again. A coat that was never fired
brings its own depth and laws, a jar that was never fired its grain and itself. A setting or a coat far from those of
the record is less well known the further off it is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import e, log10, sqrt

import numpy as np
import numpy.typing as npt

from enamelwright.craft.layup import Layer, Layup
from enamelwright.craft.learned_clock import LearnedClock
from enamelwright.craft.window.aims import mark_sd
from enamelwright.craft.window.fusing import Melt
from enamelwright.craft.window.likeness import Standing, law_own_sd
from enamelwright.craft.window.stages import CoatClock

Array = npt.NDArray[np.float64]

#: Step in which a second number is drawn beside a first: odd, near the golden section of the draws of a window.
LEAP = 19
#: Decades of the clock a pace takes off, for each unit of its logarithm.
SHORTER = log10(e)


@dataclass(frozen=True)
class Taught:
    """What is taken of one coat.

    Attributes
    ----------
    shift : float
        Decades by which its thresholds stand above those of the laws.
    sd : float
        How well that is known of this coat besides `shared` [decades], the scatter of the hand included.
    shared : float
        How well it is known of all coats of this firing together.
    pace, pace_sd : float
        Logarithm of how many times faster than its heat balance has it the kiln heats pieces up, and how well that is
        known.
    by_pace : float
        Decades more that are needed for each unit by which it is faster than that.
    done, done_sd : float
        Decades from the first gloss until it is taken out, and how well that is known; `done` is None when it is not
        learned.
    """

    shift: float
    sd: float
    shared: float
    pace: float
    pace_sd: float
    by_pace: float
    done: float | None
    done_sd: float


def taught_of(layer: Layer, layup: Layup, melt: Melt, standing: Standing) -> Taught | None:
    """Return what own firings say of a coat; None where its kiln has taught nothing, or its clock is told by hand.

    Parameters
    ----------
    layer : Layer
        The coat.
    layup : Layup
        The piece, with what was taught of its jars.
    melt : Melt
        Of its jar.
    standing : Standing
        How it stands in this firing.
    """
    found = _clock(layer.jar.id, layup.clocks, standing.likeness)
    if found is None:
        return None
    decades, sd = found.at(standing.hotter, standing.law, standing.others)
    if found.coat:
        more = law_own_sd() * abs(standing.law - found.law)
    else:
        more = standing.own_sd
    # What is not known of the pace is drawn by itself, with what it says of the decades.
    by_pace = found.by_pace(standing.hotter, standing.law, standing.others)
    drawn = min(abs(by_pace) * found.pace_sd, sd)
    shared = sqrt(max(min(found.shared, sd) ** 2 - drawn**2, 0.0))
    return Taught(
        shift=melt.before + decades,
        sd=sqrt(max(sd**2 - drawn**2 - shared**2, 0.0) + more**2),
        shared=shared,
        pace=found.pace,
        pace_sd=found.pace_sd,
        by_pace=by_pace,
        done=found.done,
        done_sd=found.done_sd,
    )


def _clock(jar: str, clocks: Sequence[LearnedClock], likeness: str) -> LearnedClock | None:
    """Return the clock that fits best: of this very coat, or of its jar; None where there is none."""
    mine = [one for one in clocks if one.jar.casefold() == jar.casefold()]
    same = [one for one in mine if one.coat == likeness]
    return next(iter([*same, *(one for one in mine if not one.coat)]), None)


def taught_work(work: Array, times: Array, taught: Taught) -> Array:
    """Return the clock of a coat as own firings have it, for as many draws of what they leave open.

    Parameters
    ----------
    work : ndarray, shape (members, n)
        log10 of the clock; only that of the nominal kiln counts, as how far this kiln is off is learned.
    times : ndarray, shape (n,)
        [s], rising from nought.
    taught : Taught
        Of the coat.
    """
    faster = taught.pace_sd * normal_scores(len(work), LEAP)
    paces = (taught.pace + faster)[:, np.newaxis]
    at = times * np.exp(paces)
    # At the end the piece is as hot as it gets: the clock goes on with the time.
    late = np.log10(np.maximum(at / times[-1], 1.0))
    kept = np.interp(np.minimum(at, times[-1]), times, work[0]) + late - SHORTER * paces
    # What is not known of the kiln of today is early or late for all coats of this firing alike.
    today = normal_scores(len(work)) * taught.shared
    return np.asarray(kept + (today - taught.by_pace * faster)[:, np.newaxis])


def normal_scores(count: int, leap: int = 1) -> Array:
    """Return evenly likely values of a normal law for the draws of a kiln, nought for the first, the nominal one.

    Parameters
    ----------
    count : int
        Members of a window.
    leap : int
        In steps of how many they come: two unlike steps are as good as independent. It must have no divisor in common
        with the number of draws.
    """
    from scipy.special import ndtri

    draws = max(count - 1, 0)
    scores = ndtri((np.arange(draws) * leap % draws + 0.5) / draws) if draws else np.empty(0)
    return np.concatenate(([0.0], scores))


def done_sd_of(clocks: Sequence[CoatClock]) -> float:
    """Return how well it is known when coats are taken out, against what their clocks are told by [decades].

    Parameters
    ----------
    clocks : sequence of CoatClock
        Of the coats judged.
    """
    told = [one.done_sd for one in clocks if one.done_sd is not None]
    if told and len(told) == len(clocks):
        return max(told)
    return mark_sd("done", all(one.learned for one in clocks))
