"""The table of responses is fresh, mixes well, and other kilns are worked out the same way."""

from __future__ import annotations

import csv
import io

import numpy as np
import pytest

from enamelwright.craft.kiln import Kiln
from enamelwright.craft.kiln_bodies import control_of, load_body, load_class
from enamelwright.craft.kiln_facts import presets
from enamelwright.craft.kiln_responses import (
    COLUMNS,
    LOADS,
    SET_POINTS,
    loading_from,
    look_response,
    mixed,
    response_for,
    response_table,
    table_rows,
    worked_out,
)
from enamelwright.craft.kiln_state import kiln_state
from enamelwright.errors import OutOfReach, UnknownName
from enamelwright.physics.chamber_runs import heat_up
from kiln_response_table import TABLE

#: Half the last digit of the table, and the rounding of two machines.
ROUNDED = 0.06


def test_the_table_has_every_kiln_load_and_set_point() -> None:
    rows = list(csv.DictReader(io.StringIO(TABLE.read_text(encoding="utf-8"))))
    assert tuple(rows[0]) == COLUMNS
    assert set(response_table()) == {(p, load, point) for p in presets() for load in LOADS for point in SET_POINTS}


@pytest.mark.parametrize("preset", presets())
def test_the_table_is_fresh(preset) -> None:
    """Run tests/craft/kiln_response_table.py when this fails: the kiln tables or the heat balance have changed."""
    held = [row for row in csv.DictReader(io.StringIO(TABLE.read_text(encoding="utf-8"))) if row["preset"] == preset]
    anew = table_rows(preset)
    assert [(r["set_c"], r["load"], r["of"]) for r in held] == [(r["set_c"], r["load"], r["of"]) for r in anew]
    for old, new in zip(held, anew, strict=True):
        seconds = [name for name in old if name[0] == "s" and name[1:].isdigit()]
        assert [bool(old[s]) for s in seconds] == [bool(new[s]) for s in seconds]
        assert [float(old[s]) for s in seconds if old[s]] == pytest.approx(
            [float(new[s]) for s in seconds if new[s]], abs=2 * ROUNDED
        )


def test_between_set_points_the_table_mixes_well() -> None:
    state = kiln_state(None)
    for point in (1040.0, 1105.0, 1165.0):
        for load in ("mesh", "plate"):
            gap = response_for(None, point, load).radiant - worked_out(state, point, load_class(load), 5.0).radiant
            assert np.abs(gap).max() < 2.5


def test_a_heavier_load_takes_longer_and_dips_deeper() -> None:
    found = [response_for(None, 1073.15, load) for load in LOADS]
    assert [one.radiant[3] for one in found] == sorted((one.radiant[3] for one in found), reverse=True)
    lag = [float(one.times[np.argmax(one.radiant > -10)]) for one in found]
    assert lag == sorted(lag)


def test_a_kiln_of_ones_own_is_worked_out_and_kept() -> None:
    own = Kiln(name="own", width=0.2, depth=0.2, height=0.12, power=1600.0)
    first, again = response_for(own, 1073.15), response_for(own, 1073.15)
    assert first is again
    assert np.abs(first.radiant - response_for(None, 1073.15).radiant).max() > 1


def test_any_load_and_any_opening() -> None:
    """A wide thin piece on a wide mesh dips deeper than a plate of the same heat, and comes back sooner."""
    wide = response_for(None, 1073.15, load_body(0.2, 0.0, 0.085, 0.066, 0.8))
    plate = response_for(None, 1073.15, "plate")
    assert wide.radiant[3] < plate.radiant[3]
    assert response_for(None, 1073.15, "mesh", 30.0).radiant[0] < response_for(None, 1073.15, "mesh").radiant[0]


def test_a_load_too_heavy_is_followed_until_it_is_warm() -> None:
    slow = response_for(Kiln(name="k", preset="fibre small"), 1073.15, "shelf")
    assert slow.times[-1] > 600
    assert abs(slow.radiant[-1]) < 10


def test_a_thermostat_is_told_as_a_mean_and_a_dial_never_overshoots() -> None:
    swing = response_for(Kiln(name="k", control="on-off"), 1073.15)
    assert np.all(np.isfinite(swing.radiant))
    assert abs(swing.radiant[-1]) < 25
    dial = response_for(Kiln(name="k", control="dial"), 1073.15)
    assert dial.radiant.max() < 3


def test_corrected_kilns_do_not_take_the_table() -> None:
    slow = Kiln(name="k", hold_duty=0.32, hold_duty_point=1073.15)
    assert not np.allclose(response_for(slow, 1073.15).radiant[:10], response_for(None, 1073.15).radiant[:10], atol=0.3)


def test_out_of_reach() -> None:
    with pytest.raises(OutOfReach):
        response_for(Kiln(name="k", power=300.0), 1073.15)
    with pytest.raises(OutOfReach):
        response_for(Kiln(name="k", kind="torch"), 1073.15)
    with pytest.raises(UnknownName):
        response_for(None, 1073.15, "pallet")


def test_a_mix_of_one_is_itself() -> None:
    one = response_for(None, 1073.15)
    assert mixed((one, one), (0.3, 0.7)).radiant == pytest.approx(one.radiant)


def test_a_look_through_the_door_of_a_kiln() -> None:
    short, long = look_response(None, 1073.15), look_response(None, 1073.15, open_seconds=8.0)
    assert short.radiant.min() > long.radiant.min()
    assert short is look_response(None, 1073.15)
    assert abs(short.radiant[-1]) < 5


@pytest.mark.parametrize(("preset", "load", "within"), [("fibre medium", "mesh", 3.0), ("brick medium", "mesh", 9.0),
                                                        ("muffle small", "plate", 4.0)])  # fmt: skip
def test_half_an_hour_of_heat_comes_near_a_kiln_soaked_through(preset, load, within) -> None:
    """What the head of kiln_responses.py says of a kiln that has stood at heat for half an hour."""
    state, point = kiln_state(Kiln(name="k", preset=preset)), 860 + 273.15
    soaked = worked_out(state, point, load_class(load), 5.0)
    up, _ = heat_up(state.balance, control_of(state.facts), point)
    ruling = control_of(state.facts)
    _, chamber = heat_up(state.balance, ruling, point, up.first_at_set + 1800.0)
    early = loading_from(state.balance, chamber, ruling, point, load_class(load), 5.0).response
    gap = early.at(soaked.times)[0] - soaked.radiant
    assert np.abs(gap).max() < within
