"""What the clock that a coat needs is made of: its parts, how uncertain each is beforehand, and what a record moves.

The parts of a kiln are a random walk over its days about a steady trend, the local linear trend of A. C. Harvey,
Forecasting, Structural Time Series Models and the Kalman Filter (1989), section 2.3, with jumps where somebody changed
it; a thermocouple that ages or creeps out goes one way, and each change begins a new trend. A kiln that stands cold
does not go on drifting for long: what ages a thermocouple is heat (T. G. Kollie et al., ORNL-TM-4862, 1975). All
spreads are assumptions of `reference/heat/learning`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
import numpy.typing as npt

from enamelwright.craft.learned_clock import MOST_OTHERS
from enamelwright.learning.stage_records import Melting, StageRecord

Array = npt.NDArray[np.float64]
HASTE, EARLY, HEAT, LAW, OTHERS = "haste", "early stages", "heat", "law", "other pieces"
"""Parts that stand for loads following each other at once, for what the eye calls sugar and orange peel, for how
settings differ from what the viscosity says, how coats do from what the law of gloss says, and how full loads do from
what the heat they take says."""
KELVINS = 100.0
"""Kelvins that parts of the setting are told by, so that all parts are of like size."""
MONTH = 30.0
"""Days that trends are told by, for the same reason."""
COATS_TOLD = 80
"""So many coats, those fired last, have a part of their own: the work grows with the cube of the parts. What the others
bring counts as chance."""


@dataclass(frozen=True)
class Spreads:
    """How uncertain each part is beforehand, in decades of the clock.

    Attributes
    ----------
    kiln : float
        A kiln nobody has tested.
    drift : float
        Of the kiln from one day to the next, either way, growing with the root of the days.
    kind : float
        Size, support and place of a kind of piece.
    repeat : float
        One firing to the next.
    eye : float
        Time of gloss as noted [s].
    lapse : float
        Share of stages noted wrongly, 0 to 1.
    jump : float
        Of the kiln when somebody changed it, or when it jumped.
    haste : float
        Of a load that follows another at once.
    early : float
        Of the marks before gloss against gloss, as this eye names them.
    heat, heat_jar : float
        Of a setting, for each kelvin it lies off the heat a jar is told by: alike for all jars, and of each.
    law : float
        Of a coat, for each decade the law of gloss moves it off the ordinary one: alike for all coats.
    rest : float
        A kiln that was not fired for longer than this drifts no further [days].
    last : float
        Weight of the last coat, against the first, in what is noted of several.
    last_of_load : float
        The same in a first gloss that was noted once of a load of unlike pieces.
    trend : float
        Of the kiln a day, always the same way until somebody changes it.
    others : float
        Of each other piece in the load.
    lot : float
        Of one lot of a jar against another.
    pace : float
        How far a kiln may heat pieces up faster or slower than its heat balance has it, as a logarithm.
    """

    kiln: float
    drift: float
    kind: float
    repeat: float
    eye: float
    lapse: float
    jump: float
    haste: float
    early: float
    heat: float = 0.0
    heat_jar: float = 0.0
    law: float = 0.0
    rest: float = float("inf")
    last: float = 0.5
    last_of_load: float = 0.1
    trend: float = 0.0
    pace: float = 0.0
    others: float = 0.0
    lot: float = 0.0


def prior(
    records: Sequence[StageRecord], jar_sd: dict[str, float], spreads: Spreads, jumps: tuple[tuple[str, float], ...]
) -> tuple[list[str], Array, dict[str, tuple[int, float]]]:
    """Return the parts, their covariance beforehand, and the last day of each kiln.

    Parameters
    ----------
    records : sequence of StageRecord
        All of them.
    jar_sd : dict
        First spread of each jar [decades], by code.
    spreads : Spreads
        Of everything else.
    jumps : tuple of (str, float)
        Kiln and day of every jump nobody declared.

    Returns
    -------
    tuple
        Names, covariance [decades squared] of shape (n_part, n_part), and (epoch, day) by kiln.
    """
    every = [coat for one in records for coat in one.melting]
    names = [f"jar {code}" for code in sorted({one.jar for one in every})]
    variances = [jar_sd[name[4:]] ** 2 for name in names]
    lots = _lots_told_apart(every) if spreads.lot else []
    names += lots
    # Two lots lie as far apart as one against another does, so each lies that over the root of two off its jar.
    variances += [spreads.lot**2 / 2] * len(lots)
    kinds = [f"kind {kind}" for kind in sorted({coat.kind or one.kind for one in records for coat in one.melting})]
    names += [*kinds, HASTE, EARLY]
    variances += [*[spreads.kind**2] * len(kinds), spreads.haste**2, spreads.early**2]
    coats: dict[str, float] = {}
    newest: dict[str, float] = {}
    for record in records:
        for one in record.melting:
            if one.coat and one.coat_sd > 0:
                coats[one.coat] = max(one.coat_sd, coats.get(one.coat, 0.0))
                newest[one.coat] = max(record.day, newest.get(one.coat, record.day))
    told = sorted(sorted(coats, key=lambda coat: (-newest[coat], coat))[:COATS_TOLD])
    names += [f"coat {coat}" for coat in told]
    variances += [coats[coat] ** 2 for coat in told]
    if spreads.law and any(one.law for one in every):
        names, variances = [*names, LAW], [*variances, spreads.law**2]
    for name, spread, jars in ((HEAT, spreads.heat, [""]), (HEAT, spreads.heat_jar, sorted({j.jar for j in every}))):
        for jar in jars:
            if spread and any(one.hotter and jar in ("", one.jar) for one in every):
                names.append(f"{name} {jar}".strip())
                variances.append((spread * KELVINS) ** 2)
    if spreads.others and any(one.others for one in records):
        names, variances = [*names, OTHERS], [*variances, spreads.others**2]
    if spreads.pace:
        kilns = sorted({one.kiln for one in records})
        names += [pace_name(kiln) for kiln in kilns]
        variances += [spreads.pace**2] * len(kilns)
    blocks: list[tuple[int, Array]] = []
    last: dict[str, tuple[int, float]] = {}
    for kiln in sorted({one.kiln for one in records}):
        days = sorted({(one.epoch, one.day) for one in records if one.kiln == kiln})
        blocks.append((len(names), _walk(kiln, days, spreads, jumps)))
        names += [day_name(kiln, epoch, day) for epoch, day in days]
        if spreads.trend:
            names += [trend_name(kiln, epoch) for epoch in sorted({epoch for epoch, _ in days})]
        variances += [0.0] * (len(names) - len(variances))
        last[kiln] = days[-1]
    whole = np.diag(np.asarray(variances))
    for at, walk in blocks:
        whole[at : at + len(walk), at : at + len(walk)] = walk
    whole[np.diag_indices_from(whole)] += 1e-9  # two days of one epoch may be as good as one
    return names, whole, last


def _lots_told_apart(every: Sequence[Melting]) -> list[str]:
    """Return the parts of lots, of each jar that was fired from several: a single one is all there is of its jar."""
    lots: dict[str, set[str]] = {}
    for one in every:
        if one.lot:
            lots.setdefault(one.jar, set()).add(one.lot)
    return [lot_name(jar, lot) for jar, mine in sorted(lots.items()) if len(mine) > 1 for lot in sorted(mine)]


def _walk(
    kiln: str, days: Sequence[tuple[int, float]], spreads: Spreads, jumps: tuple[tuple[str, float], ...]
) -> Array:
    """Return the covariance of a kiln's days, and behind them of its trends, in the unit of a month each."""
    epochs = sorted({epoch for epoch, _ in days})
    known, worn = np.full(len(days), spreads.kiln**2), np.zeros((len(days), len(epochs)))
    for k, ((before, earlier), (epoch, day)) in enumerate(pairwise(days), start=1):
        passed = min(max(0.0, day - earlier), spreads.rest)
        known[k], worn[k] = known[k - 1] + spreads.drift**2 * passed, worn[k - 1]
        if epoch != before or (kiln, day) in jumps:
            known[k] += spreads.jump**2
        else:
            worn[k, epochs.index(epoch)] += passed / MONTH
    # Of a walk with jumps each day shares with every later one what it had then.
    walk = np.asarray(np.minimum.outer(known, known), dtype=np.float64)
    if not spreads.trend:
        return walk
    monthly = (spreads.trend * MONTH) ** 2
    both = monthly * worn
    return np.block([[walk + both @ worn.T, both], [both.T, monthly * np.eye(len(epochs))]])


def moves(record: StageRecord, coat: Melting, place: dict[str, int], late: bool, gain: float = 0.0) -> dict[int, float]:
    """Return which parts move the marks of one coat, and how much: from gloss on, or those before it.

    Parameters
    ----------
    record : StageRecord
        What was seen.
    coat : Melting
        One of its coats.
    place : dict
        Where each part stands, by name.
    late : bool
        From gloss on.
    gain : float
        Decades by which the clock rises for each unit of the pace, at the time that was noted.
    """
    # What brings the clock forward leaves less to be needed.
    told = [
        (pace_name(record.kiln), -gain),
        (f"kind {coat.kind or record.kind}", 1.0),
        (day_name(record.kiln, record.epoch, record.day), 1.0),
        (HASTE, record.haste),
        (OTHERS, float(min(record.others, MOST_OTHERS))),
    ]
    if late:
        hot = coat.hotter / KELVINS
        told += [(f"jar {coat.jar}", 1.0), (lot_name(coat.jar, coat.lot), 1.0)]
        told += [(f"coat {coat.coat}", 1.0), (LAW, coat.law)]
        told += [(HEAT, hot), (f"{HEAT} {coat.jar}", hot)]
    else:
        told.append((EARLY, 1.0))
    return {place[name]: share for name, share in told if share and name in place}


def coat_chance(coat: Melting, place: dict[str, int]) -> float:
    """Return what a coat brings itself [decades], which is chance where it has no part of its own.

    Parameters
    ----------
    coat : Melting
        The coat.
    place : dict
        Where each part stands, by name.
    """
    return 0.0 if not coat.coat or f"coat {coat.coat}" in place else coat.coat_sd


def day_name(kiln: str, epoch: int, day: float) -> str:
    """Return the name of the part that stands for a kiln on one day.

    Parameters
    ----------
    kiln : str
        Its name.
    epoch : int
        How often it was changed before.
    day : float
        Days from any beginning.
    """
    return f"kiln {kiln}#{epoch}@{day!r}"


def lot_name(jar: str, lot: str) -> str:
    """Return the name of the part that stands for one lot of a jar against its others.

    Parameters
    ----------
    jar : str
        Its code.
    lot : str
        As its coats tell it.
    """
    return f"lot {jar}#{lot}"


def pace_name(kiln: str) -> str:
    """Return the name of the part that stands for how fast a kiln heats pieces up.

    Parameters
    ----------
    kiln : str
        Its name.
    """
    return f"pace {kiln}"


def trend_name(kiln: str, epoch: int) -> str:
    """Return the name of the part that stands for where a kiln goes, in a month of firing, until it is changed.

    Parameters
    ----------
    kiln : str
        Its name.
    epoch : int
        How often it was changed before.
    """
    return f"trend {kiln}#{epoch}"
