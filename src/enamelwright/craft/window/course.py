"""Kiln, piece and stage against time, thinned for a picture."""

from __future__ import annotations

import numpy as np
import numpy.typing as npt

from enamelwright.craft.operation import CoatCourse, Course
from enamelwright.craft.window.likeness import Standing
from enamelwright.craft.window.members import Batch
from enamelwright.craft.window.stages import CoatClock, work_band
from enamelwright.physics.gloss_clock import BEFORE_NECKS

Array = npt.NDArray[np.float64]

#: Points of a course.
COURSE_POINTS = 40
#: A course is drawn until this much after the last of its times.
COURSE_TAIL = 1.15
#: Points of a clock, and how many decades before the first necks it begins.
CLOCK_POINTS, CLOCK_BEFORE = 16, 0.5
#: Decimals of what is kept in decades.
MILLI = 3
#: Marks of equal height are kept apart by this many decades, so that progress can be read off them.
APART = 1e-9


def course_of(batch: Batch, times: Array, pieces: Array, clocks: list[CoatClock], end: float) -> Course:
    """Return kiln, piece and stage against time for the pictures.

    Parameters
    ----------
    batch : Batch
        What was heated.
    times : ndarray, shape (n,)
        [s].
    pieces : ndarray, shape (members, n)
        Temperatures of the piece [K]; member 0 is nominal.
    clocks : list of CoatClock
        Of the coats judged; the one furthest behind is drawn.
    end : float
        When it is out [s].
    """
    until = min(end * COURSE_TAIL, float(times[-1]))
    at = np.linspace(0.0, until, COURSE_POINTS)
    kiln = batch.set_point + batch.response.at(at)[0]
    bands = [_progress(one, times, at) for one in clocks]
    low, middle, high = (np.min([one[k] for one in bands], axis=0) for k in range(3))
    return Course(
        seconds=_tuple(at, 1),
        kiln=_tuple(kiln, 1),
        piece=_tuple(np.interp(at, times, pieces[0]), 1),
        low=_tuple(low, 3),
        middle=_tuple(middle, 3),
        high=_tuple(high, 3),
    )


def clock_of(times: Array, clocks: list[CoatClock], shift: float = 0.0) -> tuple[tuple[float, float], ...]:
    """Return where the nominal clock stands at a handful of times, from where sintering begins [s, decades from gloss].

    Parameters
    ----------
    times : ndarray, shape (n,)
        [s] from closing the door.
    clocks : list of CoatClock
        Of the coats judged; the one furthest behind its gloss counts.
    shift : float
        Seconds from closing the door to where the window counts from.
    """
    behind = np.min([one.work[0] - one.marks["gloss"] for one in clocks], axis=0)
    first = min(one.marks["neck"] - one.marks["gloss"] for one in clocks) - CLOCK_BEFORE
    begin = int(np.argmax(behind > first))
    if behind[begin] <= first or times[begin] <= shift:
        begin = int(np.argmax(times > shift))
    at = np.geomspace(max(times[begin], 1.0), times[-1], CLOCK_POINTS)
    read = np.interp(at, times, behind)
    pairs = [(round(float(t - shift), 1), round(float(w), 3)) for t, w in zip(at, read, strict=True) if t > shift]
    return tuple(pair for k, pair in enumerate(pairs) if not k or pair[1] > pairs[k - 1][1])


def courses_of(
    times: Array, clocks: list[CoatClock], stands: list[Standing], shift: float = 0.0
) -> tuple[CoatCourse, ...]:
    """Return the clock of every coat by itself, as it is kept to be read against what comes.

    Parameters
    ----------
    times : ndarray, shape (n,)
        [s] from closing the door.
    clocks : list of CoatClock
        Of the coats judged.
    stands : list of Standing
        How each stands against what its jar is told by.
    shift : float
        Seconds from closing the door to where the window counts from.
    """
    found = []
    for one, standing in zip(clocks, stands, strict=True):
        gloss = one.marks["gloss"]
        sugar, orange, over = (round(one.marks[name] - gloss, MILLI) for name in ("sugar", "orange peel", "over-fired"))
        found.append(
            CoatCourse(
                coat=one.coat,
                jar=one.jar,
                likeness=standing.likeness,
                own_sd=round(standing.own_sd, MILLI),
                hotter=round(standing.hotter, 1),
                law=round(standing.law, MILLI),
                learned=round(standing.learned, MILLI + 1),
                pace=round(standing.pace, MILLI + 1),
                clock=clock_of(times, [one], shift),
                marks=(sugar, orange, 0.0, over),
            )
        )
    return tuple(found)


def _tuple(values: Array, digits: int) -> tuple[float, ...]:
    return tuple(round(float(value), digits) for value in values)


def _progress(one: CoatClock, times: Array, at: Array) -> tuple[Array, Array, Array]:
    """Return progress 0 to 4 at the 5 %, nominal and 95 % clock."""
    marks = [one.marks["neck"] - BEFORE_NECKS, one.marks["neck"], one.marks["orange peel"]]
    marks += [one.marks["gloss"], one.marks["over-fired"]]
    rising = np.maximum.accumulate(np.asarray(marks) + np.arange(len(marks)) * APART)
    steps = np.arange(len(marks), dtype=np.float64)
    low, middle, high = (np.interp(np.interp(at, times, row), rising, steps) for row in work_band(one))
    return low, middle, high
