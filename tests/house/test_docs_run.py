"""The examples of the documentation run as they stand."""

from __future__ import annotations

import json
import re
import tomllib
from pathlib import Path

import pytest

from enamelwright.craft.bench import Bench
from enamelwright.craft.piece import Piece
from enamelwright.questions.question import question

DOCS = Path(__file__).parents[2] / "docs"
BLOCK = re.compile(r"```(\w+)\n(.*?)```", re.DOTALL)
HAND_WRITTEN = sorted(path for path in DOCS.rglob("*.md") if path.parent.name != "look-up")


def blocks(path: Path, kind: str) -> list[str]:
    """Return the code blocks of one kind on a page."""
    return [text for found, text in BLOCK.findall(path.read_text(encoding="utf-8")) if found == kind]


@pytest.mark.parametrize("path", [p for p in HAND_WRITTEN if blocks(p, "python")], ids=lambda p: p.name)
def test_python_examples_run_in_order(path: Path) -> None:
    names: dict[str, object] = {}
    for text in blocks(path, "python"):
        exec(compile(text, str(path), "exec"), names)  # our own page
    assert names


def test_there_are_python_examples() -> None:
    assert any(blocks(path, "python") for path in HAND_WRITTEN)


def test_the_weighing_page_answers_what_it_prints() -> None:
    page = DOCS / "how-to" / "weigh-your-own-hand.md"
    asked = json.loads(blocks(page, "json")[0])
    lines = question("weighing").ask(asked).payload.bench_lines
    assert blocks(page, "toml")[0].split("\n")[:3] == list(lines)
    Bench.from_outside(tomllib.loads(blocks(page, "toml")[0]))


def test_piece_files_on_pages_can_be_read() -> None:
    read = 0
    for path in HAND_WRITTEN:
        for text in blocks(path, "toml"):
            if "[outline]" in text:
                Piece.from_outside(tomllib.loads(text), path.name)
                read += 1
    assert read
