"""Composition algebra: mole per cent, polynomials, ranges, and additive laws."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from enamelwright.errors import InputError
from enamelwright.physics.composition import CompositionPolynomial, Range, complaints, mole_percent, normalised
from enamelwright.physics.glass_density import density
from enamelwright.physics.glass_regression import GlassGroup, Regression, Scatter, scatter_of
from enamelwright.physics.glass_viscosity import AdditiveLaw, IsokomModel, isokoms

MOLAR = {"SiO2": 60.084, "Na2O": 61.979, "PbO": 223.2, "F": 18.998}
amounts = st.dictionaries(st.sampled_from(sorted(MOLAR)), st.floats(0.1, 100), min_size=1)


@given(amounts)
def test_mole_per_cent_sums_to_100_and_undoes_itself(parts: dict[str, float]) -> None:
    """Back to weight through the same molar masses: an identity, so only rounding is left."""
    weight = normalised(parts)
    mole = mole_percent(weight, MOLAR)
    assert sum(mole.values()) == pytest.approx(100)
    back = normalised({name: amount * MOLAR[name] for name, amount in mole.items()})
    for name, amount in weight.items():
        assert back[name] == pytest.approx(amount, rel=1e-9)


def test_heavy_oxide_has_the_smaller_mole_share() -> None:
    mole = mole_percent({"SiO2": 50.0, "PbO": 50.0}, MOLAR)
    assert mole["PbO"] / mole["SiO2"] == pytest.approx(MOLAR["SiO2"] / MOLAR["PbO"])


@pytest.mark.parametrize(
    "weight", [{"SiO2": 50.0}, {"SiO2": 150.0}, {"XyO": 100.0}, {"SiO2": 101.0, "PbO": -1.0}, {"SiO2": float("nan")}]
)
def test_impossible_analyses_are_refused(weight: dict[str, float]) -> None:
    with pytest.raises(InputError):
        mole_percent(weight, MOLAR)


def test_nothing_is_no_composition() -> None:
    with pytest.raises(InputError):
        normalised({"SiO2": 0.0})


def test_printed_terms_expand_as_algebra_says() -> None:
    """R2O stands for Li2O + Na2O + K2O; ^2 is a square; /100 divides; + in brackets is a sum."""
    mole = {"Li2O": 2.0, "Na2O": 3.0, "K2O": 5.0, "B2O3": 7.0}
    whole = 2.0 + 3.0 + 5.0
    for term, expected in [
        ("R2O", whole),
        ("R2O*B2O3/100", whole * 7 / 100),
        ("R2O^2/100", whole**2 / 100),
        ("B2O3*B2O3*B2O3", 343.0),
        ("(Na2O*K2O+Na2O*Li2O+K2O*Li2O)/100", (15.0 + 6.0 + 10.0) / 100),
    ]:
        model = CompositionPolynomial.of_rows([("constant", 1.0), (term, 2.0)])
        assert model.at(mole) == pytest.approx(1 + 2 * expected)
    with pytest.raises(InputError):
        CompositionPolynomial.of_rows([("Na2O", 1.0)])


def test_ranges_speak_of_what_is_outside_only() -> None:
    ranges = (Range("SiO2", 40, 80), Range("R2O", 8, 32), Range("SnO2", 0, 0))
    assert complaints(ranges, {"SiO2": 70, "Na2O": 20, "CaO": 10}) == ()
    assert [words.split()[0] for words in complaints(ranges, {"SiO2": 85, "Na2O": 5, "SnO2": 1})] == [
        "SiO2", "R2O", "SnO2",
    ]  # fmt: skip


def test_scatter_takes_the_widest_group_and_adds_the_bias_in_quadrature() -> None:
    table = (
        Scatter(GlassGroup("all"), 4.0),
        Scatter(GlassGroup("lead", (("PbO", 2.0),)), 3.0, 4.0),
        Scatter(GlassGroup("boron", (("B2O3", 2.0),), (("PbO", 2.0),)), 9.0),
    )
    assert scatter_of(table, {"SiO2": 100}) == 4.0
    assert scatter_of(table, {"SiO2": 90, "PbO": 10}) == 5.0
    assert scatter_of(table, {"SiO2": 90, "B2O3": 10}) == 9.0
    assert scatter_of(table, {"SiO2": 80, "PbO": 10, "B2O3": 10}) == 5.0


def test_unknown_components_are_named() -> None:
    model = CompositionPolynomial.of_rows([("constant", 2.0), ("Na2O", 0.1)])
    value, unknown = density(model, {"SiO2": 90, "Na2O": 8, "XyO": 2})
    assert value == pytest.approx(2.8)
    assert unknown == ("XyO: not in the density model",)
    found = Regression(model, (Range("SiO2", 40, 95),), (), (Scatter(GlassGroup("all"), 0.1),))
    assert found.flags({"SiO2": 90, "Na2O": 8, "XyO": 2}) == ("XyO: counted as silica",)
    assert found.inside({"SiO2": 90})
    assert not found.inside({"SiO2": 96})
    level = IsokomModel(12.0, model, 273.15, (Range("SiO2", 0, 100), Range("Na2O", 0, 5)))
    flags = isokoms((level,), {"SiO2": 90, "Na2O": 8, "XyO": 2}).flags[0]
    assert [words.split()[0].rstrip(":") for words in flags] == ["Na2O", "XyO"]


def test_additive_law_in_poise_becomes_pascal_seconds() -> None:
    """T = T0 + B / (log10 poise + A): at 10^4 poise = 10^3 Pa s; squares of parts per 100 silica."""
    law = AdditiveLaw({"constant": 6000.0, "B2O3^2": 4.0}, {"constant": 1.7}, {"constant": 150.0}, 273.15)
    at = law.law({"SiO2": 50.0, "B2O3": 5.0}).temperature_at(3.0)
    assert at == pytest.approx(273.15 + 150 + (6000 + 4 * 10**2) / (4 + 1.7))
    with pytest.raises(InputError):
        law.law({"B2O3": 100.0})
