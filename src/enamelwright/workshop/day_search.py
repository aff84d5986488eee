"""Longer searches for a plan of the day: the worker's, watched and stopped from the page.

A large day has its first plan at once, and a better one takes its place when it is found, unless the day has been
planned otherwise meanwhile. A search somebody asks for leaves the plan as it is until its answer is taken.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from sqlalchemy import Row

from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.planning.day.policy_search import sticky
from enamelwright.questions.question import question
from enamelwright.records.errors import Conflict
from enamelwright.workshop import asking, jobs
from enamelwright.workshop.bench import bench
from enamelwright.workshop.day import LARGE, again, keep_answer, moved_on, timed_anew
from enamelwright.workshop.day_kept import Block, KeptPlan, content_of, kept_blocks, kept_plan, the_plan
from enamelwright.workshop.day_now import Now, asked_at, now_of
from enamelwright.workshop.day_waits import waits
from enamelwright.workshop.studio import Studio

#: Kind of a job whose plan takes the place of the one it began from.
KIND = "day"
#: Days tried out, and played through to say how sure the dates are.
TRIES, DRAWS = 300, 100
#: Stretches of the exact model: one for so many steps, at least and at most.
STEPS_A_STRETCH, FEWEST_STRETCHES, MOST_STRETCHES = 35, 3, 24
#: How the line begins that says what the checker finds.
RECKONED = "a second reckoning"
#: What two plans are held against each other by.
FIGURES = ("work", "loads", "late")


def is_large(plan: KeptPlan) -> bool:
    """Whether a plan is one of a large day, whose search is the worker's."""
    return sum(len(block.members) for block in plan.blocks) > LARGE


def look_longer(studio: Studio, replaces: bool = False) -> int:
    """Ask the worker for a longer search, and return the job.

    Parameters
    ----------
    studio : Studio
        The studio.
    replaces : bool
        Whether what it finds takes the place of the kept plan; else it waits to be taken.

    Raises
    ------
    InputError
        When nothing waits.
    """
    before = kept_plan(studio)
    now = now_of(studio, waits(studio), before)
    windows = min(max(now.steps // STEPS_A_STRETCH, FEWEST_STRETCHES), MOST_STRETCHES)
    begun = before is not None and bool(now.past or now.running)
    more: dict[str, Any] = {"kept": kept_blocks(now.left)} if begun else {}
    asked = asked_at(studio, now, tries=TRIES, windows=windows, draws=DRAWS, **more)
    if not replaces or before is None or begun:
        return asking.ask_later(studio, "day", asked.to_outside())
    return jobs.ask_for(studio, KIND, {"name": "day", "data": asked.to_outside(), "plan": before.row})


@jobs.does(KIND)
def _replace(studio: Studio, asked: Mapping[str, Any], progress: jobs.Progress) -> Mapping[str, Any]:
    """Search, and keep what is found if it is better and the plan is still the one it began from."""
    going = sticky(lambda share, words: _is_kept(studio, asked["plan"]) and progress(share, words))
    result = question("day").ask(asked["data"], bench(studio), progress=going).to_json()
    before = kept_plan(studio)
    found = {**result, "was": None}
    if before is None or not going(1.0, "comparing it with the first plan"):
        return found
    if _worth(result["payload"]) >= _worth(before.answer):
        return {**found, "kept": True, "was": _figures(before)}
    now = now_of(studio, waits(studio), before)
    if not now.steps:  # all of it was done or taken off meanwhile
        return found
    was = before.answer
    if moved_on(studio, now, result["payload"]["blocks"]):  # both orders are timed anew, and held against each other
        was = timed_anew(studio, now, now.left)["payload"]
        result = _from_now(studio, now, result)
        found = {**result, "was": None}
    if _worth(result["payload"]) < _worth(was):
        try:
            keep_answer(studio, now, before, result, before.row)
        except Conflict:  # planned otherwise at this very moment
            return found
    return {**found, "kept": True, "was": {name: was[name] for name in FIGURES}}


def _from_now(studio: Studio, now: Now, result: Mapping[str, Any]) -> dict[str, Any]:
    """Time what was found from this moment; how it was found is still told, and the second reckoning is the new one."""
    told = timed_anew(studio, now, [Block.of_answer(one) for one in result["payload"]["blocks"]])
    checked = [line for line in told["because"] if line.startswith(RECKONED)]
    return {**told, "because": [*(line for line in result["because"] if not line.startswith(RECKONED)), *checked]}


def _is_kept(studio: Studio, row: int) -> bool:
    """Whether a plan is still the one that is kept: when it is not, nothing needs to be found for it any more."""
    kept = kept_plan(studio)
    return kept is not None and kept.row == row


def _worth(answer: Mapping[str, Any]) -> tuple[int, float, float, int]:
    """Return what makes a plan better: fewer late, less late, shorter, fewer loads."""
    late = sum(one["by"]["value"] for one in answer["late"])
    return len(answer["late"]), late, answer["work"]["value"] if answer["work"] else 0.0, answer["loads"]


def _figures(plan: KeptPlan) -> dict[str, Any]:
    return {name: plan.answer[name] for name in FIGURES}


def search_of(studio: Studio, row: int) -> Row[Any] | None:
    """Return a longer search of the day; None when this job is none."""
    try:
        found = jobs.job(studio, row)
    except EnamelwrightError:
        return None
    return found if _is_day(found) else None


def going_on(studio: Studio) -> Row[Any] | None:
    """Return the newest longer search of the day that is not over, whoever asked for it; None without one."""
    return next((one for one in jobs.going_on(studio, (KIND, asking.KIND)) if _is_day(one)), None)


def _is_day(job: Row[Any]) -> bool:
    return job.kind in {asking.KIND, KIND} and (job.asked or {}).get("name") == "day"


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
    row = search_of(studio, job)
    if row is None or row.state != "done":
        raise InputError("this search has no plan.", "Look longer again.")
    before = kept_plan(studio)
    now = now_of(studio, waits(studio), before)
    payload = dict(row.result["payload"])
    if payload["offered"]:  # the better order was found from the one kept: it is timed anew from this moment
        content = content_of({**row.result, "payload": {**payload, "blocks": payload["offered"], "offered": []}})
        return again(studio, the_plan(studio), 0, blocks=content["blocks"], offered=[])
    if moved_on(studio, now, payload["blocks"]):
        return keep_answer(studio, now, before, _from_now(studio, now, row.result))
    return keep_answer(studio, now, before, row.result)
