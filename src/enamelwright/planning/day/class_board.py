"""A class around one kiln: what is in it, whose, until when, and who comes next."""

from __future__ import annotations

from dataclasses import dataclass

from enamelwright.planning.day.checker import Block
from enamelwright.planning.day.problem import Problem


@dataclass(frozen=True)
class Turn:
    """One load on the board.

    Parameters
    ----------
    block : Block
        Which one.
    pieces, owners : tuple of str
        What is in it, and whose it is.
    family : str
        Heat, time and support.
    goes_in, comes_out : int
        On the clock.
    """

    block: Block
    pieces: tuple[str, ...]
    owners: tuple[str, ...]
    family: str
    goes_in: int
    comes_out: int


@dataclass(frozen=True)
class Board:
    """The page that runs during a class.

    Parameters
    ----------
    now : int
        On the clock.
    inside : tuple of Turn
        In a kiln.
    queue : tuple of Turn
        To come, in order.
    after : tuple of Turn
        Done, the latest first.
    meanwhile : tuple of (str, str, int)
        (person, what, until) at the bench.
    ends : int
        When the last block ends, on the clock.
    """

    now: int
    inside: tuple[Turn, ...]
    queue: tuple[Turn, ...]
    after: tuple[Turn, ...]
    meanwhile: tuple[tuple[str, str, int], ...]
    ends: int


def board(problem: Problem, blocks: tuple[Block, ...], now: int) -> Board:
    """Read the plan as it stands at one moment.

    Parameters
    ----------
    problem : Problem
        With its pieces; in a class the skill of a bench step is its owner's label.
    blocks : tuple of Block
        On the clock.
    now : int
        On the clock.
    """
    turns = [_turn(problem, block) for block in sorted(blocks, key=lambda block: block.start) if block.kiln >= 0]
    work = [block for block in blocks if block.kiln < 0 and block.start <= now < block.end]
    meanwhile = tuple(
        (
            problem.people[block.people[0]].name,
            f"{problem.step(block.members[0]).words}, {_name(problem, block.members[0][0])}",
            block.end,
        )
        for block in work
        if block.people
    )
    return Board(
        now,
        tuple(turn for turn in turns if turn.goes_in <= now < turn.comes_out),
        tuple(turn for turn in turns if turn.goes_in > now),
        tuple(turn for turn in reversed(turns) if turn.comes_out <= now),
        meanwhile,
        max((block.end for block in blocks), default=now),
    )


def _name(problem: Problem, piece: int) -> str:
    return problem.pieces[piece].name


def _owner(problem: Problem, piece: int) -> str:
    skills = [step.skill for step in problem.pieces[piece].steps if step.skill]
    return skills[0] if skills else ""


def _turn(problem: Problem, block: Block) -> Turn:
    numbers = [number for number, _ in block.members]
    return Turn(
        block,
        tuple(_name(problem, number) for number in numbers),
        tuple(dict.fromkeys(_owner(problem, number) for number in numbers if _owner(problem, number))),
        problem.families[block.family].name,
        block.start,
        block.end,
    )
