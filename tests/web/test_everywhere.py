"""Every page there is, in a real browser with the invented workshop's data: it fits, it can be hit, nothing complains.

Accessibility is judged by axe against WCAG 2.2 (A and AA) and its best practices; 320 CSS px is the width of success
criterion 1.4.10 (a 1280 px window at 400 %). The size of targets is the house's own, above that of criterion 2.5.8.
"""

from __future__ import annotations

import re
from typing import Any

import pytest

from enamelwright.web.page import PAGES
from everywhere import SMALL, TARGET, WIDE, axe, everywhere, settled, text_of, watch

#: Windows: a screen, a tablet, a screen at twice the text size, a telephone, and the narrowest that has to do.
WINDOWS = ((1280, 800), (1024, 768), (640, 400), (390, 844), (320, 640))
#: Axe looks at each of these, in one light and then the other: colour does not follow width, nor structure the light.
LOOKED_AT = {1280: "light", 1024: "dark", 390: "light", 320: "dark"}
#: Test processes side by side take every second page each.
SHARES = 2
#: Pages that answer something told to them in the address, which no link leads to.
TOLD = (
    "/find?for=blue", "/find?for=nothing-is-called-so", "/find?for=12+Mar+2026", "/find?for=", "/pieces?said=started-many",
    "/quick?ask=degrees&temperature=1450+F", "/orders?show=all&skip=1", "/designs/1/shape?by=photo",
    "/designs/1/shape?by=weigh", "/designs/1/shape?by=drawing", "/record/none/1", "/pieces/2026-999", "/quick?ask=gauge&thickness=18+gauge+(B%26S)",
    "/quick?ask=degrees&temperature=hot", "/jars?away=yes", "/pieces?state=all", "/paper/jars?jar=1&jar=2&used=3",
    "/paper/baths?bath=1",
)  # fmt: skip


@pytest.fixture(scope="session")
def addresses(demo_url: str) -> list[str]:
    """One address of every kind of page, and those that answer something told to them."""
    found = everywhere(demo_url)
    number = next(path for path in found if path.startswith("/pieces/20")).split("/")[2]
    states = (
        f"/kiln/ready?piece={number}",
        f"/pieces/new?like={number}",
        f"/pieces/{number}?said=words&undo=piece:1:1",
    )
    return [*found, *TOLD, *states]


def test_every_page_of_the_navigation_is_reached(addresses: list[str]) -> None:
    assert {page.path for page in PAGES if page.listed} <= set(addresses)
    assert len(addresses) > len(PAGES)


@pytest.mark.parametrize("share", range(SHARES))
def test_every_page_fits_can_be_hit_and_has_nothing_axe_objects_to(
    browser: Any, demo_url: str, addresses: list[str], share: int
) -> None:
    """Every address of the invented workshop is opened at every width, and its complaints are gathered."""
    watched = watch(browser, demo_url, *WINDOWS[0])
    page, found = watched.page, []
    for path in addresses[share::SHARES]:
        page.set_viewport_size({"width": WINDOWS[0][0], "height": WINDOWS[0][1]})
        page.goto(demo_url + path)
        settled(page)
        for width, height in WINDOWS:
            page.set_viewport_size({"width": width, "height": height})
            wrong = page.evaluate(WIDE) + page.evaluate(SMALL, TARGET)
            if width in LOOKED_AT:
                page.emulate_media(color_scheme=LOOKED_AT[width])
                wrong += axe(page)
            found += [f"{path} at {width}: {one}" for one in wrong]
    page.context.close()
    assert not found + watched.complaints


def test_every_page_stands_without_scripts(demo_url: str, addresses: list[str]) -> None:
    """As the server sends it: a heading, an open navigation, no script or style inside, every form can be sent."""
    found = []
    for path in addresses:
        text = text_of(demo_url, path)
        if not re.search(r"<h1\b", text):
            found.append(f"{path}: no heading")
        if '<details class="nouns-fold" open>' not in text:
            found.append(f"{path}: the navigation is shut")
        if re.search(
            r"<style|\sstyle=|\son[a-z]+=\"|javascript:",
            re.sub(r"<script type=\"application/json\".*?</script>", "", text),
        ):
            found.append(f"{path}: style or script inside the page")
        for form in re.findall(r"<form\b.*?</form>", text, re.DOTALL):
            if "<button" not in form and 'type="submit"' not in form:
                found.append(f"{path}: a form without a button: {form[:60]}")
            if pressed_by_enter(form) not in ("", "enter"):
                found.append(f"{path}: Enter in a line presses {pressed_by_enter(form)}")
    assert not found


def pressed_by_enter(form: str) -> str:
    """What the Enter key does in a line of a form by its first button; empty where all buttons do one thing.

    The first submit button in the order of the page is pressed (HTML Living Standard, implicit submission).
    """
    scripted = re.sub(r"<noscript>.*?</noscript>", "", form, flags=re.DOTALL)
    buttons = [one for one in re.findall(r"<button\b[^>]*>", scripted) if 'type="button"' not in one]
    lines = [
        one
        for one in re.findall(r"<input\b[^>]*>", scripted)
        if not re.search(r'type="(hidden|checkbox|radio|range|file)"', one)
    ]
    if not lines or len({re.sub(r'\b(class|data-[a-z-]+|aria-[a-z]+)="[^"]*"', "", one) for one in buttons}) < 2:
        return ""
    meant = re.search(r'class="(enter|main-action)"', buttons[0])
    return "enter" if meant else buttons[0]


def test_a_first_button_that_does_something_else_is_found() -> None:
    line, less, more = '<input name="amount">', '<button name="do" value="less">', '<button name="do" value="more">'
    assert pressed_by_enter(f"<form>{line}{less}{more}</form>") == less
    assert pressed_by_enter(f'<form><button class="enter" hidden>{line}{less}{more}</form>') == "enter"
    assert pressed_by_enter(f'<form><input type="hidden" name="a">{less}{more}</form>') == ""
    assert pressed_by_enter(f'<form>{line}<button type="button" data-step="1">{more}</form>') == ""


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
        if one[0].startswith("<body"):
            break  # past the last of them
        seen.add(one[0])
        if one[1] == "none" or not one[2]:
            hidden.append(one)
    watched.page.context.close()
    assert len(seen) > 2
    assert not hidden


def test_the_light_is_chosen_and_stays_on_this_device(browser: Any, demo_url: str) -> None:
    """The lamp is chosen on one page, and the next page shines in it."""
    watched = watch(browser, demo_url, 1280, 800, "light")
    page = watched.page
    page.goto(f"{demo_url}/jars")
    before = page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
    page.locator(".lights summary").click()
    with page.expect_navigation():
        page.get_by_role("button", name="Lamp").click()
    after = page.evaluate("getComputedStyle(document.documentElement).backgroundColor")
    assert before != after
    assert page.url == f"{demo_url}/jars"
    page.goto(f"{demo_url}/pieces")
    assert page.evaluate("getComputedStyle(document.documentElement).backgroundColor") == after
    page.context.close()
    assert not watched.complaints
