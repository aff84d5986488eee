"""People and stations in the exact model: who is busy when, and that no station holds more than it can."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from enamelwright.planning.day.plan import Item
from enamelwright.planning.day.problem import Person

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

    from enamelwright.planning.day.cp_model import DayModel, Position


#: Work that asks for a person: start, length, whether it is there at all, and skill.
Block = tuple[Any, Any, Any, str]


def _away(day: DayModel, person: Person) -> list[tuple[int, int]]:
    """Return when a person is not there, on the axis, joined where it overlaps."""
    if person.gone:
        return []
    told = [(0, day.calendar.to_axis(person.free))] if person.free > 0 else []
    told += [(day.calendar.to_axis(a), day.calendar.to_axis(b)) for a, b in person.away]
    joined: list[tuple[int, int]] = []
    for begin, end in sorted(told):
        if joined and begin <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(end, joined[-1][1]))
        elif end > begin:
            joined.append((begin, end))
    return joined


def _alike(day: DayModel) -> bool:
    """Whether everybody can do everything and is there at the same time."""
    people = day.problem.people
    asked = {day.problem.step(r).skill for r in day.refs} | {
        day.problem.families[day.problem.step(r).family].skill for r in day.refs if day.problem.step(r).fires
    }
    return asked <= {""} and all(p.away == people[0].away and p.free == people[0].free for p in people)


def add_people(day: DayModel) -> None:
    """Let nobody be in two places: all together where they are alike, else each by name."""
    people, model = day.problem.people, day.model
    if not people:
        return
    blocks: list[Block] = []
    for ref in day.refs:
        step = day.problem.step(ref)
        if not step.fires and step.hands:
            blocks.append((day.starts[ref], day.length_of(ref), None, step.skill))
    for position in day.positions:
        blocks += _attending(day, position)
    busy = [(item, begin, end) for item in day.scope.fixed for begin, end in _stretches(day, item) if end > day.low]
    there_are = sum(not person.gone for person in people)
    away = [(n, begin, end) for n, person in enumerate(people) for begin, end in _away(day, person)]
    if _alike(day):
        spans = [_interval(day, start, size, there) for start, size, there, _ in blocks]
        spans += [model.new_fixed_size_interval_var(b, e - b, "") for _, b, e in busy]
        spans += [model.new_fixed_size_interval_var(b, e - b, "") for n, b, e in away if e > day.low]
        if there_are == 1:
            model.add_no_overlap(spans)
        else:
            model.add_cumulative(spans, [1] * len(spans), there_are)
        return
    rows: list[list[cp_model.IntervalVar]] = [[] for _ in people]
    for number, begin, end in away:
        rows[number].append(model.new_fixed_size_interval_var(begin, end - begin, ""))
    for item, begin, end in busy:
        rows[item.people[0]].append(model.new_fixed_size_interval_var(begin, end - begin, ""))
    for start, size, there, skill in blocks:
        able = [n for n, person in enumerate(people) if person.can(skill)]
        chosen = [model.new_bool_var("") for _ in able]
        model.add(sum(chosen) == (1 if there is None else there))
        for number, flag in zip(able, chosen, strict=True):
            rows[number].append(_interval(day, start, size, flag))
    for row in rows:
        model.add_no_overlap(row)


def _interval(day: DayModel, start: Any, size: Any, there: Any) -> cp_model.IntervalVar:
    if isinstance(size, int) and there is None:
        return day.model.new_fixed_size_interval_var(start, size, "")
    if isinstance(size, int):
        return day.model.new_optional_fixed_size_interval_var(start, size, there, "")
    end = day.model.new_int_var(0, day.horizon * 2, "")
    day.model.add(end == start + size)
    return day.model.new_optional_interval_var(start, size, end, there, "")


def _stretches(day: DayModel, item: Item) -> list[tuple[int, int]]:
    """Return when a fixed block keeps a person."""
    if not item.people:
        return []
    if item.kiln < 0 or day.problem.families[item.family].attention == "whole":
        return [(item.start, item.end)]
    family = day.problem.families[item.family]
    return [(item.start, item.start + family.putting), (item.end - family.taking, item.end)]


def _attending(day: DayModel, position: Position) -> list[Block]:
    """Return the blocks a load asks of people: the whole of it, or its two ends."""
    blocks: list[Block] = []
    families = day.problem.families
    hands = any(day.problem.step(ref).hands for ref in position.members)
    if not hands:
        return blocks
    skills = {families[f].skill for f in position.families}
    if len(skills) == 1 and all(families[f].attention == "whole" for f in position.families):
        return [(position.start, position.length, position.used, skills.pop())]
    for f, chosen in position.families.items():
        family = families[f]
        if family.attention == "whole":
            blocks.append((position.start, position.length, chosen, family.skill))
        else:
            blocks.append((position.start, family.putting, chosen, family.skill))
            out = day.model.new_int_var(0, day.horizon * 2, "")
            day.model.add(out == position.start + position.length - family.taking).only_enforce_if(chosen)
            blocks.append((out, family.taking, chosen, family.skill))
    return blocks


def add_stations(day: DayModel) -> None:
    """Let no station hold more than it can."""
    for number, station in enumerate(day.problem.stations):
        spans, amounts = [], []
        for ref in day.refs:
            for place, amount in day.problem.step(ref).stations:
                if place == number:
                    spans.append(_interval(day, day.starts[ref], day.length_of(ref), None))
                    amounts.append(amount)
        for item in day.scope.fixed:
            for ref in item.members:
                for place, amount in day.problem.step(ref).stations:
                    if place == number and item.end > day.low:
                        spans.append(day.model.new_fixed_size_interval_var(item.start, item.length, ""))
                        amounts.append(amount)
        if station.capacity == 1:
            day.model.add_no_overlap(spans)
        elif spans:
            day.model.add_cumulative(spans, amounts, station.capacity)
