"""A bath from fresh to handed in, through the browser as a maker goes: make up, dip, weigh, look ahead, settle, hand in."""

from __future__ import annotations

import io
from typing import TYPE_CHECKING

import pytest
from pypdf import PdfReader

from enamelwright.workshop import baths
from enamelwright.workshop.bath_ledger import book_of
from kiln_browser import axe, opened

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

    from enamelwright.workshop.studio import Studio

#: Words no page of this kind may say.
PROMISES = (" safe ", "safely", " legal", "harmless", "guarantee")


def words(page: Page) -> str:
    return " ".join(page.locator("main").inner_text().split())


def fit(page: Page) -> None:
    """The page as it stands: nothing axe finds, no promise, not wider than the window."""
    assert axe(page) == []
    said = f" {words(page).casefold()} "
    assert not [one for one in PROMISES if one in said]
    assert page.evaluate("document.scrollingElement.scrollWidth <= document.scrollingElement.clientWidth")


def choose(page: Page, form: str, **told: str) -> None:
    """Fill a form and send it."""
    for name, value in told.items():
        folded = page.locator(f"{form} details:not([open]):has([name={name}]) > summary")
        if folded.count():
            folded.first.click()
        field = page.locator(f"{form} [name={name.rstrip('_')}]").first
        if field.evaluate("one => one.tagName") == "SELECT":
            field.select_option(value)
        else:
            field.fill(value)
    with page.expect_navigation():
        page.locator(f"{form} button").first.click()


MAKE = "form:has(input[name=do][value=bath])"
NOTE = "form:has(input[name=what][value=dip])"
MET = "form:has(input[name=do][value=met])"
CONTAINER = "form:has(input[name=do][value=container])"
DRAW = "form:has(input[name=what][value='drawn off'])"


@pytest.mark.parametrize(
    ("width", "height", "light"), [(1024, 768, "light"), (390, 844, "dark")], ids=["tablet", "phone"]
)
def test_a_bath_from_fresh_to_handed_in(
    studio: Studio, app_url: str, browser: Browser, width: int, height: int, light: str
) -> None:
    """Made up, dipped in, weighed, looked ahead, settled with soda, drawn off, closed, labelled and handed in."""
    viewport = {"width": width, "height": height}
    with opened(browser, app_url, clock=False, viewport=viewport, color_scheme=light, reduced_motion="reduce") as page:
        page.goto(f"{app_url}/pickle")
        assert "not a ruling" in words(page)
        fit(page)
        page.reload()
        assert "not a ruling" not in words(page)  # in full once a day, then one line
        assert "screening estimate" in words(page).casefold()

        choose(page, MAKE, name="vinegar, June", made="vinegar and salt", volume="0.5 l", strength="5 %", salt="15 g")
        assert "hardly used" in words(page)
        row = baths.bath_row(studio, "vinegar, June").id
        assert "unknown enamel" in words(page).casefold()  # nobody has said what it met
        fit(page)

        choose(page, NOTE, pieces="4", copper_area="80 cm2")
        assert "from memory, until you weigh your own" in page.content()
        choose(page, NOTE, pieces="4", copper_area="80 cm2", before="41.32 g", after="40.87 g")
        assert "by your own weighings" in page.content()
        assert book_of(studio, row).book.oxide.value == pytest.approx(0.9e-3)
        for _ in range(4):
            choose(page, NOTE, pieces="4", copper_area="80 cm2")
        assert page.locator("#state-noun").inner_text().startswith(("working", "Watch"))
        fit(page)

        choose(page, "#ahead form", area="80 cm2", loads="20")
        assert "exhausted" in page.locator("#ahead").inner_text()
        assert "such loads left" in page.locator("#ahead").inner_text()

        page.goto(f"{app_url}/pickle/{row}/spent")
        assert "Hold and hand in" in words(page)
        assert "nobody has said" in words(page)
        fit(page)
        page.locator(f"{MET} [value=cadmium]").check()
        choose(page, MET)
        assert "it has met cadmium" in words(page)
        assert "Work it out" not in words(page)  # no soda is weighed for it
        fit(page)
        page.locator("summary", has_text="Change it").click()
        page.locator(f"{MET} [value=cadmium]").uncheck()
        choose(page, MET)
        assert "or settle where local rules allow" in words(page)
        assert "23 g" not in words(page)
        page.locator("#settle [value=yes]").check()
        choose(page, "#settle form", soda="soda ash", standing="open overnight")
        assert "23 g" in page.locator("#settle").inner_text()
        assert "mg/L" in page.locator("#settle").inner_text()
        assert page.locator("#settle .dose-band").is_visible()  # what stays dissolved, over the dose
        fit(page)

        choose(
            page, CONTAINER, label="drum 2", contents="spent pickle with copper", destination="county collecting point"
        )
        choose(page, DRAW, container="drum 2", volume="0.5 l")
        with page.expect_navigation():
            page.get_by_role("button", name="Close the bath").click()
        assert "not handed in yet" in words(page)
        fit(page)

        drum = baths.container_row(studio, "drum 2").id
        answer = page.request.get(f"{app_url}/paper/baths.pdf?bath={row}&container={drum}")
        label = " ".join(one.extract_text() for one in PdfReader(io.BytesIO(answer.body())).pages)
        for told in ("vinegar and salt, copper", "NOT A FOOD", "H411", "bleach", "county collecting point", "0.5 l"):
            assert told in " ".join(label.split()), told

        page.goto(f"{app_url}/pickle")
        page.locator("summary", has_text="drum 2").click()
        choose(page, "form:has(input[name=do][value='hand in'])", handed_to="county collecting point")
        assert "No container stands open" in words(page)
        fit(page)
        page.goto(f"{app_url}/pickle/{row}")
        assert page.locator("#state-noun").inner_text().startswith("Closed")
        assert "handed in to county collecting point" in page.locator("#state-noun").inner_text()
        assert "2 earlier" in words(page)
        fit(page)
    assert baths.container_row(studio, "drum 2").handed_to == "county collecting point"
    assert baths.bath_row(studio, row).closed_on is not None
