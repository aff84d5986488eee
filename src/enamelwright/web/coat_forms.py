"""From the form of one coat to what is said of it, and one step of its amount."""

from __future__ import annotations

import re
from typing import Any

from starlette.datastructures import FormData

from enamelwright.craft.coat import AMOUNTS
from enamelwright.errors import InputError

#: Ways to say how much that are a number with a unit, and the unit they are told in.
MEASURED: dict[str, str] = {"powder_depth": "mm", "fired_thickness": "mm", "weight": "g"}
#: One press of - or +, in the unit the way is told in.
STEPS: dict[str, float] = {"powder_depth": 0.02, "fired_thickness": 0.01, "weight": 0.02, "siftings": 1}
#: What the slider reaches, in the unit the way is told in; more can be typed.
SLIDER: dict[str, tuple[float, float, float]] = {
    "powder_depth": (0.02, 1.2, 0.01),
    "fired_thickness": (0.01, 0.8, 0.005),
    "weight": (0.01, 2.0, 0.01),
    "siftings": (1, 10, 1),
}
_PLAIN = re.compile(r"^\d{0,6}([.,]\d{0,6})?$")
_FLAGS = ("with_previous", "fired", "scratched", "stencil", "stone_after")


def plain_number(text: str) -> float | None:
    """Read a number without a unit, with a point or a comma; None when it is something else."""
    text = text.strip()
    if not text or not _PLAIN.match(text) or text in {".", ","}:
        return None
    return float(text.replace(",", "."))


def in_millimetres(key: str, text: str) -> dict[str, Any]:
    """Return a length of a form in the outside form: a bare number counts in mm, anything else as it is written.

    Parameters
    ----------
    key : str
        Name of the length.
    text : str
        As typed.
    """
    number = plain_number(text)
    return {f"{key}_mm": number} if number is not None else {key: text}


def amount_of(by: str, text: str) -> dict[str, Any]:
    """Return what a coat says of its amount.

    Parameters
    ----------
    by : str
        One of the ways of :class:`Coat`, ``look thin`` and the like, or ``usual``.
    text : str
        As typed; a bare number is in the unit the form shows.

    Raises
    ------
    InputError
        When it is no amount.
    """
    if by.startswith("look "):
        return {"look": by.removeprefix("look ")}
    if by == "fill":
        return {"fill": "to level"}
    if by == "usual":
        # Nothing is said, so what was said is taken out.
        return dict.fromkeys(AMOUNTS)
    number = plain_number(text)
    if by == "siftings":
        if number is None or number != int(number):
            raise InputError("siftings are counted.", "Write a whole number.", "amount")
        return {"siftings": int(number)}
    if by not in MEASURED:
        raise InputError(f"'{by[:20]}' is no way to say how much.", "Choose one of the list.", "amount")
    if not text.strip():
        raise InputError("the amount is empty.", "Write a number, or choose the usual amount.", "amount")
    return {f"{by}_{MEASURED[by]}": number} if number is not None else {by: text.strip()}


def changes_of(form: FormData) -> dict[str, Any]:
    """Return everything the form of one coat says, in the outside form; None takes a key out.

    Parameters
    ----------
    form : FormData
        As sent.
    """
    changes: dict[str, Any] = {}
    by = str(form.get("by", ""))
    if by:
        changes |= amount_of(by, str(form.get("amount", "")))
    if form.get("jar"):
        changes["jar"] = str(form["jar"])
    if form.get("times"):
        changes["times"] = _count(str(form["times"]), "times")
    if "method" in form:
        changes["method"] = str(form["method"]) or None
    if form.get("rest") == "1":
        changes["target"] = str(form.get("target", "")) or None
        changes["mesh"] = _count(str(form["mesh"]), "mesh") if str(form.get("mesh", "")).strip() else None
        changes["share"] = _share(str(form.get("share", "")))
        changes["colour"] = str(form.get("colour", "")) or None
        changes["note"] = str(form.get("note", "")) or None
        for flag in _FLAGS:
            changes[flag] = True if flag in form else None
    if form.get("has_cells") == "1":
        changes["cells"] = [str(name) for name in form.getlist("cells")] or None
    return changes


def stepped(form: FormData, direction: int) -> dict[str, Any]:
    """Return the amount one step larger or smaller, for browsers without scripts.

    Parameters
    ----------
    form : FormData
        As sent.
    direction : int
        1 or -1.
    """
    by = str(form.get("by", ""))
    number = plain_number(str(form.get("amount", "")))
    if by not in STEPS or number is None:
        raise InputError("there is no number to step.", "Choose how the amount is told, and write it.", "amount")
    low = SLIDER[by][0]
    return amount_of(by, f"{max(low, number + direction * STEPS[by]):.4g}")


def _count(text: str, where: str) -> int:
    try:
        return int(text)
    except ValueError as error:
        raise InputError(f"'{text[:20]}' is no whole number.", "Write one.", where) from error


def _share(text: str) -> float | None:
    """Read a share of the face in per cent; nothing for the whole face."""
    if not text.strip():
        return None
    number = plain_number(text.strip().removesuffix("%").strip())
    if number is None:
        raise InputError(f"'{text[:20]}' is no share of the face.", "Write per cent, such as 30.", "share")
    whole = 100
    return number / whole if number < whole else None
