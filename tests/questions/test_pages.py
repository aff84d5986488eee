"""The generated pages are fresh."""

from __future__ import annotations

from pathlib import Path

import pytest

from enamelwright.questions.pages import PAGES

FOLDER = Path(__file__).parents[2] / "docs" / "look-up"


@pytest.mark.parametrize("name", PAGES)
def test_page_is_fresh(name: str) -> None:
    written = (FOLDER / name).read_text(encoding="utf-8")
    assert written == PAGES[name](), f"run: python -m enamelwright.questions.pages {FOLDER.name}"
