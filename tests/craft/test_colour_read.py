"""Readings carried to daylight: against spectra lit anew by colour-science, and the gloss taken off."""

from __future__ import annotations

import numpy as np
import pytest
import simulated_camera as camera

from enamelwright.craft.colour.colour_read import ColourRead
from enamelwright.errors import OutOfReach

#: Reflectance of the card's 24 patches (measured, as shipped with colour-science), and at the 36 bands.
CARD = camera.card()
LIGHTS = ("D50", "A")


@pytest.mark.parametrize("light", LIGHTS)
def test_a_colour_for_another_light_comes_near_the_surface_lit_anew(light: str) -> None:
    real = camera.lab(CARD, "D65")
    raw = camera.lab(CARD, light)
    carried = np.array(
        [ColourRead(tuple(row), light, "2", "lamps at 45 degrees").in_daylight() for row in raw.tolist()]
    )
    off = camera.apart(carried, real)
    assert off.mean() < (0.7 if light == "D50" else 2.5)
    if light == "D50":
        assert off.mean() < camera.apart(raw, real).mean()


def test_white_stays_white_and_daylight_as_it_is() -> None:
    assert ColourRead((100.0, 0.0, 0.0), "D50", "2", "lamps at 45 degrees").in_daylight() == pytest.approx(
        (100.0, 0.0, 0.0), abs=1e-9
    )
    assert ColourRead((40.0, 3.0, -9.0), "D65", "2", "lamps at 45 degrees").in_daylight() == (40.0, 3.0, -9.0)
    assert ColourRead((40.0, 3.0, -9.0)).in_daylight() == (40.0, 3.0, -9.0)  # nobody told the light


@pytest.mark.parametrize(
    ("taken", "gloss"), [("tent", True), ("sphere with gloss", True), ("sphere without gloss", False)]
)
def test_gloss_is_taken_off_as_a_share_of_white(taken: str, gloss: bool) -> None:
    """A glass of index 1.5 sends back 4 % (A. Fresnel)."""
    seen = CARD + (0.04 if gloss else 0.0)
    carried = [
        ColourRead(tuple(row), "D50", "2", taken, 1.5).in_daylight()  # type: ignore[arg-type]
        for row in camera.lab(seen).tolist()
    ]
    assert camera.apart(np.array(carried), camera.lab(CARD, "D65")).mean() < 0.7


def test_a_spectrum_is_lit_anew() -> None:
    bands = tuple(np.interp(np.arange(380, 731, 10), camera.NM, CARD[2]).tolist())
    read = ColourRead((0.0, 0.0, 0.0), "D50", "2", "lamps at 45 degrees", None, bands)
    assert float(camera.apart(np.array(read.in_daylight()), camera.lab(CARD[2], "D65"))) < 0.1


def test_a_light_nobody_knows_is_refused_and_every_change_is_said() -> None:
    with pytest.raises(OutOfReach, match="F7"):
        ColourRead((40.0, 0.0, 0.0), "F7", "2").in_daylight()
    assert "gloss" in ColourRead((40.0, 0.0, 0.0), "D50", "10", "tent").words()
    assert "10 degrees" in ColourRead((40.0, 0.0, 0.0), "D50", "10", "tent").words()
    assert "not told" in ColourRead((40.0, 0.0, 0.0)).words()
    assert ColourRead((40.0, 0.0, 0.0), "D65", "2", "lamps at 45 degrees").words() == ""
