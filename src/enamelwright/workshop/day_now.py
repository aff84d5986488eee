"""The kept plan held against the record at one moment: what is left, what is in hand, what lies behind."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

from enamelwright.errors import InputError
from enamelwright.questions.day_forms import DayInput, DayPerson
from enamelwright.workshop.day_asked import day_asked
from enamelwright.workshop.day_kept import (
    Block,
    KeptPlan,
    clock,
    pins_asked,
    renamed,
    renamed_members,
    short_moment,
    step_of,
)
from enamelwright.workshop.day_progress import local
from enamelwright.workshop.day_waits import TRACED, WaitingPiece, Waits
from enamelwright.workshop.studio import Studio

#: More steps than any piece has: of a piece that waits no more all lies behind.
NEVER = 1 << 30


@dataclass(frozen=True)
class Now:
    """The record and the kept plan at one moment: what is left of each piece, what is begun, what lies behind.

    A step is left or lies behind, never both: what is begun lies behind, and what the record takes back is left.
    """

    found: Waits
    left: tuple[Block, ...]
    running: tuple[Block, ...]
    past: tuple[Block, ...]
    ticked: Mapping[str, str]
    pins: Mapping[str, str]

    @property
    def steps(self) -> int:
        """How many are left."""
        return sum(max(len(one.steps) - one.done, 0) for one in self.found.pieces)


def now_of(studio: Studio, found: Waits, plan: KeptPlan | None) -> Now:
    """Hold the kept plan against the record at this moment."""
    if plan is None:
        return Now(found, (), (), (), {}, {})
    names = _begun_since(found, plan)
    blocks, before = renamed(plan.blocks, names), renamed(plan.past, names)
    moment, ticked = studio.clock(), _ticks_left(renamed_members(plan.done, names), found.pieces)
    steps: dict[str, list[tuple[int, Block]]] = {}
    for block in blocks:
        for member in block.members:
            name, place = step_of(member)
            steps.setdefault(name, []).append((place, block))
    running: dict[str, Block] = {}
    pieces = tuple(_advanced(one, dict(steps.get(one.name, ())), ticked, moment, running) for one in found.pieces)
    done = {one.name: one.done for one in pieces}
    left, past = [], []
    for block in before:
        past += block.of(m for m in block.members if step_of(m)[1] < done.get(step_of(m)[0], NEVER))
    for block in blocks:
        if block.name in running:
            past.append(block)
            continue
        over = {m for m in block.members if step_of(m)[1] < done.get(step_of(m)[0], 0)}
        if over:  # what was spoilt or finished since was in that load too
            over |= {m for m in block.members if step_of(m)[0] not in done}
        past += block.of(m for m in block.members if m in over)
        left += block.of(m for m in block.members if m not in over)
    today = studio.today().isoformat()
    behind = tuple(one for one in dict.fromkeys(past) if one.day == today)
    in_hand = (*running.values(), *(one for one in past if one.end > short_moment(moment) and one.kiln))
    pins = renamed_members(plan.pins, names)
    return Now(replace(found, pieces=pieces), tuple(left), tuple(dict.fromkeys(in_hand)), behind, ticked, pins)


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
        traced = step.work in TRACED and not one.owner  # nobody writes down what students lay
        if not begun or step.work == "fire" or (over and traced) or (ready and clock(ready) > now):
            break
        if not over:
            running[block.name] = block
        ticked[f"{one.name} / {done + 1}"] = block.end
        done, ready = done + 1, local(clock(block.end) + timedelta(seconds=step.wait))
    return replace(one, done=done, ready=ready if ready and clock(ready) > now else "")


def _begun_since(found: Waits, plan: KeptPlan) -> dict[str, str]:
    """Return the new names of pieces that were only ordered when they were planned, where some are begun now.

    Those begun take the places that are furthest on, so that what was done for them is not asked for again; the
    others of the line move up.
    """
    told, line_of = plan.content["pieces"], {one.name: one.line for one in found.pieces}
    begun: dict[int, list[str]] = {}
    for one in sorted(found.pieces, key=lambda each: each.name):
        if one.number and one.name not in told:
            begun.setdefault(one.line, []).append(one.name)
    on = Counter(step_of(member)[0] for member in plan.done)
    first = {name: block.start for block in reversed(plan.blocks) for name in block.pieces}
    names: dict[str, str] = {}
    for line, mine in begun.items():
        places = [name for name, about in told.items() if not about["number"] and about["version"] > 0
                  and about["line"] == line]  # fmt: skip
        places.sort(key=lambda name: (-on[name], first.get(name, ""), name))
        still = [name for name in sorted(places) if line_of.get(name) == line]
        names |= dict(zip(places, [*mine, *still], strict=False))
    return {old: new for old, new in names.items() if old != new}


def asked_at(studio: Studio, now: Now, **more: Any) -> DayInput:
    """Return the question, with what is in hand and pinned."""
    left = [f"{one.name} / {n + 1}" for one in now.found.pieces for n in range(one.done, len(one.steps))]
    pins = pins_asked(now.pins, left)
    asked = day_asked(studio, now.found, pins=pins, **more)
    if asked is None:
        if now.found.left_out:
            name, why = now.found.left_out[0]
            raise InputError(
                f"nothing that waits can be planned: {name}: {why.rstrip(' .')}.", "Mend that first, then plan."
            )
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
