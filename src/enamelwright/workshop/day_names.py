"""What pieces of a plan are called where many are named at once: short, in order, and none left out."""

from __future__ import annotations

import re
from collections.abc import Sequence

from enamelwright.workshop.day_kept import KeptPlan

#: So many numbers one after the other are written as from one to another.
FROM_TO = 3
_NUMBER = re.compile(r"(\d+)")


def piece_names(names: Sequence[str], plan: KeptPlan | None = None) -> str:
    """Write names of pieces in order, and of a class whose they are.

    The year before a number is told once; numbers that follow on are told as from one to another.

    Parameters
    ----------
    names : sequence of str
        As the plan calls them.
    plan : KeptPlan, optional
        Where it is told whose they are.
    """
    rows: list[list[tuple[str, str, str]]] = []
    for name in sorted(names, key=_in_order):
        year, dash, rest = name.partition("-")
        year, rest = (year, rest) if dash and year.isdecimal() else ("", name)
        owner = plan.about(name).get("owner", "") if plan is not None else ""
        one = (year, rest, f" ({owner})" if owner else "")
        if rows and _follows(rows[-1][-1], one):
            rows[-1].append(one)
        else:
            rows.append([one])
    told, year = [], ""
    for row in rows:
        from_to = len(row) >= FROM_TO
        words = []
        for n, (own, rest, whose) in enumerate((row[0], row[-1]) if from_to else row):
            short = _numbered(rest)[1] if from_to and n else rest
            words.append((f"{own}-" if own and own != year else "") + short + whose)
            year = own or year
        told.append(" to ".join(words) if from_to else ", ".join(words))
    return ", ".join(told)


def _in_order(name: str) -> list[str | int]:
    """Return what names are put in order by: numbers within them as numbers."""
    return [int(part) if n % 2 else part for n, part in enumerate(_NUMBER.split(name))]


def _follows(one: tuple[str, str, str], other: tuple[str, str, str]) -> bool:
    """Whether a name is the next one: the same words and the next number, of nobody in particular."""
    (before, number), (after, following) = _numbered(one[1]), _numbered(other[1])
    if one[0] != other[0] or before != after or one[2] or other[2]:
        return False
    return bool(number and following) and int(following) == int(number) + 1


def _numbered(name: str) -> tuple[str, str]:
    """Return what stands before the number a name ends with, and that number; no number where it ends with none."""
    number = name[len(name.rstrip("0123456789")) :]
    return name[: len(name) - len(number)], number
