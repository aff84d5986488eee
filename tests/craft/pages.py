"""Pages of the documentation written from the tables of these tests.

Run ``python -m craft.pages`` in the folder ``tests``.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from craft import ordinary_practice, sequence_cases

LOOK_UP = Path(__file__).parents[2] / "docs" / "look-up"
PRACTICE_PAGE, TECHNIQUES_PAGE = LOOK_UP / "ordinary-practice.md", LOOK_UP / "techniques.md"
AGAIN = "run in the folder tests: python -m craft.pages"


def practice(
    judge_one: Callable[[ordinary_practice.Stack], ordinary_practice.Judgement] = ordinary_practice.judge,
) -> str:
    """Return the page of ordinary work and of pieces that end badly."""
    lines = [
        "# Ordinary practice",
        "",
        "Generated from `tests/craft/ordinary_practice.py`: what the checks of flatness and stress say of work that",
        "ends well every day, and of builds known or computed to end badly. Ordinary work gets no Stop and one Watch",
        "at most. The jars of the invented workshop are invented.",
        "",
    ]
    return "\n".join(lines) + "\n" + ordinary_practice.table(judge_one) + "\n"


def techniques() -> str:
    """Return the page of planned and customary firings."""
    lines = [
        "# Techniques and their firings",
        "",
        "Generated from `tests/craft/sequence_cases.py`: firings planned for an example of each technique, counted by",
        "hand beside the plan, and what is customary. All examples are invented.",
        "",
        "| technique | example | planned firings | counted by hand | customary | source | status |",
        "| --- | --- | --- | --- | --- | --- | --- |",
    ]
    keys = ("technique", "example", "planned", "counted", "customary", "source", "status")
    lines += [f"| {' | '.join(row[key] for key in keys)} |" for row in sequence_cases.table()]
    return "\n".join(lines) + "\n"


if __name__ == "__main__":
    PRACTICE_PAGE.write_text(practice(), encoding="utf-8")
    TECHNIQUES_PAGE.write_text(techniques(), encoding="utf-8")
