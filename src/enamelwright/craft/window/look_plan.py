"""A window spoken as looks: the first, one every so many seconds, out by; each look costs and is counted."""

from __future__ import annotations

import math

from enamelwright.craft.coat import Stage
from enamelwright.craft.operation import LookPlan
from enamelwright.craft.window.facts import number

#: Times of looks are told in steps of this many seconds.
ROUND = 5.0
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
        less often loses less. Nor is it so late that a hotter setting would serve better.
    """
    each = number("look_cost") if cost is None else cost
    first = max(ROUND, math.floor(low / ROUND) * ROUND)
    every = _every(likely, over, each)
    end = max(min(high, number("out_by_most") * likely), likely, first + every)
    # A look every so often until the end; what they cost puts the end off.
    put_off = math.ceil((end + each * _looks(first, every, end)) / ROUND) * ROUND
    latest = max(math.floor(over / ROUND) * ROUND, math.ceil(likely / ROUND) * ROUND) if math.isfinite(over) else over
    out_by = max(min(put_off, latest), first + ROUND)
    looks = _looks(first, every, out_by)
    words = (
        f"First look at {clock(first)}, then every {every:.0f} s; out as soon as it is {_SIGNS[target]}, at "
        f"{clock(out_by)} at the latest. Each look costs about {each:.0f} s, and {looks} of them "
        f"{'are' if looks > 1 else 'is'} counted in. "
        "Not there yet: back in, it stays the same firing and the clock runs on."
    )
    return LookPlan(first=first, every=every, out_by=out_by, looks=looks, cost=each, words=words)


def _looks(first: float, every: float, end: float) -> int:
    """Count the looks before the end."""
    return max(1, math.ceil((end - first) / every))


def _every(likely: float, over: float, each: float) -> float:
    """Return seconds between looks: so that one look too late does no harm, and not closer than a look costs."""
    usual = number("look_every_most" if likely > number("slow_firing") else "look_every_usual")
    if math.isinf(over):
        return usual
    room = (over - likely) / number("hold_back")
    least = max(number("look_every_least"), math.ceil(each / ROUND) * ROUND)
    return max(least, min(usual, math.floor(room / ROUND) * ROUND))


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
    looks = max(1, math.ceil((last - start) / every))
    words = (
        f"No degrees to go by: first look at {clock(start)}, then every {every:.0f} s, and out as soon as it is "
        f"{_SIGNS[target]}. Not there yet: back in, it stays the same firing."
    )
    return LookPlan(first=start, every=every, out_by=last, looks=looks, cost=number("look_cost"), words=words)
