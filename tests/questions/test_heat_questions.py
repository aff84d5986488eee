"""Thermocouple, scale and cooling as they are asked."""

from __future__ import annotations

from typing import Any

import pytest

from enamelwright.craft.bench import Bench
from enamelwright.craft.kiln import Anchor, Kiln
from enamelwright.errors import InputError, OutOfReach
from enamelwright.questions.question import question


def ask(name: str, data: dict[str, Any], bench: Bench | None = None) -> Any:
    return question(name).ask({**question(name).example, **data}, bench)


def test_a_kiln_of_the_bench_brings_its_tests() -> None:
    anchors = (
        Anchor(shown=1043.15, outcome="melted"),
        Anchor(shown=1037.15, outcome="not melted"),
    )
    bench = Bench(kilns=(Kiln(name="blue kiln", anchors=anchors, thermocouple="class 1"),))
    found = question("thermocouple").ask({"shown_c": 790, "kiln": "blue kiln"}, bench).payload
    # the foil melts at 779.1 °C and did so between 764 and 770 on the display
    assert 9 < found.offset.value < 15
    assert found.true.value == pytest.approx(790 + 273.15 + found.offset.value)
    assert any("class 1" in line for line in found.causes)


@pytest.mark.parametrize(
    "kiln", [Kiln(name="k", kind="electric, no read-out"), Kiln(name="k", kind="torch"), Kiln(name="k", control="dial")]
)
def test_no_degrees_without_a_read_out(kiln: Kiln) -> None:
    with pytest.raises(InputError, match="read-out"):
        question("thermocouple").ask({"shown_c": 790, "kiln": "k"}, Bench(kilns=(kiln,)))


def test_terminals_left_out_are_told() -> None:
    found = ask("thermocouple", {"anchors": [], "terminals_c": 25})
    assert found.payload.offset.value == pytest.approx(24.4, abs=0.3)
    assert any("terminals" in line for line in found.because)


def test_contradicting_foils_are_a_caution() -> None:
    tests = [{"shown_c": 760, "outcome": "melted"}, {"shown_c": 800, "outcome": "not melted"}]
    assert len(ask("thermocouple", {"anchors": tests}).cautions) == 2


def test_scale_of_an_ordinary_firing() -> None:
    """Two minutes at 800 °C make some 4 to 10 µm; the likely value by a second program is 6.5 for the base disc."""
    found = ask("oxide", {}).payload
    assert found.scale.low < 6.5e-6 < found.scale.high
    assert found.metal_to_waste.value > found.weight_gained.value
    assert "pickle" in found.cleaning


def test_five_firings_cost_five_times_the_metal_when_cleaned() -> None:
    one, five = (ask("oxide", {"firings": n}).payload for n in (1, 5))
    assert five.metal_lost.value == pytest.approx(5 * one.metal_lost.value)
    left = ask("oxide", {"firings": 5, "cleaned": False}).payload
    assert left.metal_lost.value < five.metal_lost.value
    assert left.scale.value > five.scale.value


def test_the_metal_that_melts_is_named() -> None:
    for name in ("oxide", "cooling"):
        key = "temperature_c" if name == "oxide" else "set_point_c"
        with pytest.raises(OutOfReach, match="sterling"):
            ask(name, {"metal": "925", key: 820})


def test_silver_grows_no_scale() -> None:
    found = ask("oxide", {"metal": "fine silver"}).payload
    assert found.scale is None
    assert "no scale" in found.cleaning


def test_an_hour_at_heat_is_answered_with_a_caution() -> None:
    found = ask("oxide", {"time_s": 3700})
    assert found.payload.scale.value > 3e-5
    assert any("cracks" in line for line in found.cautions)


def test_an_area_without_a_rim_is_taken_as_round() -> None:
    disc = ask("cooling", {}).payload
    area = ask("cooling", {"diameter_mm": 32}).payload
    assert disc == area
    data = {k: v for k, v in question("cooling").example.items() if k != "diameter_mm"}
    round_one = question("cooling").ask({**data, "area_mm2": 804.2477}).payload
    assert round_one.touch.value == pytest.approx(disc.touch.value, rel=1e-4)


@pytest.mark.parametrize(
    "data",
    [
        {"area_cm2": 8},
        {"diameter_mm": 0},
        {"thickness_mm": 0},
        {"thickness_mm": -1},
        {"jars": []},
        {"metal": "moonstone"},
        {"jars": ["no such jar"]},
        {"set_point_c": float("nan")},
    ],
)
def test_impossible_pieces_are_asked_about(data: dict[str, Any]) -> None:
    with pytest.raises(InputError) as caught:
        ask("cooling", data)
    assert "\n" not in str(caught.value)


@pytest.mark.parametrize(
    "data", [{"time_s": 0}, {"time_s": -3}, {"temperature_c": -300}, {"firings": 0}, {"metal": "moonstone"}]
)
def test_impossible_firings_are_asked_about(data: dict[str, Any]) -> None:
    with pytest.raises(InputError):
        ask("oxide", data)


def test_a_rim_too_short_for_its_area_is_refused() -> None:
    data = {k: v for k, v in question("cooling").example.items() if k != "diameter_mm"}
    with pytest.raises(InputError, match="rim"):
        question("cooling").ask({**data, "area_cm2": 8, "perimeter_mm": 50})
