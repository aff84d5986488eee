"""Quantities: read, written, refused."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from enamelwright import units
from enamelwright.errors import QuantityError

# definition of the inch (international yard, 1959) and of the Fahrenheit scale: exact
READ = [
    ("0.8 mm", "length", 0.8e-3),
    ("0,8 mm", "length", 0.8e-3),
    ("1/32 in", "length", 0.0254 / 32),
    ("1 1/2 in", "length", 0.0381),
    ("1450 °F", "temperature", (1450 - 32) / 1.8 + 273.15),
    ("-5 C", "temperature", 268.15),
    ("100 °F", "temperature_difference", 100 / 1.8),
    ("105 e-7/K", "expansion", 10.5e-6),
    ("105e-7/K", "expansion", 10.5e-6),  # as the number is printed, without a gap
    ("10,5e-6/K", "expansion", 10.5e-6),
    ("2.6 g/cm3", "density", 2600.0),
    ("2.6 g/cm³", "density", 2600.0),
    ("30 m³", "volume", 30.0),
    ("0.5 W/cm²", "heat_flux", 5000.0),
    ("80 μm", "length", 80e-6),
    ("80 µm", "length", 80e-6),
    ("2.5 min", "time", 150.0),
    ("1e-3 m", "length", 1e-3),
]

REFUSED = [
    ("9**9**9**9 mm", "length"),
    ("1e999 mm", "length"),
    ("nan mm", "length"),
    ("inf mm", "length"),
    ("0.8", "length"),
    ("1,000 mm", "length"),
    ("3 4 mm", "length"),
    ("1/0 in", "length"),
    ("0.8 furlongs", "length"),
    ("0.8 g", "length"),
    ("__import__('os')", "length"),
    ("x" * 1000, "length"),
    ("", "length"),
    ("5000 C", "temperature"),
    ("-300 C", "temperature"),
    ("20 MM", "stress"),
]


@pytest.mark.parametrize(("text", "dimension", "si"), READ)
def test_reads(text: str, dimension: str, si: float) -> None:
    assert units.parse(text, dimension) == pytest.approx(si, rel=1e-12)


# SI brochure, 9th edition (2019), 5.4: powers are raised, and a millionth is written with a Greek letter
PRINTED = [
    (0.05, "area", "cm2", "500 cm²"), (80e-6, "length", "um", "80 µm"),
    (5e-8, "dust", "µg/m3", "50 µg/m³"), (0.1, "air_flow", "m3/h", "360 m³/h"), (25.0, "heat_transfer", "W/m2/K", "25 W/m²/K"),
    (0.02, "speed", "m/min", "1.2 m/min"), (0.35, "areal_mass", "g/cm2", "0.035 g/cm²"),
]  # fmt: skip


@pytest.mark.parametrize(("si", "dimension", "unit", "printed"), PRINTED)
def test_prints_units_as_the_standard_writes_them(si: float, dimension: str, unit: str, printed: str) -> None:
    assert units.show(si, dimension, unit) == printed
    assert units.parse(printed, dimension) == pytest.approx(si)


@pytest.mark.parametrize(("text", "dimension"), REFUSED)
def test_refuses_with_one_sentence(text: str, dimension: str) -> None:
    with pytest.raises(QuantityError) as caught:
        units.parse(text, dimension)
    assert "\n" not in str(caught.value)
    assert len(str(caught.value)) < 250


@given(st.text(max_size=80))
def test_nothing_but_a_quantity_error_escapes(text: str) -> None:
    for dimension in ("length", "temperature", "expansion"):
        try:
            number = units.parse(text, dimension)
        except QuantityError:
            continue
        assert math.isfinite(number)


def test_every_listed_unit_is_as_large_as_pint_has_it() -> None:
    """pint's own registry (of the CODATA and NIST definitions) reads what each unit of the closed list is made of."""
    import pint

    registry = pint.UnitRegistry(autoconvert_offset_to_baseunit=True)
    for dimension, listed in units.UNITS.items():
        for unit, expression in listed.items():
            if dimension == "temperature":
                theirs = registry.Quantity(1.25, expression).to("K").magnitude
            else:
                made = registry.parse_expression(expression) * 1.25
                theirs = made.to_base_units().magnitude if hasattr(made, "to_base_units") else made
            assert units.to_si(1.25, unit, dimension) == pytest.approx(theirs, rel=1e-14), (dimension, unit)


@pytest.mark.parametrize("dimension", units.dimension_names())
def test_every_listed_unit_converts_there_and_back(dimension: str) -> None:
    for unit in units.UNITS[dimension]:
        si = units.to_si(1.25, unit, dimension)
        assert units.from_si(si, unit, dimension) == pytest.approx(1.25, rel=1e-12)


def test_every_suffix_names_a_listed_unit() -> None:
    known = {unit for table in units.UNITS.values() for unit in table}
    assert set(units.SUFFIXES.values()) <= known


# (value mm, width mm, shown): one significant digit of the half width, two when it begins with 1
SHOWN = [
    (0.3213, 0.14, "0.32 mm"),
    (0.3213, 0.02, "0.321 mm"),
    (1.0, 0.0, "1 mm"),
    (0.3213, 0.0, "0.321 mm"),
    (0.0, 0.2, "0.0 mm"),
]


@pytest.mark.parametrize(("value", "width", "text"), SHOWN)
def test_shows_no_more_digits_than_the_band_deserves(value: float, width: float, text: str) -> None:
    shown = units.show(value * 1e-3, "length", "mm", width * 1e-3)
    assert len(shown) <= len(text) + 1
    assert shown.split()[0].rstrip("0").rstrip(".") == text.split()[0].rstrip("0").rstrip(".")


def test_a_tiny_negative_number_is_not_shown_as_minus_nothing() -> None:
    assert not units.show(-1e-9, "length", "mm", 1e-4).startswith("-")


def test_the_si_unit_named_for_a_dimension_is_the_one_numbers_are_kept_in() -> None:
    """One SI unit named in JSON is worth 1 inside, wherever the unit is on the closed list."""
    assert set(units.SI_UNITS) == set(units.UNITS)
    for dimension, unit in units.SI_UNITS.items():
        if unit in units.UNITS[dimension]:
            assert units.to_si(1.0, unit, dimension) == pytest.approx(1.0), dimension


@pytest.mark.parametrize("dimension", ["length", "mass", "temperature", "time", "expansion"])
def test_what_is_no_quantity_is_shown_one_of_its_kind(dimension: str) -> None:
    with pytest.raises(QuantityError) as caught:
        units.parse("much", dimension)
    assert math.isfinite(units.parse(caught.value.remedy.split("'")[1], dimension))
