"""What is known of a jar: composition, data sheet, class, or nothing; and what is refused."""

from __future__ import annotations

import numpy as np
import pytest

from enamelwright.craft.data_sheet import expansion_from_sheet
from enamelwright.craft.glass_model import glass_from_composition
from enamelwright.craft.glass_of_jar import glass_of
from enamelwright.craft.jar import FusingFacet, GlassFacet, HazardFacet, Jar, SheetExpansion
from enamelwright.craft.jar_glass import FACTORS, JarGlass, class_glass, jar_glass, unknown_glass
from enamelwright.errors import InputError, UnknownName
from enamelwright.reference import loader

ZERO_C = 273.15
J3 = {"SiO2": 39.4, "Al2O3": 1.2, "B2O3": 0.4, "PbO": 43.2, "K2O": 15.0, "Na2O": 0.7}
CLASSES = [row["id"] for row in loader.rows("glass/classes")]


def sound(glass: JarGlass) -> None:
    """Every figure is ordered and every factor centred on its figure."""
    assert glass.isokom_12.value < glass.isokom_6_6.value
    assert glass.firing_low.value <= glass.firing_high.value
    assert set(glass.factors) == set(FACTORS.values())
    draws = glass.spread("x").draw([f"jar x: {name}" for name in FACTORS.values()], 2001)
    for attribute, name in FACTORS.items():
        figure = getattr(glass, attribute)
        assert figure.low < figure.value < figure.high
        assert np.median(draws[f"jar x: {name}"]) == pytest.approx(figure.value, rel=2e-3)


@pytest.mark.parametrize("name", CLASSES)
def test_every_class_is_whole(name: str) -> None:
    glass = class_glass(name)
    sound(glass)
    assert glass.known_by == "class"
    assert glass.leaded is name.startswith("leaded")
    assert glass.expansion.origin.kind == "class default"


@pytest.mark.parametrize("lead", ["yes", "no", "mixed", "unknown"])
def test_an_undescribed_jar_is_wide_and_says_so(lead: str) -> None:
    glass = jar_glass(lead=lead)  # type: ignore[arg-type]
    sound(glass)
    assert any("Nothing is known" in words for words in glass.cautions)


def test_knowing_the_lead_narrows() -> None:
    def width(lead: str) -> float:
        found = unknown_glass(lead).density  # type: ignore[arg-type]
        return found.high - found.low

    assert width("yes") < width("unknown")
    assert width("no") < width("unknown")
    assert unknown_glass("yes").density.value > unknown_glass("no").density.value


def test_composition_beats_class_and_the_sheet_beats_composition() -> None:
    by_class = jar_glass(starter="leaded_opaque")
    by_model = jar_glass(starter="leaded_opaque", composition=J3)
    assert by_model.known_by == "composition"
    assert by_model.expansion == glass_from_composition(J3).expansion != by_class.expansion
    sheet = expansion_from_sheet(11.0, "linear", "ppm/K", "measured", 293.15, 573.15)
    printed = jar_glass(composition=J3, expansion=sheet, density=3550.0)
    sound(printed)
    assert printed.expansion.value == pytest.approx(11.0e-6)
    assert printed.density.value == 3550.0
    assert printed.isokom_12 == by_model.isokom_12


@pytest.mark.parametrize("number", [258.0, 300.0, 360.0])
def test_a_cubical_number_called_linear_is_refused(number: float) -> None:
    """No enamel grows 25 ppm/K in length: such numbers are volumes (three times the length)."""
    with pytest.raises(InputError, match="cubical"):
        expansion_from_sheet(number, "linear", "e-7/K", "measured")
    found = expansion_from_sheet(number, "cubical", "e-7/K", "measured, range unknown")
    assert found.figure.value == pytest.approx(number / 3 * 1e-7)


@pytest.mark.parametrize(
    ("number", "kind"),
    [(110.0, "unknown"), (110.0, "cubical"), (1100.0, "linear"), (3.0, "linear"), (2000.0, "cubical")],
)
def test_impossible_or_unnamed_expansions_are_refused(number: float, kind: str) -> None:
    with pytest.raises(InputError):
        expansion_from_sheet(number, kind, "e-7/K")  # type: ignore[arg-type]


def test_how_it_was_come_by_sets_the_band() -> None:
    """Old weight factors read 0.6-1.6 ppm/K low on measured enamel-like glasses; a measurement is best."""
    measured = expansion_from_sheet(100, "linear", "e-7/K", "measured", 293.15, 573.15)
    no_range = expansion_from_sheet(100, "linear", "e-7/K", "measured")
    mole = expansion_from_sheet(100, "linear", "e-7/K", "calculated from mole factors")
    weight = expansion_from_sheet(100, "linear", "e-7/K", "calculated from weight factors")
    unknown = expansion_from_sheet(100, "linear", "e-7/K")
    assert measured.sd < no_range.sd < mole.sd < weight.sd
    assert unknown.sd > mole.sd
    assert weight.figure.value - mole.figure.value == pytest.approx(1e-6)
    assert weight.caution
    assert unknown.caution


def test_setting_of_a_titania_glass_leans_on_its_tg() -> None:
    """T12 of titania glasses is off by 76 K (1 sd) against SciGlass, Tg by regression by 27-38 K."""
    weight = {"SiO2": 48, "B2O3": 12, "Na2O": 15, "K2O": 8, "ZnO": 4, "BaO": 5, "TiO2": 4, "CaO": 2, "F": 2}
    model, glass = glass_from_composition(weight), jar_glass(composition=weight)
    sound(glass)
    assert glass.known_by == "composition"
    assert glass.isokom_12.sd < model.sd["transformation"] < model.sd["isokom_12"]
    ends = sorted([model.isokom_12.value, model.transformation.value])
    assert ends[0] <= glass.isokom_12.value <= ends[1]
    nearer_tg = abs(glass.isokom_12.value - model.transformation.value)
    assert nearer_tg < abs(glass.isokom_12.value - model.isokom_12.value)


def test_a_firing_range_moves_setting_but_only_a_little() -> None:
    """A printed range says much of the firing and little of setting (sd near 100 K alone)."""
    plain = jar_glass(lead="yes")
    fired = jar_glass(lead="yes", fuse_low=780 + ZERO_C, fuse_high=820 + ZERO_C)
    sound(fired)
    assert (fired.firing_low.value, fired.firing_high.value) == (780 + ZERO_C, 820 + ZERO_C)
    assert plain.isokom_12.value < fired.isokom_12.value < 504 + ZERO_C
    assert fired.isokom_12.high - fired.isokom_12.low < plain.isokom_12.high - plain.isokom_12.low


def test_one_end_of_a_range_stands_for_both() -> None:
    glass = jar_glass(fuse_low=1053.0)
    assert glass.firing_low.value == glass.firing_high.value == 1053.0
    with pytest.raises(InputError):
        jar_glass(fuse_low=1100.0, fuse_high=1000.0)


def test_printed_points_are_used_and_must_not_contradict() -> None:
    glass = jar_glass(starter="leaded_opaque", transformation=750.0, softening=880.0)
    sound(glass)
    assert glass.isokom_12.value == 750.0
    assert glass.isokom_6_6.value == 880.0
    only = jar_glass(transformation=750.0)
    assert only.isokom_12.value == 750.0 < only.isokom_6_6.value
    with pytest.raises(InputError):
        jar_glass(transformation=880.0, softening=750.0)


def test_harder_setting_goes_with_lower_expansion() -> None:
    """On 229 leaded glasses expansion and T12 move against each other (rank correlation -0.5)."""
    glass = class_glass("leaded_opaque")
    draws = glass.spread("x").draw(["jar x: expansion", "jar x: isokom 12"], 4000)
    rho = np.corrcoef(draws["jar x: expansion"], draws["jar x: isokom 12"])[0, 1]
    assert rho == pytest.approx(-0.5, abs=0.06)  # 3 sd of a sample correlation of 4000


def test_a_described_jar() -> None:
    jar = Jar(
        id="J1",
        name="invented blue",
        kind="transparent",
        glass=GlassFacet(expansion=SheetExpansion(value=330e-7, kind="cubical", basis="measured")),
        fusing=FusingFacet(low=1050.0, high=1080.0),
        hazards=HazardFacet(lead="yes"),
    )
    glass = glass_of(jar)
    sound(glass)
    assert glass.expansion.value == pytest.approx(11e-6)
    assert glass.known_by == "data sheet"
    assert glass.leaded is True


def test_an_expansion_of_unknown_kind_is_left_out_with_words() -> None:
    """The basis is unknown, so the number is not used: mean 11, sd 1 ppm/K stands in."""
    jar = Jar(id="J2", name="invented red", kind="opaque", glass=GlassFacet(expansion=SheetExpansion(value=285e-7)))
    glass = glass_of(jar)
    assert glass.expansion.value == pytest.approx(11e-6)
    assert sum("expansion" in words for words in glass.cautions) == 1
    assert any("neither linear nor cubical" in words for words in glass.cautions)
    by_class = glass_of(jar.model_copy(update={"starter": "leaded_opaque"}))
    assert by_class.expansion == class_glass("leaded_opaque").expansion
    assert any("neither linear nor cubical" in words for words in by_class.cautions)


def test_unknown_class_and_component_are_refused() -> None:
    with pytest.raises(UnknownName):
        class_glass("lead_free_purple")
    with pytest.raises(InputError, match="not a component"):
        jar_glass(composition={"SiO2": 50, "Unobtainium": 50})
    with pytest.raises(InputError, match="adds up"):
        jar_glass(composition={"SiO2": 50})
    with pytest.raises(InputError):
        jar_glass(composition={"SiO2": 60, "sio2": 40})
