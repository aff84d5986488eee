"""Edits to the coats of a piece: lay one more, take one off, move it, turn it over; each gives a new piece."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from enamelwright.craft.coat import AMOUNTS, Coat, Face
from enamelwright.craft.piece import Intended, Piece
from enamelwright.errors import InputError

#: Keys of a coat that say how much of it there is, whatever their unit.
_AMOUNT_KEYS = AMOUNTS


def coat_at(piece: Piece, number: int) -> Coat:
    """Return a coat by its number in the file, from 0.

    Raises
    ------
    InputError
        When there is no such coat.
    """
    if not 0 <= number < len(piece.coats):
        raise InputError(f"there is no coat {number + 1}.", "It may have been taken off; open the page again.")
    return piece.coats[number]


def place_of(piece: Piece, number: int) -> int:
    """Return where a coat lies on its face, from 1 at the metal.

    Parameters
    ----------
    piece : Piece
        The piece.
    number : int
        Number of the coat in the file, from 0.
    """
    face = coat_at(piece, number).face
    return sum(1 for coat in piece.coats[: number + 1] if coat.face == face)


def lay(piece: Piece, face: Face, jar: str, place: int | None = None) -> tuple[Piece, int]:
    """Lay one more coat.

    Parameters
    ----------
    piece : Piece
        The piece.
    face : str
        Face it lies on.
    jar : str
        Its jar.
    place : int, optional
        Where on its face from 1 at the metal; outermost when left out.

    Returns
    -------
    tuple
        The piece and the number of the new coat.
    """
    mine = piece.coats_on(face)
    spot = len(mine) + 1 if place is None else max(1, min(place, len(mine) + 1))
    number = mine[spot - 2][0] + 1 if spot > 1 else (mine[0][0] if mine else _first_free(piece, face))
    like = mine[spot - 2][1] if spot > 1 else (mine[0][1] if mine else None)
    fresh: dict[str, Any] = {"face": face, "jar": jar}
    if like is not None:
        fresh["method"] = like.method
        fresh["cells"] = list(like.cells)
    coats = [coat.to_outside() for coat in piece.coats]
    coats.insert(number, fresh)
    shift = {"front": (spot, 1)}.get(face)
    return _rebuilt(piece, coats, shift), number


def _first_free(piece: Piece, face: Face) -> int:
    """Return where the first coat of a bare face stands in the file: the back before the front."""
    return 0 if face == "back" else len(piece.coats)


def take_off(piece: Piece, number: int) -> Piece:
    """Take a coat off; wires and foils over it come down by one."""
    coat = coat_at(piece, number)
    place = place_of(piece, number)
    coats = [other.to_outside() for other in piece.coats]
    del coats[number]
    return _rebuilt(piece, coats, (place, -1) if coat.face == "front" else None)


def move(piece: Piece, number: int, outward: bool) -> tuple[Piece, int]:
    """Change places with the next coat on the same face.

    Parameters
    ----------
    piece : Piece
        The piece.
    number : int
        Number of the coat, from 0.
    outward : bool
        Away from the metal, or towards it.

    Returns
    -------
    tuple
        The piece and the coat's new number; unchanged at the end of the stack.
    """
    mine = [n for n, _ in piece.coats_on(coat_at(piece, number).face)]
    at = mine.index(number) + (1 if outward else -1)
    if not 0 <= at < len(mine):
        return piece, number
    coats = [coat.to_outside() for coat in piece.coats]
    coats[number], coats[mine[at]] = coats[mine[at]], coats[number]
    return _rebuilt(piece, coats, None), mine[at]


def turn_over(piece: Piece, number: int) -> tuple[Piece, int]:
    """Lay a coat on the other face instead, outermost there; cells belong to the front alone."""
    coat = coat_at(piece, number)
    bare = take_off(piece, number)
    face: Face = "back" if coat.face == "front" else "front"
    laid, at = lay(bare, face, coat.jar)
    given = coat.to_outside() | {"face": face}
    if face == "back":
        given.pop("cells", None)
    given.pop("with_previous", None)
    coats = [other.to_outside() for other in laid.coats]
    coats[at] = given
    return _rebuilt(laid, coats, None), at


def change(piece: Piece, number: int, changes: Mapping[str, Any]) -> Piece:
    """Change what is said of one coat.

    Parameters
    ----------
    piece : Piece
        The piece.
    number : int
        Number of the coat, from 0.
    changes : mapping
        In the outside form; None takes a key out. A new amount replaces the old one, however that was given.
    """
    coat_at(piece, number)
    return Piece.from_outside(changed(piece.to_outside(), number, changes))


def changed(stack: Mapping[str, Any], number: int, changes: Mapping[str, Any]) -> dict[str, Any]:
    """Change what is said of one coat of a piece that is still in the outside form, which saves reading it twice.

    Parameters
    ----------
    stack : mapping
        The piece in the outside form; it stays as it is.
    number : int
        Number of the coat, from 0.
    changes : mapping
        As for :func:`change`.

    Raises
    ------
    InputError
        When there is no such coat.
    """
    coats = stack.get("coats")
    if not isinstance(coats, list) or not 0 <= number < len(coats) or not isinstance(coats[number], Mapping):
        raise InputError(f"there is no coat {number + 1}.", "It may have been taken off; open the page again.")
    given = dict(coats[number])
    if any(key.startswith(_AMOUNT_KEYS) for key in changes):
        given = {key: value for key, value in given.items() if not key.startswith(_AMOUNT_KEYS)}
    given |= changes
    coat = {key: value for key, value in given.items() if value is not None}
    return {**stack, "coats": [*coats[:number], coat, *coats[number + 1 :]]}


def fit_cells(piece: Piece, outline: Mapping[str, Any], names: set[str], **more: Any) -> tuple[Piece, tuple[str, ...]]:
    """Give a piece another outline; a coat whose cells are not in it covers the whole face from now on.

    Parameters
    ----------
    piece : Piece
        The piece.
    outline : mapping
        In the outside form.
    names : set of str
        Cells the new outline has.
    **more
        Other fields of the piece that change with it, in the outside form; None takes one out.

    Returns
    -------
    tuple
        The piece, and the names of cells that are gone.
    """
    outside = {**piece.to_outside(), "outline": dict(outline), **more}
    outside = {key: value for key, value in outside.items() if value is not None}
    known = names | {str(cell["name"]) for cell in outside.get("cells", ())}
    gone: dict[str, None] = {}
    for coat in outside.get("coats", ()):
        cells = coat.get("cells", [])
        gone |= dict.fromkeys(name for name in cells if name not in known)
        kept = [name for name in cells if name in known]
        coat.pop("cells", None)
        if kept:
            coat["cells"] = kept
    return Piece.from_outside(outside), tuple(gone)


def intend(piece: Piece, rule: str, note: str = "") -> Piece:
    """Say that a warning is meant, or no longer; it stays visible either way.

    Parameters
    ----------
    piece : Piece
        The piece.
    rule : str
        The rule; when it is meant already, it no longer is.
    note : str
        Why.
    """
    others = tuple(mark for mark in piece.intended if mark.rule != rule)
    if len(others) == len(piece.intended):
        others = (*others, Intended.from_outside({"rule": rule, "note": note}))
    return Piece.from_outside({**piece.to_outside(), "intended": [mark.to_outside() for mark in others]})


def _rebuilt(piece: Piece, coats: list[dict[str, Any]], shift: tuple[int, int] | None) -> Piece:
    """Build the piece anew with other coats; `shift` moves what stands on front coats from a place outward."""
    outside = piece.to_outside()
    for coat in coats[:1]:
        coat.pop("with_previous", None)
    outside["coats"] = coats
    if shift is not None:
        place, step = shift
        for name in ("wires", "foils"):
            things = []
            for thing in getattr(piece, name):
                under = thing.after_coat + (step if thing.after_coat >= place else 0)
                things.append({**thing.to_outside(), "after_coat": max(0, under)})
            if things:
                outside[name] = things
    return Piece.from_outside(outside)
