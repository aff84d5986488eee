"""The list of published checks is fresh, and every file of it names a source."""

from __future__ import annotations

import importlib.util
from pathlib import Path

SPEC = importlib.util.spec_from_file_location("listing", Path(__file__).parents[1] / "published" / "listing.py")
assert SPEC is not None
assert SPEC.loader is not None
listing = importlib.util.module_from_spec(SPEC)
SPEC.loader.exec_module(listing)

AGAIN = "run: python tests/published/listing.py"


def test_the_shipped_list_is_fresh() -> None:
    assert listing.JSON.read_text(encoding="utf-8") == listing.text(), AGAIN


def test_the_page_is_fresh() -> None:
    assert listing.PAGE.read_text(encoding="utf-8") == listing.page(), AGAIN


def test_every_file_says_what_it_checks_and_against_what() -> None:
    for entry in listing.checks():
        assert entry["subject"], entry["file"]
        assert entry["sources"], f"{entry['file']} names no source in its docstring"
        assert entry["checks"], entry["file"]
