"""A piece as its coats were really laid: without a plan by what is written down of it, with one by its weights."""

from __future__ import annotations

from math import pi, sqrt
from typing import Any, get_args

from sqlalchemy import Row, select

from enamelwright.craft.coat import AMOUNTS, Coat, Method
from enamelwright.craft.metal import metal
from enamelwright.craft.piece import Circle, Piece, Sheet
from enamelwright.craft.plan import Plan
from enamelwright.errors import EnamelwrightError
from enamelwright.records.schema.coats import coat_laid
from enamelwright.records.schema.jars import jar as jar_table
from enamelwright.records.writing import current
from enamelwright.workshop.plan_firings import NextFiring, order_of
from enamelwright.workshop.studio import Studio

#: Diameters of blanks known by their weight are told to this [m].
STEP = 1e-4


def piece_as_laid(studio: Studio, row: Row[Any], at: str | None = None) -> Piece | None:
    """Describe a piece by its metal and the coats laid on it; None where too little is written down.

    A blank known only by its weight is taken as a disc. Coats on rims and in cells are not told apart, so a piece
    that has any is left alone.

    Parameters
    ----------
    studio : Studio
        The studio.
    row : Row
        Of the piece.
    at : str, optional
        Coats laid up to then, as the record writes moments; all when left out.
    """
    if not (row.metal and row.thickness and row.metal_mass):
        return None
    laid = current(coat_laid).where(coat_laid.c.piece == row.id)
    if at:
        laid = laid.where(coat_laid.c.at <= at)
    with studio.reading() as connection:
        coats = list(connection.execute(laid.order_by(coat_laid.c.at, coat_laid.c.id)))
        codes = {one.id: one.code for one in connection.execute(select(jar_table.c.id, jar_table.c.code))}
    if not coats or any(one.jar is None or one.cell or one.face not in {"front", "back"} for one in coats):
        return None
    try:
        density = metal(row.metal).density.value
        area = row.metal_mass / (density * row.thickness)
        across = round(sqrt(4 * area / pi) / STEP) * STEP
        return Piece(
            name=row.label or row.number,
            metal=Sheet(kind=row.metal, thickness=row.thickness),
            outline=Circle(shape="circle", diameter=across),
            coats=tuple(_coat(one, codes[one.jar]) for one in coats),
        )
    except (ValueError, EnamelwrightError):
        return None


def _coat(one: Row[Any], code: str) -> Coat:
    amount: dict[str, Any] = {}
    if one.powder_depth:
        amount["powder_depth"] = one.powder_depth
    elif one.weighed_out:
        amount["weight"] = one.weighed_out
    how = {"method": one.method} if one.method in get_args(Method) else {}
    mesh = {"mesh": one.mesh} if one.mesh else {}
    return Coat(face=one.face, jar=code, **amount, **how, **mesh)


def piece_as_weighed(plan: Plan, coming: NextFiring) -> Piece | None:
    """Return a planned piece with its coats as heavy as they were weighed; None where all lie inside the plan's bands.

    Coats in cells, laid several times or not weighed stay as planned.

    Parameters
    ----------
    plan : Plan
        Of the piece.
    coming : NextFiring
        What is written down of it.
    """
    order, grams = order_of(plan), dict[int, float]()
    for laid in coming.past.coats:
        places = order.places(laid)
        if len(places) == 1 and laid.on_piece and not laid.cell:
            (place,) = places
            grams[place] = grams.get(place, 0.0) + laid.on_piece
    off = False
    coats = list(plan.piece.coats)
    for weight in plan.weights:
        coat, found = coats[weight.coat], grams.get(weight.coat)
        if found is None or coat.times > 1 or coat.cells or coat.fill is not None or not weight.on_piece.value:
            continue
        off = off or not weight.on_piece.low <= found <= weight.on_piece.high
        thickness = weight.fired_thickness.value * found / weight.on_piece.value
        coats[weight.coat] = coat.model_copy(update={**dict.fromkeys(AMOUNTS), "fired_thickness": thickness})
    return plan.piece.model_copy(update={"coats": tuple(coats)}) if off else None
