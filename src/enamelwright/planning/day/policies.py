"""Named ways to run a day: rules of thumb that stand beside every plan, so that the gain is seen."""

from __future__ import annotations

from dataclasses import dataclass

from enamelwright.planning.day.problem import Problem
from enamelwright.planning.day.simulator import NEVER, Policy

#: A campaign fires when this share of the rack is waiting.
NEARLY_FULL = 0.9


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
