"""What a jar's colour rests on: fit before measured colour before invented curve, with its own draws."""

from __future__ import annotations

import numpy as np
import pytest

import sample_colours
from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.jar_optics import (
    archetypes,
    class_of,
    index_of,
    jar_for,
    of_archetype,
    of_jar,
    optics_of,
)
from enamelwright.craft.jar import FITTED, Family, Jar, OpticsFacet
from enamelwright.errors import InputError, OutOfReach, UnknownName
from enamelwright.reference.loader import rows

FAMILIES: tuple[Family, ...] = tuple(
    dict.fromkeys(row["family"] for row in rows("colour/starting_colours"))  # type: ignore[arg-type]
)


@pytest.mark.parametrize("kind", ["transparent", "opal", "opaque", "painting", "liquid"])
@pytest.mark.parametrize("family", FAMILIES)
def test_every_kind_and_family_has_somewhere_to_start(kind: str, family: Family) -> None:
    found = of_jar(Jar(id="j", name="j", kind=kind, optics=OpticsFacet(family=family)))
    assert found.basis == "invented"
    assert "invented" in found.origin
    assert np.all(found.absorption >= 0)
    assert (found.scattering > 0) == (class_of(Jar(id="j", name="j", kind=kind)) != "transparent")


def test_flux_needs_no_family_and_mixed_colours_have_no_curve() -> None:
    assert of_jar(Jar(id="f", name="f", kind="flux")).kind == "transparent"
    for family in (None, "mixed"):
        with pytest.raises(OutOfReach, match="colour family"):
            of_jar(Jar(id="m", name="m", kind="opaque", optics=OpticsFacet(family=family)))


def test_absorption_of_a_straight_path_is_doubled_for_diffuse_light() -> None:
    row = next(row for row in rows("colour/archetypes_invented") if row["archetype"] == "cobalt_blue")
    assert archetypes()["cobalt_blue"].absorption[0] == pytest.approx(2 * float(row["w380"]) * 1e3)


def test_a_jar_of_the_bench_wins_over_an_invented_curve_of_its_name() -> None:
    mine = Jar(id="x", name="cobalt blue", kind="opaque", optics=OpticsFacet(family="red"))
    assert optics_of("Cobalt Blue", Bench(jars=(mine,))).kind == "opaque"
    assert optics_of("Cobalt Blue", Bench()).jar == "cobalt_blue"


def test_lead_raises_the_index_until_a_number_is_told() -> None:
    def jar(**more: object) -> Jar:
        return Jar.from_outside({"id": "j", "name": "j", "kind": "flux"} | more)

    assert index_of(jar()) == index_of(jar(hazards={"lead": "no"})) < index_of(jar(hazards={"lead": "yes"}))
    assert index_of(jar(starter="leaded_flux_clear")) == index_of(jar(hazards={"lead": "yes"}))
    assert index_of(jar(optics={"index": 1.57})) == 1.57


def test_draws_follow_the_covariance_of_the_fit() -> None:
    """ln K at one band, ln S and the power scatter as F'F says; the same jar draws the same numbers."""
    factor = np.zeros((2, FITTED))
    factor[0, 5], factor[0, 36], factor[1, 37] = 0.2, -0.1, 0.3
    facet = OpticsFacet(
        absorption=(2e3,) * 36, scattering=5e3, scattering_power=1.5, covariance=tuple(map(tuple, factor.tolist())),
        fitted_from=("T1",),
    )  # fmt: skip
    found = of_jar(Jar(id="j", name="j", kind="opal", optics=facet))
    absorption, scattering = found.draws(4000)
    assert np.log(absorption[:, 5]).std() == pytest.approx(0.2, rel=0.05)
    assert absorption[:, 6] == pytest.approx(2e3)
    assert np.log(scattering[:, 17]).std() == pytest.approx(0.1, rel=0.05)
    assert np.corrcoef(np.log(absorption[:, 5]), np.log(scattering[:, 17]))[0, 1] == pytest.approx(-1, abs=0.01)
    assert np.array_equal(absorption, found.draws(4000)[0])


def spread_of(jar: Jar, wavelength: int) -> tuple[float, float]:
    """Standard deviations of ln K at one band and of ln S at 550 nm, in 4000 draws."""
    absorption, scattering = of_jar(jar).draws(4000)
    band = (wavelength - 380) // 10
    return float(np.log(absorption[:, band]).std()), float(np.log(scattering[:, 17] + 1e-30).std())


TYPED = {"absorption": (2e3,) * 36, "scattering": 5e3, "scattering_power": 1.0}


def test_a_curve_nobody_measured_is_drawn_wide() -> None:
    """Wider than any usual fit: two cobalt glasses that are both called blue easily differ by a factor of two."""
    absorption, scattering = of_archetype("opal_white").draws(10)
    assert absorption.shape == scattering.shape == (10, 36)
    invented = Jar(id="i", name="i", kind="opaque", optics=OpticsFacet(family="blue"))
    strong, cloudy = spread_of(invented, 550)
    assert np.sqrt(2) * strong > np.log(2)
    assert cloudy > 0.4
    assert np.array_equal(of_jar(invented).draws(50)[0], of_jar(invented).draws(50)[0])


def test_one_colour_tells_the_ratio_and_nothing_of_hiding() -> None:
    """Absorption and scattering move together, as the colour of a coat that hides tells their ratio alone."""
    one = of_jar(Jar(id="o", name="o", kind="opaque", optics=OpticsFacet(family="green", lab=(62.0, -22.0, -18.0))))
    absorption, scattering = one.draws(4000)
    ratio = np.log(absorption / scattering)[:, 17].std()
    assert np.log(scattering[:, 17]).std() > 0.4
    assert 0.1 < ratio < np.log(absorption[:, 17]).std()
    assert not one.sure


def test_curves_without_their_covariance_are_drawn_wider_than_a_usual_fit() -> None:
    """A fit of tiles leaves 10 to 20 % open; what is typed without saying so must not come out surer than that."""
    typed = Jar(id="t", name="t", kind="opal", optics=OpticsFacet(**TYPED))
    strong, cloudy = spread_of(typed, 550)
    assert strong > 0.2
    assert cloudy > 0.2
    found = of_jar(typed)
    assert (found.basis, found.invented, found.sure) == ("described", False, False)
    tiled = of_jar(typed.model_copy(update={"optics": OpticsFacet(**TYPED, fitted_from=("T1", "T2"))}))
    assert "2 tiles" in tiled.origin
    assert "how sure" in tiled.origin
    assert not tiled.sure


def test_the_spread_of_a_made_up_curve_is_smooth_and_alike_at_every_band() -> None:
    absorption = np.log(of_archetype("cobalt_blue").draws(4000)[0])
    spread = absorption.std(axis=0)
    assert spread.max() < 1.1 * spread.min()
    apart = np.corrcoef(absorption.T)
    assert apart[5, 6] > 0.97
    assert apart[0, 35] < apart[0, 8] < apart[0, 1]


def test_an_invented_curve_has_the_facts_its_name_tells() -> None:
    """Gold colours ruby, cadmium the orange and red (common practice, no source)."""
    ruby, orange, flux = (jar_for(name, Bench()) for name in ("Gold Ruby", "opaque cadmium orange", "flux clear"))
    assert (ruby.kind, ruby.optics.family, ruby.gold_bearing) == ("transparent", "red", True)
    assert (orange.kind, orange.optics.family, orange.hazards.cadmium) == ("opaque", "orange", "yes")
    assert flux.kind == "flux"
    mine = Jar(id="x", name="gold ruby", kind="opaque", optics=OpticsFacet(family="grey"))
    assert jar_for("gold ruby", Bench(jars=(mine,))) == mine
    with pytest.raises(UnknownName):
        jar_for("moonshine", Bench())
    for key in archetypes():
        assert jar_for(key, Bench()).optics.family


def test_a_fit_survives_being_written_down() -> None:
    jar = sample_colours.fitted_bench().jar("opal_white")
    again = Jar.from_outside(jar.to_outside())
    one, other = of_jar(jar), of_jar(again)
    assert other.absorption == pytest.approx(one.absorption, rel=1e-8)
    assert (other.scattering, other.power) == pytest.approx((one.scattering, one.power))
    assert other.origin == one.origin == "fitted from 5 tiles"


@pytest.mark.parametrize(
    "broken", [{"absorption": (1.0,) * 35}, {"absorption": (-1.0,) * 36}, {"covariance": ((0.1,) * 3,)}]
)
def test_a_broken_fit_is_refused(broken: dict) -> None:
    with pytest.raises((InputError, ValueError)):
        OpticsFacet(**broken)
