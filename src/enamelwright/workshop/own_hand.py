"""How long the own hand takes for one piece of a design, by what was logged on finished ones."""

from __future__ import annotations

from statistics import median

from enamelwright.workshop.finishing import times_on
from enamelwright.workshop.pieces import pieces_of_design
from enamelwright.workshop.studio import Studio

#: Logged pieces from which their middle is taken before what is planned: fewer may all be of one odd day.
ENOUGH = 3


def logged_hand(studio: Studio, design: int) -> tuple[float, int]:
    """Return the hand time in the middle of the finished pieces it was logged on [s], and how many those are.

    Parameters
    ----------
    studio : Studio
        The studio.
    design : int
        Row of the design.
    """
    made = [int(one.id) for one in pieces_of_design(studio, design) if one.state == "finished"]
    logged = [one for one in times_on(studio, made).values() if one > 0] if made else []
    return (median(logged) if logged else 0.0), len(logged)


def own_hand(studio: Studio, design: int) -> float | None:
    """Return the hand time of one piece to plan with [s]; None before enough are logged.

    Parameters
    ----------
    studio : Studio
        The studio.
    design : int
        Row of the design.
    """
    hand, pieces = logged_hand(studio, design)
    return hand if pieces >= ENOUGH else None
