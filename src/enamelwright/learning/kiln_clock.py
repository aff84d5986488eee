"""What firings teach of a kiln and its jars: how much more of the gloss clock is needed than was foretold.

Each record says, in decades of the clock, how late or early its coats were. That sum is split into what belongs to the
jar, to the kiln on that day, to the kind of piece, to this very coat laid and fired again, to haste, and chance. How
wrong the laws behind the window may be is part of it: by how much they move a coat from the ordinary one, and a setting
from the heat its jar is told by. So whoever asks of a setting or a coat unlike those fired gets a wider band, in
proportion, and who asks of the same piece again is not charged for powder and laws its own firings have spoken of.

A jar moves only where gloss and what follows begin, and so does each lot of one that was fired from several; a kiln, a
kind of piece and haste move every stage. How long before gloss the eye sees sugar turn into orange peel is nearly open:
eyes and laws differ most there. Stages are classes between marks, some of them noted wrongly; times of first gloss are
numbers. Where several coats melted, each counts by how likely it governed (:mod:`enamelwright.learning.several_coats`).
The kiln drifts from day to day, partly always the same way, and jumps where somebody changed it or where its records
say so. How fast it drifts, and how much a hand scatters, is weighed by the record itself. A kiln that stands cold does
not go on drifting for long: what ages a thermocouple is heat (T. G. Kollie et al., ORNL-TM-4862, 1975).

How fast pieces heat up in a kiln is a part of its own, as it moves early glosses far more than late ones. How full a
load was is another: what the heat balance takes a piece more to cost is not known well.

What belongs to the kiln and what to the jar cannot be told apart by such records, however many: only their sum, and
what changes with the days. The sum is what windows on this kiln need. Degrees need an anchor.

Laplace's approximation about the most likely state. The kiln's part is a random walk about a trend, the local linear
trend of A. C. Harvey, Forecasting, Structural Time Series Models and the Kalman Filter (1989); stages are an ordered
probit. All spreads are assumptions of `reference/heat/learning`. Checked in
tests/learning/test_kiln_clock.py, test_bands_of_one_jar.py and test_same_piece_again.py by simulation and limits.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.craft.learned_clock import FASTEST, MOST_OTHERS
from enamelwright.errors import InputError
from enamelwright.learning.kiln_parts import (
    HEAT,
    KELVINS,
    LAW,
    MONTH,
    OTHERS,
    Spreads,
    day_name,
    lot_name,
    pace_name,
    trend_name,
)
from enamelwright.learning.stage_records import Foretold, StageRecord

Array = npt.NDArray[np.float64]
LEARNED, PARTLY = 0.1, 0.8
"""Share of the first variance that is left: below the one it is learned, above the other it is not."""
STRANGE = 2.6
"""So many standard deviations off, a record does not belong with what was foretold."""


@dataclass(frozen=True, eq=False)
class Needed:
    """How much more of the clock a coat needs, as it depends on setting and coat.

    Attributes
    ----------
    mean : ndarray, shape (5,)
        Decades, decades a kelvin, decades a decade of the law, decades for each other piece in the load, and the pace
        of heating up.
    covariance : ndarray, shape (5, 5)
        Of these.
    """

    mean: Array
    covariance: Array

    @property
    def pace(self) -> float:
        """How many times faster than the heat balance has it pieces heat up, as a logarithm."""
        return float(self.mean[-1])

    def at(self, hotter: float = 0.0, law: float = 0.0, others: float = 0.0, gain: float = 0.0) -> tuple[float, float]:
        """Return mean and standard deviation at a setting, for a coat and a load [decades].

        The mean is that at the pace found; the clock has to be read at it.

        Parameters
        ----------
        hotter : float
            Than the heat the jar is told by [K].
        law : float
            Decades by which the law of gloss moves the coat.
        others : float
            Other pieces in the load.
        gain : float
            Decades by which the clock rises for each unit of the pace, at the time asked for.
        """
        row = np.array([1.0, hotter, law, min(others, MOST_OTHERS), -gain])
        return float(row[:-1] @ self.mean[:-1]), float(np.sqrt(max(row @ self.covariance @ row, 0.0)))

    def seconds(
        self, foretold: Foretold, hotter: float = 0.0, law: float = 0.0, others: float = 0.0, scatter: float = 0.0,
        eye: float = 0.0,
    ) -> tuple[float, float, float]:  # fmt: skip
        """Return when a coat glosses: 5 %, likely and 95 % [s].

        Parameters
        ----------
        foretold : Foretold
            Of its firing, without or with what was learned before.
        hotter, law, others : float
            As for :meth:`at`.
        scatter : float
            Of one firing to the next besides [decades].
        eye : float
            How well the time is noted [s].
        """
        from scipy.special import ndtri

        shift = self.at(hotter, law, others)[0] - foretold.learned
        near = max(foretold.seconds_at(shift, self.pace), 1.0)
        sd = self.at(hotter, law, others, foretold.gain_at(near, self.pace))[1]
        reading = foretold.slope_at(near, self.pace) * eye
        reach = float(ndtri(0.95)) * float(np.hypot(np.hypot(sd, scatter), reading))
        low, middle, high = (foretold.seconds_at(shift + x, self.pace) for x in (-reach, 0.0, reach))
        return low, middle, high


@dataclass(frozen=True, eq=False)
class KilnClock:
    """What is known after the records.

    Attributes
    ----------
    names : tuple of str
        One a part: ``jar J04``, ``lot J04#...``, ``kind ...``, ``kiln ...#epoch@day``, ``trend ...#epoch``,
        ``pace ...``.
    mean : ndarray, shape (n,)
        Decades.
    covariance, before : ndarray, shape (n, n)
        After and before the records.
    spreads : Spreads
        Taken.
    evidence : float
        Logarithm of the probability of the records.
    jumps : tuple of (kiln, day)
        Found in the records, not declared.
    surprises : tuple of (record, float)
        Records by how many standard deviations they stand off, the worst first.
    last_day : dict
        Of each kiln: its latest epoch and the last day of it.
    """

    names: tuple[str, ...]
    mean: Array
    covariance: Array
    before: Array
    spreads: Spreads
    evidence: float
    jumps: tuple[tuple[str, float], ...]
    surprises: tuple[tuple[int, float], ...]
    last_day: dict[str, tuple[int, float]]

    def part(self, name: str) -> tuple[float, float, float]:
        """Return mean, standard deviation and the share of the first variance that is left.

        Parameters
        ----------
        name : str
            One of `names`.

        Raises
        ------
        InputError
            For an unknown name.
        """
        if name not in self.names:
            raise InputError(f"nothing was recorded of '{name}'", "Record a firing with it.")
        k = self.names.index(name)
        return (
            float(self.mean[k]),
            float(np.sqrt(self.covariance[k, k])),
            float(self.covariance[k, k] / self.before[k, k]),
        )

    def kiln_on(self, kiln: str, day: float | None = None) -> str | None:
        """Return the part that stands for a kiln on the last recorded day up to then, None when never used.

        Parameters
        ----------
        kiln : str
            Name.
        day : float, optional
            Today when left out.
        """
        if kiln not in self.last_day:
            return None
        days = [_day_of(name) for name in self.names if name.startswith(f"kiln {kiln}#")]
        upto = [one for one in days if day is None or one[0] <= day]
        chosen, epoch = max(upto) if upto else min(days)
        return day_name(kiln, epoch, chosen)

    def needed(
        self, kiln: str, jar: str | None, kind: str = "", day: float | None = None, coat: str = "",
        epoch: int | None = None, lot: str | None = None,
    ) -> Needed:  # fmt: skip
        """Return how much more of the clock a coat needs here, at any setting.

        Parameters
        ----------
        kiln : str
            Name; one that was never recorded counts with its first spread.
        jar : str or None
            None for any jar that was never recorded, itself left out.
        kind : str
            As for the kiln; left out when empty.
        day : float, optional
            For which day; the kiln goes on drifting after its last record.
        coat : str
            The very coat, where it was fired before; what it brings is left out otherwise.
        epoch : int, optional
            How often the kiln was changed by then; as at its last record when left out.
        lot : str, optional
            Of the jar; left out, what its lots have alike. One that was never fired lies off those that were; a jar
            fired from a single lot is known as that lot.
        """
        place = {name: k for k, name in enumerate(self.names)}
        of_lot = lot_name(jar, lot) if jar and lot is not None and self.lots(jar) else ""
        weights, extra = np.zeros((5, len(self.names))), np.zeros(5)
        for row, name, spread in (
            (0, f"jar {jar}" if jar is not None else "", 0.0),
            (0, of_lot, self.spreads.lot / 2**0.5),
            (0, f"coat {coat}" if coat else "", 0.0),
            (0, f"kind {kind}" if kind else "", self.spreads.kind),
            (1, HEAT, self.spreads.heat),
            (1, f"{HEAT} {jar}", self.spreads.heat_jar),
            (2, LAW, self.spreads.law),
            (3, OTHERS, self.spreads.others),
            (4, pace_name(kiln), self.spreads.pace),
        ):
            if name in place:
                weights[row, place[name]] = 1 / KELVINS if row == 1 else 1.0
            elif name:
                extra[row] += spread**2
        of_kiln, wandered = self.kiln_row(kiln, day, epoch)
        weights[0] += of_kiln
        extra[0] += wandered
        return _as_fast_as_may_be(weights @ self.mean, weights @ self.covariance @ weights.T + np.diag(extra))

    def lots(self, jar: str) -> tuple[str, ...]:
        """Return the lots of a jar that are told apart; none while it was fired from one alone.

        Parameters
        ----------
        jar : str
            Its code.
        """
        told = lot_name(jar, "")
        return tuple(name.removeprefix(told) for name in self.names if name.startswith(told))

    def pace(self, kiln: str) -> float:
        """Return how many times faster than its heat balance has it a kiln heats pieces up, as a logarithm.

        Parameters
        ----------
        kiln : str
            Name; nought where it is not known.
        """
        name = pace_name(kiln)
        return float(np.clip(self.mean[self.names.index(name)], -FASTEST, FASTEST)) if name in self.names else 0.0

    def kiln_row(self, kiln: str, day: float | None = None, epoch: int | None = None) -> tuple[Array, float]:
        """Return by how much each part counts for a kiln on a day, and what variance comes on top [decades squared].

        Since its last record it has gone on by its trend, and wandered besides. However long nobody looked, it has
        wandered no further than if somebody had moved the thermocouple.

        Parameters
        ----------
        kiln : str
            Name; one that was never recorded counts with its first spread alone.
        day : float, optional
            Today when left out; before its last record it is what that day says.
        epoch : int, optional
            As for :meth:`needed`: changed since its last record, it may have jumped and has lost its trend.
        """
        row = np.zeros(len(self.names))
        at = self.kiln_on(kiln, day)
        if at is None:
            return row, self.spreads.kiln**2
        row[self.names.index(at)] = 1.0
        if day is None:
            return row, 0.0
        last, before = _day_of(at)
        rested = min(max(0.0, day - last), self.spreads.rest)
        wandered, jump = self.spreads.drift**2 * rested, self.spreads.jump**2
        if epoch is not None and epoch > before:
            return row, float(jump + wandered)
        trend = trend_name(kiln, before)
        if trend in self.names:
            row[self.names.index(trend)] = rested / MONTH
        return row, float(min(wandered, jump))

    def together(
        self, kiln: str, jar: str, kind: str = "", day: float | None = None, coat: str = "", hotter: float = 0.0,
        law: float = 0.0,
    ) -> tuple[float, float]:  # fmt: skip
        """Return how much more of the clock this jar needs in this kiln: mean and standard deviation [decades].

        Parameters
        ----------
        kiln, jar, kind, day, coat
            As for :meth:`needed`.
        hotter, law : float
            As for :meth:`Needed.at`.
        """
        return self.needed(kiln, jar, kind, day, coat).at(hotter, law)

    def strange(self, records: Sequence[StageRecord], kiln: str, jar: str) -> bool:
        """Tell whether most firings of a jar in a kiln do not belong with what was foretold of them.

        Then nothing can be learned: another jar was used, the time counted from elsewhere, or the display is far off.

        Parameters
        ----------
        records : sequence of StageRecord
            Those it was learned from.
        kiln, jar : str
            Whose.
        """
        off = dict(self.surprises)
        mine = [abs(off[one.record]) > STRANGE for one in records if one.kiln == kiln and jar in one.jars]
        return len(mine) > 1 and sum(mine) * 2 > len(mine)

    def gloss_time(
        self, foretold: Foretold, kiln: str, jar: str, kind: str, day: float, coat: str = "", hotter: float = 0.0,
        law: float = 0.0, others: float = 0.0, lot: str | None = None,
    ) -> tuple[float, float, float]:  # fmt: skip
        """Return when gloss is to be expected: 5 %, likely and 95 % [s].

        Parameters
        ----------
        foretold : Foretold
            Of the coming firing, without or with what was learned before.
        kiln, jar, kind : str
            Whose.
        day : float
            When.
        coat, hotter, law, others, lot
            As for :meth:`needed` and :meth:`Needed.at`.
        """
        needed = self.needed(kiln, jar, kind, day, coat, lot=lot)
        return needed.seconds(foretold, hotter, law, others, self.spreads.repeat, self.spreads.eye)


def _as_fast_as_may_be(mean: Array, covariance: Array) -> Needed:
    """Return what is needed where clocks can be read: a pace beyond the fastest counts as it, the rest as it then is.

    Clocks rise along straight lines beyond the fastest pace, so what was found of it there is no pace to read them at.
    """
    over = float(np.clip(mean[-1], -FASTEST, FASTEST)) - mean[-1]
    if over and covariance[-1, -1] > 0:
        mean = mean + covariance[:, -1] / covariance[-1, -1] * over
    return Needed(mean, covariance)


def _day_of(name: str) -> tuple[float, int]:
    """Return day and epoch of the part that stands for a kiln on one day."""
    epoch, day = name.rsplit("#", 1)[1].split("@")
    return float(day), int(epoch)
