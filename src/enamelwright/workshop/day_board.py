"""The board of a class: whose pieces are in the kiln, who comes next, and when the last of theirs is out."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from enamelwright.workshop.day_kept import Block, KeptPlan, clock
from enamelwright.workshop.day_shown import lines_of
from enamelwright.workshop.studio import Studio

#: Whose a piece is that is no student's.
OURS = "workshop"


@dataclass(frozen=True)
class Turn:
    """One load on the board of a class.

    Parameters
    ----------
    block : Block
        Of the plan.
    owners : tuple of str
        Labels of whose it is; that of the workshop for what is no student's.
    state : str
        ``in``, ``next``, ``queue`` or ``out``.
    """

    block: Block
    owners: tuple[str, ...]
    state: str


@dataclass(frozen=True)
class Board:
    """The page that runs during a class.

    Parameters
    ----------
    turns : tuple of Turn
        Loads of the day with a student's piece, in order, those that are out after the others.
    meanwhile : tuple of (str, str, str)
        (who, work, until) at the bench.
    ends : str
        When the last of those loads is out; empty without one.
    ours : tuple of Turn
        Loads of the day that are only the workshop's.
    taught : bool
        Whether anything of the day is a student's; nothing is told otherwise.
    """

    turns: tuple[Turn, ...]
    meanwhile: tuple[tuple[str, str, str], ...]
    ends: str
    ours: tuple[Turn, ...] = ()
    taught: bool = True


def board_of(studio: Studio, plan: KeptPlan, inside: Mapping[str, str], day: str = "") -> Board:
    """Return the board of a day.

    Parameters
    ----------
    studio : Studio
        The studio.
    plan : KeptPlan
        The plan.
    inside : mapping of str to str
        Piece -> load it is in, by the record.
    day : str
        Its date; this day when left out.
    """
    now, today = studio.clock(), day or studio.today().isoformat()
    mine = [one for one in plan.every if one.day == today]
    if not any(plan.about(name).get("owner") for one in mine for name in one.pieces):
        return Board((), (), "", (), False)
    past = {one.members for one in plan.past}
    turns: list[Turn] = []
    ours: list[Turn] = []
    for block in (one for one in mine if one.kiln):
        owners = tuple(dict.fromkeys(plan.about(name).get("owner", "") or OURS for name in block.pieces))
        there = ours if set(owners) == {OURS} else turns
        if any(name in inside for name in block.pieces) and clock(block.start) <= now:
            state = "in"
        elif block.members in past:
            state = "out"
        else:
            state = "queue" if any(one.state in ("next", "queue") for one in there) else "next"
        there.append(Turn(block, owners, state))
    work = tuple(
        (", ".join(one.who), one.first.work, one.end[11:16])
        for one in lines_of(each for each in mine if not each.kiln and clock(each.start) <= now < clock(each.end))
    )  # fmt: skip
    ends = max((one.block.end[11:16] for one in turns), default="")
    turns.sort(key=lambda one: one.state == "out")
    return Board(tuple(turns), work, ends, tuple(ours))


def owners_of(plan: KeptPlan) -> tuple[str, ...]:
    """Return the labels of the students whose pieces are in a plan."""
    return tuple(sorted({about["owner"] for about in plan.content["pieces"].values() if about["owner"]}))
