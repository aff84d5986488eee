"""The day at the bench: planned from the record, kept, pinned, ticked, and planned again when it goes otherwise."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.questions.day_forms import DayInput, DayPerson
from enamelwright.questions.question import question
from enamelwright.workshop import asking, jobs, stock_plan
from enamelwright.workshop.bench import bench
from enamelwright.workshop.day_habits import habits, set_habits
from enamelwright.workshop.day_kept import (
    Block,
    KeptPlan,
    change,
    clock,
    content_of,
    keep,
    kept_blocks,
    kept_plan,
    pins_asked,
    renamed,
    step_of,
    the_plan,
)
from enamelwright.workshop.day_progress import Route, local
from enamelwright.workshop.day_waits import TRACED, WaitingPiece, Waits, day_asked, waits
from enamelwright.workshop.studio import Studio

#: Days tried out for a plan of so many steps at once, fewer for more steps; and in a longer search.
TRIES, STEPS, FEWEST_TRIES, MANY_TRIES = 24, 120, 2, 300
#: Stretches of the exact model: one for so many steps, at least and at most.
STEPS_A_STRETCH, FEWEST_STRETCHES, MOST_STRETCHES = 35, 3, 24
#: A piece is behind when a load is not in, or a coat not laid, so long after its time.
PATIENCE = timedelta(minutes=5)


@dataclass(frozen=True)
class Stand:
    """Where the day stands.

    Parameters
    ----------
    running : tuple of Block
        What the plan has in hand at this moment.
    coming : tuple of Block
        What is left, in order.
    loads : tuple of Block
        The loads among them.
    behind : tuple of Block
        What should be over by now and is not, by the record.
    new, gone : tuple of str
        Pieces that wait and are not in the plan, and those that are and no longer wait.
    inside : mapping of str to str
        Piece -> the load it is in.
    """

    running: tuple[Block, ...]
    coming: tuple[Block, ...]
    loads: tuple[Block, ...]
    behind: tuple[Block, ...]
    new: tuple[str, ...]
    gone: tuple[str, ...]
    inside: Mapping[str, str]

    @property
    def otherwise(self) -> bool:
        """Whether the day went otherwise than planned."""
        return bool(self.behind or self.new or self.gone)


@dataclass(frozen=True)
class _Now:
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


def _tries(now: _Now) -> int:
    """Return how many days are tried out while somebody waits."""
    return max(min(TRIES, TRIES * STEPS // max(now.steps, 1)), FEWEST_TRIES)


def plan_day(studio: Studio, tries: int | None = None) -> KeptPlan:
    """Plan from the record and keep the plan; an earlier one is not looked at, but pins and ticks stay.

    Parameters
    ----------
    studio : Studio
        The studio.
    tries : int, optional
        Days tried out; by the size of the day when left out.

    Raises
    ------
    InputError
        When nothing waits.
    """
    before = kept_plan(studio)
    now = _now(studio, waits(studio), before)
    asked = _asked(studio, now, before, tries=_tries(now) if tries is None else tries)
    return _keep(studio, now, before, question("day").answer(asked, bench(studio)).to_json())


def replan_day(studio: Studio, tries: int | None = None) -> KeptPlan:
    """Plan again from the record: what has begun stays, the rest keeps its order and moves along.

    Another order is offered in the plan that comes back, when it keeps a date more or saves enough to be worth it.

    Parameters
    ----------
    studio : Studio
        The studio.
    tries : int, optional
        Days tried out in the search for another order; by the size of the day when left out.

    Raises
    ------
    InputError
        When no plan is kept.
    """
    return _again(studio, the_plan(studio), tries)


def _again(
    studio: Studio, before: KeptPlan, tries: int | None = None, seen: int | None = None, **changes: Any
) -> KeptPlan:
    """Plan again from a plan with some of its parts changed."""
    before = KeptPlan(before.row, {**before.content, **changes})
    now = _now(studio, waits(studio), before)
    asked = _asked(studio, now, before, tries=_tries(now) if tries is None else tries, kept=kept_blocks(now.left))
    return _keep(studio, now, before, question("day").answer(asked, bench(studio)).to_json(), seen)


def look_longer(studio: Studio) -> int:
    """Ask the worker for a longer search, and return the job; the kept plan stays until its answer is taken.

    Raises
    ------
    InputError
        When nothing waits.
    """
    before = kept_plan(studio)
    now = _now(studio, waits(studio), before)
    windows = min(max(now.steps // STEPS_A_STRETCH, FEWEST_STRETCHES), MOST_STRETCHES)
    begun = before is not None and bool(now.past or now.running)
    more: dict[str, Any] = {"kept": kept_blocks(now.left)} if begun else {}
    asked = _asked(studio, now, before, tries=MANY_TRIES, windows=windows, **more)
    return asking.ask_later(studio, "day", asked.to_outside())


def take_job(studio: Studio, job: int) -> KeptPlan:
    """Keep the plan a longer search came to; of an order kept and a better one offered, the better one.

    Parameters
    ----------
    studio : Studio
        The studio.
    job : int
        Of :func:`look_longer`.

    Raises
    ------
    InputError
        When the search is not over, or was none of the day.
    """
    row = jobs.job(studio, job)
    if row.kind != asking.KIND or (row.asked or {}).get("name") != "day" or row.state != "done":
        raise InputError("this search has no plan.", "Look longer again.")
    before = kept_plan(studio)
    now = _now(studio, waits(studio), before)
    payload = dict(row.result["payload"])
    if payload["offered"]:  # the better order was found from the one kept: it is timed anew from this moment
        content = content_of({**row.result, "payload": {**payload, "blocks": payload["offered"], "offered": []}})
        return _again(studio, the_plan(studio), 0, blocks=content["blocks"], offered=[])
    return _keep(studio, now, before, row.result)


def take_offer(studio: Studio, seen: int | None = None) -> KeptPlan:
    """Keep the other order that is offered, timed from this moment."""
    before = the_plan(studio)
    if not before.content["offered"]:
        raise InputError("no other order is offered.", "Plan again first.")
    return _again(studio, before, 0, seen, blocks=before.content["offered"], offered=[])


def leave_offer(studio: Studio) -> KeptPlan:
    """Keep the order that is kept."""
    before = the_plan(studio)
    return change(studio, before, offered=[], answer={**before.answer, "offer": ""})


def pin(studio: Studio, block: str, when: str, seen: int | None = None) -> KeptPlan:
    """Keep a block from starting before a time, and plan again.

    Parameters
    ----------
    studio : Studio
        The studio.
    block : str
        One of its steps, as the plan names it.
    when : str
        ``14:30`` of its day, or ``2026-03-02 14:30``; empty to unpin.
    seen : int, optional
        The plan that was shown.

    Raises
    ------
    InputError
        When the time cannot be read, or the block is no longer in the plan.
    """
    plan = the_plan(studio)
    told = plan.block(block)
    pins = {member: at for member, at in plan.pins.items() if member not in told.members}
    if when:
        pins |= dict.fromkeys(told.members, moment_told(when, told.day))
    return _again(studio, plan, seen=seen, pins=pins)


def moment_told(text: str, day: str) -> str:
    """Read ``14:30`` or ``2026-03-02 14:30`` as plans write moments.

    Raises
    ------
    InputError
        When it is neither.
    """
    whole = text.strip().replace("T", " ")
    try:
        when = datetime.fromisoformat(whole if "-" in whole else f"{day} {whole.zfill(len('00:00'))}")
    except ValueError as error:
        raise InputError(f"'{text[:20]}' is no time.", "Write it like 14:30.", "time") from error
    return when.isoformat(sep=" ", timespec="minutes")


def tick(studio: Studio, block: str, seen: int | None = None) -> KeptPlan:
    """Say that a block is done: for work that leaves no trace in the record. A chore is done with for good.

    Parameters
    ----------
    studio : Studio
        The studio.
    block : str
        One of its steps.
    seen : int, optional
        The plan that was shown.
    """
    plan = the_plan(studio)
    told = plan.block(block)
    now = studio.clock().isoformat()
    told_habits = habits(studio)
    chores = tuple(one for one in told_habits.chores if one.label != told.pieces[0])
    if len(chores) < len(told_habits.chores):
        set_habits(studio, told_habits.model_copy(update={"chores": chores}))
    blocks = [one for one in plan.blocks if one.members != told.members]
    past = [*plan.past, replace(told, end=_short(min(studio.clock(), clock(told.end))))]
    return change(
        studio, plan, seen, done={**plan.done, **dict.fromkeys(told.members, now)},
        blocks=[one.to_json() for one in blocks], past=[one.to_json() for one in past],
    )  # fmt: skip


def takes_longer(studio: Studio, block: str, minutes: float, seen: int | None = None) -> KeptPlan:
    """Say that a block takes longer, and plan the rest again around it.

    Parameters
    ----------
    studio : Studio
        The studio.
    block : str
        One of its steps.
    minutes : float
        How much more.
    seen : int, optional
        The plan that was shown.
    """
    if not 0 < minutes <= 24 * 60:
        raise InputError("so long is no delay.", "Say how many minutes more, up to a day.", "minutes")
    plan = the_plan(studio)
    told = plan.block(block)
    blocks = [
        replace(one, end=_short(clock(one.end) + timedelta(minutes=minutes))) if one.members == told.members else one
        for one in plan.blocks
    ]
    return _again(studio, plan, seen=seen, blocks=[one.to_json() for one in blocks])


def stand(studio: Studio, plan: KeptPlan) -> Stand:
    """Say where the day stands; nothing is planned for it.

    Parameters
    ----------
    studio : Studio
        The studio.
    plan : KeptPlan
        The plan that is kept.
    """
    now = _now(studio, waits(studio, plan.routes), plan)
    moment = studio.clock()
    names = {one.name for one in now.found.pieces}
    chores = {one.label for one in habits(studio).chores}
    planned = {name for block in now.left for name in block.pieces}
    known = {*plan.content["pieces"], *(name for block in plan.every for name in block.pieces)}
    traced = [one for one in now.left if _traced(one, plan.routes, plan)]
    return Stand(
        now.running, now.left, tuple(one for one in now.left if one.kiln),
        tuple(one for one in traced if clock(one.start if one.kiln else one.end) + PATIENCE < moment),
        tuple(sorted(one.name for one in now.found.pieces if one.name not in known | planned)),
        tuple(sorted(name for name in planned if name not in names and name not in chores)),
        {one.name: one.inside for one in now.found.pieces if one.inside},
    )  # fmt: skip


def short_of(studio: Studio, plan: KeptPlan) -> tuple[str, ...]:
    """Return the jars that will not last for what is planned, in words; those ordered and not begun are counted in.

    Parameters
    ----------
    studio : Studio
        The studio.
    plan : KeptPlan
        The plan that is kept.
    """
    extra: dict[int, int] = {}
    for about in plan.content["pieces"].values():
        if not about["number"]:
            extra[about["version"]] = extra.get(about["version"], 0) + 1
    try:
        payload = stock_plan.shortages(studio, extra).payload
    except EnamelwrightError:
        return ()
    lines = {line.jar: line for line in payload.lines}
    return tuple(f"{jar}: {lines[jar].short.shown()} short" if jar in lines else str(jar) for jar in payload.short)


def _now(studio: Studio, found: Waits, plan: KeptPlan | None) -> _Now:
    """Hold the kept plan against the record at this moment."""
    if plan is None:
        return _Now(found, (), (), (), {})
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
    in_hand = (*running.values(), *(one for one in past if one.end > _short(moment) and one.kiln))
    return _Now(replace(found, pieces=pieces), tuple(left), tuple(dict.fromkeys(in_hand)), behind, ticked)


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
        if not about["number"] and name not in there:
            free.setdefault(about["line"], []).append(name)
    names = {}
    for one in sorted(found.pieces, key=lambda each: each.name):
        if one.number and one.name not in plan.content["pieces"] and free.get(one.line):
            names[free[one.line].pop(0)] = one.name
    return names


def _traced(block: Block, routes: Mapping[int, Route], plan: KeptPlan) -> bool:
    """Whether the record tells when a block is done."""
    name, place = step_of(block.name)
    route = routes.get(int(plan.about(name).get("version", 0)))
    return bool(block.kiln) or (route is not None and place < len(route.steps) and route.steps[place].work in TRACED)


def _asked(studio: Studio, now: _Now, before: KeptPlan | None, **more: Any) -> DayInput:
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


def _keep(
    studio: Studio, now: _Now, before: KeptPlan | None, answer: Mapping[str, Any], seen: int | None = None
) -> KeptPlan:
    pieces = {
        one.name: {
            "number": one.number, "design": one.design, "owner": one.owner, "due": one.due, "order": one.order,
            "line": one.line, "version": one.version,
        }
        for one in now.found.pieces
    }  # fmt: skip
    behind = {name for block in now.past for name in block.pieces}
    if before is not None:  # whose it was stays known for the rest of the day
        pieces = {**{k: v for k, v in before.content["pieces"].items() if k in behind}, **pieces}
    told = habits(studio)
    still = {f"{one.name} / {n + 1}" for one in now.found.pieces for n in range(one.done, len(one.steps))}
    content = content_of(
        answer, made=_short(studio.clock()), pieces=pieces, left_out=[list(one) for one in now.found.left_out],
        routes={str(key): route.to_json() for key, route in now.found.routes.items()}, hours=list(told.hours),
        past=[one.to_json() for one in now.past],
        pins={k: v for k, v in (before.pins if before is not None else {}).items() if k in still},
        done=dict(now.ticked),
    )  # fmt: skip
    return keep(studio, content, seen)


def _ticks_left(ticked: Mapping[str, str], pieces: Iterable[WaitingPiece]) -> dict[str, str]:
    """Forget ticks of pieces that are over."""
    names = {one.name for one in pieces}
    return {member: at for member, at in ticked.items() if step_of(member)[0] in names}


def _short(moment: datetime) -> str:
    return moment.astimezone().replace(tzinfo=None).isoformat(timespec="minutes")
