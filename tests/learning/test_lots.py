"""Lots of one jar differ: a firing of a new one moves that lot, as far as lots differ, and leaves the others alone.

Limits are those of a normal model with parts of a common law (A. Gelman et al., Bayesian Data Analysis, 3rd ed. (2013),
section 5.4): a group's mean is drawn towards the others in proportion to how far groups and single values differ.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from enamelwright.learning.kiln_clock import KilnClock
from enamelwright.learning.kiln_fit import kiln_clock
from enamelwright.learning.kiln_parts import Spreads
from enamelwright.learning.proportions import wilson
from enamelwright.learning.stage_records import Foretold, Melting, StageRecord

COURSE = Foretold((50.0, 69.0, 94.0, 304.0), (-2.2, -1.1, 0.0, 1.0), (-2.2, -1.1, 0.0, 1.0))
LOT = 0.1
#: Nothing but lots and chance: what is left is a textbook's model.
PLAIN = Spreads(
    kiln=1e-4, drift=1e-5, kind=1e-4, repeat=0.06, eye=1e-6, lapse=1e-9, jump=1e-3, haste=1e-3, early=1e-3, lot=LOT
)
USUAL = replace(PLAIN, kiln=0.28, drift=0.01, kind=0.08, eye=4.0, lapse=0.03, jump=0.13)
#: How far a lot lies off its jar, where two lots lie `LOT` apart.
OF_ONE = LOT / np.sqrt(2)
JAR = 0.15
WORKSHOPS, OLD = 80, 10


def fired(number: int, needed: float, lot: str, day: float = 0.0) -> StageRecord:
    gloss = COURSE.seconds_at(needed)
    return StageRecord(number, "small", 1, day, "J1", "disc", COURSE, to_gloss=gloss, lot=lot)


def learned(records: list[StageRecord], spreads: Spreads = PLAIN) -> KilnClock:
    return kiln_clock(records, {"J1": JAR}, spreads, look_for_jumps=False)


def of_lot(known: KilnClock, lot: str | None) -> tuple[float, float]:
    return known.needed("small", "J1", "disc", 0.0, lot=lot).at()


def textbook(values: dict[str, list[float]], asked: str) -> tuple[float, float]:
    """Mean and spread of one lot by the normal equations of the three levels, worked out apart from the product."""
    rows = [(lot, value) for lot, mine in values.items() for value in mine]
    lots = [lot for lot, _ in rows]
    same = np.equal.outer(lots, lots)
    prior = JAR**2 + OF_ONE**2 * same + PLAIN.repeat**2 * np.eye(len(rows))
    with_asked = JAR**2 + OF_ONE**2 * np.array([lot == asked for lot in lots])
    gain = np.linalg.solve(prior, with_asked)
    mean = float(gain @ [value for _, value in rows])
    return mean, float(np.sqrt(JAR**2 + OF_ONE**2 - gain @ with_asked))


@pytest.mark.parametrize("asked", ["1", "2", "never fired"])
def test_lots_are_known_as_a_textbook_says(asked: str) -> None:
    values = {"1": [0.05, 0.1], "2": [0.3]}  # so few that no scatter is weighed
    known = learned([fired(n, *each) for n, each in enumerate((v, lot) for lot, mine in values.items() for v in mine)])
    mean, sd = of_lot(known, asked)
    expected, open_ = textbook(values, asked)
    assert mean == pytest.approx(expected, abs=2e-3)
    assert sd == pytest.approx(open_, rel=0.02)


def test_a_firing_of_a_new_lot_moves_that_lot_and_hardly_the_old_one() -> None:
    old = [fired(n, 0.1 + PLAIN.repeat * (-1) ** n, "1") for n in range(OLD)]  # as a hand scatters
    known = learned([*old, fired(OLD, 0.3, "2")])
    assert of_lot(known, "1")[0] == pytest.approx(0.1, abs=0.02)
    # Ten firings tell the old lot; of the new one a firing counts against how far lots differ.
    assert of_lot(known, "2")[0] == pytest.approx(0.1 + 0.2 * LOT**2 / (LOT**2 + PLAIN.repeat**2), abs=0.03)
    blind = learned([*old, replace(fired(OLD, 0.3, "2"), lot="1")])
    assert of_lot(blind, "1")[0] < 0.15, "untold, the new lot counts as one firing of eleven"


def test_a_jar_of_one_lot_is_known_as_if_nobody_had_told_it() -> None:
    told = learned([fired(n, 0.1 + 0.02 * n, "1") for n in range(4)])
    untold = learned([fired(n, 0.1 + 0.02 * n, "") for n in range(4)])
    assert told.lots("J1") == untold.lots("J1") == ()
    assert of_lot(told, "1") == of_lot(told, None) == of_lot(untold, None)


def test_each_coat_of_a_firing_has_its_own_lot() -> None:
    beside = (Melting("J2", COURSE, lot="7"),)
    records = [replace(fired(n, 0.1, "1"), beside=beside) for n in range(3)]
    records += [replace(fired(9, 0.1, "2"), beside=(Melting("J2", COURSE, lot="8"),))]
    known = kiln_clock(records, {"J1": JAR, "J2": JAR}, PLAIN, look_for_jumps=False)
    assert known.lots("J1") == ("1", "2")
    assert known.lots("J2") == ("7", "8")


def test_bands_of_a_lot_fired_once_hold_and_are_sharper_than_those_of_a_new_one() -> None:
    """Workshops drawn from what is taken beforehand; nine bands in ten hold, within what so many can tell."""
    rng = np.random.default_rng(20)
    held = {"told": 0, "untold": 0}
    widths = {"told": [], "untold": [], "new": []}  # type: dict[str, list[float]]
    for _ in range(WORKSHOPS):
        at = rng.normal(0, np.hypot(JAR, USUAL.kiln)) + rng.normal(0, USUAL.kind)
        lots = dict(zip("12", rng.normal(0, 2 * OF_ONE, 2), strict=True))  # lots that lie twice as far apart
        records = []
        for n in range(OLD + 2):
            lot = "1" if n < OLD else "2"
            needed = at + lots[lot] + rng.normal(0, USUAL.repeat)
            gloss = max(20.0, COURSE.seconds_at(needed) + rng.normal(0, USUAL.eye))
            records.append(replace(fired(n, 0.0, lot, day=float(n)), to_gloss=gloss))
        seen = records[-1].noted
        usual = replace(USUAL, lot=2 * LOT)
        for name, mine, lot in (
            ("told", records[:-1], "2"),
            ("untold", [replace(one, lot="1") for one in records[:-1]], "1"),
            ("new", [*records[:OLD], replace(records[OLD], lot="3")], "2"),
        ):
            known = kiln_clock(mine, {"J1": JAR}, usual, look_for_jumps=False)
            low, _, high = known.gloss_time(COURSE, "small", "J1", "disc", float(OLD + 1), lot=lot)
            widths[name].append(float(np.log(high / low)))
            if name in held:
                held[name] += low <= seen <= high
    low, high = wilson(held["told"], WORKSHOPS, 0.99)
    assert low <= 0.9 <= high, held
    assert held["untold"] < held["told"] - 7, "lots that count alike make a record surer than it is"
    assert np.median(widths["told"]) < 0.85 * np.median(widths["new"])
