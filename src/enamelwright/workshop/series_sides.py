"""Left and right of a series: which blanks are cut mirrored, and what the pieces are called."""

from __future__ import annotations

from collections.abc import Collection

from enamelwright.craft.description import LONGEST_NAME
from enamelwright.craft.outline_mirror import mirrored, own_mirror
from enamelwright.craft.outline_shape import Shape

#: What a blank that is cut mirrored is called after its design; what left and right pieces are called before their
#: number.
MIRRORED, SIDES = ", mirrored", ("L", "R")


def as_cut(name: str, shape: Shape, count: int, turned: int) -> list[tuple[str, Shape, int]]:
    """Return the blanks of a design as (name, outline, how many), those cut mirrored apart.

    Parameters
    ----------
    name : str
        Of the design.
    shape : Shape
        Its outline.
    count : int
        Blanks.
    turned : int
        Of them, for the other side; they are cut alike where the outline is its own mirror image.
    """
    turned = min(turned, count)
    if turned < 1 or own_mirror(shape):
        return [(name, shape, count)]
    other = (_other(name), mirrored(shape), turned)
    return [other] if turned == count else [(name, shape, count - turned), other]


def design_and_side(name: str, names: Collection[str]) -> tuple[str, bool]:
    """Return the design of a blank, and whether it is cut mirrored.

    Parameters
    ----------
    name : str
        Of the blank, as :func:`as_cut` calls it.
    names : collection of str
        Of the designs.
    """
    if name in names:
        return name, False
    return next(((one, True) for one in names if _other(one) == name), (name, False))


def _other(name: str) -> str:
    """Return what the blank of the other side is called."""
    return name[: LONGEST_NAME - len(MIRRORED)] + MIRRORED


def labels(count: int) -> list[str]:
    """Return what the pieces of pairs are called at the bench: L1, L2, ..., then R1, R2, ...

    Parameters
    ----------
    count : int
        Pieces, both sides together.
    """
    half = count // len(SIDES)
    return [f"{side}{n}" for side in SIDES for n in range(1, half + 1)]


def side_of(label: str | None, labels: Collection[str]) -> str:
    """Return which one of a pair a piece is, ``L`` or ``R``; empty when there is no other one of its number.

    Parameters
    ----------
    label : str or None
        What it is called at the bench.
    labels : collection of str
        What pieces of its design are called.
    """
    called = label or ""
    for mine, other in (SIDES, SIDES[::-1]):
        number = called.removeprefix(mine)
        if called == f"{mine}{number}" and number.isdecimal() and f"{other}{number}" in labels:
            return mine
    return ""
