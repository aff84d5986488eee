"""Colours of whole stacks: looks worked out apart from this code, what grounds do, and what is said of the unknown.

The looks below were computed by an independent implementation from the same invented curves, printed to one or two
decimals; they show how the method behaves, not how any enamel looks.
"""

from __future__ import annotations

import numpy as np
import pytest

import sample_colours
from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.colour_stack import ColourStack, StackCoat, own_stack, stack_of
from enamelwright.craft.colour.depth_colour import colour_against_depth
from enamelwright.craft.colour.fired_colour import fired_colour, nominal_look
from enamelwright.craft.colour.jar_optics import archetypes
from enamelwright.craft.colour.light import USUAL, seen_under
from enamelwright.craft.colour.look import screen_colour
from enamelwright.craft.colour.metal_coupon import MetalCoupon
from enamelwright.craft.colour.metal_optics import base_of
from enamelwright.craft.jar import Jar, OpticsFacet
from enamelwright.craft.piece import Piece
from enamelwright.craft.planner import make_plan
from enamelwright.errors import OutOfReach, UnknownName
from enamelwright.figure import standard
from enamelwright.physics.colour.colour_difference import ciede2000
from enamelwright.physics.colour.spectrum_recovery import recovered_reflectance
from enamelwright.physics.colour.stack_optics import stack_reflectance

BENCH = Bench.starter()
FITTED = sample_colours.fitted_bench()
stack = sample_colours.stack
FLUX, WHITE = ("flux clear", 0.12), ("opaque white", 0.15)

#: metal, coats, Lab catching the light, channels of a screen or None where it cannot show the colour
LOOKS = [
    ("copper", [FLUX], (72.6, 20.1, 18.7), (225, 164, 145)),
    ("fine silver", [FLUX], (96.0, 0.3, 0.7), (245, 243, 242)),
    ("fine gold", [FLUX], (80.4, 10.3, 45.5), (244, 191, 114)),
    ("copper", [FLUX, ("cobalt blue", 0.15)], (31.0, 18.2, -49.0), (31, 68, 150)),
    ("copper", [WHITE, ("cobalt blue", 0.15)], (29.7, 51.0, -85.5), None),
    ("copper", [FLUX, ("copper turquoise", 0.15)], (55.3, -5.3, -6.0), (116, 136, 142)),
    ("fine silver", [FLUX, ("copper turquoise", 0.15)], (72.3, -14.0, -28.4), (103, 187, 228)),
    ("fine silver", [FLUX, ("gold ruby", 0.15)], (55.2, 63.7, 10.6), (231, 73, 117)),
    ("copper", [FLUX, ("opal white", 0.15)], (73.1, 18.6, 12.3), (221, 167, 158)),
    ("copper", [WHITE], (85.8, 5.0, 3.0), (227, 211, 209)),
]


@pytest.mark.parametrize(("metal", "coats", "lab", "screen"), LOOKS)
def test_looks_worked_out_elsewhere(metal: str, coats: list, lab: tuple, screen: tuple | None) -> None:
    found = fired_colour(stack(metal, *coats), BENCH).nominal
    assert found.lab == pytest.approx(lab, abs=0.15)
    assert found.in_gamut == (screen is not None)
    if screen is not None:
        assert np.array(found.rgb) * 255 == pytest.approx(screen, abs=1)


#: coats on copper, Lab turned away
TURNED_AWAY = [
    ([FLUX, ("cobalt blue", 0.15)], (16.8, 26.1, -51.9)),
    ([FLUX, ("gold ruby", 0.15)], (34.75, 59.14, 27.71)),
]


@pytest.mark.parametrize(("coats", "lab"), TURNED_AWAY)
def test_looks_turned_away(coats: list, lab: tuple) -> None:
    assert fired_colour(stack("copper", *coats), BENCH).looks[1].away.lab == pytest.approx(lab, abs=0.15)


def test_red_oxide_under_flux_is_red() -> None:
    """5 um of the invented film takes flux on satin copper from salmon to Lab 45.95 40.55 28.64."""
    with_film = fired_colour(stack("copper", FLUX, film=5e-6, finish=1.0), BENCH)
    assert with_film.nominal.lab == pytest.approx((45.95, 40.55, 28.64), abs=0.15)
    assert any("film" in words for words in with_film.invented)
    assert with_film.sure_within is None


def ciede(one: ColourStack, other: ColourStack) -> float:
    return float(ciede2000(nominal_look(one, BENCH).lab, nominal_look(other, BENCH).lab))


#: coat or None over flux, metal, CIEDE2000 between a mirror and satin
FINISH = [
    ("cobalt blue", "fine silver", 30.4), ("gold ruby", "fine silver", 22.0), (None, "fine silver", 1.1),
    ("gold ruby", "copper", 18.8), ("iron amber", "copper", 13.3), (None, "copper", 8.6),
]  # fmt: skip


@pytest.mark.parametrize(("colour", "metal", "told"), FINISH)
def test_finish_decides_more_than_anything_about_transparents(colour: str | None, metal: str, told: float) -> None:
    coats = [FLUX, (colour, 0.15)] if colour else [FLUX]
    assert ciede(stack(metal, *coats, finish=0.0), stack(metal, *coats, finish=1.0)) == pytest.approx(told, abs=0.1)


#: coat or None over flux on silver, CIEDE2000 between catching the light and turned away at a finish of 0.7
VIEWS = [("cobalt blue", 14.8), ("gold ruby", 15.3), (None, 8.2)]


@pytest.mark.parametrize(("colour", "told"), VIEWS)
def test_turning_a_transparent_changes_it(colour: str | None, told: float) -> None:
    coats = [FLUX, (colour, 0.15)] if colour else [FLUX]
    look = fired_colour(stack("fine silver", *coats), BENCH).looks[1]
    assert float(ciede2000(look.catching.lab, look.away.lab)) == pytest.approx(told, abs=0.1)


def test_thicker_is_darker_and_the_ends_stand_either_side() -> None:
    found = fired_colour(stack("fine silver", FLUX, ("gold ruby", 0.15)), BENCH)
    assert [look.name for look in found.looks] == ["thin", "nominal", "thick"]
    light = [look.catching.lab[0] for look in found.looks]
    assert light == sorted(light, reverse=True)
    assert all(look.away.lab[0] <= look.catching.lab[0] for look in found.looks)


def test_a_weighed_coat_has_a_narrower_band_and_the_band_holds_nine_of_ten_draws() -> None:
    """Counted on the draws themselves: nine of ten drawn thicknesses lie between thin and thick."""
    coats = [("flux clear", 0.12), ("cobalt blue", 0.15)]
    for weighed, sd in ((True, 0.08), (False, 0.2)):
        thin, _, thick = fired_colour(stack("fine silver", *coats, weighed=weighed), BENCH).looks
        drawn = np.exp(sd * standard("any", 4000))
        assert np.mean((drawn > thin.factors[0]) & (drawn < thick.factors[0])) == pytest.approx(0.9, abs=0.005)
        assert thin.factors[0] == thin.factors[1]
    told = fired_colour(stack("fine silver", *coats), BENCH, factors=(0.8, 1.2)).looks
    assert [look.factors for look in told] == [(0.8, 0.8), (1, 1), (1.2, 1.2)]
    assert told[0].words == "20 % thinner"
    assert told[1].words == "as meant"


def test_copper_dulls_blue_and_white_makes_it_brilliant() -> None:
    """Brilliance of a blue: silver and white above copper, copper above steel (common practice, no source)."""

    def light(metal: str, *below: tuple[str, float]) -> float:
        lab = nominal_look(stack(metal, *below, ("copper turquoise", 0.15)), BENCH).lab
        return float(np.hypot(lab[1], lab[2]))

    assert light("fine silver", FLUX) > light("copper", FLUX)
    assert light("copper", WHITE) > light("copper", FLUX)
    assert nominal_look(stack("fine silver", FLUX), BENCH).lab[0] > nominal_look(stack("steel", FLUX), BENCH).lab[0]


def test_opal_is_bluer_over_dark_than_over_white() -> None:
    over_steel = nominal_look(stack("steel", ("opal white", 0.2)), BENCH).lab
    over_white = nominal_look(stack("copper", WHITE, ("opal white", 0.2)), BENCH).lab
    bare = nominal_look(stack("steel", FLUX), BENCH).lab
    assert over_steel[2] < bare[2] - 2
    assert over_white[2] > over_steel[2]


def test_hiding_is_told() -> None:
    assert fired_colour(stack("copper", ("opaque white", 0.1)), BENCH).hiding == pytest.approx(0.552, abs=0.002)
    assert fired_colour(stack("copper", ("opaque white", 0.2)), BENCH).hiding == pytest.approx(0.730, abs=0.002)
    assert fired_colour(stack("copper", ("opal white", 0.2)), BENCH).hiding == pytest.approx(0.14, abs=0.01)
    assert fired_colour(stack("copper", ("opaque black", 1.0)), BENCH).hiding > 0.98


def test_foil_is_what_light_meets() -> None:
    """Silver foil on copper looks like silver under the same finish, whatever the sheet."""
    foil = nominal_look(stack("copper", ("cobalt blue", 0.15), foil="fine silver"), BENCH)
    silver = nominal_look(stack("fine silver", ("cobalt blue", 0.15), finish=1.0), BENCH)
    assert foil.lab == pytest.approx(silver.lab, abs=1e-9)


def test_bare_metal_has_the_colour_of_metal_in_air() -> None:
    assert nominal_look(ColourStack(metal="copper"), BENCH).lab == pytest.approx((86.1, 11.8, 13.1), abs=1.5)


def test_an_invented_curve_is_named_and_has_no_number() -> None:
    found = fired_colour(stack("copper", FLUX, ("cobalt blue", 0.15)), BENCH)
    assert found.sure_within is None
    assert all("an invented curve" in words for words in found.invented)
    assert len(found.invented) == 2


def test_fitted_jars_have_a_number_and_it_falls_with_what_is_known() -> None:
    coats = [("flux clear", 0.12), ("cobalt blue", 0.15)]
    loose = fired_colour(stack("fine silver", *coats), FITTED)
    weighed = fired_colour(stack("fine silver", *coats, weighed=True), FITTED)
    assert loose.invented == weighed.invented == ()
    assert loose.sure_within is not None
    assert weighed.sure_within is not None
    assert 3 < weighed.sure_within < loose.sure_within
    assert fired_colour(stack("fine silver", *coats), FITTED).sure_within == loose.sure_within  # same draws again
    assert any("fitted from 5 tiles" in words for words in loose.basis)


def test_foretold_tiles_replace_what_the_model_is_feared_to_miss() -> None:
    coats = [("opaque turquoise", 0.3)]
    before = fired_colour(stack("copper", *coats, weighed=True), FITTED).sure_within
    tried = sample_colours.fitted_bench(unseen_error=1.0, unseen_tiles=12)
    few = sample_colours.fitted_bench(unseen_error=1.0, unseen_tiles=4)
    assert fired_colour(stack("copper", *coats, weighed=True), tried).sure_within < before
    assert fired_colour(stack("copper", *coats, weighed=True), few).sure_within == before


def test_the_makers_own_coupon_overrides_the_table() -> None:
    own = FITTED.model_copy(update={"coupons": (MetalCoupon(metal="Cu", gain=0.8, finish=0.9, fitted_from=("P1",)),)})
    table, coupon = (fired_colour(stack("copper", FLUX), bench) for bench in (FITTED, own))
    assert coupon.nominal.lab[0] < table.nominal.lab[0] - 3
    assert any("your own fluxed coupon" in words for words in coupon.basis)
    assert coupon.sure_within < table.sure_within + 0.5
    untouched = fired_colour(stack("fine silver", FLUX), own)
    assert untouched.nominal == fired_colour(stack("fine silver", FLUX), FITTED).nominal


def test_lights_turn_colours_and_pairs_that_match_may_part() -> None:
    """Two of the invented curves: 1.5 apart under D65, 3.1 under A, much further under three bands."""
    one = fired_colour(stack("fine silver", FLUX, ("opaque cadmium yellow", 0.283)), BENCH)
    other = fired_colour(stack("fine gold", FLUX, ("silver yellow", 0.244)), BENCH)
    apart = {
        light: float(ciede2000(*(seen_under(light).lab(which.reflectance) for which in (one, other))))
        for light in USUAL
    }
    assert apart["D65"] == pytest.approx(1.5, abs=0.1)
    assert apart["A"] == pytest.approx(3.1, abs=0.1)
    assert max(apart, key=lambda light: apart[light]) == "FL11"
    assert one.by_light[0].shift == 0
    assert one.worst_light.shift == max(look.shift for look in one.by_light)


def test_the_eye_of_ten_degrees_sees_a_blue_otherwise() -> None:
    """Cobalt on silver: about L +5, a -20, b +8 from 2 to 10 degrees, so observers are never mixed."""
    asked = stack("fine silver", FLUX, ("cobalt blue", 0.15))
    two, ten = (np.array(fired_colour(asked, BENCH, observer=eye).nominal.lab) for eye in ("2", "10"))
    assert ten - two == pytest.approx([5, -20, 8], abs=2.5)


def test_screen_colour_keeps_the_hue_of_what_it_cannot_show() -> None:
    look = nominal_look(stack("copper", WHITE, ("cobalt blue", 0.15)), BENCH)
    assert not look.in_gamut
    assert int(look.hex[5:], 16) > int(look.hex[3:5], 16) >= int(look.hex[1:3], 16)
    assert screen_colour((50.0, 0.0, 0.0)) == ("#777777", True)
    assert screen_colour((50.0, 200.0, 0.0))[1] is False


def test_the_screen_shows_daylight_whatever_light_is_asked() -> None:
    asked = stack("copper", FLUX, ("opal white", 0.15))
    day, lamp = (fired_colour(asked, BENCH, lights=(light,)).nominal for light in ("D65", "A"))
    assert lamp.hex == day.hex
    assert lamp.daylight == day.lab != lamp.lab


def test_depth_darkens_a_carved_ground() -> None:
    curve = colour_against_depth(stack("fine silver", FLUX, ("cobalt blue", 0.1)), BENCH, np.linspace(0, 5e-4, 6))
    light = [look.catching.lab[0] for look in curve]
    assert light == sorted(light, reverse=True)
    assert curve[0].catching.lab == pytest.approx(nominal_look(stack("fine silver", FLUX), BENCH).lab, abs=1e-9)
    with pytest.raises(OutOfReach):
        colour_against_depth(ColourStack(metal="copper"), BENCH, [1e-4])


@pytest.mark.parametrize("lights", [("D65",), ("A", "D50"), ("LED-B3", "FL11", "D65")])
def test_any_lights_can_be_asked_for(lights: tuple) -> None:
    found = fired_colour(stack("copper", FLUX), BENCH, lights)
    assert [look.light for look in found.by_light] == list(lights)
    assert found.nominal.lab == found.by_light[0].lab


def test_what_nobody_knows_is_said() -> None:
    with pytest.raises(UnknownName, match="moonshine"):
        fired_colour(stack("copper", ("moonshine", 0.1)), BENCH)
    with pytest.raises(OutOfReach, match="colour family"):
        fired_colour(stack("copper", ("lead_free_opaque_hard", 0.1)), BENCH)
    with pytest.raises(OutOfReach, match="no optical table"):
        fired_colour(stack("brass", FLUX), BENCH)
    with pytest.raises(OutOfReach, match="no light"):
        fired_colour(stack("copper", FLUX), BENCH, ())


def test_a_jar_by_itself() -> None:
    jar = FITTED.jar("opaque turquoise")
    look = nominal_look(own_stack(jar), FITTED)
    assert look.lab[2] < 0
    assert fired_colour(own_stack(jar), FITTED).invented == ()


def piece(**more: object) -> Piece:
    """A fluxed copper disc with a blue, and what else is told."""
    return Piece.from_outside(
        {
            "name": "trial", "metal": {"kind": "copper", "thickness_mm": 0.9},
            "outline": {"shape": "circle", "diameter_mm": 30},
            "jars": [
                {"id": "f", "name": "own flux", "kind": "flux"},
                {"id": "b", "name": "own blue", "kind": "transparent", "optics": {"family": "blue"}},
            ],
            "coats": [
                {"face": "back", "jar": "f", "fired_thickness_mm": 0.2},
                {"face": "front", "jar": "f", "fired_thickness_mm": 0.12},
                {"face": "front", "jar": "b", "fired_thickness_mm": 0.15},
            ],
        }
        | more
    )  # fmt: skip


def test_the_stack_of_a_planned_piece() -> None:
    plan = make_plan(piece(), BENCH)
    found = stack_of(plan)
    assert [coat.jar for coat in found.coats] == ["f", "b"]
    assert [coat.thickness for coat in found.coats] == pytest.approx([1.2e-4, 1.5e-4], rel=0.02)
    assert [coat.jar for coat in stack_of(plan, through=1).coats] == ["f"]
    assert [coat.jar for coat in stack_of(plan, face="back").coats] == ["f"]
    studio = BENCH.with_jars(plan.piece.jars)
    assert nominal_look(found, studio).lab[2] < -20


def test_a_foil_hides_what_lies_under_it() -> None:
    plan = make_plan(piece(foils=[{"metal": "fine_silver", "after_coat": 1}]), BENCH)
    found = stack_of(plan)
    assert found.foil == "fine_silver"
    assert [coat.jar for coat in found.coats] == ["b"]


def test_light_from_behind_is_out_of_reach() -> None:
    plan = make_plan(piece(), BENCH)
    open_backed = plan.model_copy(update={"piece": plan.piece.model_copy(update={"technique": "plique_open"})})
    with pytest.raises(OutOfReach, match="from behind"):
        stack_of(open_backed)


def test_one_measured_colour_stands_in_for_an_opaque_jar_and_says_so() -> None:
    """Thick, the stopgap gives the colour back that it was made from."""
    lab = (62.0, -22.0, -18.0)
    jar = Jar(id="t", name="own turquoise", kind="opaque", optics=OpticsFacet(family="green", lab=lab))
    bench = Bench(jars=(jar,))
    asked = ColourStack(metal="copper", coats=(StackCoat(jar="t", thickness=4e-3),))
    found = fired_colour(asked, bench)
    assert found.nominal.lab == pytest.approx(lab, abs=1.0)
    assert "stopgap" in found.invented[0]
    assert found.sure_within is None


def test_perfect_white_is_white_for_every_curve_s_light() -> None:
    assert seen_under("D65").lab(np.ones(36)) == pytest.approx([100, 0, 0], abs=1e-9)
    assert len(archetypes()) >= 20


#: coats, metal, CIEDE2000 between 0.12 and 0.18 mm of the uppermost
DEPTHS = [
    ([FLUX], "cobalt blue", "fine silver", 9.2),
    ([FLUX], "copper turquoise", "copper", 7.4),
    ([], "opaque white", "copper", 3.1),
]


@pytest.mark.parametrize(("below", "jar", "metal", "told"), DEPTHS)
def test_thickness_matters_most_to_strong_transparents(below: list, jar: str, metal: str, told: float) -> None:
    """Worked out apart from this code, for the usual finish."""
    apart = ciede(stack(metal, *below, (jar, 0.12)), stack(metal, *below, (jar, 0.18)))
    assert apart == pytest.approx(told, abs=0.15)


def test_tables_of_copper_differ_more_than_those_of_silver() -> None:
    """Bare flux on satin: 6.0 CIEDE2000 between two published tables of copper, 0.8 between two of silver."""
    told = []
    for metal in ("copper", "fine silver"):
        base = base_of(metal, 1.52)
        flux = archetypes()["flux_clear"]
        ends = [
            stack_reflectance([(flux.absorption, np.zeros(36), 1.2e-4)], normal, around, 1.52, 1.0, 1.0)
            for normal, around in (
                (base.normal, base.hemispherical),
                (base.other_normal, base.other_hemispherical),
            )
        ]
        seen = seen_under("D65")
        told.append(float(ciede2000(seen.lab(ends[0]), seen.lab(ends[1]))))
    assert told == pytest.approx([6.0, 0.8], abs=0.15)


def test_opaque_glass_hardly_minds_how_it_is_turned() -> None:
    """1.0 for an opaque turquoise over flux on silver, 0.1 over white, against 8 to 15 for transparents."""
    for below, told in ((FLUX, 1.0), (WHITE, 0.1)):
        metal = "fine silver" if below is FLUX else "copper"
        look = fired_colour(stack(metal, below, ("opaque turquoise", 0.15)), BENCH).looks[1]
        assert float(ciede2000(look.catching.lab, look.away.lab)) == pytest.approx(told, abs=0.25)


def test_a_spectrum_made_up_for_a_look_serves_under_another_light_and_below_another_coat() -> None:
    """Of all curves over three grounds: 1.2 in the mean and 5.0 at most re-lit under a lamp, by the same method."""
    day, lamp = seen_under("D65"), seen_under("A")
    away = []
    for curve in archetypes().values():
        for metal, below in (("copper", FLUX), ("fine silver", FLUX), ("copper", WHITE)):
            reflectance = fired_colour(stack(metal, below, (curve.words, 0.15)), BENCH, ("D65",), 0).reflectance
            found = recovered_reflectance(day.xyz(reflectance), day.weights)
            if not found.less_saturated:
                away.append(float(ciede2000(lamp.lab(reflectance), lamp.lab(found.reflectance))))
    assert len(away) > 60
    assert np.mean(away) < 1.6
    assert max(away) < 6
