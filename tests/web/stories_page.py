"""The list of what is tried in a real browser, read from the tests themselves, with the last timing beside it."""

from __future__ import annotations

import ast
import json
from pathlib import Path

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
PAGE = ROOT / "docs" / "look-up" / "stories.md"
TIMES = ROOT / "benchmarks" / "browser.json"


def _words(name: str) -> str:
    words = name.removeprefix("test_").replace("_", " ")
    return words[0].upper() + words[1:] + "."


def stories() -> dict[str, list[str]]:
    """Return what each test that opens a browser tells, by the subject of its file."""
    found: dict[str, list[str]] = {}
    for path in sorted(HERE.glob("test_*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        told = [
            (ast.get_docstring(one) or _words(one.name)).splitlines()[0]
            for one in tree.body
            if isinstance(one, ast.FunctionDef)
            and one.name.startswith("test_")
            and any(argument.arg == "browser" for argument in one.args.args)
        ]
        if told:
            found[(ast.get_docstring(tree) or path.stem).splitlines()[0]] = told
    return found


def _times() -> str:
    """Return the table of the last timing."""
    kept = json.loads(TIMES.read_text(encoding="utf-8"))
    rows = "\n".join(f"| {one['what']} | {one['said']} | {one['asked']} |" for one in kept["rows"])
    return f"| What | Measured | Asked |\n|---|---|---|\n{rows}\n"


def page() -> str:
    """Return the page."""
    parts = "\n\n".join(f"## {subject}\n\n" + "\n".join(f"- {one}" for one in told) for subject, told in stories().items())
    return f"""# What is tried in a real browser

Chromium opens the app as somebody at the bench would: whole jobs as stories, every page filled with the invented
workshop at 1280, 1024, 390 and 320 px, in the dark and the light, by the keyboard alone, without scripts, with the
bench machine away. Every page must fit its screen, have nothing to press under 44 px, ask nothing of the network
beyond the bench machine, write no error into the console, and give axe nothing to object to.

{parts}

## How fast

Measured with `python3 start.py bench browser` on two cores; the yardstick of that run is a fixed piece of work that
tells how quick the machine was.

{_times()}"""


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
