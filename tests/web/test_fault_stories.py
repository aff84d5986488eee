"""Faults in the browser as a maker meets them: bubbles tonight, cracks that must not be capped, a kiln that moved."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from enamelwright.workshop.faults import faults_of
from everywhere import settled
from kiln_browser import axe, opened

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

    from enamelwright.workshop.studio import Studio

#: Words no page of this kind may say.
PROMISES = (" safe ", "safely", " legal", "guarantee", "% success", "will not crack")


def said(page: Page) -> str:
    return " ".join(page.locator("main").inner_text().split())


def fit(page: Page) -> None:
    """The page as it stands: nothing axe finds, no promise, not wider than the window."""
    assert axe(page) == []
    assert not [one for one in PROMISES if one in f" {said(page).casefold()} "]
    assert page.evaluate("document.scrollingElement.scrollWidth <= document.scrollingElement.clientWidth")


SIZES = [(1024, 768, "light"), (390, 844, "dark")]


@pytest.mark.parametrize(("width", "height", "light"), SIZES, ids=["tablet", "phone"])
def test_bubbles_tonight(
    studio: Studio, bubbled: str, app_url: str, browser: Browser, width: int, height: int, light: str
) -> None:
    """A piece comes out full of bubbles: tap the fault, see why, refill, and say that it helped."""
    viewport = {"width": width, "height": height}
    with opened(browser, app_url, clock=False, viewport=viewport, color_scheme=light, reduced_motion="reduce") as page:
        page.goto(f"{app_url}/pieces/{bubbled}/firings")
        with page.expect_navigation():
            page.locator("#faults button[value=bubbles]").click()
        page.goto(f"{app_url}/pieces/{bubbled}")
        settled(page)
        with page.expect_navigation():
            page.get_by_role("link", name="What went wrong?").first.click()
        assert "Fired before dry" in page.locator(".causes > li").first.inner_text()
        assert "steam was seen" in page.locator(".causes > li").first.inner_text()
        first = page.locator(".ways > li").first.inner_text()
        for word in ("Refill", "Firings", "one firing", "Colour", "Flatness", "It can wait."):
            assert word in first
        fit(page)

        page.get_by_label("When it was seen").select_option("in the kiln")
        page.get_by_label("Where on the piece").fill("all over")
        with page.expect_navigation():
            page.get_by_role("button", name="Look").click()
        assert "seen at: all over" in page.locator(".causes > li").first.inner_text()
        assert "vapour seen on entering" in page.locator(".apart").inner_text()
        fit(page)

        with page.expect_navigation():
            page.get_by_role("link", name="Write down what was done").click()
        page.locator("#faults [name=remedy_tried]").fill("opened, refilled and refired")
        with page.expect_navigation():
            page.get_by_role("button", name="It helped").click()
    assert [(one.fault, one.healed) for one in faults_of(studio, bubbled)] == [("bubbles", True)]


def test_a_crack_that_must_not_be_capped_without_scripts(demo_url: str, browser: Browser) -> None:
    """Crescents beside the wires: lead-free glass lies over leaded, so the usual cap is put last and says why."""
    with opened(
        browser, demo_url, clock=False, viewport={"width": 390, "height": 844}, java_script_enabled=False
    ) as page:
        page.goto(f"{demo_url}/find?for=PB1")
        number = page.locator("main a[href^='/pieces/']").first.get_attribute("href")
        page.goto(f"{demo_url}{number}/wrong?fault=wirecrack")
        ways = page.locator(".ways > li")
        assert "Strip to metal" in ways.first.inner_text()
        assert "lead-free cap repeats the fault" in ways.last.inner_text()
        assert "Stop" in ways.last.inner_text()
        assert "lead-free glass lies over leaded glass" in page.locator(".causes > li").first.inner_text()
        assert "no wires" not in said(page)


@pytest.mark.parametrize(("width", "height", "light"), SIZES, ids=["tablet", "phone"])
def test_a_crack_on_uneven_faces(demo_url: str, browser: Browser, width: int, height: int, light: str) -> None:
    """Powder was knocked off the back: what evens the faces comes first, and no way that leaves them uneven before it."""
    viewport = {"width": width, "height": height}
    with opened(browser, demo_url, clock=False, viewport=viewport, color_scheme=light, reduced_motion="reduce") as page:
        page.goto(f"{demo_url}/find?for=A-12")
        number = page.locator("main a[href^='/pieces/']").first.get_attribute("href")
        page.goto(f"{demo_url}{number}/wrong?fault=hairline")
        told = page.locator(".ways > li").all_inner_texts()
        assert "Even the faces" in told[0]
        assert "That is the back" in told[0]
        assert "Watch" not in told[0]
        assert "Stop" not in told[0]
        refire = next(one for one in told if "Refire at once" in one)
        assert "Watch" in refire
        assert "Stop" in told[-1]
        assert "makes the faces more uneven" in told[-1]
        assert "Weighed against uneven or too thick." in said(page)
        fit(page)


@pytest.mark.parametrize(("width", "height", "light"), SIZES, ids=["tablet", "phone"])
def test_a_kiln_that_moved(demo_url: str, browser: Browser, width: int, height: int, light: str) -> None:
    """The weekly tile alarms, the kiln is drawn day by day, and the over-fired evening names both."""
    viewport = {"width": width, "height": height}
    with opened(browser, demo_url, clock=False, viewport=viewport, color_scheme=light, reduced_motion="reduce") as page:
        page.goto(f"{demo_url}/learned/control")
        page.wait_for_selector("figure[data-chart] svg")
        assert "From CT-06 of 9 April on the tile had glossed sooner" in said(page)
        assert page.locator("figure[data-chart] svg path[aria-label*='Apr 09, 2026'][aria-label*='alarm']").count()
        page.locator("summary", has_text="The values").first.click()
        assert "133 s" in page.locator("figure table").first.inner_text()
        fit(page)

        with page.expect_navigation():
            page.get_by_role("link", name="Kiln and jars").click()
        page.wait_for_selector("#learned-kilns figure[data-chart] svg", timeout=60_000)
        settled(page)
        assert "would have glossed after" in said(page)
        fit(page)

        page.goto(f"{demo_url}/find?for=PD")
        number = page.locator("main a[href^='/pieces/']").first.get_attribute("href")
        page.goto(f"{demo_url}{number}/wrong?fault=overfired")
        first = " ".join(page.locator(".causes").first.inner_text().split())
        assert "the control tile CT-0" in first
        assert "counted from back up to heat" in first
        fit(page)

        page.goto(f"{demo_url}/learned/foretold")
        page.wait_for_selector("figure[data-chart] svg")
        fit(page)
        page.goto(f"{demo_url}/learned/faults")
        page.wait_for_selector("figure[data-chart] svg")
        fit(page)
        page.goto(f"{demo_url}/learned/tiles?jar=J02")
        assert "control tile" in said(page)
        fit(page)
