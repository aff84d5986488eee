"""The page that shows what the record holds and what it has survived.

Run ``python tests/records/record_page.py`` after the tables changed, or after a benchmark with ``--keep``.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from enamelwright.records.diagram import COLUMNS, COMMON, draw, own_columns, references
from enamelwright.records.kinds import tables
from enamelwright.records.migrate import HEAD, REVISIONS

ROOT = Path(__file__).parents[2]
PAGE = ROOT / "docs" / "look-up" / "record.md"
DRAWING = PAGE.with_name("record.svg")
FAULTS, TIMES = ROOT / "benchmarks" / "faults.json", ROOT / "benchmarks" / "records.json"
AGAIN = "run: python tests/records/record_page.py"

HEAD_OF_PAGE = f"""# The record

Generated from the tables and from counted runs: do not edit. Version of the record: {HEAD}.

![Tables of the record and what refers to what](record.svg)

Three kinds of table. What *happened* is only ever added to: a correction is a new row that names the old one, and the
database itself refuses to change or remove a row. What is *kept* has a version; every change leaves the state before it
in `past_version`, and a change made from an older version is refused with both values. What was *derived* can be worked
out again. Besides its own columns, every table has those of its kind:

| kind | columns of every table |
|---|---|
"""
FAULTS_HEAD = """
## Faults survived

The process that writes, or the server with all its processes, is killed without warning at a moment spread evenly over
a burst of writing. Another process keeps a list of what was acknowledged. Afterwards every acknowledged entry must be
there, no entry may be there in part, every reference must have its row, numbers must follow without a gap, and what was
cut off must go in once when it is sent again. "Finished, not heard" was made permanent before the answer got out;
sending it again changes nothing.

| killed | bursts | inside a transaction | while made permanent | acknowledged | lost | half written | finished, not heard |
|---|---|---|---|---|---|---|---|
"""
TESTED = """
Tried by every run of the tests, on SQLite, and on PostgreSQL where it says so:

| fault | how | times | what must hold |
|---|---|---|---|
| the bench is killed (both) | killed outright, anywhere in a burst | 20 each | as above |
| the server is killed (PostgreSQL) | with all its processes | 4 | as above |
| the log is cut off | at any byte, or garbage after or within it | 60 | whole entries only, in the order they were written |
| a power cut | the files as they were at one moment of a burst | 4 | nothing acknowledged is missing |
| the disk is full while writing (both) | a limit the system puts on the size of files | 13 + 1 | one sentence, nothing half written, and the next entry goes in |
| the disk is full for a photo, a snapshot (both), a migration (both) | the same limit | 2 + 6 + 6 | one sentence, nothing left behind, the version before stays |
| a migration fails (both) | in each revision | {migrations} | nothing is changed |
| two benches change one thing (both) | at the same moment | 15 each | one is told, with both values |
| a page of the file is garbage | any page | 100 | it is told of |
| the file is cut off | at any byte | 20 | it is told of |
| another bench writes and does not let go (both) | for longer than the patience | 1 each | one sentence, nobody waits for ever |
| a row is changed, taken out or replaced (both) | by every statement that does, on every table that is only added to | 1 each | it is refused, nothing is changed |
| the file is something else, of a later version, or of none | | 12 | it is refused and left as it was |
"""
TIMES_HEAD = """
## Speed

10,000 firings, 5,000 pieces and 50,000 stock movements over eight invented years; whole use cases, the quickest of
fifteen runs [milliseconds]. A fixed piece of arithmetic took {stick:.0f} ms in the same run.

| what | SQLite | PostgreSQL | allowed |
|---|---|---|---|
"""


def read(path: Path) -> Any:
    """What a benchmark kept; nothing before its first run."""
    return json.loads(path.read_text(encoding="utf-8")) if path.exists() else None


def page() -> str:
    """The page as it should be."""
    text = HEAD_OF_PAGE
    text += "".join(
        f"| {kind} | {', '.join(f'`{c}`' for c in columns.split()) or 'none'} |\n" for kind, columns in COMMON.items()
    )
    known = {table.name: table for table in tables()}
    for column in COLUMNS:
        for family, names in column:
            text += (
                f"\n## {family[0].upper()}{family[1:]}\n\n| table | kind | columns | refers to |\n|---|---|---|---|\n"
            )
            for name in names:
                table = known[name]
                to = ", ".join(dict.fromkeys(f"`{other}`" for _, other in references(table)))
                own = ", ".join(f"`{one}`" for one in own_columns(table))
                text += f"| `{name}` | {table.info['kind']} | {own} | {to} |\n"
    keys = ("what", "bursts", "inside", "made_permanent", "acknowledged", "lost", "half", "finished_unheard")
    counted = read(FAULTS)
    if counted:
        text += (
            FAULTS_HEAD
            + "".join(f"| {' | '.join(str(row[key]) for key in keys)} |\n" for row in counted)
            + TESTED.format(migrations=2 * len(REVISIONS))
        )
    timed = read(TIMES)
    if timed:
        text += TIMES_HEAD.format(stick=timed["yardstick"] * 1e3)
        for row in timed["times"]:
            sqlite, postgresql, allowed = (row[key] * 1e3 for key in ("sqlite", "postgresql", "allowed"))
            text += f"| {row['what']} | {sqlite:.1f} | {postgresql:.1f} | {allowed:.0f} |\n"
    return text


if __name__ == "__main__":
    PAGE.write_text(page(), encoding="utf-8")
    DRAWING.write_text(draw(), encoding="utf-8")
