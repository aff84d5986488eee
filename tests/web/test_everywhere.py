"""Every page there is, in a real browser with the invented workshop's data: it fits, it can be hit, nothing complains.

Accessibility is judged by axe against WCAG 2.2 (A and AA) and its best practices; 320 CSS px is the width of success
criterion 1.4.10 (a 1280 px window at 400 %). The size of targets is the house's own, above that of criterion 2.5.8.
"""

from __future__ import annotations

from typing import Any

import pytest

from enamelwright.web.page import pages
from everywhere import SMALL, TARGET, WIDE, axe, everywhere, settled, watch

#: Windows and lights: a screen, a tablet, a telephone, and the narrowest that has to do. Axe looks at all of them.
WINDOWS = [(1280, 800, "light"), (1024, 768, "dark"), (390, 844, "light"), (320, 640, "dark")]
#: Pages that answer something told to them in the address, which no link leads to.
TOLD = (
    "/find?for=blue", "/find?for=nothing-is-called-so", "/quick?ask=gauge&thickness=18+gauge+(B%26S)",
    "/quick?ask=degrees&temperature=hot", "/jars?away=yes", "/pieces?state=all", "/paper/jars?jar=1&jar=2&used=3",
    "/paper/baths?bath=1",
)  # fmt: skip


@pytest.fixture(scope="session")
def addresses(demo_url: str) -> list[str]:
    """One address of every kind of page, and those that answer something told to them."""
    found = everywhere(demo_url)
    number = next(path for path in found if path.startswith("/pieces/20")).split("/")[2]
    return [*found, *TOLD, f"/kiln/ready?piece={number}"]


def test_every_page_of_the_navigation_is_reached(addresses: list[str]) -> None:
    assert {page.path for page in pages() if page.listed} <= set(addresses)
    assert len(addresses) > len(pages())


@pytest.mark.parametrize(("width", "height", "light"), WINDOWS, ids=lambda value: str(value))
def test_every_page_fits_can_be_hit_and_has_nothing_axe_objects_to(
    browser: Any, demo_url: str, addresses: list[str], width: int, height: int, light: str
) -> None:
    watched = watch(browser, demo_url, width, height, light)
    found: list[str] = []
    for path in addresses:
        watched.page.goto(demo_url + path)
        settled(watched.page)
        wrong = watched.page.evaluate(WIDE) + watched.page.evaluate(SMALL, TARGET) + axe(watched.page)
        found += [f"{path}: {one}" for one in wrong]
    watched.page.context.close()
    assert not found + watched.complaints


def test_twice_the_text_size_still_fits(browser: Any, demo_url: str, addresses: list[str]) -> None:
    """WCAG 2.2, 1.4.4: at 200 % nothing is lost; a 1280 px window then has 640 CSS px."""
    watched = watch(browser, demo_url, 640, 400, "light", device_scale_factor=2)
    found = []
    for path in addresses:
        watched.page.goto(demo_url + path)
        found += [f"{path}: {one}" for one in watched.page.evaluate(WIDE)]
    watched.page.context.close()
    assert not found + watched.complaints


def test_every_page_says_what_it_is_without_scripts(browser: Any, demo_url: str, addresses: list[str]) -> None:
    """JavaScript off: every page shows its heading, its forms have a way to be sent, and its navigation is open."""
    context = browser.new_context(java_script_enabled=False, viewport={"width": 390, "height": 844})
    page = context.new_page()
    found = []
    for path in addresses:
        page.goto(demo_url + path)
        if page.locator("h1").count() != 1:
            found.append(f"{path}: {page.locator('h1').count()} headings")
        if not page.locator("nav a").first.is_visible():
            found.append(f"{path}: the navigation is shut")
    context.close()
    assert not found


def test_the_keyboard_reaches_the_page_and_comes_back(browser: Any, demo_url: str) -> None:
    """Tab goes first to the way past the navigation, and what has the focus shows it."""
    watched = watch(browser, demo_url, 1280, 800)
    page = watched.page
    page.goto(f"{demo_url}/set-up/people")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    page.keyboard.press("Enter")
    assert page.evaluate("location.hash") == "#main"
    seen, hidden = set(), []
    for _ in range(12):
        page.keyboard.press("Tab")
        one = page.evaluate(
            """() => { const one = document.activeElement, box = one.getBoundingClientRect();
            return [one.outerHTML.slice(0, 80), getComputedStyle(one).outlineStyle, box.width > 0]; }"""
        )
        seen.add(one[0])
        if one[1] == "none" or not one[2]:
            hidden.append(one)
    watched.page.context.close()
    assert len(seen) > 6
    assert not hidden


def test_the_light_is_chosen_and_stays_on_this_device(browser: Any, demo_url: str) -> None:
    watched = watch(browser, demo_url, 1280, 800, "light")
    page = watched.page
    page.goto(f"{demo_url}/jars")
    before = page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
    page.locator(".lights summary").click()
    page.get_by_role("button", name="Lamp").click()
    after = page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
    assert before != after
    assert page.url == f"{demo_url}/jars"
    page.goto(f"{demo_url}/pieces")
    assert page.evaluate("getComputedStyle(document.documentElement).backgroundColor") == after
    page.context.close()
    assert not watched.complaints
