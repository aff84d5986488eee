"""Touch: judged only where something is told, the door counts, and the law of pain stays within its range."""

from __future__ import annotations

from typing import Any

import pytest

from enamelwright.craft.health import touch
from enamelwright.questions.question import question


def ask(**asked: Any) -> Any:
    return question("touch").ask(asked).payload


def test_nothing_told_is_not_judged() -> None:
    assert ask(material="copper", seconds_s=1).level is None
    assert ask(diameter_mm=32).level is None


@pytest.mark.parametrize(("celsius", "level"), [(40, "low"), (300, "stop")])
def test_a_surface_is_judged(celsius: float, level: str) -> None:
    assert ask(temperature_c=celsius).level == level


def test_a_hand_before_the_open_kiln_is_judged_and_told_first() -> None:
    near = ask(kiln_temperature_c=900, width_mm=200, height_mm=150, hand_mm=100)
    assert near.level == "stop"
    assert "hurts" in near.headline
    assert ask(kiln_temperature_c=790, width_mm=150, height_mm=100, hand_mm=150).level in {"watch", "stop"}
    cool = ask(kiln_temperature_c=790, width_mm=150, height_mm=100, hand_mm=150, temperature_c=300)
    assert cool.level == "stop"
    assert "too hot" in cool.headline
    assert "hurts" in cool.headline


def test_the_law_of_pain_is_not_asked_outside_its_range() -> None:
    far = ask(kiln_temperature_c=790, width_mm=50, height_mm=50, hand_mm=2000)
    assert far.hand_heat.high < touch.told("pain_least").value
    assert far.hand_hurts is None
    assert far.level is None
    glowing = ask(kiln_temperature_c=1200, width_mm=400, height_mm=400, hand_mm=60)
    assert glowing.hand_heat.high > touch.told("pain_most").value
    assert glowing.hand_hurts.low == 0
    assert "at once" in glowing.headline


# factor x flux^-1.9 in minutes and kW/m2, as ISO 13571 is remembered: 2.5 kW/m2 0.74 min, 10 kW/m2 3.2 s
@pytest.mark.parametrize(("watts", "seconds"), [(2.5e3, 44.2), (1e4, 3.17), (2e4, 0.85)])
def test_the_law_of_pain_within_its_range(watts: float, seconds: float) -> None:
    assert touch.hurts_after(watts) == pytest.approx(seconds, rel=0.01)


@pytest.mark.parametrize("celsius", [25, 30, 45, 60, 90, 120, 200])
def test_what_is_hardly_warm_does_cool(celsius: float) -> None:
    found = ask(diameter_mm=32, kiln_temperature_c=celsius)
    assert "never" not in found.headline.split(",")[0]


def test_the_longest_touch_has_a_band() -> None:
    longest = ask(temperature_c=55).longest
    assert longest.low < longest.value < longest.high


def test_a_touch_is_judged_by_the_low_end_of_its_band() -> None:
    """Common sense: a sentence that calls a burn unlikely may not stand beside a band that begins at no time."""
    for celsius in range(40, 90, 2):
        told = ask(temperature_c=celsius, seconds_s=1)
        assert ("unlikely" in told.headline) == (told.level == "low") == (told.longest.low >= 1), celsius


def test_enamel_keeps_a_piece_hot_and_an_ordinary_coat_is_counted() -> None:
    """Heat held: 0.9 mm of copper 3.1 kJ/m2K, 0.8 mm of glass 2.0 kJ/m2K and more when hot; it cools as much slower."""
    bare, usual, thick = (ask(diameter_mm=32, kiln_temperature_c=790, **more).in_the_hand.value
                          for more in ({"enamel_mm": 0}, {}, {"enamel_mm": 0.8}))  # fmt: skip
    assert 1.3 < usual / bare < 2
    assert thick > usual
    whole = question("touch").ask({"diameter_mm": 32, "kiln_temperature_c": 790})
    assert any("both faces" in line for line in whole.assumptions)
