"""A form that is refused keeps what was typed into it, whichever way back is taken."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from enamelwright.workshop.kilns import kilns
from enamelwright.workshop.studio import Studio
from kiln_browser import leave, until

if TYPE_CHECKING:
    from playwright.sync_api import Browser


@pytest.mark.parametrize("button", [True, False], ids=["our button", "the browser's"])
def test_what_was_typed_is_there_again(browser: Browser, app_url: str, studio: Studio, button: bool) -> None:
    """A kiln told with a time in a foreign word is refused; back on the form every line stands as it was typed."""
    with browser.new_context() as context, context.new_page() as page:
        page.goto(f"{app_url}/first/kiln")
        page.fill("[name=name]", 'the "little" one')
        page.fill("[name=time_to_set]", "35 Minuten")
        page.locator("label.choice", has_text="brick medium").click()
        leave(page, page.get_by_role("button", name="Next: two jars"))
        assert page.locator("h1").inner_text() == "Not done"
        if button:
            leave(page, page.get_by_role("link", name="Go back"))
        else:
            page.go_back()
        until(page, "document.querySelector('[name=time_to_set]').value === '35 Minuten'")
        assert page.input_value("[name=name]") == 'the "little" one'
        assert page.locator("[name=preset]:checked").input_value() == "brick medium"
        page.fill("[name=time_to_set]", "35 min")
        leave(page, page.get_by_role("button", name="Next: two jars"))
        assert page.url.endswith("/first/jars")
        assert [one.name for one in kilns(studio)] == ['the "little" one']


def test_what_was_taken_is_not_typed_again(browser: Browser, app_url: str) -> None:
    """A form that was taken is empty when one goes back to it: sent again it would be a second kiln."""
    with browser.new_context() as context, context.new_page() as page:
        page.goto(f"{app_url}/first/kiln")
        page.fill("[name=name]", "the small one")
        leave(page, page.get_by_role("button", name="Next: two jars"))
        page.go_back()
        page.wait_for_load_state("networkidle")
        assert page.input_value("[name=name]") == ""


def test_a_correction_that_is_refused_keeps_its_reason(browser: Browser, app_url: str, bubbled: str) -> None:
    """A correction whose depth is no number keeps the depth and the reason that were typed."""
    with browser.new_context() as context, context.new_page() as page:
        page.goto(f"{app_url}/pieces/{bubbled}/record")
        leave(page, page.locator("a[href^='/record/coat/']").first)
        page.fill("[name=to-powder_depth]", "much")
        page.fill("[name=why]", "read the wrong line")
        leave(page, page.get_by_role("button", name="Correct it"))
        leave(page, page.get_by_role("link", name="Go back"))
        until(page, "document.querySelector('[name=why]').value !== ''")
        assert page.input_value("[name=why]") == "read the wrong line"
        assert page.input_value("[name=to-powder_depth]") == "much"
