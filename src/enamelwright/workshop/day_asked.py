"""The question of the day, put together from what waits and from how this workshop keeps its days."""

from __future__ import annotations

from datetime import timedelta
from typing import Any

from sqlalchemy import func, select

from enamelwright.planning.day.dates import read_date
from enamelwright.questions.day_forms import DayInput, DayKiln, DayPerson, DayPiece
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.workshop.day_habits import Away, DayHabits, habits, kilns_used, who_works
from enamelwright.workshop.day_progress import local
from enamelwright.workshop.day_waits import LABEL, WaitingPiece, Waits
from enamelwright.workshop.series_work import BAD, GOOD
from enamelwright.workshop.studio import Studio

#: Designs with their dates in one plan; those due later are planned later.
MOST_GROUPS = 200


def day_asked(studio: Studio, found: Waits, told: DayHabits | None = None, **more: Any) -> DayInput | None:
    """Return the question of the day; None when nothing waits.

    Parameters
    ----------
    studio : Studio
        The studio.
    found : Waits
        What waits.
    told : DayHabits, optional
        How days are kept, when it is at hand.
    **more
        Further fields of the question: `pins`, `kept`, `tries`, `windows`, `now`.
    """
    told = habits(studio) if told is None else told
    groups: dict[tuple[Any, ...], list[WaitingPiece]] = {}
    for one in found.pieces:
        if one.done < len(one.steps):
            groups.setdefault((one.version, one.due, one.owner, one.done, one.ready, one.after), []).append(one)
    if not groups:
        return None
    pieces = []
    planned_tiles = {one.name for one in found.pieces if one.is_tile and one.done < len(one.steps)}
    for (version, due, owner, done, ready, after), mine in sorted(
        list(groups.items())[:MOST_GROUPS], key=lambda group: group[0][0] >= 0
    ):
        piece = found.told[version].model_copy(update={"copies": len(mine)})
        pieces.append(
            DayPiece(
                piece=piece, label=piece.name[:LABEL], due=due or None, not_before=ready or None, done=done,
                owner=owner, names=tuple(one.name for one in mine),
                after=tuple(name for name in after if name in planned_tiles), hand=found.hands.get(version),
            )
        )  # fmt: skip
    away: dict[str, list[str]] = {}
    for gone in told.away:
        away.setdefault(gone.who, []).append(f"{gone.start} to {gone.end}")
    names, begun = kilns_used(studio, told), local(studio.clock())
    busy = dict(found.kilns)
    for name in names:  # one that is mended takes nothing until it is back
        until = _back(told, name, max(busy.get(name, ""), begun))
        if until > begun:
            busy[name] = until
    return DayInput(
        first_day=studio.today().isoformat(), pieces=tuple(pieces), chores=told.chores,
        people=tuple(DayPerson(name=name, away=tuple(away.get(name, ()))) for name in who_works(studio, told)),
        hours=told.hours, rest=told.rest, days_off=told.days_off, laying_places=told.laying_places,
        class_hours=told.class_hours, class_days=told.class_days,
        kilns=tuple(DayKiln(name=name, not_before=busy.get(name)) for name in names),
        **{"now": begun, **came_out(studio), **more},
    )  # fmt: skip


def _moment(text: str, over: bool = False) -> str:
    """Write a moment as plans do; a date alone is its beginning, or the midnight it is over."""
    if " " in text:
        return text
    return f"{read_date(text) + timedelta(days=1) if over else text} 00:00"


def _back(told: DayHabits, kiln: str, since: str) -> str:
    """Return when a kiln takes work from a moment on: then, or at the end of absences that follow one another."""
    for gone in sorted((one for one in told.away if one.who == kiln), key=lambda one: _moment(one.start)):
        if _moment(gone.start) <= since < _moment(gone.end, over=True):
            since = _moment(gone.end, over=True)
    return since


def away_later(studio: Studio, told: DayHabits) -> tuple[Away, ...]:
    """Return the absences of kilns that a plan made now does not see: they begin while the kiln takes work.

    Parameters
    ----------
    studio : Studio
        The studio.
    told : DayHabits
        How days are kept.
    """
    begun = local(studio.clock())
    free = {name: _back(told, name, begun) for name in kilns_used(studio, told)}
    return tuple(one for one in told.away if one.who in free and _moment(one.start) > free[one.who])


def came_out(studio: Studio) -> dict[str, int]:
    """Count the pieces of the record that came out good, and those that are decided."""
    rows = select(piece_table.c.state, func.count()).where(piece_table.c.kind == "piece").group_by(piece_table.c.state)
    with studio.reading() as connection:
        states = {str(state): int(count) for state, count in connection.execute(rows)}
    good, bad = (sum(states.get(one, 0) for one in which) for which in (GOOD, BAD))
    return {"good": good, "fired": good + bad}
