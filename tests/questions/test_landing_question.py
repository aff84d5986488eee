"""The landing spot never reads low beside a peak past its limit, and gives a figure for every stack or a sentence."""

from __future__ import annotations

from typing import Any, get_args

import pytest

from enamelwright.craft.health import landing_spot
from enamelwright.craft.health.landing_spot import Load, Material, StackLayer, spotted, told, usual_spot
from enamelwright.errors import EnamelwrightError
from enamelwright.physics.constants import ZERO_CELSIUS
from enamelwright.questions.question import question

#: Whatever may lie on top: wood lies below, and a gap lies below something.
TOPS = [material for material in get_args(Material) if material not in {"wood", "gap"}]


def ask(**asked: Any) -> Any:
    return question("landing").ask(asked)


SLOW_BRICK = {
    "layers": [{"material": "brick", "thickness_mm": 30}], "firings": 1, "interval_min": 240, "stays_min": 240,
    "load": "shelf",
}  # fmt: skip


def test_a_long_interval_hides_no_peak() -> None:
    """A shelf parked on 30 mm of brick once in four hours: its own peak passes the limit for long contact."""
    found = ask(**SLOW_BRICK).payload
    assert found.peak.value > told("wood_long").value
    assert found.level == "stop"
    assert found.held.value > told("wood_long").value
    assert "hottest" in found.headline


@pytest.mark.parametrize("interval", [20, 60, 240, 600])
def test_the_time_to_the_next_firing_judges_nothing_after_the_last_one(interval: int) -> None:
    """One firing is one firing, however late the second would have come."""
    one, other = (ask(**{**SLOW_BRICK, "interval_min": minutes, "stays_min": 20}).payload for minutes in (20, interval))
    assert one.peak.value == pytest.approx(other.peak.value, abs=0.5)
    assert one.held.value == pytest.approx(other.held.value, abs=0.5)
    assert one.level == other.level


@pytest.mark.parametrize("load", get_args(Load))
@pytest.mark.parametrize("material", TOPS)
@pytest.mark.parametrize("firings", [1, 20])
def test_nothing_is_low_while_its_limit_is_passed(material: str, load: str, firings: int) -> None:
    found = ask(layers=[{"material": material, "thickness_mm": 25}], load=load, firings=firings).payload
    if found.after is not None or found.peak.value > told("wood_long").value:
        assert found.level != "low"
    assert found.after is None or found.peak.value > told("wood_long").value


# layers in mm that the lagged surface balance could not follow
STIFF = [("fibre", 10, "plate"), ("fibre", 10, "shelf"), ("fibre", 50, "mesh"), ("brick", 60, "plate"),
         ("brick", 60, "shelf"), ("fibre", 300, "shelf"), ("board", 300, "plate")]  # fmt: skip


@pytest.mark.parametrize(("material", "thickness", "load"), STIFF)
def test_every_stack_has_a_figure(material: str, thickness: float, load: str) -> None:
    found = ask(layers=[{"material": material, "thickness_mm": thickness}], load=load, firings=20).payload
    assert 20 <= found.held.value - ZERO_CELSIUS <= found.peak.value - ZERO_CELSIUS < 1300


def test_what_has_no_figure_is_told_in_words(monkeypatch: pytest.MonkeyPatch) -> None:
    from enamelwright.physics import landing_kernel

    def spoilt(*told: Any) -> Any:
        told[-1][:] = float("nan")
        return 0.0

    monkeypatch.setattr(landing_kernel, "land", spoilt)
    with pytest.raises(EnamelwrightError, match="could not be followed"):
        ask(layers=[{"material": "iron", "thickness_mm": 4}])


@pytest.mark.parametrize("load", get_args(Load))
@pytest.mark.parametrize("material", TOPS)
def test_finer_slices_and_steps_do_not_move_the_wood(material: Material, load: Load) -> None:
    """Thin and thick layers of everything, five firings: twice as many slices and steps move it by a kelvin."""
    for thickness in (landing_spot.usual_thickness(material), 0.05):
        spot = usual_spot([StackLayer(material=material, thickness=thickness)], load, firings=5)
        usual, fine = spotted(spot), spotted(spot, 1.0, 2)
        rise = fine.peak.value - spot.room
        assert usual.peak.value == pytest.approx(fine.peak.value, abs=max(1.0, 0.015 * rise))
        assert usual.held.value == pytest.approx(fine.held.value, abs=max(0.5, 0.01 * rise))


def test_the_wood_is_followed_until_it_cools() -> None:
    """Behind 100 mm of brick the heat arrives hours after the last load was taken away."""
    found = ask(layers=[{"material": "brick", "thickness_mm": 100}], firings=1, load="shelf", interval_min=10).payload
    celsius = [one for _, one in found.course]
    assert found.course[-1][0] > 60
    assert max(celsius) > celsius[-1]
    assert max(celsius) == pytest.approx(found.peak.value - ZERO_CELSIUS, abs=0.5)


def test_times_and_gains_are_told_with_a_band() -> None:
    found = ask(layers=[{"material": "iron", "thickness_mm": 4}], firings=40).payload
    assert found.after.low < found.after.value < found.after.high
    assert all(one.cooler.low < one.cooler.value < one.cooler.high for one in found.changes if one.cooler.value > 1)
    answer = ask(layers=[{"material": "iron", "thickness_mm": 4}], interval_min=240)
    assert "every 240 min" in answer.because[0]
