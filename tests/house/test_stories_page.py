"""The page of the browser stories is fresh, and every test that opens a browser tells one."""

from __future__ import annotations

import importlib.util
import json
from pathlib import Path

import pytest

SPEC = importlib.util.spec_from_file_location("stories_page", Path(__file__).parents[1] / "web" / "stories_page.py")
assert SPEC is not None
assert SPEC.loader is not None
stories_page = importlib.util.module_from_spec(SPEC)
SPEC.loader.exec_module(stories_page)


def test_the_page_is_fresh() -> None:
    assert stories_page.PAGE.read_text(encoding="utf-8") == stories_page.page(), stories_page.AGAIN


def test_every_test_that_opens_a_browser_tells_a_story() -> None:
    found = stories_page.stories()
    assert sum(len(told) for told in found.values()) > 30, "they are found"
    silent = [name for told in found.values() for name, words in told.items() if not words.endswith(".")]
    assert not silent, "one whole sentence as the first line of the docstring"


def test_figures_are_shown_when_there_are_some(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    times = tmp_path / "browser.json"
    monkeypatch.setattr(stories_page, "TIMES", times)
    times.write_text(json.dumps({"rows": [], "yardstick": None}), encoding="utf-8")
    assert "Nothing was measured yet." in stories_page.page()
    row = {"what": "first page", "said": "1.23 s", "asked": "2 s"}
    times.write_text(json.dumps({"rows": [row], "yardstick": 28.25}), encoding="utf-8")
    assert "| first page | 1.23 s | 2 s |" in stories_page.page()
    assert "28 ms" in stories_page.page()
