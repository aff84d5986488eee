"""The steps of a piece in order, in few words, with a box to tick for each time a step is done."""

from __future__ import annotations

import re
from itertools import groupby
from typing import Any

from enamelwright.cards import words
from enamelwright.craft.operation import Operation
from enamelwright.craft.plan import Plan

#: Signs a step may take, and the most rows on a page.
LONGEST, MOST = 110, 30
#: Work that goes without saying between firings; the kiln card says it after each.
SMALL = frozenset({"cool", "dry"})
#: What tells one round from the next, and grams, which stand on the card.
ROUND = re.compile(r",? ?round \d+ of \d+| ?\((?:laying|round) \d+ of \d+\)")
AMOUNT = re.compile(r", [\d.]+ g \([\d.]+ to [\d.]+\)(?: a fill on average)?")


def steps_data(plan: Plan) -> list[list[dict[str, Any]]]:
    """Return what the pages of steps print: rows of a heading, the boxes and the short words.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    list of list of dict
        Pages of rows: ``head`` for a heading, empty otherwise; ``ticks``, one label a box, and ``words``. Firings in a
        row whose steps are the same share their rows, a box for each.
    """
    blocks: list[tuple[list[int], list[str]]] = []
    for firing, held in groupby(plan.operations, key=lambda work: work.firing):
        said = [short(work) for work in held if work.work not in SMALL]
        if firing and blocks and blocks[-1][1] == said and blocks[-1][0][0]:
            blocks[-1][0].append(firing)
        else:
            blocks.append(([firing], said))
    rows: list[dict[str, Any]] = []
    for firings, said in blocks:
        if firings[0]:
            few = f"Firing {firings[0]}" if len(firings) == 1 else f"Firings {firings[0]} to {firings[-1]}, each time"
            rows.append({"head": few, "ticks": [], "words": ""})
        elif rows:
            rows.append({"head": "Then", "ticks": [], "words": ""})
        labels = [f"{firing}" if len(firings) > 1 else "" for firing in firings]
        rows += [{"head": "", "ticks": labels, "words": line} for line in said]
    pages: list[list[dict[str, Any]]] = []
    while rows:
        end = min(MOST, len(rows))
        # A heading does not stand alone at the foot of a page.
        if end < len(rows) and rows[end - 1]["head"]:
            end -= 1
        pages.append(rows[:end])
        rows = rows[end:]
    return pages


def short(work: Operation) -> str:
    """Say one step in one sentence, without its round and its grams."""
    said = AMOUNT.sub("", ROUND.sub("", work.words)).split(";")[0].rstrip(" .") + "."
    return words.whole_or_cut(said, LONGEST)
