"""Every question answers its own example, prints JSON and refuses junk in one sentence."""

from __future__ import annotations

import json
from typing import Any

import jsonschema
import pytest

from enamelwright.craft.bench import Bench
from enamelwright.errors import InputError, UnknownName
from enamelwright.questions.question import names, question


@pytest.mark.parametrize("name", names())
def test_the_example_works_and_is_plain_json(name: str) -> None:
    asked = question(name)
    answer = asked.ask(asked.example)
    text = json.dumps(answer.to_json(), allow_nan=False)
    assert json.loads(text)["question"] == name
    assert isinstance(answer.payload, asked.output)
    assert answer.engine
    assert answer.bench == Bench.starter().revision


@pytest.mark.parametrize("name", names())
def test_the_same_question_gets_the_same_answer(name: str) -> None:
    asked = question(name)
    assert asked.ask(asked.example).to_json() == asked.ask(asked.example).to_json()


@pytest.mark.parametrize("name", names())
def test_the_example_fits_the_schema(name: str) -> None:
    asked = question(name)
    jsonschema.validate(dict(asked.example), asked.input.outside_schema())


@pytest.mark.parametrize("name", names())
@pytest.mark.parametrize("junk", [{"zzz": 1}, {"": None}, {"name": []}])
def test_junk_is_refused_in_one_sentence(name: str, junk: dict[str, Any]) -> None:
    with pytest.raises(InputError) as caught:
        question(name).ask(junk)
    assert "\n" not in str(caught.value)


def test_an_unknown_question_names_its_neighbours() -> None:
    with pytest.raises(UnknownName, match="grams"):
        question("gramms")


# definition of the scales, exact; the kiln settings are those of the trade (trade web page, unverified)
DEGREES = [("1450 F", 788, 1450), ("816 C", 816, 1501), ("0 C", 0, 32), ("100 C", 100, 212)]


@pytest.mark.parametrize(("text", "celsius", "fahrenheit"), DEGREES)
def test_degrees(text: str, celsius: int, fahrenheit: int) -> None:
    payload = question("degrees").ask({"temperature": text}).payload
    assert (payload.celsius, payload.fahrenheit) == (celsius, fahrenheit)


def test_a_bare_gauge_is_asked_about() -> None:
    with pytest.raises(InputError, match="Say which"):
        question("gauge").ask({"thickness": "22 gauge"})


def test_fills_say_what_stays_open() -> None:
    payload = question("fills").ask({"depth_mm": 1.0, "packing": 0.5}).payload
    assert payload.fills.value == 5
    assert payload.still_open.value == pytest.approx(1e-3 / 32)
