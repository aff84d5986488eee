"""Match and speckle as they are asked from outside."""

from __future__ import annotations

from typing import Any

import pytest

from enamelwright.errors import InputError
from enamelwright.questions.match import lab_of_screen
from enamelwright.questions.question import question

MATCH, SPECKLE = question("match"), question("speckle")


def match(**more: Any) -> Any:
    """The example with some fields changed; None takes one out."""
    asked = {**MATCH.example, **more}
    return MATCH.ask({key: value for key, value in asked.items() if value is not None})


def speckle(**more: Any) -> Any:
    """The example with some fields changed; None takes one out."""
    asked = {**SPECKLE.example, **more}
    return SPECKLE.ask({key: value for key, value in asked.items() if value is not None})


def test_a_screen_colour_is_the_same_target_as_its_lab():
    # IEC 61966-2-1: white is L 100; sRGB red is Lab 53.2 80.1 67.2 (D65), as colour libraries give it
    assert lab_of_screen("#ffffff") == pytest.approx((100, 0, 0), abs=0.02)
    assert lab_of_screen("ff0000") == pytest.approx((53.24, 80.09, 67.20), abs=0.05)
    told = match(lab=None, screen="#2f5fa8").payload
    assert told.target == pytest.approx(lab_of_screen("#2f5fa8"), abs=0.06)
    assert told.screen == "#2f5fa8"


def test_the_finding_speaks_of_the_nearest_stack():
    told = match().payload
    assert told.nearest == min(one.away for one in told.stacks)
    assert f"{told.nearest:.1f}" in told.words
    assert all(one.colour and one.munsell and one.differs for one in told.stacks)
    assert "INVENTED" in " ".join(match().assumptions)


def test_what_is_out_of_reach_is_said():
    told = match(lab=[60, 95, -60]).payload
    assert not told.reached
    assert "nothing you own gets within" in told.words.casefold()


@pytest.mark.parametrize(
    "more",
    [{"screen": "#2f5fa8"}, {"lab": None}, {"lab": None, "screen": "blue"}, {"lab": [1, 2]}, {"lab": [140, 0, 0]},
     {"metals": []}, {"metals": ["cheese"]}, {"coats": 4}, {"choose_from": ["Z9"]}, {"lights": ["moon"]}],
)  # fmt: skip
def test_what_cannot_be_asked_is_said_in_one_sentence(more: dict[str, Any]):
    with pytest.raises(InputError) as caught:
        match(**more)
    assert "\n" not in str(caught.value)


def test_speckled_or_not_by_grain_and_distance():
    near, far = speckle().payload, speckle(distance_mm=3000).payload
    assert near.speckled
    assert not far.speckled
    assert near.from_afar == far.from_afar
    assert "speckled" in near.words
    assert "fine grain" in far.words.casefold()


def test_a_sieve_says_the_most_a_grain_can_be():
    told = speckle(grain_mm=None, mesh=80)
    # ASTM E11: No. 80 opens 180 um
    assert told.payload.grain.value == pytest.approx(180e-6)
    assert any("sieve" in line for line in told.assumptions)


def test_parts_by_weight_are_told_by_volume():
    told = speckle(mix=[{"jar": "opaque white", "parts": 3}, {"jar": "opaque black", "parts": 1}]).payload
    assert [one.by_volume.value for one in told.flecks] == pytest.approx([0.75, 0.25])


@pytest.mark.parametrize(
    "more",
    [{"mesh": 80}, {"grain_mm": None}, {"mix": [{"jar": "opaque white"}]}, {"mix": [{"jar": "opaque white"}, {"jar": "fog"}]},
     {"thickness_mm": 0}, {"metal": "cheese"}],
)  # fmt: skip
def test_impossible_mixes_are_refused_in_one_sentence(more: dict[str, Any]):
    with pytest.raises(InputError) as caught:
        speckle(**more)
    assert "\n" not in str(caught.value)
