"""A match finds what is there, obeys the rules, says when nothing gets near, and ranks what may come out."""

from __future__ import annotations

import numpy as np
import pytest

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.coat_laid import layings, least_laid
from enamelwright.craft.colour.colour_stack import ColourStack, StackCoat
from enamelwright.craft.colour.correction import Correction, Corrections, moved
from enamelwright.craft.colour.fired_colour import fired_colour, nominal_look
from enamelwright.craft.colour.jar_optics import of_jar, optics_of
from enamelwright.craft.colour.jar_space import jar_space, jars_to_hand
from enamelwright.craft.colour.match_rules import StackRules
from enamelwright.craft.colour.matching import match_colour
from enamelwright.craft.colour.stack_refine import refined
from enamelwright.craft.jar import FITTED, Jar
from enamelwright.errors import InputError, OutOfReach
from enamelwright.physics.colour.colour_difference import ciede2000
from enamelwright.reference.loader import value

MM = 1e-3


def jar(id: str, kind: str, family: str | None, **more: object) -> Jar:
    """A jar with a colour family."""
    optics = {} if family is None else {"family": family}
    return Jar.from_outside({"id": id, "name": f"{id} {family}", "kind": kind, "optics": optics, **more})


def fitted(jar_: Jar, spread: float = 0.15, **more: object) -> Jar:
    """The same jar as if tiles had told its curves, each number of them to within some share."""
    found = of_jar(jar_)
    facet = jar_.optics.model_copy(
        update={
            "absorption": tuple(found.absorption.tolist()), "scattering": found.scattering,
            "scattering_power": found.power, "fitted_from": ("T1", "T2", "T3"),
            "covariance": tuple(map(tuple, (spread * ROWS).tolist())), **more,
        }
    )  # fmt: skip
    return jar_.model_copy(update={"id": f"{jar_.id}f", "name": f"{jar_.name}, fitted", "optics": facet})


#: All of ln K moves together, and ln S apart from it.
ROWS = np.zeros((2, FITTED))
ROWS[0, :36], ROWS[1, 36] = 1, 1


HARD, SOFT = {"fusing": {"maturity_c": 840}}, {"fusing": {"maturity_c": 720}}
JARS = (
    jar("F1", "flux", "clear", **HARD),
    jar("W1", "opaque", "white", **HARD),
    jar("B1", "transparent", "blue", fusing={"maturity_c": 790}),
    jar("G1", "transparent", "green", fusing={"maturity_c": 790}),
    jar("R1", "transparent", "red", **SOFT),
    jar("Y1", "opaque", "yellow", **SOFT),
)
BENCH = Bench.starter().with_jars(JARS)
OWN = tuple(fitted(one) for one in JARS)
MEASURED = Bench.starter().with_jars(OWN)


def stack(metal: str, *coats: tuple[str, float]) -> ColourStack:
    """A stack by jar and thickness [mm]."""
    return ColourStack(
        metal=metal, coats=tuple(StackCoat(jar=one, thickness=depth * MM, weighed=True) for one, depth in coats)
    )


@pytest.mark.parametrize(
    "aim",
    [
        stack("copper", ("F1f", 0.14), ("B1f", 0.11)),
        stack("fine_silver", ("B1f", 0.22)),
        stack("copper", ("W1f", 0.55), ("R1f", 0.07)),
    ],
)
def test_a_colour_that_can_be_made_is_found(aim):
    lab = nominal_look(aim, MEASURED).lab
    found = match_colour(lab, MEASURED, metals=("copper", "fine silver"))
    assert found.reached
    assert found.matches[0].measured
    assert not found.beyond
    assert found.nearest < 1.0  # tolerance: hardly anybody sees it
    assert min(one.away for one in found.matches) == found.nearest


def test_a_colour_read_without_the_mirror_of_the_metal_is_found_held_like_that():
    """What catches the light and what is turned away are apart; each is found only held as it was read."""
    aim = stack("fine_silver", ("B1f", 0.22)).model_copy(update={"surface": "polished"})
    looks = fired_colour(aim, MEASURED).looks[1]
    assert float(ciede2000(looks.catching.lab, looks.away.lab)) > 8
    metals = {"metals": ("fine silver",), "surface": "polished"}
    found = match_colour(looks.away.lab, MEASURED, view="turned away", **metals)
    assert found.reached
    assert found.nearest < 1.0  # tolerance: hardly anybody sees it
    for one in found.matches:
        away = fired_colour(one.stack, MEASURED).looks[1].away.lab
        assert one.lab == pytest.approx(away, abs=1e-6)
    alike = match_colour(looks.catching.lab, MEASURED, **metals)
    assert alike.nearest < 1.0
    assert "B1f" in {coat.jar for one in alike.matches for coat in one.stack.coats}


def test_what_is_told_of_a_stack_is_what_its_colour_says():
    found = match_colour((38, -2, -36), BENCH, metals=("copper", "fine silver"))
    for one in found.matches:
        slow = fired_colour(one.stack, BENCH)
        assert one.lab == pytest.approx(slow.nominal.lab, abs=1e-6)
        assert one.away == pytest.approx(float(ciede2000((38, -2, -36), slow.nominal.lab)), abs=1e-6)
        assert one.score == max(far for _, far in one.by_light)
        assert one.score >= one.away - 1
        assert one.firings == layings([coat.thickness for coat in one.stack.coats])


def test_rules_are_obeyed():
    rules = StackRules(BENCH)
    for target in ((38, -2, -36), (50, 50, 40), (80, 0, 60)):
        for one in match_colour(target, BENCH, metals=("copper", "fine silver")).matches:
            jars = [coat.jar for coat in one.stack.coats]
            assert not [each for each in rules.of(one.stack.metal, jars) if each.severity == "stop"]
    # red is soft and white is hard: white may not lie over it; red straight on copper is stopped, on white it is not
    assert not rules.may_lie("R1", "W1")
    assert rules.may_lie("W1", "R1")
    assert not rules.may_touch("copper", "R1")
    assert rules.may_touch("copper", "B1")
    assert [one.rule for one in rules.of("copper", ["R1"])] == ["BAR-WARM"]


def test_lead_anywhere_below_is_seen_through_a_coat_of_unknown_lead():
    leaded = jar("L1", "transparent", "blue", hazards={"lead": "yes"})
    free = jar("N1", "transparent", "green", hazards={"lead": "no"})
    rules = StackRules(Bench.starter().with_jars((leaded, free, jar("U1", "transparent", "purple"))))
    assert "ORD-LEAD" in [one.rule for one in rules.of("copper", ["L1", "U1", "N1"])]
    assert not [one for one in rules.of("copper", ["N1", "U1", "L1"]) if one.rule == "ORD-LEAD"]


def test_the_foremost_are_not_beaten():
    found = match_colour((38, -2, -36), MEASURED, metals=("copper", "fine silver")).matches
    merits = [(round(one.rank, 1), one.firings, one.risk) for one in found]
    first = [m for one, m in zip(found, merits, strict=True) if one.foremost]
    assert first
    assert all(one.foremost for one in found[: len(first)])
    for mine in first:
        assert not any(other != mine and all(x <= y for x, y in zip(other, mine, strict=True)) for other in merits)


def test_no_two_are_the_same_and_coats_nobody_sees_are_left_out():
    found = match_colour((94, 0, 1), BENCH).matches
    stacks = [(one.stack.metal, tuple(coat.jar for coat in one.stack.coats)) for one in found]
    assert len(set(stacks)) == len(stacks)
    lone = match_colour(nominal_look(stack("copper", ("W1", 0.55)), BENCH).lab, BENCH)
    assert any(len(one.stack.coats) == 1 for one in lone.matches)


def test_nothing_gets_near_a_colour_out_of_reach():
    found = match_colour((60, 95, -60), BENCH, jars=("W1", "F1"))
    assert not found.reached
    assert found.nearest > 4
    assert match_colour((50, 128, 120), BENCH).beyond


@pytest.mark.parametrize("target", [(50, 0), (50, float("nan"), 0), (0, 0, 0), (101, 0, 0), (50, 900, 0)])
def test_what_is_no_colour_is_refused(target):
    with pytest.raises(InputError) as caught:
        match_colour(target, BENCH)
    assert "\n" not in str(caught.value)


def test_jars_of_unknown_colour_are_named_and_empty_ones_left_alone():
    grey = Bench.starter().with_jars(
        (*JARS, jar("X1", "transparent", None), jar("E1", "opaque", "red", stock={"grams_g": 0}))
    )
    found = match_colour((50, 0, 0), grey)
    assert found.unknown == ("X1 None",)
    assert "E1" not in jars_to_hand(grey)
    with pytest.raises(OutOfReach):
        match_colour((50, 0, 0), grey, jars=("X1",))


def test_generic_classes_are_used_only_when_there_is_nothing_else():
    assert set(jars_to_hand(BENCH)) == {one.id for one in JARS}
    assert jars_to_hand(Bench.starter())


def test_thicknesses_are_refined_within_what_can_be_laid():
    aim = nominal_look(stack("fine_silver", ("B1", 0.23)), BENCH).lab
    better, lab, away = refined(stack("fine_silver", ("B1", 0.1)), aim, BENCH)
    assert better.coats[0].thickness == pytest.approx(0.23 * MM, abs=0.011 * MM)
    assert away < 0.5
    assert np.allclose(lab, aim, atol=1)
    dark, _, _ = refined(stack("fine_silver", ("B1", 0.1)), (1, 0, 0), BENCH)
    assert 0.05 * MM <= dark.coats[0].thickness <= 0.6 * MM


def test_the_jar_to_measure_is_one_of_the_best_stack():
    found = match_colour((38, -2, -36), BENCH, metals=("fine silver",))
    assert found.measure in {coat.jar for coat in found.matches[0].stack.coats}
    assert "nobody has measured it" in found.because


def test_a_search_can_be_stopped():
    with pytest.raises(InputError):
        match_colour((38, -2, -36), BENCH, progress=lambda _done, _words: False)


def test_asking_for_another_colour_looks_through_the_same_stacks():
    jars = tuple(one.id for one in JARS)
    assert jar_space(BENCH, jars, ("copper",), 3, "unknown") is jar_space(BENCH, jars, ("copper",), 3, "unknown")


def test_what_was_measured_stands_before_the_same_curve_that_nobody_measured():
    """A blue fitted to 15 % and an invented blue of the very same curve: the fitted one is the better choice."""
    blue, white = jar("B1", "transparent", "blue", **HARD), fitted(jar("W1", "opaque", "white", **HARD))
    bench = Bench.starter().with_jars((blue, fitted(blue), white))
    aim = nominal_look(stack("fine_silver", ("B1", 0.2)), bench).lab
    found = match_colour(aim, bench, metals=("fine silver",), coats=1)
    by_jar = {one.stack.coats[0].jar: one for one in found.matches}
    assert by_jar["B1f"].away == pytest.approx(by_jar["B1"].away, abs=1e-6)
    assert by_jar["B1f"].score < by_jar["B1"].score - 2
    assert found.matches[0].stack.coats[0].jar == "B1f"
    assert by_jar["B1f"].measured
    assert not by_jar["B1"].measured


@pytest.mark.parametrize("spread", [0.1, 0.2])
def test_curves_typed_without_how_sure_they_are_do_not_beat_a_fit(spread: float):
    blue = jar("B1", "transparent", "blue")
    own = fitted(blue, spread)
    typed = own.model_copy(
        update={"id": "T1", "optics": own.optics.model_copy(update={"covariance": None, "fitted_from": ()})}
    )
    bench = Bench.starter().with_jars((own, typed))
    aim = nominal_look(stack("fine_silver", ("B1f", 0.2)), bench).lab
    by_jar = {one.stack.coats[0].jar: one for one in match_colour(aim, bench, metals=("fine silver",), coats=1).matches}
    assert by_jar["B1f"].score < by_jar["T1"].score
    assert not by_jar["T1"].measured
    assert by_jar["T1"].invented == ()


def test_stacks_of_fitted_jars_are_drawn_though_invented_ones_crowd_the_short_list():
    crowd = tuple(jar(f"B{n}", "transparent", "blue", fusing={"maturity_c": 790}) for n in range(2, 12))
    blue = jar("B1", "transparent", "blue", fusing={"maturity_c": 790})
    told = fitted(blue).optics
    stronger = (*(1.6 * one for one in told.absorption or ()),)
    slanted = tuple(one * (0.4 if place < 12 else 1) for place, one in enumerate(stronger))
    own = fitted(blue).model_copy(update={"optics": told.model_copy(update={"absorption": slanted})})
    bench = Bench.starter().with_jars((*crowd, own))
    aim = nominal_look(stack("fine_silver", ("B2", 0.2)), bench).lab
    found = match_colour(aim, bench, metals=("fine silver",), coats=2).matches
    assert any(one.measured for one in found)
    nearer = [one for one in found if one.away < min(each.away for each in found if each.measured)]
    assert nearer
    assert all(not one.measured for one in nearer)
    assert found[0].measured


def test_nothing_is_reached_by_curves_nobody_measured():
    aim = nominal_look(stack("fine_silver", ("B1", 0.22)), BENCH).lab
    found = match_colour(aim, BENCH, metals=("fine silver",))
    assert found.nearest < 1
    assert not found.reached


def test_the_score_holds_what_the_model_misses():
    """As a fired colour's number does: what is scattered and what the model misses, joined as squares."""
    aim = nominal_look(stack("fine_silver", ("B1f", 0.22)), MEASURED).lab
    for one in match_colour(aim, MEASURED, metals=("fine silver",)).matches:
        assert one.score > value("colour/uncertainty/model")
        assert one.score**2 > value("colour/uncertainty/model") ** 2 + 0.8 * one.away**2 - 1
    tried = Bench.starter().with_jars(tuple(fitted(one, unseen_error=1.0, unseen_tiles=20) for one in JARS))
    before, after = (match_colour(aim, each, metals=("fine silver",)) for each in (MEASURED, tried))
    assert after.matches[0].score < before.matches[0].score


def test_no_opaque_is_offered_that_does_not_hide():
    for target in ((38, -2, -36), (80, 0, 60), (90, 0, 2)):
        for one in match_colour(target, BENCH, metals=("copper", "fine silver")).matches:
            for coat in one.stack.coats:
                assert coat.thickness >= least_laid(optics_of(coat.jar, BENCH)) - 1e-9


def test_among_stacks_nobody_measured_what_is_meant_nearest_stands_first():
    """No assumed spread puts a stack that is further off before one that is as quick and risks as little."""
    aim = nominal_look(stack("fine_silver", ("B1", 0.2)), BENCH).lab
    found = match_colour(aim, BENCH, metals=("fine silver",)).matches
    assert found[0].away == pytest.approx(min(one.away for one in found), abs=0.31)
    front = [one for one in found if one.foremost]
    assert [one.rank for one in front] == sorted(one.rank for one in front)


def test_what_tiles_teach_is_in_the_colour_and_in_the_order():
    """Blue over silver came out lighter and less blue by tiles: such a colour is found by it, and counted surer."""
    blue = stack("fine_silver", ("B1", 0.2))
    by = Correction("B1", (6.0, -2.0, 12.0), 1.0, 4)
    learned = Corrections((by,), lambda one: by if len(one.coats) == 1 and one.metal == "fine_silver" else None)
    aim = tuple(moved(nominal_look(blue, BENCH).lab, by.lab).tolist())
    found = match_colour(aim, BENCH, metals=("fine silver",), learned=learned).matches
    one = next(each for each in found if each.corrected is not None)
    assert one.away < 1
    plain = fired_colour(one.stack, BENCH).nominal.lab
    assert one.lab == pytest.approx(moved(plain, by.lab).tolist(), abs=1e-6)
    assert one.score < min(each.score for each in found if each.corrected is None)
    assert found[0].corrected is by
