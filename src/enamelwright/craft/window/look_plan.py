"""A window spoken as looks: the first, one every so many seconds, out by; each look costs and is counted."""

from __future__ import annotations

import math
from collections.abc import Sequence

from enamelwright.craft.coat import Stage
from enamelwright.craft.operation import LookPlan
from enamelwright.craft.window.facts import number

#: Times of looks are told in steps of this many seconds.
ROUND = 5.0
#: Looks of one firing at the most, and steps of them until the likely time: more open the door for nothing
#: (judgement).
MOST_LOOKS, UNTIL_LIKELY = 8, 4
#: How much wider apart each look after the likely time is than the one before it; the first that gives few enough.
GROWTHS = (1.5, 2.0, 3.0)
_MINUTE = 60

#: What shows through the door at each stage, in a few words.
_SIGNS: dict[Stage, str] = {
    "sugar": "dark and grainy",
    "orange peel": "dark, glinting and bumpy",
    "gloss": "smooth, as red as its support and mirroring the fork",
    "cleared": "bright and clear, no maroon left",
    "over-fired": "running at the edges",
    "powder": "dry and matt",
}


def clock(seconds: float) -> str:
    """Print seconds as minutes and seconds, rounded to a whole second."""
    whole = round(seconds)
    return f"{whole // _MINUTE}:{whole % _MINUTE:02d}"


def look_plan(
    low: float, likely: float, high: float, over: float, target: Stage, cost: float | None = None
) -> LookPlan:
    """Turn a window into looks.

    Parameters
    ----------
    low, likely, high : float
        When the stage may, should and must show [s]; `high` finite.
    over : float
        When the piece has likely gone further than it should [s]: over-fired, or glossy where it is to stop
        before. May be infinite.
    target : str
        Stage looked for.
    cost : float, optional
        What one look sets the piece back [s].

    Returns
    -------
    LookPlan
        `out_by` counts what the looks cost, but lies no later than the piece has likely gone too far: who looks
        less often loses less. Nor is it so late that a hotter setting would serve better. Looks are evenly spread
        until the likely time and further and further apart after it, at most :data:`MOST_LOOKS`.
    """
    each = number("look_cost") if cost is None else cost
    latest = _not_after(over, likely)
    first = max(ROUND, math.floor(low / ROUND) * ROUND)
    first = max(min(first, latest - ROUND), 1)
    every = _every(first, likely, over, each)
    longest = number("out_by_most") * likely
    end = max(min(high, longest), likely, first + every)
    # What the looks cost puts the end off.
    put_off = min(end + each * len(_looks(first, every, likely, end)), max(longest, first + every))
    put_off = math.ceil(put_off / ROUND) * ROUND
    out_by = max(min(put_off, latest), first + ROUND)
    at = _looks(first, every, likely, out_by)
    words = (
        f"{spoken_looks(at)}; out as soon as it is {_SIGNS[target]}, at {clock(out_by)} at the latest. Each look "
        f"costs about {each:.0f} s, and {len(at)} of them {'are' if len(at) > 1 else 'is'} counted in. "
        "Not there yet: back in, it stays the same firing and the clock runs on."
    )
    return LookPlan(first=first, every=every, out_by=out_by, looks=len(at), cost=each, words=words, at=at)


def spoken_looks(at: Sequence[float]) -> str:
    """Say when to look, each look by the clock.

    Parameters
    ----------
    at : sequence of float
        Seconds of the looks, at least one.
    """
    if len(at) == 1:
        return f"Look at {clock(at[0])}"
    return f"First look at {clock(at[0])}, then at {', '.join(clock(one) for one in at[1:])}"


def _not_after(over: float, likely: float) -> float:
    """Return the latest time that lies before the piece has likely gone too far, to the step of looks [s]."""
    if not math.isfinite(over):
        return over
    latest = math.floor(over / ROUND) * ROUND
    if latest >= likely:
        return latest
    # Too close for steps: to the second, and never before it should be there.
    return max(min(math.ceil(likely / ROUND) * ROUND, math.floor(over)), math.ceil(likely))


def _looks(first: float, every: float, likely: float, end: float) -> tuple[float, ...]:
    """Return the looks before the end: evenly spread until the likely time, then wider and wider apart."""
    for growth in GROWTHS:
        at, step = [first], every
        while True:
            if at[-1] >= likely:
                step = round(step * growth / ROUND) * ROUND
            if at[-1] + step + step / 2 >= end:
                break  # so near the end it is taken out instead
            at.append(at[-1] + step)
        if len(at) <= MOST_LOOKS:
            break
    return tuple(at[:MOST_LOOKS])


def _every(first: float, likely: float, over: float, each: float) -> float:
    """Return seconds between looks until the likely time.

    One look too late shall do no harm; no closer than a look costs, nor so close that there are too many.
    """
    usual = number("look_every_most" if likely > number("slow_firing") else "look_every_usual")
    if math.isfinite(over):
        room = (over - likely) / number("hold_back")
        usual = min(usual, math.floor(room / ROUND) * ROUND)
    least = max(number("look_every_least"), each, (likely - first) / UNTIL_LIKELY)
    return max(usual, math.ceil(least / ROUND) * ROUND)


def by_eye(first: float, last: float, target: Stage) -> LookPlan:
    """Return the looks of a kiln that tells no degrees: nothing is worked out, the stage rules.

    Parameters
    ----------
    first, last : float
        Short and long time of ordinary practice [s].
    target : str
        Stage looked for.
    """
    every = number("look_every_usual")
    start = max(ROUND, math.floor(first / ROUND) * ROUND)
    at = _looks(start, every, (start + last) / 2, last)
    said = spoken_looks(at)
    words = (
        f"No degrees to go by: {said[0].lower()}{said[1:]}, and out as soon as it is {_SIGNS[target]}. "
        "Not there yet: back in, it stays the same firing."
    )
    cost = number("look_cost")
    return LookPlan(first=start, every=every, out_by=last, looks=len(at), cost=cost, words=words, at=at)
