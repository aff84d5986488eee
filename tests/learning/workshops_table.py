"""The table of the 200 invented workshops in docs/why/how-well-it-learns.md, written from benchmarks/learning.json.

.venv/bin/python tests/learning/workshops_table.py
"""

from __future__ import annotations

import json
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
PAGE, KEPT = ROOT / "docs" / "why" / "how-well-it-learns.md", ROOT / "benchmarks" / "learning.json"
BEGIN, END = "<!-- from benchmarks/learning.json -->", "<!-- end -->"
LAWS = {"dose": "dose", "arrhenius": "Arrhenius"}


def table() -> str:
    """Return the table of the study that was kept last."""
    kept = json.loads(KEPT.read_text(encoding="utf-8"))
    lines = [
        f"{kept['workshops']} workshops of each law:",
        "",
        "| Law | Firings foretold | Held of bands of 90 % | Interval score | Without a record | As the last good one | Sharper by |",
        "|---|---|---|---|---|---|---|",
    ]
    for law, name in LAWS.items():
        learned, plain, last = (kept[law][one] for one in ("learned", "no record", "last good"))
        score = learned["interval score"]
        lines.append(
            f"| {name} | {learned['firings']} | {100 * learned['held']:.1f} % | {score:.2f} "
            f"| {plain['interval score']:.2f}, {100 * plain['held']:.0f} % held "
            f"| {last['interval score']:.2f}, {100 * last['held']:.0f} % held "
            f"| {100 * (1 - score / plain['interval score']):.0f} % and "
            f"{100 * (1 - score / last['interval score']):.0f} % |"
        )
    return "\n".join(lines)


def parts() -> tuple[str, str, str]:
    """Return the page before the table, the table as it stands there, and the page after it."""
    before, _, rest = PAGE.read_text(encoding="utf-8").partition(BEGIN)
    now, _, after = rest.partition(END)
    return before, now.strip(), after


if __name__ == "__main__":
    before, _, after = parts()
    PAGE.write_text(f"{before}{BEGIN}\n{table()}\n{END}{after}", encoding="utf-8")
