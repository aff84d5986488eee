"""The page of the next tile in the browser: the map fits phone and tablet, and its kinds look different."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from kiln_browser import axe, opened

if TYPE_CHECKING:
    from playwright.sync_api import Browser

SIZES = [(1024, 768, "light"), (1024, 768, "dark"), (390, 844, "light"), (390, 844, "dark")]


@pytest.mark.parametrize(("width", "height", "light"), SIZES)
def test_the_map_fits_and_perhaps_is_no_good(
    demo_url: str, browser: Browser, width: int, height: int, light: str
) -> None:
    """Which tiles next: the map of the window fits phone and tablet, and what is perhaps does not look good."""
    viewport = {"width": width, "height": height}
    with opened(browser, demo_url, clock=False, viewport=viewport, color_scheme=light, reduced_motion="reduce") as page:
        page.goto(f"{demo_url}/learned/tiles?jar=J02")
        assert page.evaluate("document.scrollingElement.scrollWidth <= document.scrollingElement.clientWidth")
        room = page.evaluate(
            "(one => [one.getBoundingClientRect().width, one.parentElement.clientWidth])(document.querySelector('.map'))"
        )
        assert room[0] <= room[1]
        cells = page.locator(".map td[class]")
        assert cells.count() == 81
        assert all(cells.nth(k).bounding_box()["width"] >= 20 for k in range(9))
        looks = page.evaluate(
            "['good', 'perhaps', 'bad', 'unknown'].map(one => { const look = getComputedStyle(document.querySelector("
            "'.map td.' + one)); return [look.backgroundColor, look.backgroundImage, look.outlineColor].join(); })"
        )
        assert len(set(looks)) >= 3
        assert looks[0] not in looks[1:]
        assert looks[1] not in looks[2:]
        assert axe(page) == []
