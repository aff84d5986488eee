"""What the plan warns of at one firing, as the kiln card shows it, and whether it forbids the heat."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from enamelwright.cards import words
from enamelwright.craft.operation import Firing
from enamelwright.craft.plan import Plan
from enamelwright.craft.rules.book import rules
from enamelwright.craft.verdict import Verdict
from enamelwright.pictures.lights import LEVEL_WORDS

#: Families of rules that bear on a firing even where they name none.
AT_THE_KILN = frozenset({"heat", "metal", "contact", "support", "setting"})
#: Families whose stop over a temperature means that metal melts: then no firing of the piece has a setting.
MELTING = frozenset({"metal", "contact"})
#: Warnings a card takes, and the signs of one, at length and where room is short.
MOST, LONGEST, SHORTEST = 3, 150, 95


def _family(verdict: Verdict) -> str:
    row = rules().get(verdict.rule)
    return row.family if row is not None else ""


def melts(verdict: Verdict) -> bool:
    """Return whether a verdict is about metal that melts or flows at the heat of a firing."""
    hot = verdict.figure is not None and verdict.figure.dimension == "temperature"
    return _family(verdict) in MELTING and hot


def concerns(verdict: Verdict, firing: Firing) -> bool:
    """Return whether a verdict belongs on the card of a firing.

    The rules about melting name the hottest firing only, yet the others may reach the same heat in a kiln
    nobody measured, so these stand on every card. A stop that names no firing stands on the cards of the
    firings that heat its coats, or on all when it names no coats.
    """
    if verdict.level == "good":
        return False
    if melts(verdict) or verdict.place.firing == firing.number:
        return True
    if verdict.place.firing or verdict.level != "stop" or _family(verdict) not in AT_THE_KILN:
        return False
    hot = {*firing.fuses, *firing.lays, *firing.reheats}
    return not verdict.place.coats or bool(hot & set(verdict.place.coats))


def held_back(plan: Plan, group: Sequence[Firing]) -> bool:
    """Return whether a stop about melting must be answered before any heat is printed for these firings."""
    return any(
        verdict.level == "stop" and verdict.counts and melts(verdict) and concerns(verdict, firing)
        for verdict in plan.verdicts
        for firing in group
    )


def warnings_data(plan: Plan, group: Sequence[Firing]) -> list[dict[str, Any]]:
    """Return the warnings of a card, worst first: level, word and one sentence each."""
    found = []
    for verdict in plan.leading:
        at = [firing.number for firing in group if concerns(verdict, firing)]
        if not at:
            continue
        said = words.whole_or_cut(verdict.words, LONGEST)
        if len(at) < len(group):
            said = f"Firing {', '.join(str(number) for number in at)}: {said}"
        if verdict.counts:
            remedy = words.sentences(verdict.remedy, LONGEST - len(said))
        else:
            remedy = words.whole_or_cut(f"Intended: {verdict.intended}", LONGEST)
        word = LEVEL_WORDS[verdict.level] + ("" if verdict.counts else " (intended)")
        found.append({
            "level": verdict.level, "word": word, "words": f"{said} {remedy}".rstrip(),
            "short": words.whole_or_cut(said, SHORTEST),
            "bar": verdict.level == "stop" and verdict.counts,
        })  # fmt: skip
    if len(found) > MOST:
        bars = sum(bool(one["bar"]) for one in found[MOST - 1 :])
        more = len(found) - MOST + 1
        kept = found[: MOST - 1]
        kept.append({
            "level": "stop" if bars else "watch", "word": LEVEL_WORDS["stop" if bars else "watch"],
            "words": f"{more} more about this firing: read the plan.", "short": f"{more} more: read the plan.",
            "bar": bool(bars),
        })  # fmt: skip
        return kept
    return found


def of_the_kiln(alarms: Sequence[str]) -> list[dict[str, Any]]:
    """Return what is known of the kiln itself as warnings of a card.

    Parameters
    ----------
    alarms : sequence of str
        One short line each.
    """
    return [
        {"level": "watch", "word": LEVEL_WORDS["watch"], "words": words.plain(one, LONGEST),
         "short": words.plain(one, LONGEST), "bar": False}
        for one in alarms
    ]  # fmt: skip
