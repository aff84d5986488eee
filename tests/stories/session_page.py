"""Plays the session of docs/do-this/first-firing.md in a studio of its own, and writes what is answered below each command.

Run: ``python tests/stories/session_page.py``
"""

from __future__ import annotations

import os
import re
import shlex
import sys
import tempfile
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from terminal import Bench

PAGE = Path(__file__).parents[2] / "docs" / "do-this" / "first-firing.md"
SESSION = re.compile(r"```console\n(.*?)```", re.DOTALL)
FILE = re.compile(r"This is `(\S+)`.*?```toml\n(.*?)```", re.DOTALL)
SIGN = "$ enamelwright "


def played(page: str, folder: Path) -> str:
    """Return the page with what every command answers in a new studio; AssertionError when one is refused.

    Parameters
    ----------
    page : str
        The page.
    folder : Path
        An empty folder to work in.
    """
    for name, text in FILE.findall(page):
        (folder / name).write_text(text, encoding="utf-8")
    bench = Bench(folder / "studio")
    before = Path.cwd()
    os.chdir(folder)
    try:
        return SESSION.sub(lambda block: f"```console\n{_answered(bench, block[1])}```", page)
    finally:
        os.chdir(before)


def _answered(bench: Bench, block: str) -> str:
    told = []
    for line in block.splitlines():
        if line.startswith(SIGN):
            said = bench.says(*shlex.split(line.removeprefix(SIGN)))
            told += [line, *(one.rstrip() for one in said.strip("\n").splitlines())]
    return "".join(f"{line}\n" for line in told)


if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as name:
        PAGE.write_text(played(PAGE.read_text(encoding="utf-8"), Path(name)), encoding="utf-8")
