"""The session of the documentation is played as it stands there."""

from __future__ import annotations

import re
from pathlib import Path

from session_page import PAGE, SESSION, SIGN, played


def alike(page: str) -> list[str]:
    """Lines without figures, which move with every better estimate, and without the blanks they push about."""
    return [" ".join(re.sub(r"\d[\d.,:]*", "#", line).split()) for line in page.splitlines()]


def test_every_command_of_the_page_answers_what_stands_below_it(tmp_path: Path) -> None:
    page = PAGE.read_text(encoding="utf-8")
    assert alike(played(page, tmp_path)) == alike(page), "write it anew: python tests/stories/session_page.py"


def test_the_page_goes_from_a_new_jar_to_a_closed_firing() -> None:
    typed = [line.removeprefix(SIGN) for block in SESSION.findall(PAGE.read_text(encoding="utf-8"))
             for line in block.splitlines() if line.startswith(SIGN)]  # fmt: skip
    order = [next(n for n, line in enumerate(typed) if line.startswith(word)) for word in
             ("jar add", "design keep", "piece start", "coat ", "load begin", "load look", "load close", "fired ")]  # fmt: skip
    assert order == sorted(order)
