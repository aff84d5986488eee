"""The sources page is as new as the tables it lists."""

from __future__ import annotations

from pathlib import Path

from enamelwright.reference import loader
from enamelwright.reference.pages import sources_page

PAGE = Path(__file__).parents[2] / "docs" / "look-up" / "sources.md"


def test_the_page_is_fresh() -> None:
    written = PAGE.read_text(encoding="utf-8")
    assert written == sources_page(), "run: python -m enamelwright.reference.pages > docs/look-up/sources.md"


def test_every_fact_and_source_stands_on_it() -> None:
    text = sources_page()
    for found in loader.all_facts().values():
        key = found.key.partition("/")[2]
        assert f"| {key} |" in text, found.key
    for key in loader.sources():
        assert f"| {key} |" in text
