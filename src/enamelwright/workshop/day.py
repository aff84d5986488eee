"""The day at the bench: planned from the record, kept, pinned, ticked, and planned again when it goes otherwise."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Any

from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.questions.question import question
from enamelwright.workshop import stock_plan
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
    short_moment,
    step_of,
    the_plan,
)
from enamelwright.workshop.day_now import Now, asked_at, now_of
from enamelwright.workshop.day_progress import Route
from enamelwright.workshop.day_waits import TRACED, waits
from enamelwright.workshop.studio import Studio

#: Days tried out for a plan of so many steps while somebody waits, fewer for more steps.
TRIES, STEPS = 24, 120
#: Days played through for so many steps, to say how sure the dates are; at least and at most.
DRAWS, FEWEST_DRAWS, MOST_DRAWS = 40, 16, 100
#: With more steps than this nothing is tried out but the rules of thumb: the rest is the worker's.
LARGE = 300
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
        What is left, in order, without pieces that are gone.
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


def _tries(now: Now) -> int:
    """Return how many days are tried out while somebody waits."""
    return 0 if now.steps > LARGE else min(TRIES, TRIES * STEPS // max(now.steps, 1))


def _draws(now: Now, tries: int | None) -> int:
    """Return how many days are played through to say how sure the dates are; none before a large day's search."""
    many = DRAWS * STEPS // max(now.steps, 1)
    return 0 if tries == 0 else 0 if now.steps > LARGE else min(max(many, FEWEST_DRAWS), MOST_DRAWS)


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
    now = now_of(studio, waits(studio), before)
    asked = asked_at(
        studio, now, tries=_tries(now) if tries is None else tries, draws=_draws(now, tries)
    )  # fmt: skip
    return keep_answer(studio, now, before, question("day").answer(asked, bench(studio)).to_json())


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
    return again(studio, the_plan(studio), tries)


def again(
    studio: Studio, before: KeptPlan, tries: int | None = None, seen: int | None = None, **changes: Any
) -> KeptPlan:
    """Plan again from a plan with some of its parts changed.

    Parameters
    ----------
    studio : Studio
        The studio.
    before : KeptPlan
        The plan as it is kept.
    tries : int, optional
        Days tried out; by the size of the day when left out.
    seen : int, optional
        The plan that was shown.
    **changes
        Parts of its content.
    """
    before = KeptPlan(before.row, {**before.content, **changes})
    now = now_of(studio, waits(studio), before)
    asked = asked_at(
        studio, now, tries=_tries(now) if tries is None else tries, draws=_draws(now, None),
        kept=kept_blocks(now.left),
    )  # fmt: skip
    return keep_answer(studio, now, before, question("day").answer(asked, bench(studio)).to_json(), seen)


def moved_on(studio: Studio, now: Now, blocks: Sequence[Mapping[str, Any]]) -> bool:
    """Whether the day has gone on since blocks were answered: some are begun or over, or it is past their time.

    Parameters
    ----------
    studio : Studio
        The studio.
    now : Now
        The record against the plan that is kept.
    blocks : sequence of mapping
        Of an answer.
    """
    left = {f"{one.name} / {n + 1}" for one in now.found.pieces for n in range(one.done, len(one.steps))}
    chores = {one.label for one in habits(studio).chores}
    told = {m for one in blocks for m in one["members"] if step_of(m)[0] not in chores}
    return told != left or any(clock(one["start"]) < studio.clock() - PATIENCE for one in blocks)


def timed_anew(studio: Studio, now: Now, blocks: Sequence[Block]) -> dict[str, Any]:
    """Answer with an order of blocks timed from this moment, less what is begun, with what is new put in.

    Parameters
    ----------
    studio : Studio
        The studio.
    now : Now
        The record against the plan that is kept.
    blocks : sequence of Block
        Whose order is kept.
    """
    asked = asked_at(studio, now, tries=0, draws=_draws(now, None), kept=kept_blocks(blocks))
    return question("day").answer(asked, bench(studio)).to_json()


def take_offer(studio: Studio, seen: int | None = None) -> KeptPlan:
    """Keep the other order that is offered, timed from this moment."""
    before = the_plan(studio)
    if not before.content["offered"]:
        raise InputError("no other order is offered.", "Plan again first.")
    return again(studio, before, 0, seen, blocks=before.content["offered"], offered=[])


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
    return again(studio, plan, seen=seen, pins=pins)


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
    past = [*plan.past, replace(told, end=short_moment(min(studio.clock(), clock(told.end))))]
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
        replace(one, end=short_moment(clock(one.end) + timedelta(minutes=minutes)))
        if one.members == told.members
        else one
        for one in plan.blocks
    ]
    return again(studio, plan, seen=seen, blocks=[one.to_json() for one in blocks])


def stand(studio: Studio, plan: KeptPlan) -> Stand:
    """Say where the day stands; nothing is planned for it.

    Parameters
    ----------
    studio : Studio
        The studio.
    plan : KeptPlan
        The plan that is kept.
    """
    now = now_of(studio, waits(studio, plan.routes), plan)
    moment = studio.clock()
    names = {one.name for one in now.found.pieces}
    chores = {one.label for one in habits(studio).chores}
    planned = {name for block in now.left for name in block.pieces}
    known = {*plan.content["pieces"], *(name for block in plan.every for name in block.pieces)}
    gone = planned - names - chores
    left = tuple(kept for one in now.left for kept in one.of(m for m in one.members if step_of(m)[0] not in gone))
    traced = [one for one in left if _traced(one, plan.routes, plan)]
    return Stand(
        now.running, left, tuple(one for one in left if one.kiln),
        tuple(one for one in traced if clock(one.start if one.kiln else one.end) + PATIENCE < moment),
        tuple(sorted(one.name for one in now.found.pieces if one.name not in known | planned)),
        tuple(sorted(gone)),
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
    try:
        payload = stock_plan.shortages(studio, plan.not_begun()).payload
    except EnamelwrightError:
        return ()
    lines = {line.jar: line for line in payload.lines}
    return tuple(f"{jar}: {lines[jar].short.shown()} short" if jar in lines else str(jar) for jar in payload.short)


def _traced(block: Block, routes: Mapping[int, Route], plan: KeptPlan) -> bool:
    """Whether the record tells when a block is done; nobody writes down what students lay."""
    name, place = step_of(block.name)
    if not block.kiln and plan.about(name).get("owner"):
        return False
    route = routes.get(int(plan.about(name).get("version", 0)))
    if block.kiln:
        return any(plan.about(one).get("version", 0) >= 0 for one in block.pieces)
    return route is not None and place < len(route.steps) and route.steps[place].work in TRACED


def keep_answer(
    studio: Studio, now: Now, before: KeptPlan | None, answer: Mapping[str, Any], seen: int | None = None
) -> KeptPlan:
    """Keep what was answered, with what the record says at this moment.

    Parameters
    ----------
    studio : Studio
        The studio.
    now : Now
        The record against the plan before.
    before : KeptPlan or None
        The plan before.
    answer : mapping
        Of the question `day`, as JSON.
    seen : int, optional
        The plan that was shown; a newer one is not run over.
    """
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
        answer, made=short_moment(studio.clock()), pieces=pieces, left_out=[list(one) for one in now.found.left_out],
        routes={str(key): route.to_json() for key, route in now.found.routes.items()}, hours=list(told.hours),
        past=[one.to_json() for one in now.past],
        pins={k: v for k, v in now.pins.items() if k in still},
        done=dict(now.ticked),
    )  # fmt: skip
    return keep(studio, content, seen)
