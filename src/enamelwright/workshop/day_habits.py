"""How this workshop keeps its days: hours, rest, who works, which kilns, and work that belongs to no piece."""

from __future__ import annotations

from itertools import pairwise
from typing import Annotated

from pydantic import Field

from enamelwright.craft.description import Described
from enamelwright.errors import InputError
from enamelwright.planning.day.dates import WEEKDAYS, read_class, read_date, read_hours
from enamelwright.questions.day_forms import DayChore, DayInput, Weekday
from enamelwright.workshop.kilns import kilns
from enamelwright.workshop.people import people
from enamelwright.workshop.settings import set_setting, setting
from enamelwright.workshop.studio import Studio

#: Key of the setting.
KEY = "days"
#: Who works when nobody is told.
NOBODY = "me"
#: Roles of people who do not plan their day by this: their own pieces alone are theirs.
LEARNING = frozenset({"student", "guest"})
_HOURS = DayInput.model_fields["hours"].default
_REST = DayInput.model_fields["rest"].default


class Away(Described):
    """Somebody is not there for a while."""

    who: Annotated[str, Field(min_length=1, max_length=40)]
    start: Annotated[str, Field(min_length=8, max_length=19)]
    end: Annotated[str, Field(min_length=8, max_length=19)]


class DayHabits(Described):
    """How days are kept.

    Attributes
    ----------
    hours : tuple of str
        Stretches of a working day, like ``09:00-12:30``.
    rest : tuple of str
        Days of the week without work.
    days_off : tuple of str
        Dates without work.
    people : tuple of str
        Labels of who works; everybody of the record but students and guests when empty.
    away : tuple of Away
        Who is not there, and when; a kiln that is being mended too.
    kilns : tuple of str
        Kilns that are used; all of the record when empty.
    laying_places : int or None
        Places to lay powder, where there are fewer than hands.
    chores : tuple of DayChore
        Work that belongs to no piece.
    class_hours : str
        When students are there, like ``18:00-21:00``; empty where nothing is told.
    class_days : tuple of str
        Days of the week they come on; every working day when empty.
    """

    hours: Annotated[tuple[Annotated[str, Field(max_length=20)], ...], Field(min_length=1, max_length=8)] = _HOURS
    rest: tuple[Weekday, ...] = _REST
    days_off: Annotated[tuple[Annotated[str, Field(max_length=10)], ...], Field(max_length=100)] = ()
    people: Annotated[tuple[Annotated[str, Field(min_length=1, max_length=40)], ...], Field(max_length=40)] = ()
    away: Annotated[tuple[Away, ...], Field(max_length=60)] = ()
    kilns: Annotated[tuple[Annotated[str, Field(min_length=1, max_length=60)], ...], Field(max_length=8)] = ()
    laying_places: Annotated[int, Field(ge=1, le=100)] | None = None
    chores: Annotated[tuple[DayChore, ...], Field(max_length=100)] = ()
    class_hours: Annotated[str, Field(max_length=20)] = ""
    class_days: tuple[Weekday, ...] = ()


def habits(studio: Studio) -> DayHabits:
    """Return how this workshop keeps its days."""
    return DayHabits.from_outside(setting(studio, KEY, {}), KEY)


def set_habits(studio: Studio, value: DayHabits) -> int:
    """Set how this workshop keeps its days, and return the row of the setting.

    Raises
    ------
    InputError
        When hours or dates cannot be read, every day is one of rest, or the class lies outside the hours.
    """
    hours = sorted(read_hours(one) for one in value.hours)
    if any(a[1] > b[0] for a, b in pairwise(hours)):
        raise InputError("two stretches of hours overlap.", "Write them one after the other.", "hours")
    if len(set(value.rest)) == len(WEEKDAYS):
        raise InputError("every day is a day of rest.", "Leave one out.", "rest")
    if value.class_hours:
        read_class(value.class_hours, hours)
    if value.class_days and set(value.class_days) <= set(value.rest):
        raise InputError("the class is on days of rest.", "Take one of its days out of rest.", "class_days")
    for day in (*value.days_off, *(moment.split()[0] for one in value.away for moment in (one.start, one.end))):
        read_date(day)
    return set_setting(studio, KEY, value.to_outside())


def who_works(studio: Studio, told: DayHabits) -> tuple[str, ...]:
    """Return the labels of who works."""
    if told.people:
        return told.people
    return tuple(str(one.label) for one in people(studio) if one.role not in LEARNING) or (NOBODY,)


def kilns_used(studio: Studio, told: DayHabits) -> tuple[str, ...]:
    """Return the names of the kilns that are used; none when the record has none."""
    known = tuple(str(one.name) for one in kilns(studio) if one.described.get("kind") != "torch")
    return tuple(name for name in told.kilns if name in known) or known
