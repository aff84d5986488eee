"""The card of 24 patches: its published L*, a*, b* for D50 in both editions, and measured spectra of such cards.

Sources
-------
Reference values of the card, as transcribed in colour-science 0.4.7 (x, y, Y for D50 and 2 degrees); mean spectra
of measured cards, same library. Five patches of the later edition are also known as printed.
"""

from __future__ import annotations

import colour
import numpy as np
import pytest

from enamelwright.craft.colour.light import seen_under
from enamelwright.craft.colour.tile_photo import Card, Edition

#: patch, L*, a*, b* as printed for cards from November 2014; two decimals are printed.
PRINTED = [
    (1, 37.54, 14.37, 14.92),
    (13, 28.37, 15.42, -49.80),
    (15, 42.43, 51.05, 28.62),
    (19, 95.19, -1.03, 2.93),
    (22, 50.76, -0.13, 0.14),
]


@pytest.mark.parametrize(("patch", "lightness", "a", "b"), PRINTED)
def test_patches_of_the_later_edition(patch: int, lightness: float, a: float, b: float) -> None:
    """L*, a*, b* of the card from November 2014 as printed."""
    assert Card(edition="from November 2014").values_of()[patch - 1] == pytest.approx((lightness, a, b), abs=0.01)


@pytest.mark.parametrize(
    ("edition", "name"),
    [
        ("from November 2014", "ColorChecker24 - After November 2014"),
        ("before November 2014", "ColorChecker24 - Before November 2014"),
    ],
)
def test_the_table_is_the_published_one(edition: Edition, name: str) -> None:
    """Every patch of both editions; the table keeps two decimals."""
    card = colour.CCS_COLOURCHECKERS[name]
    published = colour.XYZ_to_Lab(colour.xyY_to_XYZ(np.array(list(card.data.values()))), card.illuminant)
    np.testing.assert_allclose(Card(edition=edition).values_of(), published, atol=0.006)


def test_measured_spectra_of_cards_give_their_published_colours() -> None:
    """Spectra of 24 patches through our weights for D50; their own chromaticities are published beside them."""
    spectra = colour.SDS_COLOURCHECKERS["BabelColor Average"]
    bands = np.arange(380, 731, 10)
    ours = seen_under("D50", "2").lab(
        np.stack([np.interp(bands, one.wavelengths, one.values) for one in spectra.values()])
    )
    card = colour.CCS_COLOURCHECKERS["BabelColor Average"]
    theirs = colour.XYZ_to_Lab(colour.xyY_to_XYZ(np.array(list(card.data.values()))), card.illuminant)
    off = colour.delta_E(ours, theirs, method="CIE 2000")
    assert off.mean() < 0.15
    assert off.max() < 0.3
