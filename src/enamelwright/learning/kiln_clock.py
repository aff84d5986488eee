"""What firings teach of a kiln and its jars: how much more of the gloss clock is needed than was foretold.

Each record says, in decades of the clock, how late or early its coats were. That sum is split into what belongs to the
jar, to the kiln on that day, to the kind of piece, to this very coat laid and fired again, to haste, and chance. How
wrong the laws behind the window may be is part of it: by how much they move a coat from the ordinary one, and a setting
from the heat its jar is told by. So whoever asks of a setting or a coat unlike those fired gets a wider band, in
proportion, and who asks of the same piece again is not charged for powder and laws its own firings have spoken of.

A jar moves only where gloss and what follows begin; a kiln, a kind of piece and haste move every stage. How long before
gloss the eye sees sugar turn into orange peel is nearly open: eyes and laws differ most there. Stages are classes
between marks, some of them noted wrongly; times of first gloss are numbers. Where several coats melted, each counts by
how likely it governed (:mod:`enamelwright.learning.several_coats`). The kiln drifts from day to day, and jumps where
somebody changed it or where its records say so. How fast it drifts, and how much a hand scatters, is weighed by the
record itself. A kiln that stands cold does not go on drifting for long: what ages a thermocouple is heat (T. G. Kollie
et al., ORNL-TM-4862, 1975).

What belongs to the kiln and what to the jar cannot be told apart by such records, however many: only their sum, and
what changes with the days. The sum is what windows on this kiln need. Degrees need an anchor.

Laplace's approximation about the most likely state. The kiln's part is a random walk, as in R. E. Kalman, J. Basic Eng.
82 (1960) 35; stages are an ordered probit. All spreads are assumptions of `reference/heat/learning`. Checked in
tests/learning/test_kiln_clock.py, test_bands_of_one_jar.py and test_same_piece_again.py by simulation and limits.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError
from enamelwright.learning.kiln_parts import HEAT, KELVINS, LAW, Spreads
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
    mean : ndarray, shape (3,)
        Decades, decades a kelvin, and decades a decade of the law.
    covariance : ndarray, shape (3, 3)
        Of these.
    """

    mean: Array
    covariance: Array

    def at(self, hotter: float = 0.0, law: float = 0.0) -> tuple[float, float]:
        """Return mean and standard deviation at a setting and for a coat [decades].

        Parameters
        ----------
        hotter : float
            Than the heat the jar is told by [K].
        law : float
            Decades by which the law of gloss moves the coat.
        """
        row = np.array([1.0, hotter, law])
        return float(row @ self.mean), float(np.sqrt(max(row @ self.covariance @ row, 0.0)))


@dataclass(frozen=True, eq=False)
class KilnClock:
    """What is known after the records.

    Attributes
    ----------
    names : tuple of str
        One a part: ``jar J04``, ``kind ...``, ``kiln ...#epoch@day``.
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
        days = [float(n.rsplit("@", 1)[1]) for n in self.names if n.startswith(f"kiln {kiln}#")]
        upto = [d for d in days if day is None or d <= day]
        chosen = max(upto) if upto else min(days)
        return next(n for n in self.names if n.startswith(f"kiln {kiln}#") and float(n.rsplit("@", 1)[1]) == chosen)

    def needed(self, kiln: str, jar: str | None, kind: str = "", day: float | None = None, coat: str = "") -> Needed:
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
        """
        place = {name: k for k, name in enumerate(self.names)}
        weights, extra = np.zeros((3, len(self.names))), np.zeros(3)
        for row, name, spread in (
            (0, f"jar {jar}" if jar is not None else "", 0.0),
            (0, f"coat {coat}" if coat else "", 0.0),
            (0, f"kind {kind}" if kind else "", self.spreads.kind),
            (1, HEAT, self.spreads.heat),
            (1, f"{HEAT} {jar}", self.spreads.heat_jar),
            (2, LAW, self.spreads.law),
        ):
            if name in place:
                weights[row, place[name]] = 1 / KELVINS if row == 1 else 1.0
            elif name:
                extra[row] += spread**2
        at = self.kiln_on(kiln, day)
        if at is None:
            extra[0] += self.spreads.kiln**2
        else:
            weights[0, place[at]] = 1.0
            extra[0] += self.idle(at, day)
        return Needed(weights @ self.mean, weights @ self.covariance @ weights.T + np.diag(extra))

    def idle(self, at: str, day: float | None) -> float:
        """Return the variance that drifting since its last record adds to a kiln [decades squared].

        However long nobody looked: it is no further off than after somebody moved the thermocouple.

        Parameters
        ----------
        at : str
            Part of the kiln, of :meth:`kiln_on`.
        day : float or None
            For which day.
        """
        if day is None:
            return 0.0
        rested = min(max(0.0, day - float(at.rsplit("@", 1)[1])), self.spreads.rest)
        return float(min(self.spreads.drift**2 * rested, self.spreads.jump**2))

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
        law: float = 0.0,
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
        coat, hotter, law
            As for :meth:`together`.
        """
        from scipy.special import ndtri

        mean, sd = self.together(kiln, jar, kind, day, coat, hotter, law)
        shift = mean - foretold.learned
        near = foretold.seconds_at(shift)
        reading = foretold.slope_at(max(near, 1.0)) * self.spreads.eye
        whole = float(np.hypot(np.hypot(sd, self.spreads.repeat), reading))
        reach = float(ndtri(0.95)) * whole
        low, middle, high = (foretold.seconds_at(shift + x) for x in (-reach, 0.0, reach))
        return low, middle, high
