"""How long it took last time: the last good firing of the same kind in the same kiln."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from sqlalchemy import exists, func, select

from enamelwright.craft.coat import STAGES
from enamelwright.records.schema.kilns import kiln as kiln_table
from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.schema.loads import load_piece, prediction
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.writing import current, first_of
from enamelwright.workshop.named import in_use
from enamelwright.workshop.studio import Studio

#: Firings looked through for one of the same kind, the newest first.
LOOK_BACK = 120
#: Settings further apart than this are another firing [K] (judgement).
SAME_SETTING = 8.0


@dataclass(frozen=True)
class LastTime:
    """One firing of the same kind.

    Attributes
    ----------
    seconds : float
        In the kiln [s].
    stage : str
        Seen when it came out.
    piece, load : str
        Numbers.
    """

    seconds: float
    stage: str
    piece: str
    load: str


def last_time(
    studio: Studio,
    piece: Mapping[str, Any],
    firing: Mapping[str, Any],
    *,
    kiln: int | None = None,
    set_point: float | None = None,
    before: str | None = None,
    other_than: int | None = None,
) -> LastTime | None:
    """Return the last good firing of the same kind in a kiln; None when there was none.

    Of the same kind is a firing that lays the same jars on the same metal, to the same stage, at the same setting.

    Parameters
    ----------
    studio : Studio
        The studio.
    piece : mapping
        The piece as it is planned, as a piece file has it.
    firing : mapping
        The firing as the plan has it: `lays`, `target`, `flash` and its `window`.
    kiln : int, optional
        Row of the kiln; the only one in use when left out.
    set_point : float, optional
        The setting [K]; as the plan has it when left out.
    before : str, optional
        Only firings before this moment.
    other_than : int, optional
        Row of a load that does not count.
    """
    inside, newer_place, newer_told = load_piece.c, load_piece.alias(), prediction.alias()
    point = set_point if set_point is not None else _point(firing)
    wanted = _kind(piece, firing)
    if not wanted[1]:
        return None  # nothing is laid: any time would be another piece's
    with studio.reading() as connection:
        if kiln is None:
            kilns = connection.execute(select(kiln_table.c.id).where(in_use(kiln_table)).limit(2)).scalars().all()
            kiln = kilns[0] if len(kilns) == 1 else None
        loads = load_table.c
        asked = (
            current(
                load_table, loads.number, loads.seconds, loads.stage_seen,
                inside.seconds.label("piece_seconds"), inside.stage_seen.label("piece_stage"),
                piece_table.c.number.label("piece_number"), prediction.c.asked, prediction.c.figures,
            )
            .join(load_piece, inside.load == first_of(load_table))
            .join(piece_table, piece_table.c.id == inside.piece)
            .join(prediction, (prediction.c.load == first_of(load_table)) & (prediction.c.piece == inside.piece))
            .where(
                inside.withdrawn == False, ~exists().where(newer_place.c.corrects == inside.id),  # noqa: E712 - SQL
                prediction.c.withdrawn == False,  # noqa: E712 - SQL, not Python
                ~exists().where(newer_told.c.corrects == prediction.c.id),
                func.coalesce(inside.do_not_learn, 0) == 0, func.coalesce(loads.interrupted, 0) == 0,
                loads.closed_at.is_not(None), loads.kiln == kiln,
            )
            .order_by(loads.at.desc(), loads.id.desc())
            .limit(LOOK_BACK)
        )  # fmt: skip
        if point is not None:
            near = loads.set_point.between(point - SAME_SETTING, point + SAME_SETTING)
            asked = asked.where(loads.set_point.is_(None) | near)
        if before is not None:
            asked = asked.where(loads.at < before)
        if other_than is not None:
            asked = asked.where(first_of(load_table) != other_than)
        for row in connection.execute(asked):
            seconds = row.piece_seconds if row.piece_seconds is not None else row.seconds
            stage = row.piece_stage or row.stage_seen
            told = (row.figures or {}).get("firing") or {}
            if not seconds or not stage or not _reached(stage, str(firing.get("target") or "")):
                continue
            if _kind((row.asked or {}).get("piece") or {}, told) == wanted:
                return LastTime(float(seconds), stage, row.piece_number, row.number)
    return None


def _kind(piece: Mapping[str, Any], firing: Mapping[str, Any]) -> tuple[Any, ...]:
    """Return what makes firings alike: metal, jars laid, stage aimed at, and whether it is a flash."""
    coats = list(piece.get("coats") or ())
    jars = sorted({str(dict(coats[n]).get("jar", "")) for n in firing.get("lays") or () if n < len(coats)})
    metal = piece.get("metal") or {}
    name = metal.get("kind", "") if isinstance(metal, Mapping) else metal
    target = str(firing.get("target") or "")
    # Clear glass planned to gloss and to clear is the same firing: which of them it came to is told by the stage seen.
    return (str(name), tuple(jars), "gloss" if target == "cleared" else target, bool(firing.get("flash")))


def _point(firing: Mapping[str, Any]) -> float | None:
    point = (firing.get("window") or {}).get("set_point") or {}
    return point.get("value")


def _reached(stage: str, target: str) -> bool:
    """Tell whether it came out as it should: at the stage aimed at, or cleared where gloss was wanted."""
    return stage in STAGES and (stage == target or (target == "gloss" and stage == "cleared"))
