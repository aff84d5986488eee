"""What a piece costs, on a tablet held across: no column of its tables lies off the sheet."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from enamelwright.workshop import costing, cut_designs
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.settings import CURRENCY, set_setting
from enamelwright.workshop.studio import Studio
from serving import served

if TYPE_CHECKING:
    from playwright.sync_api import Browser

WIDER = (
    "[...document.querySelectorAll('#cost .scroll')].filter(e => e.scrollWidth > e.clientWidth).map(e => e.ariaLabel)"
)


@pytest.mark.parametrize("width", [820, 1024])
def test_every_column_is_on_the_sheet(studio: Studio, browser: Browser, width: int) -> None:
    """On a tablet the tables of a price are read whole, with nothing beyond the edge."""
    set_setting(studio, CURRENCY, "EUR")
    costing.set_costing(studio, {"wage": "18", "overhead": "6", "per_kwh": "0.30", "fixed": "3000"})
    one = start_pieces(studio, 1, cut_designs.cut_designs(studio)[0].version)[0]
    with served(studio) as url:
        page = browser.new_page(viewport={"width": width, "height": 768})
        page.goto(f"{url}/pieces/{one.number}/price?wait=1", wait_until="networkidle")
        assert page.locator("#cost .scroll table").count() >= 2
        assert page.evaluate(WIDER) == []
        page.close()
