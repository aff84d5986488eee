"""The kept plan held against the record at one moment: what is left, what is in hand, what lies behind."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

from enamelwright.errors import InputError
from enamelwright.questions.day_forms import DayInput, DayPerson
from enamelwright.workshop.day_kept import Block, KeptPlan, clock, pins_asked, renamed, short_moment, step_of
from enamelwright.workshop.day_progress import local
from enamelwright.workshop.day_waits import TRACED, WaitingPiece, Waits, day_asked
from enamelwright.workshop.studio import Studio


@dataclass(frozen=True)
class Now:
    """The record and the kept plan at one moment: what is left of each piece, what is begun, what lies behind."""

    found: Waits
    left: tuple[Block, ...]
    running: tuple[Block, ...]
    past: tuple[Block, ...]
    ticked: Mapping[str, str]

    @property
    def steps(self) -> int:
        """How many are left."""
        return sum(max(len(one.steps) - one.done, 0) for one in self.found.pieces)


def now_of(studio: Studio, found: Waits, plan: KeptPlan | None) -> Now:
    """Hold the kept plan against the record at this moment."""
    if plan is None:
        return Now(found, (), (), (), {})
    blocks, names = list(plan.blocks), _begun_since(found, plan)
    if names:
        blocks = renamed(blocks, names)
    moment, ticked = studio.clock(), _ticks_left(plan.done, found.pieces)
    steps: dict[str, list[tuple[int, Block]]] = {}
    for block in blocks:
        for member in block.members:
            name, place = step_of(member)
            steps.setdefault(name, []).append((place, block))
    running: dict[str, Block] = {}
    pieces = tuple(_advanced(one, dict(steps.get(one.name, ())), ticked, moment, running) for one in found.pieces)
    done = {one.name: one.done for one in pieces}
    left, past = [], list(plan.past)
    for block in blocks:
        members = [m for m in block.members if step_of(m)[1] >= done.get(step_of(m)[0], 0)]
        if block.name in running or not members:
            past.append(block)
        elif len(members) < len(block.members):
            left.append(replace(block, members=tuple(members), pieces=tuple(step_of(m)[0] for m in members)))
        else:
            left.append(block)
    today = studio.today().isoformat()
    behind = tuple(one for one in dict.fromkeys(past) if one.day == today)
    in_hand = (*running.values(), *(one for one in past if one.end > short_moment(moment) and one.kiln))
    return Now(replace(found, pieces=pieces), tuple(left), tuple(dict.fromkeys(in_hand)), behind, ticked)


def _advanced(
    one: WaitingPiece, blocks: Mapping[int, Block], ticked: dict[str, str], now: datetime, running: dict[str, Block]
) -> WaitingPiece:
    """Take steps as done that were ticked, or that leave no trace and should be over; tick them, note what is in hand.

    A step taken as done is ticked, so that it stays done when the plan no longer holds it.
    """
    done, ready = one.done, one.ready
    before = dict(ticked)
    for place in range(one.done, len(one.steps)):
        member = f"{one.name} / {place + 1}"
        if member in before:
            done, ready = place + 1, local(clock(before[member]) + timedelta(seconds=one.steps[place].wait))
    while done < len(one.steps) and done in blocks:
        step, block = one.steps[done], blocks[done]
        begun, over = clock(block.start) < now, clock(block.end) <= now
        if not begun or step.work == "fire" or (over and step.work in TRACED) or (ready and clock(ready) > now):
            break
        if not over:
            running[block.name] = block
        ticked[f"{one.name} / {done + 1}"] = block.end
        done, ready = done + 1, local(clock(block.end) + timedelta(seconds=step.wait))
    return replace(one, done=done, ready=ready if ready and clock(ready) > now else "")


def _begun_since(found: Waits, plan: KeptPlan) -> dict[str, str]:
    """Return the names of pieces that were only ordered when they were planned and are begun now."""
    there = {one.name for one in found.pieces}
    free: dict[int, list[str]] = {}
    for name, about in plan.content["pieces"].items():
        if not about["number"] and about["version"] > 0 and name not in there:
            free.setdefault(about["line"], []).append(name)
    names = {}
    for one in sorted(found.pieces, key=lambda each: each.name):
        if one.number and one.name not in plan.content["pieces"] and free.get(one.line):
            names[free[one.line].pop(0)] = one.name
    return names


def asked_at(studio: Studio, now: Now, before: KeptPlan | None, **more: Any) -> DayInput:
    """Return the question, with what is in hand and pinned."""
    left = [f"{one.name} / {n + 1}" for one in now.found.pieces for n in range(one.done, len(one.steps))]
    pins = pins_asked(before.pins if before is not None else {}, left)
    asked = day_asked(studio, now.found, pins=pins, **more)
    if asked is None:
        raise InputError("nothing waits for a plan.", "Start a piece of a design, or take an order for one.")
    busy: dict[str, str] = {}
    for block in now.running:
        for who in block.who if not block.kiln else ():
            busy[who] = max(busy.get(who, ""), local(clock(block.end)))
    if not busy:
        return asked
    begun = local(studio.clock())
    people = tuple(
        DayPerson(name=one.name, away=(*one.away, f"{begun} to {busy[one.name]}"))
        if busy.get(one.name, "") > begun else one
        for one in asked.people
    )  # fmt: skip
    return asked.model_copy(update={"people": people})


def _ticks_left(ticked: Mapping[str, str], pieces: Iterable[WaitingPiece]) -> dict[str, str]:
    """Forget ticks of pieces that are over."""
    names = {one.name for one in pieces}
    return {member: at for member, at in ticked.items() if step_of(member)[0] in names}
