"""From a photo to a match, as a maker goes in a browser: send, point, nudge, look, keep, fit the jar, aim at the tile."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest
import simulated_camera as camera

from enamelwright.workshop.bench import bench
from enamelwright.workshop.jars import jar_row
from enamelwright.workshop.tiles import readings_of
from everywhere import SMALL, TARGET, WIDE, axe, settled
from kiln_browser import opened
from tile_forms import CORNERS, PLACES, jpeg, reflectances, tiled

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page

    from enamelwright.workshop.studio import Studio


def words(page: Page) -> str:
    return " ".join(page.locator("main").inner_text().split())


def fit(page: Page) -> None:
    """The page as it stands: nothing axe finds, nothing too small to hit, not wider than the window."""
    settled(page)
    assert axe(page) + page.evaluate(WIDE) + page.evaluate(SMALL, TARGET) == []


def tap(page: Page, x: float, y: float) -> None:
    """Tap a point of the photo, told in its own points."""
    sheet = page.locator("#tile-photo")
    sheet.scroll_into_view_if_needed()
    box = sheet.bounding_box()
    assert box is not None
    scale = min(box["width"] / camera.WIDTH, box["height"] / camera.HEIGHT)
    left = (box["width"] - camera.WIDTH * scale) / 2
    top = (box["height"] - camera.HEIGHT * scale) / 2
    sheet.click(position={"x": left + x * scale, "y": top + y * scale})


@pytest.mark.parametrize(
    ("width", "height", "light"), [(1024, 768, "light"), (390, 844, "dark")], ids=["tablet", "phone"]
)
def test_from_a_photo_to_a_match(
    studio: Studio, app_url: str, browser: Browser, tmp_path: Path, width: int, height: int, light: str
) -> None:
    """A photo of five tiles is read by pointing and by keys, kept, taught to its jar, and aimed at for a match."""
    label = tiled(studio)
    file = tmp_path / "IMG_0001.jpg"
    file.write_bytes(jpeg())
    viewport = {"width": width, "height": height}
    with opened(browser, app_url, clock=False, viewport=viewport, color_scheme=light, reduced_motion="reduce") as page:
        page.goto(f"{app_url}/tile-colours?tile={label}")
        fit(page)
        page.get_by_label("JPEG, PNG or HEIC").set_input_files(file)
        page.get_by_role("button", name="Open it").click()
        page.wait_for_url("**/tile-colours/photo/**")
        page.wait_for_selector("#tile-photo[data-scripted]")
        for x, y in [*CORNERS, *[(x, y) for x, y, _ in PLACES]]:
            tap(page, x, y)
        placed = float(page.locator("[name=c4x]").input_value())
        assert placed == pytest.approx(CORNERS[3][0], abs=1.5)
        # the keys move what is chosen: in the photo, and in a box of numbers
        page.locator("[name=c4x]").focus()
        page.keyboard.press("ArrowUp")
        assert float(page.locator("[name=c4x]").input_value()) == pytest.approx(placed + 1)
        page.locator("#tile-photo").focus()
        page.keyboard.press("ArrowLeft")
        assert float(page.locator("[name=c4x]").input_value()) == pytest.approx(placed)
        # a point of no tile, placed by the keys alone: only looked at, for a match
        page.locator("[data-point=s6] > button").focus()
        page.keyboard.press("Enter")
        page.locator("#tile-photo").focus()
        page.keyboard.press("Shift+ArrowDown")
        assert page.locator("[name=y6]").input_value()
        page.get_by_label("The card").select_option("old")
        page.get_by_label("How the tiles were lit").select_option("tent")
        fit(page)
        page.get_by_role("button", name="Work out the colours").click()
        page.wait_for_selector("#found")
        assert "the way its corners were placed" in words(page)
        assert page.get_by_role("link", name="Match this colour").count() == 6
        assert page.locator(".two-photos svg rect").count() == 2 * 24
        assert readings_of(studio, label) == []
        fit(page)
        page.get_by_role("button", name="Keep these 5 colours").click()
        page.wait_for_url("**said=colours**")
        found = np.array([(one.lightness, one.a, one.b) for one in readings_of(studio, label)])
        assert camera.apart(found, camera.lab(reflectances())).mean() < 3

        page.goto(f"{app_url}/jars/{jar_row(studio, 'J7').id}")
        page.get_by_role("link", name="Its colour").click()
        page.get_by_role("checkbox", name="J4").check()
        page.get_by_role("button", name="Fit this jar to them").click()
        page.wait_for_selector("#fit")
        assert "next tile that would help most" in words(page)
        fit(page)
        anyway = page.get_by_role("checkbox", name="Keep it although")
        if anyway.count():
            anyway.check()
        page.get_by_role("button", name="Keep this fit").click()
        page.wait_for_url("**said=fit**")
        assert bench(studio).jar("J7").optics.fitted_from

        page.goto(f"{app_url}/tile-colours/compare?one={label}/1&other={label}/2")
        assert "darker by" in words(page)
        fit(page)
        page.get_by_role("link", name="Match this colour").first.click()
        page.wait_for_selector(".found")
        # the jars of the tile itself lead back to its colour
        assert "J7" in page.locator(".own-tiles > li").first.inner_text(), "what was fired already stands first"
        first = page.locator(".found > li", has_text="As meant").first.inner_text()
        assert "J7" in first
        assert float(first.partition("As meant ")[2].partition(" off")[0]) < 3
