"""The list of published checks, read from the tests themselves."""

from __future__ import annotations

import ast
import json
import re
from pathlib import Path
from typing import Any

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
JSON = ROOT / "src" / "enamelwright" / "reference" / "published_checks.json"
PAGE = ROOT / "docs" / "look-up" / "published-checks.md"


def _rows(node: ast.expr) -> int:
    """Count the rows of a table of cases written out in full; 0 for anything else."""
    return len(node.elts) if isinstance(node, ast.List | ast.Tuple) else 0


def _words(name: str) -> str:
    return name.removeprefix("test_").replace("_", " ")


def checks() -> list[dict[str, Any]]:
    """Return one entry per test file: subject, sources, and each check with its number of cases."""
    result = []
    for path in sorted(HERE.glob("test_*.py")):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        subject, _, sources = (ast.get_docstring(tree) or "").partition("\n")
        tables = {
            target.id: _rows(node.value)
            for node in tree.body
            if isinstance(node, ast.Assign)
            for target in node.targets
            if isinstance(target, ast.Name)
        }
        found = []
        for node in tree.body:
            if isinstance(node, ast.FunctionDef) and node.name.startswith("test_"):
                names = {n.id for mark in node.decorator_list for n in ast.walk(mark) if isinstance(n, ast.Name)}
                cases = max((tables.get(name, 0) for name in names), default=0) or 1
                about = (ast.get_docstring(node) or _words(node.name)).splitlines()[0]
                found.append({"check": about, "cases": cases})
        result.append(
            {
                "file": f"tests/published/{path.name}",
                "subject": subject,
                "sources": re.sub(r"^Sources? -+ (\* )?", "", " ".join(sources.split())),
                "checks": found,
            }
        )
    return result


def text() -> str:
    """Return the JSON that is shipped inside the package."""
    return json.dumps(checks(), ensure_ascii=False, indent=1) + "\n"


def page() -> str:
    """Return the same as a page of the documentation."""
    lines = [
        "# Published checks",
        "",
        "Generated from `tests/published/`: what the numbers are checked against, outside this project.",
        "",
    ]
    for entry in checks():
        lines += [f"## {entry['subject'].rstrip('.')}", ""]
        if entry["sources"]:
            lines += [entry["sources"], ""]
        lines += ["| check | cases |", "| --- | --- |"]
        lines += [f"| {found['check']} | {found['cases']} |" for found in entry["checks"]]
        lines += ["", f"`{entry['file']}`", ""]
    return "\n".join(lines).rstrip() + "\n"


if __name__ == "__main__":
    JSON.write_text(text(), encoding="utf-8")
    PAGE.write_text(page(), encoding="utf-8")
