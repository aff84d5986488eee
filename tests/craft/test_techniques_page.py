"""The page of techniques is fresh."""

from __future__ import annotations

from craft.pages import AGAIN, TECHNIQUES_PAGE, techniques


def test_the_page_of_techniques_is_fresh():
    assert TECHNIQUES_PAGE.read_text(encoding="utf-8") == techniques(), AGAIN
