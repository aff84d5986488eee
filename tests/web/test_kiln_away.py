"""Work in a real browser while the bench machine is away: it waits on the device, and arrives once."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import pytest

from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.schema.loads import look
from enamelwright.workshop.firings import load_row, looks_of
from kiln_browser import begun, count, leave, nth_load, opened, passes, settle, tap, two_laid, until

if TYPE_CHECKING:
    from playwright.sync_api import Browser

    from enamelwright.workshop.studio import Studio


@pytest.fixture
def pieces(studio: Studio) -> list[str]:
    return two_laid(studio)


def test_nothing_is_lost_when_the_bench_machine_is_away(
    browser: Browser, app_url: str, studio: Studio, pieces: list[str]
) -> None:
    """A load put in, looked at and taken out with nobody answering; the page loaded anew, then all of it arrives."""
    with opened(browser, app_url, viewport={"width": 1024, "height": 768}) as page:
        page.goto(f"{app_url}/kiln/ready?piece={pieces[0]}")
        begun(page)
        page.route("**/api/v1/entries", lambda route: route.abort())
        tap(page, "[data-main=put-in]")
        passes(page, 100)
        tap(page, "[data-main=look]")
        tap(page, ".stage[value=gloss]")
        tap(page, "[data-main=shut]")
        assert page.get_attribute("#waiting", "data-waiting") == "2"
        assert "wait on this device" in page.inner_text("#waiting")
        assert count(studio, load_table) == 0
        passes(page, 30)
        before = page.inner_text("#digits")
        page.reload()  # the page comes back, the entries still wait
        page.wait_for_selector("#waiting .waits")
        assert page.get_attribute(".at-kiln", "data-step") == "in"
        until(page, "document.getElementById('digits').textContent !== '0:00'")
        assert page.inner_text("#digits") >= before
        assert page.locator("#looks li").all_inner_texts()[0].startswith("gloss")
        tap(page, "#second-act")
        tap(page, "[data-main=after]")
        page.unroute("**/api/v1/entries")
        page.click("#waiting .waits button")
        passes(page, 2)
        settle(page)
        row = load_row(studio, nth_load(studio, 1))
        assert [one.stage_seen for one in looks_of(studio, row.of)] == ["gloss"]
        assert row.stage_seen == "gloss"
        assert row.closed_at is not None
        assert count(studio, look) == 1


def test_an_answer_that_is_lost_is_asked_for_again_and_one_row_stays(
    browser: Browser, app_url: str, studio: Studio, pieces: list[str]
) -> None:
    """The machine takes the entry and the answer is lost on the way back: the worst of cases."""
    with opened(browser, app_url) as page:
        page.goto(f"{app_url}/kiln/ready?piece={pieces[0]}")
        begun(page)
        lost: list[int] = []

        def lose(route: Any) -> None:
            if len(lost) < 2:
                lost.append(route.fetch().status)
                route.abort()
            else:
                route.continue_()

        page.route("**/api/v1/entries", lose)
        tap(page, "[data-main=put-in]")
        for _ in range(6):
            passes(page, 5)
            page.wait_for_timeout(100)
        settle(page)
        assert lost == [200, 200]
        assert count(studio, load_table) == 1
        until(page, f"location.pathname === '/kiln/{nth_load(studio, 1)}'")


def test_weighed_out_and_laid_while_the_bench_machine_is_away(
    browser: Browser, app_url: str, studio: Studio, pieces: list[str]
) -> None:
    """A coat is weighed out and laid with nobody answering, and is on the piece once."""
    from enamelwright.workshop.coats import coats_on

    with opened(browser, app_url) as page:
        page.goto(f"{app_url}/weigh/{pieces[0]}?coat=1")
        begun(page)
        page.route("**/api/v1/entries", lambda route: route.abort())
        page.fill("#grams", "0.61")
        page.click(".main-action")
        passes(page, 3)
        page.wait_for_selector("#kept-here .said")
        assert len(coats_on(studio, pieces[0])) == 1  # the one of the fixture
        page.unroute("**/api/v1/entries")
        page.click("#waiting .waits button")
        page.wait_for_url("**said=laid**")  # an answer that comes late leads on like any other
        settle(page)
        laid = sorted(coats_on(studio, pieces[0]), key=lambda one: one.coat)
        assert [(one.coat, one.weighed_out) for one in laid] == [(1, pytest.approx(0.61e-3)), (2, None)]


def test_what_is_refused_at_the_balance_can_be_put_right(
    browser: Browser, app_url: str, studio: Studio, pieces: list[str]
) -> None:
    """A word where grams belong is refused, nothing is said to wait, and the grams typed next are laid."""
    from enamelwright.workshop.coats import coats_on

    context = browser.new_context()
    page = context.new_page()  # what is refused is an error in the console, and meant to be
    page.clock.install()
    page.goto(f"{app_url}/weigh/{pieces[0]}?coat=1")
    begun(page)
    page.fill("#grams", "a pinch")
    page.click(".main-action")
    page.wait_for_selector("#waiting .trouble")
    passes(page, 3)
    assert page.locator("#kept-here .said").count() == 0
    page.fill("#grams", "0.61")
    leave(page, page.locator(".main-action"))
    assert pytest.approx(0.61e-3) in [one.weighed_out for one in coats_on(studio, pieces[0])]
    context.close()


def picture(colour: str) -> dict[str, Any]:
    import io

    from PIL import Image

    out = io.BytesIO()
    Image.new("RGB", (64, 48), colour).save(out, "JPEG")
    return {"name": f"{colour}.jpg", "mimeType": "image/jpeg", "buffer": out.getvalue()}


def test_photos_wait_for_the_bench_machine_and_arrive_once(
    browser: Browser, app_url: str, studio: Studio, pieces: list[str]
) -> None:
    """Taken while the machine is away, kept over a reload, sent when it answers; a lost answer leaves one photo."""
    from enamelwright.workshop.photos import photos_of_load

    with opened(browser, app_url, clock=False) as page:
        page.goto(f"{app_url}/kiln/ready?piece={pieces[0]}")
        begun(page)
        for path in ("**/api/v1/entries", "**/photos/of-load/*"):
            page.route(path, lambda route: route.abort())
        for what in ("[data-main=put-in]", "#second-act", "[data-main=after]"):
            page.click(what)
            page.wait_for_timeout(700)  # longer than a second tap of a wet glove
        page.set_input_files("input[name=photo]", picture("teal"))
        page.click("#photo-form button")
        page.wait_for_selector("#waiting[data-waiting='4']")
        assert "1 photo wait" in page.inner_text("#waiting")
        page.reload()
        page.wait_for_selector("#waiting[data-waiting='4']")
        lost: list[int] = []

        def lose(route: Any) -> None:
            if lost:
                route.continue_()
            else:
                lost.append(route.fetch().status)
                route.abort()

        page.unroute("**/api/v1/entries")
        page.unroute("**/photos/of-load/*")
        page.route("**/photos/of-load/*", lose)
        page.click("#waiting .waits button")
        settle(page)
        assert lost == [200]
        assert len(photos_of_load(studio, load_row(studio, nth_load(studio, 1)).of)) == 1
        # With the machine there it goes at once.
        page.goto(f"{app_url}/kiln/{nth_load(studio, 1)}")
        begun(page)
        page.set_input_files("input[name=photo]", picture("navy"))
        page.click("#photo-form button")
        page.get_by_text("The photo is kept.").wait_for()
        settle(page)
        assert len(photos_of_load(studio, load_row(studio, nth_load(studio, 1)).of)) == 2


def test_a_picture_that_cannot_be_read_is_said_and_left_out(
    browser: Browser, app_url: str, studio: Studio, pieces: list[str]
) -> None:
    """A file that is no picture: refused in words, left out, and not tried again."""
    context = browser.new_context()
    page = context.new_page()  # a refused picture is an error in the console, and meant to be
    page.goto(f"{app_url}/kiln/ready?piece={pieces[0]}")
    begun(page)
    for what in ("[data-main=put-in]", "#second-act", "[data-main=after]"):
        page.click(what)
        page.wait_for_timeout(700)
    settle(page)
    page.set_input_files("input[name=photo]", {"name": "a.jpg", "mimeType": "image/jpeg", "buffer": b"no picture"})
    page.click("#photo-form button")
    page.get_by_text("This photo was not taken").wait_for()
    page.get_by_role("button", name="Leave it out").click()
    page.wait_for_function("() => !document.querySelector('#waiting .trouble')")
    page.reload()
    settle(page)
    assert page.locator("#waiting .trouble").count() == 0
    context.close()
