"""The page that shows how good plans are: days of 12 to 300 pieces, and published problems beside a peer.

Run ``python tests/planning/plans_page.py`` after ``python benchmarks/day.py --keep``.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
PAGE = ROOT / "docs" / "look-up" / "plans.md"
DATA, KEPT = ROOT / "benchmarks" / "data", ROOT / "benchmarks" / "day.json"
AGAIN = "run: python tests/planning/plans_page.py"

HEAD = """# How good plans are

Generated from a counted run of `benchmarks/day.py`: do not edit.

No plan can be shorter than the work there is for the hands, the loads there must be in the kiln, or the longest route of one
piece: that is the *least*. Days are invented; every plan was looked at by the independent checker. *One by one* finishes
each piece before the next is begun. *Best rule* is the rule of thumb of the same run with the fewest late, then the shortest.
"""
PUBLISHED = """
## Published problems

Job shops and projects of the literature through the same engine, from a poor plan and with at most 30 s each; beside them
PyJobShop with the same solver, time and cores. A star says that the finish is proven to be the least.

| problem | published least | ours | s | PyJobShop | s |
|---|---|---|---|---|---|
"""


def read(path: Path) -> Any:
    """What a benchmark kept; nothing before its first run."""
    return json.loads(path.read_text(encoding="utf-8")) if path.exists() else None


def best_rule(row: dict[str, Any]) -> dict[str, Any]:
    """The rule of thumb with fewest late, then shortest."""
    return min(row["rules"], key=lambda one: (one["late"], one["hours"]))


def page() -> str:
    """The page as it should be."""
    kept = read(KEPT)
    if not kept:
        return HEAD
    text = HEAD + (
        f"\nMeasured on {kept['cores']} cores, {kept['minutes']:.0f} minutes in all; a fixed piece of arithmetic took "
        f"{kept['yardstick'] * 1e3:.0f} ms in the same run.\n\n"
        "| pieces | steps | least h | found h | above | asked | loads | late | in s | first plan s | best rule h, late | "
        "one by one h | gain |\n|---|---|---|---|---|---|---|---|---|---|---|---|---|\n"
    )
    for row in kept["days"]:
        found, rule, single = row["found"], best_rule(row), row["rules"][0]
        asked = "" if row["promised"] is None else f"{row['promised']:.0%}"
        text += (
            f"| {row['name']} | {row['steps']} | {row['bound']:.2f} | {found['hours']:.2f} | {found['gap']:.1%} | {asked} "
            f"| {found['loads']} | {found['late']} | {found['seconds']:.0f} | {row['first']:.2f} "
            f"| {rule['hours']:.2f}, {rule['late']} | {single['hours']:.2f} | {single['hours'] / found['hours']:.1f} times |\n"
        )
    if kept["published"]:
        text += PUBLISHED
        for row in kept["published"]:
            sides = " | ".join(f"{f}{'*' if proven else ''} | {s:.2f}" for f, proven, s in (row["ours"], row["peer"]))
            text += f"| {row['name']} | {row['optimum']} | {sides} |\n"
        reached = sum(row["ours"][0] == row["optimum"] for row in kept["published"])
        text += f"\n{reached} of {len(kept['published'])} at the published least finish.\n"
    return text


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
