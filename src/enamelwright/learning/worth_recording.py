"""Which record would teach most: of each jar, how much a timed first gloss on one kiln would take off all doubt.

Doubt is the sum of the variances of what the jars need in that kiln; a record of one jar tells of the others too, as
they share the kiln. What a record takes off follows from the covariances alone, whatever it will say.

Source: A. O'Hagan, J. R. Stat. Soc. B 40 (1978) 1, the normal model's update of a covariance. Checked in
tests/learning/test_worth_recording.py.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean

import numpy as np
import numpy.typing as npt

from enamelwright.learning.kiln_clock import PARTLY, KilnClock
from enamelwright.learning.stage_records import Melting

Array = npt.NDArray[np.float64]
HOW_FAR = ("learned", "learned for the same piece again", "partly learned", "not yet learned")
"""How far a jar may be known in a kiln, the best known first."""


@dataclass(frozen=True)
class Worth:
    """A record that could be made.

    Attributes
    ----------
    jar : str
        Code.
    takes_off : float
        Share of all doubt it takes off, 0 to 1.
    """

    jar: str
    takes_off: float


def worth_recording(
    known: KilnClock, kiln: str, jar_sd: Mapping[str, float], noise: float, day: float | None = None
) -> tuple[Worth, ...]:
    """Rank jars by what one more timed gloss would teach, the most telling first.

    Parameters
    ----------
    known : KilnClock
        So far.
    kiln : str
        Which kiln.
    jar_sd : mapping of str to float
        The jars that count, with the spread of one that was never fired [decades].
    noise : float
        Of one record: repeat and eye together [decades].
    day : float, optional
        For which day.
    """
    jars = sorted(jar_sd)
    doubt = shared(known, kiln, jars, jar_sd, day)
    whole = float(np.trace(doubt))
    if not jars or whole <= 0:
        return ()
    gains = np.sum(doubt**2, axis=1) / (np.diag(doubt) + noise**2) / whole
    found = [Worth(jar, float(gain)) for jar, gain in zip(jars, gains, strict=True)]
    return tuple(sorted(found, key=lambda one: (-one.takes_off, one.jar)))


def shared(
    known: KilnClock, kiln: str, jars: list[str], jar_sd: Mapping[str, float], day: float | None = None
) -> Array:
    """Return the covariance of what the jars need in one kiln [decades squared].

    Parameters
    ----------
    known, kiln
        As for :func:`worth_recording`.
    jars : list of str
        In the order of the rows.
    jar_sd, day
        As for :func:`worth_recording`.
    """
    weights = np.zeros((len(jars), len(known.names)))
    alone = np.zeros(len(jars))
    of_kiln, common = known.kiln_row(kiln, day)
    for row, jar in enumerate(jars):
        if f"jar {jar}" in known.names:
            weights[row, known.names.index(f"jar {jar}")] = 1.0
        else:
            alone[row] = jar_sd[jar] ** 2
        weights[row] += of_kiln
    return np.asarray(weights @ known.covariance @ weights.T + common + np.diag(alone))


def how_far(
    known: KilnClock, kiln: str, jar: str, scatter: float, fired: Sequence[tuple[str, Melting]] = (),
    day: float | None = None,
) -> str:  # fmt: skip
    """Say how far what a jar needs in a kiln is known, by what decides how wide its next window is: :data:`HOW_FAR`.

    It is learned where the next firing is known as well as a hand repeats itself; no record of one kiln comes to less.

    Parameters
    ----------
    known, kiln
        As for :func:`worth_recording`.
    jar : str
        Code.
    scatter : float
        Of a hand from one firing to the next [decades].
    fired : sequence of (str, Melting)
        Coats of the jar that were fired here, with the kind of their piece: one of each likeness.
    day : float, optional
        As for :func:`worth_recording`.
    """
    if f"jar {jar}" not in known.names or known.kiln_on(kiln, day) is None:
        return HOW_FAR[-1]
    k = known.names.index(f"jar {jar}")
    before = float(np.sqrt(known.before[k, k] + known.spreads.kiln**2))
    hotter = fmean(one.hotter for _, one in fired) if fired else 0.0
    law = fmean(one.law for _, one in fired) if fired else 0.0
    after = known.needed(kiln, jar, "", day).at(hotter, law)[1]
    if after <= scatter:
        return HOW_FAR[0]
    again = (
        known.needed(kiln, jar, kind, day, one.coat).at(one.hotter, one.law)[1]
        for kind, one in fired
        if f"coat {one.coat}" in known.names
    )
    if any(sd <= scatter for sd in again):
        return HOW_FAR[1]
    return HOW_FAR[2] if after < PARTLY * before else HOW_FAR[3]
