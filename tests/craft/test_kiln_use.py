"""A kiln in use as figures: bands hold what they should, days add up, observations narrow."""

from __future__ import annotations

import math

import pytest

from enamelwright.craft.kiln import Kiln
from enamelwright.craft.kiln_use import KilnUse, door_lines, kiln_use
from enamelwright.errors import InputError, OutOfReach
from enamelwright.figure import Figure

SET = 1073.15
KWH = 3.6e6


def figures(use: KilnUse) -> list[Figure]:
    found: list[Figure] = []
    for name in use.__dataclass_fields__:
        part = getattr(use, name)
        found += list(part) if isinstance(part, tuple) else [part] if part is not None else []
    return found


@pytest.fixture(scope="module")
def base() -> KilnUse:
    return kiln_use(None, SET)


def test_the_base_kiln(base: KilnUse) -> None:
    """The likely values are those of the independent program: 10.7 min, 0.320 kWh, 408 W, 0.140 and 0.019 kWh."""
    assert base.heat_up.value / 60 == pytest.approx(10.73, rel=0.03)
    assert base.ready_energy.value / KWH == pytest.approx(0.320, rel=0.03)
    assert base.hold_power.value == pytest.approx(408.0, rel=0.03)
    assert base.soak_energy.value / KWH == pytest.approx(0.140, rel=0.05)
    assert base.firing_energy.value / KWH == pytest.approx(0.019, abs=0.002)
    # 20 firings at 8 min after a warm-up of 25 min: 2.02 kWh.
    assert base.day(20, 480.0, 1500.0 - base.heat_up.value).value / KWH == pytest.approx(2.02, rel=0.03)


def test_every_figure_is_finite_with_its_band(base: KilnUse) -> None:
    for figure in figures(base):
        assert all(map(math.isfinite, (figure.low, figure.value, figure.high)))
    assert base.heat_up.low < base.heat_up.value < base.heat_up.high
    assert base.hearth_ready.value > base.heat_up.value
    assert [mark.value for mark in base.cools] == sorted(mark.value for mark in base.cools)


def test_a_day_grows_with_firings_and_with_waiting(base: KilnUse) -> None:
    assert base.day(10, 480.0).value < base.day(20, 480.0).value < base.day(20, 960.0).value
    assert base.day(10, 480.0, 3600.0).value - base.day(10, 480.0).value == pytest.approx(3600 * base.hold_power.value)
    for wrong in ((0, 480.0), (5, 0.0), (10**9, 480.0)):
        with pytest.raises(InputError):
            base.day(*wrong)


def test_an_observation_narrows_the_answer(base: KilnUse) -> None:
    told = kiln_use(Kiln(name="k", time_to_set=900.0, time_to_set_point=SET, hold_duty=0.25, hold_duty_point=SET), SET)
    for name in ("heat_up", "hold_power"):
        wide, narrow = getattr(base, name), getattr(told, name)
        assert (narrow.high - narrow.low) / narrow.value < (wide.high - wide.low) / wide.value
    assert told.hold_duty.value == pytest.approx(0.25, abs=0.005)


def test_a_heavier_load_is_told_as_heavier(base: KilnUse) -> None:
    plate = kiln_use(None, SET, "plate")
    assert plate.recovers is not None
    assert base.recovers is not None
    assert plate.recovers.value > 2 * base.recovers.value
    assert plate.firing_energy.value > 2 * base.firing_energy.value
    assert plate.dip.value > base.dip.value


def test_the_longer_the_door_the_deeper_the_fall() -> None:
    lines = door_lines(None, SET)
    assert [line.open_seconds for line in lines] == [5.0, 15.0, 30.0]
    assert [line.lowest_display for line in lines] == sorted((line.lowest_display for line in lines), reverse=True)
    assert [line.extra for line in lines] == sorted(line.extra for line in lines)
    # Making an opening longer costs about 1.9 Wh for two openings and each second (independent program).
    assert (lines[2].extra - lines[0].extra) / 3600 / 25 == pytest.approx(0.95, abs=0.2)


def test_refusals() -> None:
    with pytest.raises(OutOfReach):
        kiln_use(Kiln(name="k", power=300.0), SET)
    with pytest.raises(InputError):
        kiln_use(None, SET, turn=100.0)
    with pytest.raises(InputError):
        kiln_use(None, SET, "cartload")


@pytest.mark.parametrize("preset", ["fibre small", "fibre medium", "brick medium", "muffle small"])
def test_the_next_load_waits_for_the_display(preset) -> None:
    """Heavy clay hides the open door from the piece, not from the heat that is still missing behind it."""
    empty = kiln_use(Kiln(name="k", preset=preset), SET, "none")
    assert empty.next_load is not None
    assert empty.recovers is not None
    assert empty.next_load.value >= empty.recovers.value > 0
