"""Gauges and meshes as makers type them."""

from __future__ import annotations

import contextlib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from enamelwright.craft.gauge import (
    BROWN_SHARPE,
    SYSTEMS,
    gauge_thickness,
    gauge_words,
    nearest_gauge,
    parse_thickness,
    thickness_from_gauge,
)
from enamelwright.craft.sieve import grain_of_mesh, mesh_of_opening, opening_of_mesh, parse_opening, sieves
from enamelwright.errors import EnamelwrightError, QuantityError


@pytest.mark.parametrize(
    "typed",
    ["20 gauge (B&S)", "20 ga AWG", "20ga. b&s", "AWG 20", "20 gauge B & S", "gauge 20 (AWG)", "#20 B&S",
     "20-gauge AWG", "20 gauge (Brown & Sharpe)", "20 gauge sheet (B&S)", "20 AWG"],
)  # fmt: skip
def test_ways_to_say_twenty_brown_and_sharpe(typed: str) -> None:
    assert parse_thickness(typed) == pytest.approx(gauge_thickness(20, BROWN_SHARPE))


@pytest.mark.parametrize("typed", ["18 SWG", "18 gauge British", "18 ga (SWG)", "SWG 18"])
def test_ways_to_say_british_eighteen(typed: str) -> None:
    assert parse_thickness(typed) == pytest.approx(1.219e-3, abs=1e-6)


def test_a_bare_gauge_is_asked_back_with_both_thicknesses() -> None:
    with pytest.raises(QuantityError) as caught:
        parse_thickness("22 gauge")
    said = str(caught.value)
    assert "0.644 mm" in said
    assert "0.711 mm" in said
    assert "B&S" in said
    assert "SWG" in said


@pytest.mark.parametrize("typed", ["20 gauge foo", "50 gauge (B&S)", "5 SWG", "gauge", "18", "ga 1000 AWG", "-20 AWG"])
def test_what_is_no_gauge_is_refused(typed: str) -> None:
    with pytest.raises(QuantityError):
        parse_thickness(typed)


def test_plain_lengths_pass() -> None:
    assert parse_thickness("0.8 mm") == pytest.approx(0.8e-3)
    assert parse_thickness("1/32 in") == pytest.approx(0.79375e-3)
    with pytest.raises(QuantityError):
        parse_thickness("0 mm")


@given(st.sampled_from(sorted(SYSTEMS)), st.integers(8, 36))
def test_words_come_back_as_the_same_gauge(system: str, number: int) -> None:
    thickness = gauge_thickness(number, system)
    assert nearest_gauge(thickness, system) == (number, thickness)
    assert thickness_from_gauge(gauge_words(thickness, system)) == thickness


@given(st.text(max_size=80))
def test_any_text_is_read_or_refused_in_words(text: str) -> None:
    with contextlib.suppress(EnamelwrightError):
        assert parse_thickness(text) > 0


@pytest.mark.parametrize("thickness", [0.0, -1e-3, 1.0, 1e-9])
def test_no_gauge_is_near(thickness: float) -> None:
    with pytest.raises(QuantityError):
        nearest_gauge(thickness)


def test_mesh_texts() -> None:
    for typed in ("80 mesh", "80-mesh", "No. 80", "180 µm", "0.18 mm"):
        assert parse_opening(typed) == pytest.approx(180e-6)
    with pytest.raises(QuantityError, match="could be a mesh or a length"):
        parse_opening("80")
    with pytest.raises(QuantityError, match="140 and 170"):
        opening_of_mesh(150)


def test_a_mesh_without_its_own_sieve_lies_between_its_neighbours() -> None:
    assert opening_of_mesh(170) < grain_of_mesh(150) < opening_of_mesh(140)
    assert grain_of_mesh(80) == pytest.approx(opening_of_mesh(80))
    with pytest.raises(QuantityError):
        grain_of_mesh(5000)


def test_finer_mesh_has_the_smaller_opening() -> None:
    numbered = [entry for entry in sieves() if entry.mesh is not None]
    assert [entry.mesh for entry in numbered] == sorted(entry.mesh for entry in numbered if entry.mesh)
    assert mesh_of_opening(150e-6).words() == "100 mesh (150 µm)"
