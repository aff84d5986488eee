"""Tables of colour: weights are those their script writes, invented curves say so in every row."""

from __future__ import annotations

import numpy as np
import pytest

import colour_weights
from enamelwright.craft.colour.light import COLUMNS, LIGHTS
from enamelwright.craft.colour.metal_optics import base_of, index_of_metal, metals_known
from enamelwright.reference import loader
from enamelwright.reference.loader import rows


@pytest.mark.parametrize("light", colour_weights.LIGHTS)
@pytest.mark.parametrize("observer", list(colour_weights.OBSERVERS))
def test_weights_are_fresh(light: str, observer: str) -> None:
    """Written again they are the same, to the last digit kept."""
    kept = rows(f"colour/weights_{light}_{observer}")
    told = colour_weights.weights(light, observer)
    found = np.array([[float(row[axis]) for axis in "xyz"] for row in kept])
    assert found == pytest.approx(told, abs=1.5 * 10**-colour_weights.DIGITS)
    assert [int(row["band_nm"]) for row in kept] == colour_weights.BANDS.tolist()


def test_every_light_has_its_tables() -> None:
    assert set(LIGHTS) == set(colour_weights.LIGHTS)


def test_invented_curves_say_so_in_every_row() -> None:
    for table in ("archetypes_invented", "starting_colours"):
        for row in rows(f"colour/{table}"):
            assert "invented" in row["note"].casefold()
            assert row["status"] == "assumption"


def test_curves_are_those_of_glass() -> None:
    for row in rows("colour/archetypes_invented"):
        curve = np.array([float(row[name]) for name in COLUMNS])
        assert np.all((curve >= 0) & (curve < 200))  # neper a millimetre
        assert row["unit"] == "1/mm"
    known = {row["archetype"] for row in rows("colour/archetypes_invented")}
    assert {row["archetype"] for row in rows("colour/starting_colours")} <= known


def test_every_metal_of_the_tables_shines_and_names_its_table() -> None:
    known = {row["id"] for row in rows("metals/metals")}
    assert set(metals_known()) <= known
    for metal in metals_known():
        base = base_of(metal, 1.52)
        assert np.all((base.hemispherical > 0) & (base.hemispherical < 1))
        assert base.sources
    for row in rows("colour/metal_tables"):
        for table in (row["table"], row["other"] or row["table"]):
            assert np.all(index_of_metal(table).imag > 0)
    assert loader.value("colour/scattering_at") == pytest.approx(550e-9)
