"""What most likely caused a fault: the causes of the atlas in order, by moment, place, the piece, and this record.

Every cause begins where the atlas ranks it. The moment and the place it was seen at, signs of the piece and of its
firing, and the loads of this record then raise or lower it. What comes out is an order with its reasons, not a chance:
the weights are judgement, and the causes of the atlas are not all there are.

Pieces of one load count once: they were one try of what belongs to the load. Few loads move little, by the weak prior
of `rare_faults`. Checked in tests/learning/test_fault_finder.py.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from math import exp, inf, log
from typing import Annotated, Literal, NamedTuple

from pydantic import BaseModel, ConfigDict, Field, model_validator

from enamelwright.craft.description import Described
from enamelwright.learning.fault_atlas import Cause, atlas, fault_of
from enamelwright.learning.fault_signs import FaultFacts, Sign, limit, sign_names, signs
from enamelwright.learning.proportions import exact
from enamelwright.learning.rare_faults import effect_of_counts
from enamelwright.reference.loader import rows

Standing = Literal["first by far", "first", "close", "possible", "little speaks for it"]
LITTLE: Standing = "little speaks for it"
_THE_SAME = {("dull", "short"), ("overfired", "overheated"), ("warp", "bow foretold")}
"""A fault and a sign that are one thing said twice: the record cannot weigh the one by the other."""
NEVER = "never"
"""What a row says when the cause cannot be where its sign is known to lack."""
SURE = 0.9
"""Share of the intervals of loads that hold the truth."""

Count = Annotated[int, Field(ge=0, le=1_000_000)]


class Link(NamedTuple):
    """How strongly a sign speaks for a cause, and its lack against it unless another sign holds."""

    holds: str
    lacks: str
    unless: str


class Tally(Described):
    """How often a fault came in this record, by load, with a sign and without it."""

    sign: Annotated[str, Field(max_length=60)]
    with_loads: Count = 0
    with_faults: Count = 0
    without_loads: Count = 0
    without_faults: Count = 0

    @model_validator(mode="after")
    def _parts(self) -> Tally:
        if self.sign not in sign_names():
            raise ValueError(f"'{self.sign}' is no sign that is known")
        if self.with_faults > self.with_loads or self.without_faults > self.without_loads:
            raise ValueError("more loads with the fault than loads")
        return self

    @property
    def enough(self) -> bool:
        """Whether it compares anything."""
        return bool(self.with_loads and self.without_loads and self.with_faults + self.without_faults)

    def words(self) -> str:
        """Say both counts with what so few can tell."""
        low, high = exact(self.with_faults, self.with_loads, SURE) if self.with_loads else (0.0, 1.0)
        return (
            f"here {self.with_faults} of {self.with_loads} such loads had it, {self.without_faults} of "
            f"{self.without_loads} others; so few tell {_hundred(low)} to {_hundred(high)} in a hundred"
        )


@dataclass(frozen=True)
class Ranked:
    """A cause with its standing.

    Attributes
    ----------
    cause : Cause
        Of the atlas.
    standing : str
        How it stands against the first.
    score : float
        Natural logarithm of odds, of any level; only differences mean something.
    speaks_for, speaks_against, not_known : tuple of str
        Signs in words.
    here : tuple of str
        What this record's own loads say.
    telling : bool
        Whether a sign or the place speaks for it; a moment alone tells little, for makers notice late.
    """

    cause: Cause
    standing: Standing
    score: float
    speaks_for: tuple[str, ...]
    speaks_against: tuple[str, ...]
    not_known: tuple[str, ...]
    here: tuple[str, ...]
    telling: bool


class Separating(BaseModel):
    """What tells the first two causes apart.

    Attributes
    ----------
    look : str
        What to look for first.
    if_first, if_second : str
        What each would show.
    tile : str
        A firing that decides where looking does not.
    """

    model_config = ConfigDict(frozen=True, extra="forbid")

    look: str
    if_first: str
    if_second: str
    tile: str


TILE = "If looking does not decide: fire two clean 25 mm copper squares in one load, alike but for the one thing."
"""The test that always works: one thing changed."""


def rank(
    symptom: str, facts: FaultFacts, when: str = "", place: str = "", record: Sequence[Tally] = ()
) -> tuple[Ranked, ...]:
    """Put the causes of a fault in order.

    Parameters
    ----------
    symptom : str
        Id or name of the fault.
    facts : FaultFacts
        Of the piece and its firing.
    when, place : str
        When and where on the piece it was seen, in the words of the record.
    record : sequence of Tally
        Of this fault in this studio, without the load that is asked about.

    Raises
    ------
    UnknownName
        For a fault that is not in the atlas.
    """
    fault = fault_of(symptom)
    known = signs(facts)
    links = _links()
    tallies = {one.sign: one for one in record if one.enough}
    causes = [one for one in atlas()[fault] if _cannot_be(one, known) is None]
    # A moment or a place that fits every cause tells nothing.
    if len({one.shows_when(when) for one in causes}) == 1:
        when = ""
    if len({one.shows_where(place) for one in causes}) == 1:
        place = ""
    found = [_scored(cause, links.get((fault, cause.number), {}), known, tallies, when, place) for cause in causes]
    # A cause nothing speaks for comes before none that something speaks for, however little that is.
    most = max((one.score for one in found if one.speaks_for), default=inf)
    found = [one if one.speaks_for else replace(one, score=min(one.score, most)) for one in found]
    ordered = sorted(found, key=lambda one: (-one.score, not one.speaks_for, one.cause.number))
    return _with_standings(ordered)


def leading(ranked: Sequence[Ranked]) -> tuple[tuple[Ranked, float], ...]:
    """Return the causes a way out is to be weighed against, each with its share; none when nothing telling is known.

    Parameters
    ----------
    ranked : sequence of Ranked
        Of :func:`rank`.
    """
    near = [one for one in ranked if one.standing in {"first by far", "first", "close"}]
    odds = [exp(one.score - ranked[0].score) for one in near]
    return tuple((one, weight / sum(odds)) for one, weight in zip(near, odds, strict=True) if one.telling)


def struck_out(symptom: str, facts: FaultFacts) -> tuple[tuple[Cause, str], ...]:
    """Return the causes that cannot be, each with the fact that rules it out; :func:`rank` leaves them out.

    Parameters
    ----------
    symptom : str
        Id or name of the fault.
    facts : FaultFacts
        Of the piece and its firing.
    """
    known = signs(facts)
    found = [(one, _cannot_be(one, known)) for one in atlas()[fault_of(symptom)]]
    return tuple((one, why) for one, why in found if why is not None)


def most_telling(symptom: str, ranked: Sequence[Ranked], facts: FaultFacts) -> str | None:
    """Return what is not known and would tell most between the causes that are left; None when nothing would.

    Parameters
    ----------
    symptom : str
        Id or name of the fault.
    ranked : sequence of Ranked
        Of :func:`rank`.
    facts : FaultFacts
        Of the piece and its firing.
    """
    fault, known = fault_of(symptom), signs(facts)
    odds = [exp(one.score - ranked[0].score) for one in ranked]
    told: dict[str, float] = {}
    for one, weight in zip(ranked, odds, strict=True):
        share = weight / sum(odds)
        for name, (holds, lacks, _) in _links().get((fault, one.cause.number), {}).items():
            sign = known[name]
            if sign.holds is None and sign.words:
                moves = limit(holds) + (limit(lacks) if lacks and lacks != NEVER else limit("strong"))
                told[sign.words] = told.get(sign.words, 0.0) + share * (1 - share) * moves
    return max(told, key=told.__getitem__, default=None)


def _cannot_be(cause: Cause, known: Mapping[str, Sign]) -> str | None:
    """Return the fact that rules a cause out: no air under foil where there is no foil."""
    links = _links().get((cause.fault, cause.number), {})
    return next((known[name].words for name, (_, lacks, _) in links.items()
                 if lacks == NEVER and known[name].holds is False), None)  # fmt: skip


def separating(ranked: Sequence[Ranked]) -> Separating | None:
    """Return what tells the first two apart; None when there is one cause only.

    Parameters
    ----------
    ranked : sequence of Ranked
        Of :func:`rank`.
    """
    if len(ranked) < 2:
        return None
    first, second = ranked[0].cause, ranked[1].cause
    own = [one for one in ranked[0].not_known if one not in ranked[1].not_known]
    own += [one for one in ranked[1].not_known if one not in ranked[0].not_known]
    look = f"Find out {own[0]}." if own else "Look at the piece again, in daylight and with a lens."
    return Separating(look=look, if_first=_shows(first), if_second=_shows(second), tile=TILE)


def _shows(cause: Cause) -> str:
    return f"{cause.words}: {cause.test}" if cause.test and cause.test != "-" else cause.words


def _scored(
    cause: Cause, links: Mapping[str, Link], known: Mapping[str, Sign], tallies: Mapping[str, Tally],
    when: str, place: str,
) -> Ranked:  # fmt: skip
    score = -limit("order") * log(cause.number)
    for_it, against, unknown, here = list[str](), list[str](), list[str](), list[str]()
    for shows, asked, usual, which in (
        (cause.shows_when(when), f"seen {when}", cause.moments, "when"),
        (cause.shows_where(place), f"seen at: {place}", cause.where, "where"),
    ):
        if shows is not None:
            score += limit(which) if shows else -limit(f"not_{which}")
            (for_it if shows else against).append(asked if shows else f"{asked}; it would show: {usual}")
    telling = cause.shows_where(place) is True
    from_record = 0.0
    for name, (holds, lacks, unless) in links.items():
        sign = known[name]
        if sign.holds is None:
            if sign.words:
                unknown.append(sign.words)
            continue
        if sign.holds:
            score += limit(holds)
            for_it.append(sign.words)
            telling = True
        elif lacks and lacks != NEVER and not (unless and known[unless].holds):
            score -= limit(lacks)
            against.append(sign.words)
        if name in tallies and (cause.fault, name) not in _THE_SAME:
            from_record += _of_record(tallies[name], sign.holds)
            if tallies[name].with_faults:
                here.append(f"{name}: {tallies[name].words()}")
    most = limit("record")
    score += max(-most, min(most, from_record))
    return Ranked(cause, "possible", score, tuple(for_it), tuple(against), tuple(unknown), tuple(here), telling)


def _of_record(tally: Tally, holds: bool) -> float:
    """Return what the loads of this record add to a cause: how much oftener the fault comes with its sign.

    One load with the fault moves little; a sign the fault never needed speaks for nothing, nor does one with which it
    was never seen.
    """
    effect = effect_of_counts(tally.with_loads, tally.with_faults, tally.without_loads, tally.without_faults)
    odds = log(effect.with_it / effect.without)
    if not holds:
        return min(0.0, -odds)
    return odds if tally.with_faults else min(0.0, odds)


def _with_standings(ordered: Sequence[Ranked]) -> tuple[Ranked, ...]:
    far, behind = log(limit("first")), log(limit("behind"))
    lead = ordered[0].score - ordered[1].score if len(ordered) > 1 else far
    result = [replace(ordered[0], standing="first by far" if lead >= far else "first")]
    for one in ordered[1:]:
        gap = ordered[0].score - one.score
        # Nothing speaks for it, so as much cannot.
        close: Standing = "close" if bool(one.speaks_for) >= bool(ordered[0].speaks_for) else "possible"
        result.append(replace(one, standing=close if gap < far else "possible" if gap < behind else LITTLE))
    return tuple(result)


def signs_of(fault: str) -> tuple[str, ...]:
    """Return the signs that speak for or against a cause of a fault; none for a fault nobody knows.

    Parameters
    ----------
    fault : str
        Id.
    """
    return tuple(sorted({sign for (one, _), links in _links().items() if one == fault for sign in links}))


@cache
def _links() -> dict[tuple[str, int], dict[str, Link]]:
    table: dict[tuple[str, int], dict[str, Link]] = {}
    for row in rows("trade/fault_signs"):
        table.setdefault((row["fault_id"], int(row["rank"])), {})[row["sign"]] = Link(
            row["holds"], row["lacks"], row["unless"]
        )
    return table


def _hundred(share: float) -> str:
    return f"{100 * share:.0f}"
