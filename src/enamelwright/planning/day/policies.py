"""Named ways to run a day: rules of thumb that stand beside every plan, so that the gain is seen."""

from __future__ import annotations

from dataclasses import dataclass

from enamelwright.planning.day.problem import Problem

#: Later than any plan ends.
NEVER = 1 << 60
#: A campaign fires when this share of the rack is waiting.
NEARLY_FULL = 0.9


@dataclass(frozen=True)
class Policy:
    """A way to choose what to do next.

    Parameters
    ----------
    buckets : tuple of int
        For each piece, how early its date counts; the lowest goes first. Empty: all alike.
    offsets : tuple of float
        For each piece, inside a bucket; the lowest goes first. Empty: all alike.
    stage : int
        1: earliest step first; -1: latest first; 0: by number of the piece.
    fill : float
        Share of the rack that must be waiting before a load is fired while there is bench work.
    wait : int
        Ticks a person waits for the kiln though there is bench work.
    mix : int
        How many later buckets count as more to come for this load.
    single : bool
        One piece a load.
    change : bool
        Whether the kiln may change its family while there is bench work.
    only : int
        Work on so many of the lowest unfinished pieces; 0 for all.
    patient : bool
        Whether a coat that must not lie for long waits for others that go into the same load, for as long as it may;
        it is fired as soon as the kiln is free where not.
    """

    buckets: tuple[int, ...] = ()
    offsets: tuple[float, ...] = ()
    stage: int = 1
    fill: float = 0.0
    wait: int = 0
    mix: int = 0
    single: bool = False
    change: bool = True
    only: int = 0
    patient: bool = False


@dataclass(frozen=True)
class Rule:
    """A rule of thumb.

    Parameters
    ----------
    name : str
        As a person would call it.
    policy : Policy
        What it does.
    """

    name: str
    policy: Policy


def due_buckets(problem: Problem, width: int = 1) -> tuple[int, ...]:
    """Group pieces by their dates, so many days to a group; pieces without a date come last.

    What is overdue when the plan begins is one group, whichever date it missed: a day more costs each of it as much.

    Parameters
    ----------
    problem : Problem
        With the dates.
    width : int
        Days to a bucket.
    """
    day = problem.calendar.day_length
    days = [None if piece.due is None else max(piece.due, problem.now) // day for piece in problem.pieces]
    last = max((d for d in days if d is not None), default=0)
    return tuple((last if d is None else d) // width + (d is None) for d in days)


def quickest_first(problem: Problem, width: int = 1) -> tuple[int, ...]:
    """Group pieces by their dates, and those of one date by the work that is left on them, the least first.

    Pieces of one design stay together so, and of what is late together most is through soonest.

    Parameters
    ----------
    problem : Problem
        With the dates.
    width : int
        Days that count as one date.
    """
    keys = [
        (date, sum(step.length for step in piece.steps[piece.first :]))
        for date, piece in zip(due_buckets(problem, width), problem.pieces, strict=True)
    ]
    places = {key: place for place, key in enumerate(sorted(set(keys)))}
    return tuple(places[key] for key in keys)


def rules(problem: Problem) -> tuple[Rule, ...]:
    """Return the rules of thumb for one problem."""
    latest = len(problem.pieces)
    return (
        Rule("piece by piece", Policy(stage=0, single=True, wait=NEVER, only=max(len(problem.people), 1))),
        Rule("as they come, one piece a load", Policy(stage=0, single=True)),
        Rule("as they come, firing what is ready", Policy(stage=0, change=False)),
        Rule("stage by stage", Policy(fill=NEARLY_FULL, mix=latest, patient=True)),
        Rule("by date", Policy(buckets=due_buckets(problem), fill=NEARLY_FULL, patient=True)),
        Rule(
            "by date, the quickest first",
            Policy(buckets=quickest_first(problem), fill=NEARLY_FULL, patient=True),
        ),
        Rule("the quickest first", Policy(buckets=quickest_first(problem, NEVER), fill=NEARLY_FULL, patient=True)),
    )
