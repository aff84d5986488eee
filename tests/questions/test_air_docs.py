"""The tables of the page on dust, glare and burns are those of the questions."""

from __future__ import annotations

import re
from pathlib import Path

from enamelwright.craft.health.landing_spot import stacks_table
from enamelwright.physics.constants import ZERO_CELSIUS
from enamelwright.questions.question import question

PAGE = (Path(__file__).parents[2] / "docs" / "how-to" / "dust-glare-and-burns.md").read_text("utf-8")
_LEVELS = {"good": "low on this estimate", "watch": "watch it", "stop": "too hot"}


def two_digits(kelvin: float) -> str:
    """As the screens say a temperature."""
    return f"{float(f'{kelvin - ZERO_CELSIUS:.2g}'):.0f}"


def test_four_stacks_after_twenty_firings() -> None:
    rows = re.findall(r"\| (\d+) °C \| (\d+) °C \| ([a-z ]+) \|", PAGE)
    found = [(two_digits(one.held.value), two_digits(one.peak.value), _LEVELS[one.level]) for _, one in stacks_table()]
    assert rows == found


def test_three_habits_with_a_cadmium_red() -> None:
    rows = re.findall(r"\| ([\d.]+ µg/m3 \(low [\d.]+, high [\d.]+\)) \| ([a-z, ]+) \|", PAGE)
    day = {"mass_g": 43, "time_h": 4, "mesh": 80, "cadmium_percent": 2}
    lines = [
        question("dust").ask({**day, **habit}).payload.against[0]
        for habit in ({}, {"washed": True}, {"work": "wet packing"})
    ]
    assert rows == [(line.tiers, line.words) for line in lines]
