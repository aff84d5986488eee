"""The coats and shape editors in a real browser: pointing, keys, dragging, without scripts, at every size."""

from __future__ import annotations

import base64
from collections.abc import Iterator
from pathlib import Path
from time import monotonic
from typing import TYPE_CHECKING, Any

import pytest

from enamelwright.workshop import editing, trying
from enamelwright.workshop.designs import version_row
from enamelwright.workshop.studio import Studio
from kiln_browser import PATIENCE, leave

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page, Route

AXE = Path(__file__).parent / "vendor" / "axe-4.14.1.min.js"
PENDANT, REEDBED, TIDE = 1, 2, 3
SIZES = ((1280, 800), (1024, 768), (390, 844), (320, 640))
PAGES = (
    f"/designs/{TIDE}/coats", f"/designs/{REEDBED}/coats?at=2", f"/designs/{REEDBED}/coats?at=4", f"/designs/{REEDBED}/shape", f"/designs/{PENDANT}/shape",
    f"/designs/{PENDANT}/shape?by=photo", f"/designs/{PENDANT}/shape?by=weigh", f"/designs/{TIDE}/compare", "/designs",
    "/designs/new",
)  # fmt: skip


@pytest.fixture(autouse=True)
def _fresh_boards() -> None:
    trying._LAST.clear()


@pytest.fixture
def page(browser: Browser, app_url: str) -> Iterator[Page]:
    """A page that fails the test when anything goes wrong in it or asks for anything outside."""
    context = browser.new_context(base_url=app_url, viewport={"width": 1280, "height": 1100})
    made = context.new_page()
    wrong: list[str] = []
    made.on("console", lambda message: wrong.append(message.text) if message.type == "error" else None)
    made.on("pageerror", lambda error: wrong.append(str(error)))
    made.on(
        "request",
        lambda request: wrong.append(request.url) if not request.url.startswith((app_url, "blob:", "data:")) else None,
    )
    yield made
    context.close()
    assert wrong == []


def violations(page: Page) -> list[str]:
    page.add_script_tag(content=AXE.read_text("utf-8"))
    found = page.evaluate("async () => (await axe.run(document, {resultTypes: ['violations']})).violations")
    return [f"{one['id']}: {node['html'][:160]}" for one in found for node in one["nodes"]]


def read_axe(browser: Browser, url: str, size: tuple[int, int], scheme: str) -> tuple[list[str], Any]:
    context = browser.new_context(viewport={"width": size[0], "height": size[1]}, color_scheme=scheme, bypass_csp=True)  # type: ignore[arg-type]
    made = context.new_page()
    made.goto(url)
    result = violations(made), made.evaluate(WIDE_AND_SMALL)
    context.close()
    return result


#: What is wider than the window, and every control a finger would miss.
WIDE_AND_SMALL = """() => ({
  wide: document.documentElement.scrollWidth - document.documentElement.clientWidth,
  small: [...document.querySelectorAll('main a, main button, main input:not([type=hidden]):not([type=checkbox]):not([type=radio]), main select, main summary, main label.choice')]
    .filter((one) => { const box = one.getBoundingClientRect(); return box.width && box.height && (box.height < 44 || box.width < 44) && !one.closest('svg'); })
    .map((one) => one.outerHTML.slice(0, 90)),
})"""


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("size", SIZES)
def test_every_page_is_open_to_everybody(browser: Browser, app_url: str, size: tuple[int, int], scheme: str) -> None:
    """Both editors at every size, in the dark and the light: they fit, they can be hit, axe objects to nothing."""
    for path in PAGES:
        wrong, shape = read_axe(browser, app_url + path, size, scheme)
        assert wrong == [], path
        assert shape["wide"] <= 0, path
        assert shape["small"] == [], path


def test_dragging_answers_and_letting_go_keeps_the_last_value(page: Page, studio: Studio) -> None:
    """A slider is dragged and the section follows; nothing is kept until it is let go, and that can be undone."""
    page.goto(f"/designs/{TIDE}/coats?at=0")
    before = page.locator("#picture .wide svg").inner_html()
    box = page.locator("#amount-range").bounding_box()
    assert box is not None
    y = box["y"] + box["height"] / 2
    page.mouse.move(box["x"] + 0.5 * box["width"], y)
    page.mouse.down()
    for step in range(12):
        page.mouse.move(box["x"] + (0.5 + 0.03 * step) * box["width"], y)
        page.wait_for_timeout(25)
    page.wait_for_function("(was) => document.querySelector('#picture .wide svg').innerHTML !== was", arg=before)
    assert editing.of_design(studio, TIDE).draft == 0  # while it is held nothing is kept
    page.mouse.up()
    page.wait_for_function("() => document.getElementById('stack').dataset.seen !== '0'")
    page.wait_for_function("() => !document.querySelector('#windows[aria-busy]')")
    shown = float(page.locator("#amount").input_value())
    assert editing.of_design(studio, TIDE).piece.coats[0].powder_depth == pytest.approx(shown / 1000)
    page.get_by_role("button", name="Undo").click()
    page.wait_for_url("**said=undone")
    assert not editing.of_design(studio, TIDE).changed


def test_a_whole_change_with_the_keys_alone(page: Page, studio: Studio) -> None:
    """A coat is chosen, thickened five times, undone and done again without a pointer."""
    page.goto(f"/designs/{PENDANT}/coats?at=0")
    page.locator("#band-2").focus()
    page.keyboard.press("ArrowDown")
    assert page.evaluate("() => document.activeElement.id") == "band-1"
    page.keyboard.press("Enter")
    page.wait_for_url("**at=1**")
    page.locator("#amount-range").focus()
    was = float(page.locator("#amount").input_value())
    for _ in range(5):
        page.keyboard.press("ArrowRight")
    # Each key is a change of its own, kept one after the other; the last one is what stays.
    meant = pytest.approx((was + 0.05) / 1000)
    give_up = monotonic() + PATIENCE
    while editing.of_design(studio, PENDANT).piece.coats[1].powder_depth != meant and monotonic() < give_up:
        page.wait_for_timeout(50)
    assert editing.of_design(studio, PENDANT).piece.coats[1].powder_depth == meant
    # What is kept is known here before the page hears of it; until then there is nothing to undo on it.
    page.locator("#bar button[value=undo]:not(:disabled)").press("Enter")
    page.wait_for_url("**said=undone")
    page.get_by_role("button", name="Do it again").first.press("Enter")
    page.wait_for_url("**said=again")
    assert editing.of_design(studio, PENDANT).piece.coats[1].powder_depth is not None


def test_pointing_at_a_band_chooses_its_coat_even_when_it_is_thinner_than_a_finger(page: Page) -> None:
    """A tap beside a thin band in the drawing means that band."""
    page.goto(f"/designs/{PENDANT}/coats?at=2")
    page.locator("#picture .wide [data-coat='0']").click(force=True)
    page.wait_for_url("**at=0**")
    drawing = page.locator("#picture .wide svg").bounding_box()
    band = page.locator("#picture .wide [data-coat='2']").bounding_box()
    assert drawing is not None
    assert band is not None
    # A little above the outermost coat there is only air: the nearest band is meant.
    page.mouse.click(band["x"] + band["width"] * 0.3, band["y"] - 4)
    page.wait_for_url("**at=2**")


@pytest.mark.parametrize(
    ("button", "url"),
    [("#bar button[value=undo]", "said=undone"), ("#keep button", "said=kept"), ("#band-0", "at=0")],
    ids=["undo", "keep", "another coat"],
)
def test_a_change_on_its_way_is_waited_for(page: Page, studio: Studio, button: str, url: str) -> None:
    """Undone, kept as a version or left while a change still travels: the change comes first, and is not lost."""
    page.goto(f"/designs/{PENDANT}/coats?at=1")
    page.locator("#amount").fill("0.41")
    page.locator("#amount").press("Tab")
    page.wait_for_function("() => document.getElementById('stack').dataset.seen !== '0'")
    first = page.evaluate("() => document.getElementById('stack').dataset.seen")
    held: list[Route] = []

    def hold(route: Route) -> None:
        if "live=1" in (route.request.post_data or ""):
            held.append(route)
        else:
            route.continue_()

    page.route("**/coats", hold)
    with page.expect_request("**/coats"):
        page.locator("#amount").fill("0.47")
        page.locator("#amount").press("Tab")
    if "kept" in url:
        page.locator("#keep input").fill("thicker")
    page.locator(button).click()
    assert page.evaluate("() => document.getElementById('stack').dataset.seen") == first  # still here, nothing sent
    while not held:
        page.wait_for_timeout(20)
    held[0].continue_()
    page.wait_for_url(f"**{url}**")
    board = editing.of_design(studio, PENDANT)
    depth = board.piece.coats[1].powder_depth
    assert depth == pytest.approx(0.41e-3 if "undone" in url else 0.47e-3)
    if "kept" in url:
        assert (board.version_number, board.changed) == (2, False)
        assert version_row(studio, board.name).words == "thicker"


def test_what_has_the_focus_keeps_it_when_its_part_is_drawn_anew(page: Page) -> None:
    """Somebody goes to Undo with the keys while a change is on its way; its answer draws the bar anew."""
    page.goto(f"/designs/{PENDANT}/coats?at=1")
    page.locator("#amount").fill("0.44")
    page.locator("#amount").press("Tab")
    page.wait_for_function("() => document.getElementById('stack').dataset.seen !== '0'")
    page.evaluate("() => { document.getElementById('amount').value = '0.48'; }")
    page.evaluate(
        """() => new Promise((done) => {
          const seen = () => document.getElementById('stack').dataset.seen, before = seen();
          document.getElementById('amount').dispatchEvent(new Event('change', { bubbles: true }));
          document.querySelector('#bar button[value=undo]').focus();
          const look = () => (seen() === before ? requestAnimationFrame(look) : done());
          look();
        })"""
    )
    assert page.evaluate("() => document.activeElement.value") == "undo"
    page.keyboard.press("Enter")
    page.wait_for_url("**said=undone")


def test_a_form_is_sent_after_a_change_that_was_kept_meanwhile(page: Page, studio: Studio) -> None:
    """A thickness is set, which keeps it at once; then the coat is taken off by its form, and nobody was in between."""
    page.goto(f"/designs/{PENDANT}/coats?at=1")
    before = len(editing.of_design(studio, PENDANT).piece.coats)
    page.locator("#amount").fill("0.44")
    page.locator("#amount").press("Tab")
    page.wait_for_function("() => document.getElementById('stack').dataset.seen !== '0'")
    leave(page, page.get_by_role("button", name="Take it off"))
    assert "said=off" in page.url
    assert len(editing.of_design(studio, PENDANT).piece.coats) == before - 1


def test_cells_get_a_coat_by_pointing(page: Page, studio: Studio) -> None:
    """A cell is tapped in the outline, and the coat lies in it too."""
    page.goto(f"/designs/{REEDBED}/coats?at=1")
    assert editing.of_design(studio, REEDBED).piece.coats[1].cells == ("reeds",)
    page.locator("#cells-view [data-cell='dusk']").click(force=True)
    page.wait_for_function("() => document.getElementById('stack').dataset.seen !== '0'")
    assert editing.of_design(studio, REEDBED).piece.coats[1].cells == ("reeds", "dusk")


@pytest.mark.parametrize("scripts", [True, False])
def test_the_enter_key_keeps_the_amount_that_was_typed(
    browser: Browser, app_url: str, studio: Studio, scripts: bool
) -> None:
    """Not the first button that is seen, which makes it a step less; with scripts the page stays."""
    made = browser.new_page(base_url=app_url, java_script_enabled=scripts)
    made.goto(f"/designs/{PENDANT}/coats?at=1")
    made.locator("#amount").fill("0.44")
    made.locator("#amount").press("Enter")
    if scripts:
        made.wait_for_function("() => document.getElementById('stack').dataset.seen !== '0'")
        assert made.evaluate("() => document.activeElement.id") == "amount"
    else:
        made.locator("#bar button[value=undo]:not([disabled])").wait_for()
    assert editing.of_design(studio, PENDANT).piece.coats[1].powder_depth == pytest.approx(0.44e-3)
    made.close()


def test_a_wrong_number_is_said_and_the_right_one_still_goes_through(
    browser: Browser, app_url: str, studio: Studio
) -> None:
    """A word where a thickness belongs is refused beside its field; the number typed next is laid."""
    made = browser.new_page(base_url=app_url)  # a refused change is an error in the console, and meant to be
    made.goto(f"/designs/{PENDANT}/coats?at=1")
    made.locator("#amount").fill("thick")
    made.locator("#amount").press("Tab")
    made.locator("#trouble .trouble").wait_for()
    made.locator("#amount").fill("0.44")
    made.locator("#amount").press("Tab")
    made.wait_for_function("() => document.getElementById('stack').dataset.seen !== '0'")
    assert made.locator("#trouble .trouble").count() == 0
    assert editing.of_design(studio, PENDANT).piece.coats[1].powder_depth == pytest.approx(0.44e-3)
    made.close()


def test_everything_works_without_scripts(browser: Browser, app_url: str, studio: Studio) -> None:
    """A coat thickened, another laid, a version kept and the outline changed, with scripts switched off."""
    context = browser.new_context(base_url=app_url, java_script_enabled=False, viewport={"width": 390, "height": 844})
    made = context.new_page()
    made.goto(f"/designs/{PENDANT}/coats?at=1")
    leave(made, made.locator("button[value=more]"))
    made.locator("#amount").fill("0.6")
    leave(made, made.get_by_role("button", name="Set it"))
    assert editing.of_design(studio, PENDANT).piece.coats[1].powder_depth == pytest.approx(0.6e-3)
    leave(made, made.get_by_role("button", name="Lay a coat on the front"))
    assert len(editing.of_design(studio, PENDANT).piece.coats) == 4
    leave(made, made.get_by_role("button", name="Keep as a new version"))
    assert editing.of_design(studio, PENDANT).version_number == 2
    made.goto(f"/designs/{PENDANT}/shape")
    made.locator("input[name=diameter]").fill("33")
    leave(made, made.get_by_role("button", name="Use this shape"))
    assert editing.of_design(studio, PENDANT).changed
    context.close()


#: One grey point; only its size matters to a tracing.
GREY = "iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAAAAAA6fptVAAAACklEQVR4nGNoAAAAggCBd81ytgAAAABJRU5ErkJggg=="


def photo(wide: int, tall: int) -> bytes:
    import io

    from PIL import Image

    out = io.BytesIO()
    Image.open(io.BytesIO(base64.b64decode(GREY))).resize((wide, tall)).save(out, "PNG")
    return out.getvalue()


def test_a_photo_is_traced_by_pointing_and_by_the_keys(page: Page, studio: Studio) -> None:
    """Two points give the scale, four the edge, three a cell, some of them by the keys; the sizes come out."""
    page.goto(f"/designs/{PENDANT}/shape?by=photo")
    page.locator("#photo").set_input_files({"name": "a.png", "mimeType": "image/png", "buffer": photo(600, 400)})
    page.locator("#desk").wait_for()
    sheet = page.locator("#sheet")
    box = sheet.bounding_box()
    assert box is not None

    def point(x: float, y: float) -> None:
        sheet.click(position={"x": x / 600 * box["width"], "y": y / 400 * box["height"]})

    point(100, 350)
    point(500, 350)
    page.locator("#apart").fill("40")
    for x, y in ((150, 50), (450, 50), (450, 250), (150, 250), (150, 50)):
        point(x, y)
    assert "Closed" in page.locator("#task").inner_text()
    page.get_by_role("button", name="Another cell").click()
    page.locator("#line-name").fill("pond")
    for x, y in ((200, 100), (300, 100)):
        point(x, y)
    sheet.focus()
    # From (300, 100) the cross goes on by the keys: a twentieth of the longer side with Shift.
    for _ in range(3):
        page.keyboard.press("Shift+ArrowDown")
    page.keyboard.press("Enter")
    page.get_by_role("button", name="Use this tracing").click()
    page.wait_for_url("**said=**")
    shape = editing.of_design(studio, PENDANT).shape()
    assert shape is not None
    # 400 points are 40 mm: the edge is 30 by 20 mm, the cell half of 10 by 9 mm; a pointing is good to a point or two.
    assert (shape.width, shape.height) == pytest.approx((0.030, 0.020), abs=3e-4)
    assert shape.cells["pond"].area == pytest.approx(0.5 * 0.010 * 0.009, rel=0.05)


def test_from_a_first_form_to_a_kept_version(page: Page, studio: Studio) -> None:
    """A champleve brooch is begun, filled once more, kept with its reason and set beside its first version."""
    page.goto("/designs")
    leave(page, page.get_by_role("link", name="Begin a design"))
    page.get_by_label("Name", exact=True).fill("Heath brooch")
    page.get_by_text("Champlevé").first.click()
    page.get_by_role("button", name="Begin").click()
    page.wait_for_url("**/coats?said=begun")
    leave(page, page.get_by_role("button", name="Lay another over it"))
    page.get_by_role("button", name="Close").click()
    page.get_by_label("Why this version").fill("one more fill")
    page.get_by_role("button", name="Keep as a new version").click()
    page.wait_for_url("**said=kept")
    leave(page, page.get_by_role("link", name="Compare"))
    page.get_by_label("Left").select_option("1")
    leave(page, page.get_by_role("button", name="Set side by side"))
    page.get_by_role("heading", name="What differs").wait_for()
    assert page.locator("tbody tr").count() >= 1
