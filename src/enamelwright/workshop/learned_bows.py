"""What measured bows of strips and discs with glass on one face teach of each jar on each metal."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace
from math import pi, sqrt
from typing import Any

from sqlalchemy import Row, select

from enamelwright.craft.bench import Bench
from enamelwright.craft.bow_reading import BowReading, taught_by
from enamelwright.craft.coat import Coat
from enamelwright.craft.glass_of_jar import glass_of
from enamelwright.craft.learned_bow import LearnedBow
from enamelwright.craft.metal import metal
from enamelwright.craft.piece import Circle, Piece, Sheet
from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.records.schema.coats import coat_laid
from enamelwright.records.schema.jars import jar as jar_table
from enamelwright.records.schema.pieces import measure as measure_table
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.writing import current
from enamelwright.workshop.designs import version_row
from enamelwright.workshop.kept_learned import Taught
from enamelwright.workshop.named import within
from enamelwright.workshop.studio import Studio

#: A bow read over less than this share of a disc is read over a part of it and is scaled to the whole.
WHOLE = 0.95
#: A rectangle so many times longer than wide bows like a strip (judgement), and how designs call it.
NARROW, RECTANGLE = 4.0, "rounded rectangle"
#: Metres in a millimetre, by which designs tell sides.
MM = 1e-3
#: Readings of a jar of which each sign is tried turned by itself, at most.
MOST_TURNED = 8
#: A piece without a drawing is a disc if the bow was read over the diameter of one of its weight, within this share.
ACROSS = 0.05


def learned_bows(studio: Studio, known: Bench) -> Taught[LearnedBow]:
    """Return what bows teach, one a metal and jar, the readings each stands on, and why others teach nothing.

    Parameters
    ----------
    studio : Studio
        The studio.
    known : Bench
        Its jars.
    """
    with studio.reading() as connection:
        bows = list(
            connection.execute(current(measure_table).where(measure_table.c.what == "bow").order_by(measure_table.c.at))
        )
        wanted = {one.piece for one in bows}
        pieces = {
            row.id: row for row in connection.execute(select(piece_table).where(within(piece_table.c.id, wanted)))
        }
        coats: dict[int, list[Row[Any]]] = {}
        for coat in connection.execute(
            current(coat_laid).where(within(coat_laid.c.piece, wanted)).order_by(coat_laid.c.at)
        ):
            coats.setdefault(coat.piece, []).append(coat)
        codes = {row.id: row.code for row in connection.execute(select(jar_table.c.id, jar_table.c.code))}
    readings: dict[tuple[str, str], list[BowReading]] = {}
    named: dict[tuple[str, str], list[str]] = {}
    left_out: Counter[str] = Counter()
    for bow in {one.piece: one for one in bows}.values():  # the last of each piece
        laid = [one for one in coats.get(bow.piece, []) if (one.at or "") <= bow.at]
        try:
            key, reading = _reading(studio, bow, pieces[bow.piece], laid, codes, known)
            readings.setdefault(key, []).append(reading)
            named.setdefault(key, []).append(pieces[bow.piece].label or pieces[bow.piece].number)
        except InputError as error:
            left_out[error.message] += 1
        except EnamelwrightError:
            left_out["metal or jar are not described"] += 1
    found, records = [], []
    for (stuff, jar), mine in sorted(readings.items()):
        try:
            found.append(taught_by(stuff, jar, mine))
            records.append(tuple(one.record for one in mine))
        except EnamelwrightError as error:
            why = getattr(error, "message", str(error))
            left_out[_doubted(stuff, jar, mine, named[stuff, jar], why)] += len(mine)
    return Taught(tuple(found), tuple(records), dict(left_out))


def _doubted(stuff: str, jar: str, mine: Sequence[BowReading], names: Sequence[str], why: str) -> str:
    """Say why the readings of one jar on one metal teach nothing: which pieces, and whether a sign looks turned."""
    said = f"{jar} on {metal(stuff).id.replace('_', ' ')}, {', '.join(names)}: {why.rstrip('.')}"
    ways = {"of all of them": set(range(len(mine)))}
    if 1 < len(mine) <= MOST_TURNED:
        ways |= {f"of {name}": {n} for n, name in enumerate(names)}
    for which, turned in ways.items():
        other = [replace(one, bow=-one.bow) if n in turned else one for n, one in enumerate(mine)]
        try:
            taught_by(stuff, jar, other)
        except EnamelwrightError:
            continue
        return (
            f"{said}; with the sign {which} turned they would. A front that is hollow bows minus: was that written so?"
        )
    return f"{said}. Look at the jar, the metal and what was weighed"


def _reading(
    studio: Studio, bow: Row[Any], row: Row[Any], laid: Sequence[Row[Any]], codes: dict[int, str], known: Bench
) -> tuple[tuple[str, str], BowReading]:
    """Make a reading of one measured piece; InputError says why it teaches nothing."""
    if bow.load is None or bow.length is None or not laid:
        raise InputError("not fired, or no coat was written down")
    if len({one.face for one in laid}) > 1 or laid[0].face not in {"front", "back"}:
        raise InputError("glass on both faces")
    if len({one.jar for one in laid}) > 1 or laid[0].jar not in codes:
        raise InputError("several jars on it")
    if not (row.metal and row.thickness and row.metal_mass) or not all(one.on_piece for one in laid):
        raise InputError("bare piece or coats were not weighed")
    drawn = {} if row.design_version is None else version_row(studio, row.design_version).piece
    if drawn.get("dome_mm"):
        raise InputError("domed: its shape holds it")
    stuff, code = metal(row.metal), codes[laid[0].jar]
    jar = known.jar(code)
    area = row.metal_mass / (stuff.density.value * row.thickness)
    across = sqrt(4 * area / pi)
    glass = glass_of(jar).density.value * area
    hand = laid[0].who or 0
    piece = Piece(
        name=row.label or row.number,
        metal=Sheet(kind=stuff.id, thickness=row.thickness),
        outline=Circle(shape="circle", diameter=across),
        coats=tuple(Coat(face=one.face, jar=jar.id, fired_thickness=one.on_piece / glass) for one in laid),
    )
    if row.kind == "strip":
        if not bow.over:
            raise InputError("nobody said over which length the bow was read")
        return (stuff.id, jar.id), BowReading(piece, bow.length, bow.over, bow.id, hand, known)
    long = _narrow(drawn)
    if long:
        return (stuff.id, jar.id), BowReading(piece, bow.length, bow.over or long, bow.id, hand, known)
    _check_round(drawn, bow.over, across)
    part = bow.over / across if bow.over and bow.over < WHOLE * across else 1.0
    return (stuff.id, jar.id), BowReading(piece, bow.length / part**2, None, bow.id, hand, known)


def _narrow(drawn: Mapping[str, Any]) -> float:
    """Return the length of a piece that is a narrow rectangle by its design, as it bows like a strip; else nought."""
    outline = drawn.get("outline") or {}
    sides = sorted(float(outline.get(side) or 0.0) * MM for side in ("width_mm", "height_mm"))
    return sides[1] if outline.get("shape") == RECTANGLE and sides[1] >= NARROW * sides[0] > 0 else 0.0


def _check_round(drawn: Mapping[str, Any], over: float | None, across: float) -> None:
    """Refuse what is no disc: by its design, else by the length its bow was read over."""
    if drawn:
        if (drawn.get("outline") or {}).get("shape") != "circle":
            raise InputError("neither a disc nor a narrow strip by its design")
    elif not over or abs(over / across - 1) > ACROSS:
        raise InputError("not known to be a disc: no design, and the bow was not read right across one of its weight")
