"""A tablet held upright leaves half a page beside the list of pages: what stands there still fits."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from enamelwright.craft.piece import Piece
from enamelwright.workshop.designs import keep_design
from enamelwright.workshop.studio import Studio
from kiln_browser import opened

if TYPE_CHECKING:
    from playwright.sync_api import Browser

WIDTHS = (768, 820, 912)


@pytest.mark.parametrize("width", WIDTHS)
def test_the_numbers_of_a_colour_push_nothing_out(browser: Browser, app_url: str, width: int) -> None:
    """A tablet held upright shows the colours of a design, every fold open, without a scroll sideways."""
    with opened(browser, app_url, viewport={"width": width, "height": 1180}) as page:
        page.goto(f"{app_url}/designs/2/colour")
        page.evaluate("document.querySelectorAll('main details').forEach((one) => { one.open = true; })")
        assert page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.parametrize("width", WIDTHS)
def test_long_figures_push_nothing_out(browser: Browser, app_url: str, studio: Studio, width: int) -> None:
    """A stud of 2 mm has a bow and a weight of many digits."""
    stud = {
        "name": "stud", "technique": "sift_opaque", "metal": {"kind": "copper", "thickness_mm": 0.5},
        "outline": {"shape": "circle", "diameter_mm": 2},
        "coats": [{"face": "front", "jar": "lead_free_opaque_titania_medium", "powder_depth_mm": 0.53}],
    }  # fmt: skip
    design = keep_design(studio, Piece.from_outside(stud)).design
    with opened(browser, app_url, viewport={"width": width, "height": 1180}) as page:
        page.goto(f"{app_url}/designs/{design}/coats")
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        assert "Seen, of 1 firing\n" in page.inner_text(".after-which") + "\n"
