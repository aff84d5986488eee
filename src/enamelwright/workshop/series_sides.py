"""Left and right of a series: which blanks are cut mirrored, and what the pieces are called."""

from __future__ import annotations

from collections.abc import Mapping

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


def by_design(counts: Mapping[str, int], names: list[str]) -> dict[str, int]:
    """Count blanks by their design, those cut mirrored with the others.

    Parameters
    ----------
    counts : mapping of str to int
        Blanks by the names of :func:`as_cut`.
    names : list of str
        Of the designs.
    """
    other = {_other(one): one for one in names}
    found: dict[str, int] = {}
    for name, count in counts.items():
        design = name if name in names else other.get(name, name)
        found[design] = found.get(design, 0) + count
    return found


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
