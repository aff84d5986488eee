"""What a record would take off all doubt, against the exact update of a normal model."""

from __future__ import annotations

import numpy as np
import pytest

from enamelwright.learning.kiln_clock import KilnClock
from enamelwright.learning.kiln_parts import Spreads
from enamelwright.learning.stage_records import Foretold, Melting
from enamelwright.learning.worth_recording import how_far, shared, worth_recording

SPREADS = Spreads(kiln=0.3, drift=0.02, kind=0.08, repeat=0.05, eye=4, lapse=0.03, jump=0.13, haste=0.15, early=0.8)
JARS = {"A": 0.2, "B": 0.25, "C": 0.3}


def known(covariance: np.ndarray) -> KilnClock:
    names = ("jar A", "jar B", "kiln K#0@10.0")
    before = np.diag([0.2**2, 0.25**2, 0.3**2])
    return KilnClock(names, np.zeros(3), covariance, before, SPREADS, 0.0, (), (), {"K": (0, 10.0)})


def test_the_gain_is_that_of_a_normal_update() -> None:
    """C' = C - C w w' C / (w' C w + r^2): the trace it loses is what the record takes off."""
    rng = np.random.default_rng(5)
    root = rng.normal(size=(3, 3)) * 0.1
    clock = known(root @ root.T + 0.01 * np.eye(3))
    for one in worth_recording(clock, "K", JARS, 0.07, 10.0):
        names = sorted(JARS)
        whole = shared(clock, "K", names, JARS, 10.0)
        row = whole[names.index(one.jar)]
        after = whole - np.outer(row, row) / (whole[names.index(one.jar), names.index(one.jar)] + 0.07**2)
        assert one.takes_off == pytest.approx(1 - np.trace(after) / np.trace(whole))


def test_a_jar_never_fired_teaches_most_when_the_others_are_known() -> None:
    clock = known(np.diag([1e-4, 1e-4, 1e-4]))
    assert worth_recording(clock, "K", JARS, 0.05, 10.0)[0].jar == "C"


def test_how_far_goes_by_what_decides_a_window() -> None:
    """Learned is what is known as well as a hand repeats itself, at the settings and coats the jar is fired at."""
    course = Foretold((50.0, 69.0, 94.0, 304.0), (-2.2, -1.1, 0.0, 1.0), (-2.2, -1.1, 0.0, 1.0))
    coat = ("disc", Melting("A", course, "like this", 0.1))
    sharp, blunt, blank = (known(np.diag([one, one, one])) for one in (1e-4, 0.02, 0.045))
    assert how_far(sharp, "K", "A", 0.12, [coat], 10.0) == "learned"
    assert how_far(sharp, "K", "C", 0.12, [coat], 10.0) == "not yet learned"
    assert how_far(blunt, "K", "A", 0.12, [coat], 10.0) == "partly learned"
    assert how_far(blank, "K", "A", 0.12, [coat], 10.0) == "not yet learned"
    # What a jar brings and what one coat of it brings may make up for each other: the same again is known, others not.
    names = ("jar A", "coat like this", "kind disc", "kiln K#0@10.0")
    covariance = np.diag([0.03, 0.03, 1e-4, 1e-4])
    covariance[0, 1] = covariance[1, 0] = -0.0295
    before = np.diag([0.2**2, 0.2**2, 0.08**2, 0.3**2])
    again = KilnClock(names, np.zeros(4), covariance, before, SPREADS, 0.0, (), (), {"K": (0, 10.0)})
    assert how_far(again, "K", "A", 0.12, [coat], 10.0) == "learned for the same piece again"
    assert how_far(again, "K", "A", 0.12, (), 10.0) == "partly learned"


def test_a_kiln_nobody_fired_is_common_to_all_jars() -> None:
    clock = known(np.diag([1e-4, 1e-4, 1e-4]))
    whole = shared(clock, "other", ["A", "C"], JARS)
    assert whole[0, 1] == pytest.approx(SPREADS.kiln**2)
    assert worth_recording(clock, "other", {}, 0.05) == ()
