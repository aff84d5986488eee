"""Rounds of one coat that follow each other share one window, where it is the same firing to the maker."""

from __future__ import annotations

from collections.abc import Sequence

from enamelwright.craft.operation import Firing, Window
from enamelwright.craft.window.look_plan import MOST_LOOKS, spoken_looks

#: Rounds whose times differ by less than this factor share one window.
ALIKE = 1.3


def rounds_alike(firings: Sequence[Firing], windows: list[Window]) -> tuple[Window, ...]:
    """Give rounds of one coat that follow each other one window, so wide that it holds for each of them.

    Parameters
    ----------
    firings : sequence of Firing
        In order.
    windows : list of Window
        One for each.
    """
    result = list(windows)
    start = 0
    while start < len(result):
        end = start
        while end + 1 < len(result) and _same_round(firings[start], firings[end + 1], result[start], result[end + 1]):
            end += 1
        if end > start:
            shared = _shared(result[start : end + 1])
            result[start : end + 1] = [shared] * (end - start + 1)
        start = end + 1
    return tuple(result)


def _same_round(one: Firing, other: Firing, first: Window, second: Window) -> bool:
    keys = ("lays", "target", "face_up", "loaded", "support", "flash", "embeds")
    if not (one.fill_round and other.fill_round) or any(getattr(one, k) != getattr(other, k) for k in keys):
        return False
    if first.seconds is None or second.seconds is None:
        return first.seconds is second.seconds
    ratio = second.seconds.value / first.seconds.value
    return 1 / ALIKE <= ratio <= ALIKE


def _shared(windows: list[Window]) -> Window:
    """Return the middle window with the times of all."""
    middle = windows[len(windows) // 2]
    timed = [window.seconds for window in windows if window.seconds is not None]
    looked = [window.looks for window in windows if window.looks is not None]
    if len(timed) < len(windows) or not looked:
        return middle
    low = min(one.low for one in timed)
    # Out by what none of the rounds outlasts, unless the slowest would not be done by then.
    slowest = max(one.value for one in timed)
    in_order = sorted(looked, key=lambda plan: plan.out_by)
    longest = next((plan for plan in in_order if plan.out_by >= slowest), in_order[-1])
    if middle.looks is not None and middle.target in {"sugar", "orange peel"}:
        # Out before the gloss that stands beside it.
        longest = middle.looks
    seconds = middle.seconds
    if seconds is not None:
        seconds = seconds.model_copy(update={"low": low, "high": max(seconds.value, longest.out_by)})
    first = min(plan.first for plan in looked)
    # The soonest round is looked at first, the others as the slowest of them asks.
    at = (first, *(one for one in longest.times if one > first))[:MOST_LOOKS]
    looks = longest.model_copy(
        update={
            "first": first,
            "at": at,
            "looks": len(at),
            "words": longest.words.replace(spoken_looks(longest.times), spoken_looks(at)),
        }
    )
    return middle.model_copy(update={"seconds": seconds, "looks": looks, "first_look": first})
