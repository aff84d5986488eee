"""The question of a fired colour: a band, its lights, and plain words for what is invented or out of reach."""

from __future__ import annotations

import json
import math
import time
from typing import Any

import jsonschema
import pytest

from enamelwright.errors import InputError, OutOfReach
from enamelwright.questions.fired_colour import POINTS
from enamelwright.questions.question import question

ASKED = question("fired-colour")


def told(**more: Any) -> Any:
    """The answer to the example with something changed."""
    return ASKED.ask(dict(ASKED.example) | more)


def test_the_band_and_the_curve() -> None:
    payload = told().payload
    assert [look.name for look in payload.thicknesses] == ["thin", "nominal", "thick"]
    assert len(payload.against_depth) == POINTS
    assert payload.against_depth[-1].depth.value == pytest.approx(0.5e-3)
    assert payload.lights[0].difference == 0
    assert payload.worst_light in {light.light for light in payload.lights}


def test_what_is_invented_is_said_everywhere_and_has_no_number() -> None:
    answer = told()
    assert answer.payload.sure_within is None
    assert len(answer.payload.invented) == 2
    assert sum("INVENTED" in words for words in answer.assumptions) == 2
    assert "invented" in json.dumps(answer.to_json())


def test_a_satin_metal_looks_alike_either_way_and_a_polished_one_does_not() -> None:
    satin, polished = (told(surface=surface).payload.thicknesses[1] for surface in ("satin", "polished"))
    assert satin.catching_the_light == satin.turned_away
    assert polished.catching_the_light.lab[0] > polished.turned_away.lab[0] + 5


def test_a_colour_beyond_the_screen_is_marked() -> None:
    assert any("screen cannot show" in words for words in told().because)
    plain = told(coats=[{"jar": "flux clear", "thickness_mm": 0.1}])
    assert plain.payload.thicknesses[1].catching_the_light.on_screen
    assert not any("screen cannot show" in words for words in plain.because)


def test_jars_can_come_with_the_question() -> None:
    jar = {"id": "K7", "name": "own green", "kind": "opaque", "optics": {"family": "green"}}
    payload = told(jars=[jar], coats=[{"jar": "K7", "thickness_mm": 0.3}]).payload
    assert "own green" in payload.invented[0]
    lab = payload.thicknesses[1].catching_the_light.lab
    assert lab[1] < 0 < lab[2]


GREY = {
    "id": "K8", "name": "own grey", "kind": "opaque",
    "optics": {
        "family": "grey", "absorption_per_mm": [8.0] * 36, "scattering_per_mm": 20.0, "fitted_from": ["T1", "T2"],
        "covariance": [[0.1] * 36 + [0, 0]],
    },
}  # fmt: skip


def of_grey(**more: Any) -> Any:
    """The answer for one coat of the fitted grey, its optics changed; None takes one out."""
    optics = {key: one for key, one in {**GREY["optics"], **more}.items() if one is not None}
    return told(jars=[{**GREY, "optics": optics}], coats=[{"jar": "K8", "thickness_mm": 0.3}])


def test_fitted_jars_have_a_number() -> None:
    asked = dict(ASKED.example) | {"jars": [GREY], "coats": [{"jar": "K8", "thickness_mm": 0.3}]}
    jsonschema.validate(asked, ASKED.input.outside_schema())
    payload = ASKED.ask(asked).payload
    assert payload.invented == ()
    assert payload.sure_within >= 3


@pytest.mark.parametrize("fitted_from", [["T1", "T2"], None])
def test_curves_without_how_sure_they_are_have_no_number_and_say_so(fitted_from: list | None) -> None:
    answer = of_grey(covariance=None, fitted_from=fitted_from)
    assert answer.payload.sure_within is None
    assert answer.payload.invented == ()
    assert any("how sure" in words for words in answer.assumptions)
    assert any("how sure" in words for words in answer.because)


def test_what_the_fire_may_turn_is_told_beside_the_colour() -> None:
    """A gold-bearing transparent red straight on fine silver turns yellow or brown (the table names its sources)."""
    ruby = {"id": "R5", "name": "own ruby", "kind": "transparent", "gold_bearing": True, "optics": {"family": "red"}}

    def cautions(**more: Any) -> str:
        return " ".join(told(jars=[ruby], **more).cautions)

    straight = cautions(coats=[{"jar": "R5", "thickness_mm": 0.15}])
    assert "own ruby" in straight
    assert "may turn yellow or brown" in straight
    assert "flux or gold foil" in straight
    over_flux = cautions(coats=[{"jar": "flux clear", "thickness_mm": 0.1}, {"jar": "R5", "thickness_mm": 0.15}])
    assert "may turn yellow or brown" not in over_flux
    assert "may turn yellow or brown" not in cautions(metal="fine gold", coats=[{"jar": "R5", "thickness_mm": 0.15}])
    answer = told(jars=[ruby], coats=[{"jar": "R5", "thickness_mm": 0.15}])
    assert any("guild" in source.casefold() or "project" in source.casefold() for source in answer.sources)


def test_gold_without_a_family_is_not_passed_over() -> None:
    """A fitted jar need not tell its family; gold-bearing glass is red or pink (common practice, no source)."""
    ruby = {**GREY, "name": "own ruby", "kind": "transparent", "gold_bearing": True,
            "optics": {key: one for key, one in GREY["optics"].items() if key != "family"}}  # fmt: skip
    answer = told(jars=[ruby], coats=[{"jar": "K8", "thickness_mm": 0.15}])
    assert "may turn yellow or brown" in " ".join(answer.cautions)


def test_invented_curves_are_looked_at_too() -> None:
    """Ruby and cadmium curves by name have the facts that a risk asks for."""
    ruby = told(coats=[{"jar": "gold ruby", "thickness_mm": 0.15}])
    assert "may turn yellow or brown" in " ".join(ruby.cautions)
    orange = told(metal="copper", coats=[{"jar": "opaque cadmium orange", "thickness_mm": 0.3}])
    assert "black specks" in " ".join(orange.cautions)
    assert any("by its name" in words for words in ruby.assumptions)


def test_a_jar_that_tells_no_family_says_that_fire_was_not_looked_at() -> None:
    answer = of_grey(family=None)
    assert any("own grey" in words and "no colour family" in words for words in answer.assumptions)
    assert not any("no colour family" in words for words in of_grey().assumptions)


def test_thin_and_thick_are_as_far_off_as_the_coat_is_told_to_scatter() -> None:
    """Nine of ten of a log-normal lie within 1.645 standard deviations: 8 % weighed, 20 % not."""
    payload = told(
        coats=[{"jar": "flux clear", "thickness_mm": 0.1}, {"jar": "gold ruby", "thickness_mm": 0.1, "weighed": True}]
    ).payload
    thin, nominal, thick = payload.thicknesses
    assert thin.factors == pytest.approx((math.exp(-1.6449 * 0.2), math.exp(-1.6449 * 0.08)), abs=1e-3)
    assert nominal.factors == (1, 1)
    assert thick.factors == pytest.approx((math.exp(1.6449 * 0.2), math.exp(1.6449 * 0.08)), abs=1e-3)
    assert any("nine of ten" in words for words in told().assumptions)


def test_thin_and_thick_can_be_asked_for() -> None:
    payload = told(thin_and_thick=[0.8, 1.2]).payload
    assert payload.thicknesses[0].factors == (0.8, 0.8)
    assert payload.thicknesses[2].factors == (1.2, 1.2)
    assert any("as asked" in words for words in told(thin_and_thick=[0.8, 1.2]).assumptions)
    for bad in ([1.2, 0.8], [0, 1.2], [0.8, 100], [0.8]):
        with pytest.raises(InputError):
            told(thin_and_thick=bad)


def test_bare_metal_is_a_colour_too() -> None:
    answer = told(coats=[])
    payload = answer.payload
    assert payload.against_depth == ()
    assert payload.thicknesses[0].catching_the_light == payload.thicknesses[2].catching_the_light
    assert "through" not in payload.hides_words
    assert "bare" in payload.hides_words
    assert not any("thick" in words for words in answer.assumptions)


@pytest.mark.parametrize(
    ("bad", "words"),
    [
        ({"lights": ["moonlight"]}, "not one of the choices"),
        ({"lights": []}, "lights"),
        ({"metal": "unobtainium"}, "no metal"),
        ({"coats": [{"jar": "no such", "thickness_mm": 0.1}]}, "no jar"),
        ({"coats": [{"jar": "flux clear", "thickness_mm": -0.1}]}, "more than"),
        ({"coats": [{"jar": "flux clear", "thickness_mm": float("nan")}]}, "finite"),
        ({"finish": 2}, "at most"),
    ],
)
def test_bad_input_is_one_sentence(bad: dict, words: str) -> None:
    with pytest.raises(InputError, match=words) as caught:
        told(**bad)
    assert "\n" not in str(caught.value)


def test_a_jar_without_a_colour_is_out_of_reach() -> None:
    with pytest.raises(OutOfReach, match="colour family"):
        told(coats=[{"jar": "lead_free_opaque_hard", "thickness_mm": 0.2}])


def test_it_takes_no_longer_than_a_few_plain_questions() -> None:
    """Three coats and a curve cost less than a thousand turns of degrees: no loop over draws or bands hides here."""
    asked = dict(ASKED.example) | {"coats": [{"jar": "flux clear", "thickness_mm": 0.1}] * 3}
    plain = question("degrees")

    def least(job: Any) -> float:
        times = []
        for _ in range(5):
            begun = time.perf_counter()
            job()
            times.append(time.perf_counter() - begun)
        return min(times)

    one = least(lambda: ASKED.ask(asked))
    other = least(lambda: [plain.ask(plain.example) for _ in range(50)])
    assert one < 20 * other
