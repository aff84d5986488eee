"""Match and speckle as they are asked from outside."""

from __future__ import annotations

from typing import Any

import pytest

from enamelwright.craft.colour.jar_optics import of_jar
from enamelwright.craft.jar import Jar
from enamelwright.errors import InputError
from enamelwright.questions.match import lab_of_screen
from enamelwright.questions.question import question

MATCH, SPECKLE = question("match"), question("speckle")


def match(**more: Any) -> Any:
    """The example with some fields changed; None takes one out."""
    asked = {**MATCH.example, **more}
    return MATCH.ask({key: value for key, value in asked.items() if value is not None})


def speckle(**more: Any) -> Any:
    """The example with some fields changed; None takes one out."""
    asked = {**SPECKLE.example, **more}
    return SPECKLE.ask({key: value for key, value in asked.items() if value is not None})


def test_a_screen_colour_is_the_same_target_as_its_lab():
    # IEC 61966-2-1: white is L 100; sRGB red is Lab 53.2 80.1 67.2 (D65), as colour libraries give it
    assert lab_of_screen("#ffffff") == pytest.approx((100, 0, 0), abs=0.02)
    assert lab_of_screen("ff0000") == pytest.approx((53.24, 80.09, 67.20), abs=0.05)
    told = match(lab=None, screen="#2f5fa8").payload
    assert told.target == pytest.approx(lab_of_screen("#2f5fa8"), abs=0.06)
    assert told.screen == "#2f5fa8"


def tiled(jar: dict[str, Any], **more: Any) -> dict[str, Any]:
    """A jar of the example with its curves as if tiles had told them to 15 %."""
    found = of_jar(Jar.from_outside(jar))
    rows = [[0.15] * 36 + [0, 0], [0] * 36 + [0.15, 0]]
    optics = {
        **jar.get("optics", {}), "absorption_per_mm": (found.absorption / 1e3).tolist(),
        "scattering_per_mm": found.scattering / 1e3, "scattering_power": found.power, "covariance": rows,
        "fitted_from": ["T1", "T2", "T3"],
    }  # fmt: skip
    return {**jar, "optics": optics, **more}


FITTED = [tiled(jar) for jar in MATCH.example["jars"]]


def test_the_finding_speaks_of_the_stack_shown_first():
    for lab in ([38, -2, -36], [60, 10, 10], [45, -20, 5], [30, 20, -50]):
        told = match(lab=lab, jars=FITTED).payload
        first = told.stacks[0]
        assert told.nearest == min(one.away for one in told.stacks)
        if told.reached:
            assert f"({first.away:.1f} off)" in told.words
        else:
            assert f"{first.away:.1f}" in told.words
        assert first.score == min(one.score for one in told.stacks)
        assert all(one.colour and one.munsell and one.differs for one in told.stacks)


def test_fitted_jars_reach_and_have_a_score():
    told = match(jars=FITTED).payload
    assert told.reached
    assert all(one.score >= 3 and one.by_light for one in told.stacks)
    assert not any("INVENTED" in words for words in match(jars=FITTED).assumptions)


def test_curves_nobody_measured_are_never_close():
    answer = match()
    told = answer.payload
    assert told.nearest < 4  # near by its numbers, and yet
    assert not told.reached
    for word in ("close", "near", "the same", "within"):
        assert word not in told.words
    assert "invented" in told.words
    assert f"{told.stacks[0].away:.1f}" in told.words
    assert "INVENTED" in " ".join(answer.assumptions)


def test_a_stack_with_an_unmeasured_jar_has_no_number_for_how_sure_it_is():
    for one in match().payload.stacks:
        assert one.score is None
        assert one.by_light == {}
    typed = [{**jar, "optics": {k: v for k, v in jar["optics"].items() if k != "covariance"}} for jar in FITTED]
    answer = match(jars=typed)
    assert all(one.score is None and one.invented == () and one.unsure for one in answer.payload.stacks)
    assert not answer.payload.reached
    assert "how sure" in " ".join(answer.assumptions)
    assert "invented" not in answer.payload.words


def test_what_is_out_of_reach_is_said():
    told = match(lab=[60, 95, -60]).payload
    assert not told.reached
    assert "nothing you own gets within" in told.words.casefold()


@pytest.mark.parametrize(
    "more",
    [{"screen": "#2f5fa8"}, {"lab": None}, {"lab": None, "screen": "blue"}, {"lab": [1, 2]}, {"lab": [140, 0, 0]},
     {"metals": []}, {"metals": ["cheese"]}, {"coats": 4}, {"choose_from": ["Z9"]}, {"lights": ["moon"]}],
)  # fmt: skip
def test_what_cannot_be_asked_is_said_in_one_sentence(more: dict[str, Any]):
    with pytest.raises(InputError) as caught:
        match(**more)
    assert "\n" not in str(caught.value)


def test_speckled_or_not_by_grain_and_distance():
    near, far = speckle().payload, speckle(distance_mm=3000).payload
    assert near.speckled
    assert not far.speckled
    assert near.from_afar == far.from_afar
    assert "speckled" in near.words
    assert "fine grain" in far.words.casefold()


def test_a_sieve_says_the_most_a_grain_can_be():
    told = speckle(grain_mm=None, mesh=80)
    # ASTM E11: No. 80 opens 180 um
    assert told.payload.grain.value == pytest.approx(180e-6)
    assert any("sieve" in line for line in told.assumptions)


def test_parts_by_weight_are_told_by_volume():
    told = speckle(mix=[{"jar": "opaque white", "parts": 3}, {"jar": "opaque black", "parts": 1}]).payload
    assert [one.by_volume.value for one in told.flecks] == pytest.approx([0.75, 0.25])


@pytest.mark.parametrize(
    "more",
    [{"mesh": 80}, {"grain_mm": None}, {"mix": [{"jar": "opaque white"}]}, {"mix": [{"jar": "opaque white"}, {"jar": "fog"}]},
     {"thickness_mm": 0}, {"metal": "cheese"}],
)  # fmt: skip
def test_impossible_mixes_are_refused_in_one_sentence(more: dict[str, Any]):
    with pytest.raises(InputError) as caught:
        speckle(**more)
    assert "\n" not in str(caught.value)
