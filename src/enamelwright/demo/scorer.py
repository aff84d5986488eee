"""Asks how much of the hidden truth the invented records give away, and how near a claim about it comes.

Whatever learns from the record hands its claims to :func:`score`; it never reads the truth itself.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from enamelwright.demo import truth
from enamelwright.demo.script import firings, jars, pieces
from enamelwright.workshop.firings import loads_between, pieces_in
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.tiles import readings_of, spots_of, tiles

#: Kelvin at nought Celsius (by definition of the Celsius scale).
ZERO = 273.15
#: Earlier than any moment and later than any, as the record sorts them.
BEGINNING, END = "", "9999"


@dataclass(frozen=True)
class Scored:
    """One claim beside what is really so.

    Parameters
    ----------
    what : str
        Name of the fact.
    claimed, true : float
        In the unit the name tells.
    """

    what: str
    claimed: float
    true: float

    @property
    def error(self) -> float:
        """Claimed less true."""
        return self.claimed - self.true


@dataclass(frozen=True)
class Agreement:
    """How the stages in the record compare with the hidden law.

    Parameters
    ----------
    loads : int
        Loads compared.
    same : int
        Of which the stage is the law's.
    neighbours : int
        Of which it is the stage before or after.
    gloss_error : float
        Mean absolute difference of the seconds to gloss that were read [s].
    """

    loads: int
    same: int
    neighbours: int
    gloss_error: float


def truths() -> dict[str, float]:
    """Return every fact a claim can be scored against, by name; the unit stands in the name."""
    facts = {
        f"kiln reads low on {day.isoformat()} [K]": truth.reads_low(day)
        for day in sorted({row.day for row in firings()})
    }
    facts |= {
        "step of the display on 2026-04-23 [K]": truth.LOW_AFTER - truth.reads_low(date(2026, 4, 22)),
        "right rear corner over centre [K]": truth.HOTTER["right rear corner"],
        "fall at one opening of the door [K]": truth.DROP_MIDDLE,
        "recovery with a light load [s]": truth.RECOVERY_LIGHT,
        "recovery with a heavy load [s]": truth.RECOVERY_HEAVY,
        "speed of fusing rises by e in [K]": truth.FUSING_SCALE,
        "bow for each g/cm2 [mm]": truth.BOW_COEFFICIENT,
        "sifting loss at first": truth.LOSS_FIRST,
        "sifting loss at last": truth.LOSS_LAST,
        "spread of the hand": truth.HAND_SPREAD,
        "silver flux yellows above [C]": truth.FLUX_YELLOWS_ABOVE,
        "rose clears at a dose of": truth.GOLD_CLEAR_AT,
    }
    return facts


def score(claims: Mapping[str, float]) -> list[Scored]:
    """Put claims beside what is really so.

    Parameters
    ----------
    claims : mapping of str to float
        Fact, named as in :func:`truths`, to what is claimed.

    Raises
    ------
    KeyError
        For a fact nobody hid.
    """
    facts = truths()
    return [Scored(what, claimed, facts[what]) for what, claimed in claims.items()]


def agreement(studio: Studio) -> Agreement:
    """Compare the stages and seconds of a demonstration record with the hidden law at an even door drop.

    Parameters
    ----------
    studio : Studio
        An open demonstration.
    """
    judged = {(row.at.date(), row.at.time()): row for row in firings()}
    order: tuple[truth.Stage, ...] = ("powder", "sugar", "orange peel", "gloss", "cleared", "over-fired")
    loads = same = neighbours = 0
    errors: list[float] = []
    past: list[tuple[datetime, datetime, bool]] = []
    for load in reversed(loads_between(studio, BEGINNING, END)):
        begun = datetime.fromisoformat(load.at).astimezone()
        row = judged.get((begun.date(), begun.time()))
        if row is None or load.set_point is None or load.seconds is None:
            continue
        inside = pieces_in(studio, load.of)
        piece = pieces()[next(one.label for one in inside if one.label == row.pieces[0].label)]
        heavy = load.support == "heavy trivet"
        openings = [truth.Opening(0.0, heavy=heavy)]
        for came_in, out, was_heavy in reversed(past):
            if openings[-1].at - (out - begun).total_seconds() > truth.ONE_SWAP:
                openings.append(truth.Opening((out - begun).total_seconds()))
            openings.append(truth.Opening((came_in - begun).total_seconds(), heavy=was_heavy))
        heat = truth.fire(
            load.set_point - ZERO, begun.date(), load.seconds, jars()[row.jar].maturity,
            truth.Body(piece.metal, piece.thickness, row.powder, heavy), [one for one in openings if one.counts],
            row.pieces[0].position, load.start == "recovered",
        )  # fmt: skip
        past.append((begun, datetime.fromisoformat(load.closed_at).astimezone(), heavy))
        loads += 1
        apart = abs(_as_eyes_see(row.jar, truth.stage_at(heat.dose, reflow=row.reflow), order) - _as_eyes_see(
            row.jar, load.stage_seen, order))  # fmt: skip
        same += apart == 0
        neighbours += apart == 1
        if load.to_gloss is not None and heat.to_gloss is not None:
            errors.append(abs(load.to_gloss - heat.to_gloss))
    return Agreement(loads, same, neighbours, sum(errors) / len(errors) if errors else 0.0)


def readings_off(studio: Studio) -> list[float]:
    """Return how far each colour read off a tile is from the hidden law at the depth that was meant [L*, a*, b*].

    Parameters
    ----------
    studio : Studio
        An open demonstration.
    """
    found = []
    for tile in tiles(studio):
        laid = {one.spot: one for one in spots_of(studio, tile.id)}
        for reading in readings_of(studio, tile.id):
            if reading.lightness is None:
                continue
            spot = laid[reading.spot]
            (coat,) = spot.coats
            true = truth.tile_colour(coat["jar"], spot.under, coat["thickness_mm"])
            found.append(math.dist(true, (reading.lightness, reading.a, reading.b)))
    return found


def _as_eyes_see(jar: str, stage: truth.Stage, order: tuple[truth.Stage, ...]) -> int:
    """Return the place of a stage among those that can be told apart on a kind of jar."""
    clear = jars()[jar].described["kind"] in {"transparent", "flux", "opal"}
    return order.index("gloss" if stage == "cleared" and not clear else stage)
