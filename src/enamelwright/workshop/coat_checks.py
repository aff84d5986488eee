"""What is asked before a coat is written down: slips of the balance and of the finger."""

from __future__ import annotations

from typing import Any, get_args

from sqlalchemy import Row

from enamelwright import units
from enamelwright.craft.coat import Method
from enamelwright.errors import EnamelwrightError, InputError, UnknownName
from enamelwright.records.schema.coats import coat_laid
from enamelwright.workshop.coats import coats_without_firing
from enamelwright.workshop.designs import version_row
from enamelwright.workshop.jars import jar_row
from enamelwright.workshop.named import Which
from enamelwright.workshop.pieces import DONE, piece_row
from enamelwright.workshop.predictions import plan_of
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.typed import Quantity, fields

#: More than so many times what is planned is taken for a slip until somebody says it is meant (judgement).
FAR_OVER = 10.0


def check_coat(
    studio: Studio,
    piece: Which,
    jar: Which,
    *,
    coat: int | None = None,
    face: str | None = None,
    cell: str | None = None,
    method: str = "",
    before: Quantity = None,
    after: Quantity = None,
    grams: Quantity = None,
    really: bool = False,
) -> list[str]:
    """Check a coat before it is laid, and return what is to be said of it.

    Parameters
    ----------
    studio : Studio
        The studio.
    piece, jar : int or str
        As for :func:`enamelwright.workshop.coats.lay_coat`.
    coat : int, optional
        Number of the coat in the design, from 1.
    face, cell : str, optional
        Where it lies.
    method : str
        How it was laid.
    before, after, grams : quantity, optional
        Weighings.
    really : bool
        Whether an amount far from the plan is meant.

    Raises
    ------
    InputError
        For a weight that fell, an amount far over the plan, or a method nobody knows.
    """
    if method.strip() and method.strip() not in get_args(Method):
        raise UnknownName.among("method", method.strip(), get_args(Method), "--method")
    row, jar_id = piece_row(studio, piece), jar_row(studio, jar).id
    told = fields(coat_laid, {"weighed_before": before, "weighed_after": after, "on_piece": grams})
    lighter = told["weighed_before"] is not None and told["weighed_after"] is not None
    if lighter and told["weighed_after"] < told["weighed_before"]:
        raise InputError("after the coat the piece is lighter than before.", "Look at both weights.", "--after")
    on_it = told["on_piece"]
    if on_it is None and lighter:
        on_it = told["weighed_after"] - told["weighed_before"]
    planned = _planned(studio, row, str(jar_row(studio, jar).code), coat, face)
    if on_it is not None and planned and on_it > FAR_OVER * planned and not really:
        raise InputError(
            f"{units.show(on_it, 'mass', 'g')} on a piece planned with {units.show(planned, 'mass', 'g')}.",
            "Look at the weights, or say --really.",
        )
    said = [words] if (words := over_already(row)) else []
    alike = [
        one
        for one in coats_without_firing(studio)
        if one.piece == row.id and (one.jar, one.face, one.cell, one.coat) == (jar_id, face, cell, coat)
    ]
    if alike:
        ids = ", ".join(str(one.of) for one in alike)
        said.append(
            f"The same coat is written down and not fired yet (entry {ids}); if it was one coat: "
            f"correct coat {alike[-1].of} --withdraw --why ..."
        )
    return said


def over_already(piece: Row[Any]) -> str:
    """Say it when nothing more was to be done to a piece; empty when it is in work.

    Parameters
    ----------
    piece : Row
        Of the table of pieces.
    """
    gone = {"sold", "given"}
    if piece.state not in DONE and piece.place not in gone:
        return ""
    where = f", {piece.place}" if piece.place in gone else ""
    return f"{piece.number} is {piece.state}{where}: look whether this is the right piece."


def _planned(studio: Studio, piece: Row[Any], code: str, coat: int | None, face: str | None) -> float | None:
    """Return the most the plan puts on the piece in one such coat [kg]; None where nothing is planned."""
    if piece.design_version is None:
        return None
    try:
        plan = plan_of(studio, version_row(studio, piece.design_version)).payload
    except EnamelwrightError:
        return None
    fitting = [
        one.on_piece.value
        for one in plan.weights
        if (coat is not None and one.coat == coat - 1)
        or (coat is None and one.jar.casefold() == code.casefold() and face in (None, one.face))
    ]
    return max(fitting or [one.on_piece.value for one in plan.weights], default=None)
