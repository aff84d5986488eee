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

    Parameters
    ----------
    problem : Problem
        With the dates.
    width : int
        Days to a bucket.
    """
    day = problem.calendar.day_length
    days = [None if piece.due is None else piece.due // day for piece in problem.pieces]
    last = max((d for d in days if d is not None), default=0)
    return tuple((last if d is None else d) // width + (d is None) for d in days)


def rules(problem: Problem) -> tuple[Rule, ...]:
    """Return the rules of thumb for one problem."""
    latest = len(problem.pieces)
    return (
        Rule("piece by piece", Policy(stage=0, single=True, wait=NEVER, only=max(len(problem.people), 1))),
        Rule("as they come, one piece a load", Policy(stage=0, single=True)),
        Rule("as they come, firing what is ready", Policy(stage=0, change=False)),
        Rule("stage by stage", Policy(fill=NEARLY_FULL, mix=latest)),
        Rule("by date", Policy(buckets=due_buckets(problem), fill=NEARLY_FULL)),
    )
