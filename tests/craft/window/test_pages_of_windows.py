"""The page of firing windows is fresh."""

from __future__ import annotations

from craft.window.pages import AGAIN, PAGE, page


def test_the_page_of_windows_is_fresh():
    assert PAGE.read_text(encoding="utf-8") == page(), AGAIN
