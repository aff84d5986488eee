"""Melting limits are judged by the hottest the piece may get, not by the dial."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from rule_pieces import levels, plan_of
from rule_table import CLOISONNE, STERLING

from enamelwright.craft.bench import Bench, Kiln
from enamelwright.craft.hottest import heat_of
from enamelwright.craft.operation import Firing, Window
from enamelwright.figure import Z95, Figure, Origin

KELVIN = 273.15
BARE_WIRE = CLOISONNE.replace("glass_below = true", "glass_below = false")


def bench(**facts: float) -> Bench:
    """A bench with one kiln."""
    return Bench.starter().model_copy(update={"kilns": (Kiln(name="kiln", **facts),)})


def firing(low: float, high: float) -> Firing:
    """A firing with a window [degrees C]."""
    point = Figure(
        value=(low + high) / 2 + KELVIN, low=low + KELVIN, high=high + KELVIN, dimension="temperature",
        origin=Origin(kind="assumption"),
    )  # fmt: skip
    return Firing(
        number=1, fuses=(0,), loaded="front", face_up="front", support="mesh", rests_on="rim", target="gloss",
        window=Window(set_point=point, seconds=None),
    )  # fmt: skip


PIECE = plan_of(STERLING).piece
#: Sterling begins to melt at 788 C (metals table); the same file, set at 745 C, in four kilns.
SET_745 = STERLING.replace("set_c = 730", "set_c = 745")
KILNS = [
    ({"reads_low": 0.0, "reads_low_sd": 2.0, "overshoot": 3.0, "spread": 3.0}, set()),
    ({"reads_low": 40.0, "reads_low_sd": 2.0, "overshoot": 3.0, "spread": 3.0}, {"stop"}),
    ({"reads_low": 20.0, "reads_low_sd": 2.0, "overshoot": 25.0, "spread": 3.0}, {"stop"}),
    ({"reads_low": 20.0, "reads_low_sd": 2.0, "overshoot": 10.0, "spread": 15.0}, {"stop"}),
]


@pytest.mark.parametrize(("facts", "expected"), KILNS)
def test_offset_overshoot_and_spot_count(facts: dict[str, float], expected: set[str]) -> None:
    assert levels(plan_of(SET_745, bench(**facts)), "ALLOY-STER-R") == expected


def test_an_unchecked_kiln_is_watched_where_a_checked_one_stops() -> None:
    text = STERLING.replace("set_c = 730", "set_c = 755")
    assert levels(plan_of(text), "ALLOY-STER-A") == {"watch"}
    assert not levels(plan_of(text), "ALLOY-STER-R")
    checked = bench(reads_low=15.0, reads_low_sd=5.0)
    assert levels(plan_of(text, checked), "ALLOY-STER-R") == {"stop"}


def test_a_kiln_that_reads_low_reaches_the_contact_melting_point() -> None:
    text = BARE_WIRE + "\n[firing]\nset_c = 720\n"
    sharp = {"reads_low_sd": 1.0, "overshoot": 0.0, "spread": 0.0}
    assert not levels(plan_of(text, bench(reads_low=0.0, **sharp)), "CON-AGCU")
    assert levels(plan_of(text, bench(reads_low=60.0, **sharp)), "CON-AGCU") == {"stop"}


def test_without_a_thermometer_bare_silver_on_copper_is_watched() -> None:
    assert levels(plan_of(BARE_WIRE + '\n[firing]\nsupport = "torch ring"\n'), "CON-AGCU") == {"watch"}


@given(st.floats(600, 900), st.floats(0, 60), st.floats(-30, 60), st.floats(0, 20), st.floats(0, 40), st.floats(0, 30))
def test_the_hottest_is_the_sum_of_its_parts(
    low: float, width: float, offset: float, sd: float, overshoot: float, spot: float
) -> None:
    studio = bench(reads_low=offset, reads_low_sd=sd, overshoot=overshoot, spread=spot)
    heat = heat_of(firing(low, low + width), PIECE, studio)
    assert heat is not None
    assert heat.measured
    assert heat.piece.low <= heat.piece.value <= heat.piece.high
    assert heat.piece.high - KELVIN == pytest.approx(low + width + offset + Z95 * sd + overshoot + spot)


def test_no_window_no_heat() -> None:
    bare = firing(700, 760).model_copy(update={"window": None})
    assert heat_of(bare, PIECE, Bench.starter()) is None
