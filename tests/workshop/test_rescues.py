"""What a way out would take in the kiln: no late end that is no time to trust, and cooler where heat did the harm."""

from __future__ import annotations

from typing import Any

import pytest

from enamelwright.craft.bench import Bench
from enamelwright.learning.fault_signs import FaultFacts
from enamelwright.learning.rescue import Heats
from enamelwright.workshop.rescues import Fired, heats

ALL = tuple(Heats.model_fields)


def figures(low: float, high: float, **more: Any) -> dict[str, Any]:
    """Return what was foretold of a firing at 785 °C."""
    window = {"set_point": {"value": 1058.15}, "seconds": {"low": low, "high": high}, "start": "load", **more}
    return {"firing": {"number": 2, "target": "gloss", "window": window}}


def told(low: float, high: float, seconds: float | None = None, metal: str = "copper", **more: Any) -> Heats:
    facts = FaultFacts(seconds=seconds, metal=metal)
    return heats(Fired(figures(low, high, **more), "", facts, None, None), Bench(), ALL)


@pytest.mark.parametrize(("low", "high", "wide"), [(106, 228, False), (82, 420, True), (115, 345, True)])
def test_a_band_too_wide_to_go_by_is_told_by_its_early_end(low: float, high: float, wide: bool) -> None:
    """1:22 to 7:00 is nothing to set a clock by; 1:46 to 3:48 is."""
    said = told(low, high).as_then
    early, late = (f"{int(one) // 60}:{int(one) % 60:02d}" for one in (low, high))
    assert early in said
    assert (late in said) is not wide
    assert ("go by the stage" in said) is wide


def test_a_late_end_that_is_cut_is_no_late_end() -> None:
    assert "3:00" not in told(120, 180, open_ended=True).as_then
    assert "3:00" in told(120, 180).as_then


def test_cooler_hotter_early_and_longer_are_not_the_window_of_that_firing() -> None:
    said = told(106, 228, seconds=150)
    assert "10 to 20 °C below the 785 °C" in said.cooler
    assert "3:48" not in said.cooler
    assert "15 to 25 °C above the 785 °C" in said.hotter
    assert "not worked out without the plan" in said.hotter
    assert "as soon as it is there" in said.early
    assert "3:48" not in said.early
    assert "It had 2:30" in said.longer


def test_only_what_is_wanted_is_worked_out_and_nothing_without_a_setting() -> None:
    fired = Fired(figures(106, 228), "", FaultFacts(), None, None)
    assert heats(fired, Bench(), ()) == Heats()
    assert heats(fired, Bench(), ("early",)).as_then == ""
    assert heats(Fired(None, "", FaultFacts(), None, None), Bench(), ALL) == Heats()


def test_sterling_is_not_set_hotter_to_where_it_melts() -> None:
    assert told(106, 228, metal="sterling_silver").hotter.startswith("Not hotter on this metal")
