"""What melts at a known temperature corrects what a kiln shows: the offset after melt tests."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from enamelwright import units
from enamelwright.craft.kiln import Anchor
from enamelwright.errors import InputError
from enamelwright.figure import Z95, Figure, Normal, Origin
from enamelwright.reference.loader import Fact, facts_of

Array = npt.NDArray[np.float64]
Outcome = Literal["melting", "melted", "not melted"]

#: Step of the grid of offsets [K]; a tenth of the sharpest test.
GRID_STEP = 0.1
#: Points about the prior, and the most points spread evenly over everything.
PRIOR_POINTS, MOST_POINTS = 601, 40_000
#: Standard deviations of the prior, and kelvin about each test, that the grid covers.
GRID_SDS = 6.0
GRID_MARGIN = 25.0
#: Quantiles of a band.
BAND = (0.05, 0.95)
#: Width of a band [K] that is told to the whole degree, as a display takes it.
WHOLE = 20.0
#: Shares of the prior's variance below which an offset is called learned, or partly learned.
LEARNED, PARTLY = 0.1, 0.8
#: Said of an offset that no test has narrowed.
UNTAUGHT = "not learned"
#: A test that no offset explains better than this, beside the best one without it, is said to contradict the rest.
SURPRISE = 0.05


def point(key: str) -> Fact:
    """Return one constant of the table of fixed points, named without its field."""
    return facts_of("heat/fixed_points")[f"heat/{key}"]


@dataclass(frozen=True)
class MeltTest:
    """One reading of the display beside something that melts.

    Attributes
    ----------
    shown, melt : float
        On the display, and where it melts [K].
    outcome : str
        ``melting``: seen to melt at this reading. ``melted`` or ``not melted``: found so after it was held.
    sd : float
        How sharply the outcome tells [K].
    """

    shown: float
    melt: float
    outcome: Outcome
    sd: float

    @classmethod
    def of(cls, anchor: Anchor) -> MeltTest:
        """Return the test an owner has written down.

        Raises
        ------
        InputError
            When it does not say where the thing melts.
        """
        if anchor.true is not None:
            melt = anchor.true
        elif anchor.what == "other":
            raise InputError("an anchor of another kind does not say where it melts.", "Give its true temperature.")
        else:
            melt = point(f"melt/{anchor.what}").value
        sd = point("melting_seen_sd" if anchor.outcome == "melting" else "melt_sd").value
        return cls(anchor.shown, melt, anchor.outcome, float(np.hypot(sd, anchor.true_sd or 0.0)))


@dataclass(frozen=True)
class KnownOffset:
    """True less shown temperature after the tests.

    Attributes
    ----------
    mean, sd, low, high : float
        Of its distribution; `low` and `high` are the 5 and 95 % points [K].
    share_left : float
        Variance left of the prior's: near 1 the tests have taught nothing.
    tests : int
        How many there were.
    against : tuple of int
        Tests, counted from 1, that no one offset explains together with the others; a single test is judged by
        the budget instead.
    """

    mean: float
    sd: float
    low: float
    high: float
    share_left: float
    tests: int
    against: tuple[int, ...]

    @property
    def law(self) -> Normal:
        """As a factor [K]."""
        return Normal(mean=self.mean, sd=self.sd)

    @property
    def learned(self) -> str:
        """How much the tests taught, in a word."""
        return "learned" if self.share_left < LEARNED else "partly learned" if self.share_left < PARTLY else UNTAUGHT

    @property
    def reading(self) -> str:
        """Say which way the display is off, as a maker would."""
        off = round(self.mean)
        if not off:
            return "reads true as far as is known"
        return f"reads {abs(off)} °C {'low' if off > 0 else 'high'}"

    def figure(self) -> Figure:
        """Return it with its band [K]."""
        kind: Literal["learned", "assumption"] = "learned" if self.tests else "assumption"
        count = f"{self.tests} melt test{'s' if self.tests > 1 else ''}" if self.tests else "no melt test yet"
        origin = Origin(kind=kind, source=count, status="computed")
        low, high = min(self.low, self.mean), max(self.high, self.mean)
        return Figure(value=self.mean, low=low, high=high, dimension="temperature_difference", origin=origin)

    def next_test(self) -> float:
        """Reading at which the next foil is as likely to melt as not: there it teaches most [K]."""
        return point("melt/silver-copper foil").value - self.mean

    def words(self) -> str:
        """Say what the tests taught, in one sentence."""
        band = f"{round(self.low):+d} to {round(self.high):+d} °C"
        if not self.tests:
            return f"nothing has been held against the display: the work may be {band} from what it shows"
        return f"after {self.tests} melt test{'s' if self.tests > 1 else ''} the work is {band} from what it shows"


def offset_after(prior: Normal, tests: Sequence[MeltTest]) -> KnownOffset:
    """Weigh melt tests against what was believed of the display.

    A piece found melted at a reading tells that the offset is at least what was missing, blurred by how well
    the eye and the place tell; one found whole tells the contrary: the probability of melting is the normal
    distribution function of (shown + offset - melt) / sd. One in a hundred tests may be plain wrong.

    Parameters
    ----------
    prior : Normal
        Of (true less shown) [K].
    tests : sequence of MeltTest
        In any order; order does not matter.

    Raises
    ------
    InputError
        When the prior leaves no room for anything.
    """
    if prior.sd <= 0:
        raise InputError("an offset known for certain cannot be tested.")
    if not tests:
        reach = Z95 * prior.sd
        return KnownOffset(prior.mean, prior.sd, prior.mean - reach, prior.mean + reach, 1.0, 0, ())
    grid, cell = _grid(prior, [test.melt - test.shown for test in tests])
    span = float(grid[-1] - grid[0])
    lapse = point("melt_lapse").value
    before = np.log(cell) - (((grid - prior.mean) / prior.sd) ** 2) / 2
    logs: list[Array] = []
    for test in tests:
        # A wrong note says nothing: either outcome, or any reading of the whole span.
        flat = 1 / span if test.outcome == "melting" else 0.5
        logs.append(np.log((1 - lapse) * _likelihood(test, grid) + lapse * flat))
    joint = before + np.sum(logs, axis=0)
    weight = _weights(joint)
    mean = float(weight @ grid)
    sd = float(np.sqrt(weight @ (grid - mean) ** 2))
    passed = np.cumsum(weight) - weight / 2
    low5, high95 = (float(np.interp(q, passed, grid)) for q in BAND)
    # Each test is judged by what all the others say, so that a bracket far out in the budget is no contradiction.
    alone = before - np.log(cell) if len(tests) == 1 else np.zeros_like(grid)
    rest = [alone + np.sum([log for log in logs if log is not own], axis=0) for own in logs]
    fits = [_fit(test, grid, others) for test, others in zip(tests, rest, strict=True)]
    against = tuple(n for n, one in enumerate(fits, 1) if one < SURPRISE)
    return KnownOffset(mean, sd, low5, high95, (sd / prior.sd) ** 2, len(tests), against)


def _grid(prior: Normal, missing: list[float]) -> tuple[Array, Array]:
    """Return offsets and the width each stands for: fine about the prior, even over all that tests speak of."""
    reach = GRID_SDS * prior.sd
    low = min([prior.mean - reach] + [gap - GRID_MARGIN for gap in missing])
    high = max([prior.mean + reach] + [gap + GRID_MARGIN for gap in missing])
    even = np.linspace(low, high, min(MOST_POINTS, int((high - low) / GRID_STEP) + 2))
    grid = np.unique(np.concatenate([even, np.linspace(prior.mean - reach, prior.mean + reach, PRIOR_POINTS)]))
    return grid, np.asarray(np.gradient(grid))


def _likelihood(test: MeltTest, offset: Array) -> Array:
    from scipy import special

    z = (test.shown + offset - test.melt) / test.sd
    if test.outcome == "melting":
        return np.asarray(np.exp(-(z**2) / 2) / (test.sd * np.sqrt(2 * np.pi)))
    return np.asarray(special.ndtr(z if test.outcome == "melted" else -z))


def _weights(logs: Array) -> Array:
    weight = np.exp(logs - logs.max())
    return np.asarray(weight / weight.sum())


def _fit(test: MeltTest, offset: Array, others: Array) -> float:
    """How well the best offset explains this test and all others, beside the best that explains the others."""
    own = _likelihood(test, offset)
    return float(np.max(np.exp(others - others.max()) * own / own.max()))


def tests_of(anchors: Sequence[Anchor]) -> tuple[MeltTest, ...]:
    """Return the melt tests among what an owner has written down."""
    return tuple(MeltTest.of(anchor) for anchor in anchors)


def foil_advice(known: KnownOffset) -> tuple[str, ...]:
    """Say how to make the next foil test, one sentence each."""
    first = known.next_test()
    spread = max(known.sd, point("melt_sd").value)
    step = min(point("foil_first_step").value, spread)
    ends = [
        " / ".join(units.show(first + sign * step, "temperature", scale, WHOLE) for scale in ("°C", "°F"))
        for sign in (-1, 1)
    ]
    minutes = units.show(point("foil_wait").value, "time", "min")
    return (
        f"Lay a scrap of silver-copper eutectic foil on a small ceramic chip where the work stands, "
        f"set between {ends[0]} and {ends[1]} on the display, and leave it {minutes} after the door closes.",
        "Keep the foil off copper and silver work: it alloys with them.",
        "Write down the set point, and melted or not melted; go closer from both sides.",
    )
