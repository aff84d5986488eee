"""The page of what is tried in a real browser, read from the tests themselves, with the last timing below it.

Run ``python tests/web/stories_page.py`` after a test that opens a browser was added or told otherwise, and after
``python benchmarks/browser.py --keep``.
"""

from __future__ import annotations

import ast
import json
from pathlib import Path

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
PAGE = ROOT / "docs" / "look-up" / "stories.md"
TIMES = ROOT / "benchmarks" / "browser.json"
AGAIN = "run: python tests/web/stories_page.py"

HEAD = """# What is tried in a real browser

Generated from the tests that open a browser, and from a counted run of `benchmarks/browser.py`: do not edit.

Chromium opens the app as somebody at the bench would: whole jobs as stories, every page filled with the invented
workshop at 1280, 1024, 390 and 320 px, in the dark and the light, by the keyboard alone, without scripts, with the
bench machine away. Every page must fit its screen, have nothing to press under 44 px, ask nothing of the network
beyond the bench machine, write no error into the console, and give axe nothing to object to.
"""
TABLE = """
Measured on two cores; a fixed piece of work that tells how quick the machine was took {yardstick:.0f} ms in the same run.

| What | Measured | Asked |
|---|---|---|
"""


def _opens(argument: ast.arg) -> bool:
    """Whether a test that takes this argument opens a browser."""
    kind = ast.unparse(argument.annotation) if argument.annotation is not None else ""
    return argument.arg == "browser" or kind == "Page"


def stories() -> dict[str, dict[str, str]]:
    """Return what each test that opens a browser tells, by the subject of its file; empty where it tells nothing."""
    found: dict[str, dict[str, str]] = {}
    for path in sorted(HERE.glob("test_*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        told = {
            one.name: (ast.get_docstring(one) or "").partition("\n")[0]
            for one in tree.body
            if isinstance(one, ast.FunctionDef)
            and one.name.startswith("test_")
            and any(_opens(argument) for argument in one.args.args)
        }
        if told:
            found[(ast.get_docstring(tree) or path.stem).partition("\n")[0]] = told
    return found


def page() -> str:
    """Return the page as it should be."""
    text = HEAD
    for subject, told in stories().items():
        text += f"\n## {subject.rstrip('.')}\n\n" + "".join(f"- {one}\n" for one in told.values())
    kept = json.loads(TIMES.read_text(encoding="utf-8"))
    text += "\n## How quickly\n"
    if not kept["rows"]:
        return text + "\nNothing was measured yet.\n"
    text += TABLE.format(yardstick=kept["yardstick"])
    return text + "".join(f"| {one['what']} | {one['said']} | {one['asked']} |\n" for one in kept["rows"])


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
