"""The question of a fired colour: a band, its lights, and plain words for what is invented or out of reach."""

from __future__ import annotations

import json
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


def test_fitted_jars_have_a_number() -> None:
    jar = {
        "id": "K8", "name": "own grey", "kind": "opaque",
        "optics": {"absorption_per_mm": [8.0] * 36, "scattering_per_mm": 20.0, "fitted_from": ["T1", "T2"]},
    }  # fmt: skip
    asked = dict(ASKED.example) | {"jars": [jar], "coats": [{"jar": "K8", "thickness_mm": 0.3}]}
    jsonschema.validate(asked, ASKED.input.outside_schema())
    payload = ASKED.ask(asked).payload
    assert payload.invented == ()
    assert payload.sure_within >= 3


def test_bare_metal_is_a_colour_too() -> None:
    payload = told(coats=[]).payload
    assert payload.against_depth == ()
    assert payload.thicknesses[0].catching_the_light == payload.thicknesses[2].catching_the_light


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
