"""The loader: facts in SI, sources for every key, one hash, nothing a caller could change."""

from __future__ import annotations

import pytest

from enamelwright.errors import HouseError
from enamelwright.reference import loader


def test_a_fact_is_in_si_with_its_source() -> None:
    """Copper is 8.92-8.94 g/cm3 (materials database; Copper Development Association)."""
    found = loader.fact("metals/copper/density")
    assert found.value == pytest.approx(8930)
    assert (found.low, found.high) == pytest.approx((8920, 8940))
    assert found.dimension == "density"
    assert all(key in loader.sources() for key in found.source)
    figure = found.figure()
    assert figure.value == found.value
    assert figure.origin.status == "published"


def test_every_fact_makes_a_figure_and_every_source_can_be_cited() -> None:
    for found in loader.all_facts().values():
        assert found.figure().low <= found.value <= found.figure().high
        assert found.source
        assert found.status in loader.STATUSES
        for key in found.source:
            assert loader.sources()[key].words()


def test_a_table_of_its_own_is_read_the_same_way() -> None:
    whole = loader.facts_of("heat/facts")
    assert whole["heat/room"] == loader.fact("heat/room")
    assert set(whole) <= set(loader.all_facts())


def test_temperatures_are_absolute_and_differences_are_not() -> None:
    assert loader.value("heat/room") == pytest.approx(293.15)
    assert loader.value("trade/hardness_tolerance") == pytest.approx(10)


def test_assumptions_are_called_so() -> None:
    assert loader.fact("trade/packing_fraction").origin().kind == "assumption"
    assert loader.fact("metals/copper/density").origin().kind == "reference"


@pytest.mark.parametrize("key", ["metals/copper/colour", "nowhere/at/all", ""])
def test_a_missing_fact_is_a_fault_of_the_house(key: str) -> None:
    with pytest.raises(HouseError, match="states"):
        loader.fact(key)


def test_a_missing_table_is_a_fault_of_the_house() -> None:
    with pytest.raises(HouseError, match="missing"):
        loader.rows("trade/nothing")


def test_nobody_can_change_what_was_read() -> None:
    row = loader.rows("trade/rules")[0]
    with pytest.raises(TypeError):
        row["words"] = "changed"  # type: ignore[index]
    with pytest.raises(TypeError):
        loader.all_facts()["x"] = loader.fact("heat/room")  # type: ignore[index]


def test_the_hash_covers_every_table() -> None:
    assert len(loader.engine_hash()) == 12
    assert {"metals/facts.csv", "glass/regression_meta.json", "trade/sources.toml"} <= set(loader.tables())


def test_rows_of_an_open_database_carry_its_notice() -> None:
    """The Open Database License asks for a notice wherever results drawn from the database go."""
    for name in loader.tables():
        if not name.endswith(".csv"):
            continue
        for row in loader.rows(name.removesuffix(".csv")):
            if "sciglass2019_regression" in row["source"] and "licence" in row:
                assert "ODbL" in row["licence"]
    assert "ODbL" in loader.sources()["sciglass2019_regression"].licence
    for name in ("regression_coefficients", "model_scatter", "windows", "fuse_offsets", "expansion_basis"):
        assert all("licence" in row for row in loader.rows(f"glass/{name}"))
