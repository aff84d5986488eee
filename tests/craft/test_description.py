"""The one door units cross: there, back, and everything it refuses."""

from __future__ import annotations

import copy
import re
from typing import Any

import jsonschema
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from enamelwright.craft.piece import Piece
from enamelwright.errors import InputError

DISC: dict[str, Any] = {
    "name": "disc",
    "technique": "sift_opaque",
    "metal": {"kind": "copper", "thickness_mm": 1.0},
    "outline": {"shape": "circle", "diameter_mm": 25},
    "coats": [
        {"face": "back", "jar": "counter", "powder_depth_mm": 0.5},
        {"face": "front", "jar": "white", "powder_depth": "0.4 mm"},
    ],
}


def changed(path: str, value: Any) -> dict[str, Any]:
    """Return DISC with one value changed; path like ``coats.0.face``."""
    data = copy.deepcopy(DISC)
    spot: Any = data
    *steps, last = path.split(".")
    for step in steps:
        spot = spot[int(step)] if step.isdigit() else spot[step]
    spot[int(last) if last.isdigit() else last] = value
    return data


def test_a_piece_comes_back_as_it_went_out() -> None:
    piece = Piece.from_outside(DISC)
    assert Piece.from_outside(piece.to_outside()) == piece


def test_both_ways_of_writing_a_quantity_agree() -> None:
    assert Piece.from_outside(changed("metal.thickness_mm", 0.4)).metal.thickness == pytest.approx(
        Piece.from_outside(DISC).coats[1].powder_depth or 0
    )


# (path, value, words that must be in the one sentence)
BAD = [
    ("metal.thickness", 1.0, "metal.thickness"),
    ("metal.thickness_mm", "1", "metal.thickness_mm"),
    ("metal.thickness_mm", 40, "40"),
    ("metal.thickness_mm", -1, "metal.thickness"),
    ("metal.thickness_mm", float("nan"), "finite"),
    ("metal.thickness_mm", True, "plain number"),
    ("metal.thickness_mm", 10**400, "finite"),
    ("outline.diameter_mm", -3, "outline"),
    ("outline.diameter_mm", 1e9, "outline.diameter_mm"),
    ("outline.shape", "circel", "circle"),
    ("technique", "magic", "technique"),
    ("nmae", "x", "name"),
    ("coats", "x", "coats"),
    ("coats.0", 3, "coats"),
    ("coats.0.face", "side", "front"),
    ("coats.0.set_c", 3000, "coats"),
    ("coats.0.grams", 1, "grams"),
    ("coats.0.look", "thin", "Keep one amount"),
    ("coats.0.weight_g", 0.3, "Keep one amount"),
    ("name", "", "name"),
    ("format", 2, "format"),
    ("wires", [{"metal": "fine silver", "height_mm": 1, "thickness_mm": 0.1, "after_coat": 9}], "after_coat"),
]


@pytest.mark.parametrize(("path", "value", "words"), BAD)
def test_bad_input_gets_one_sentence_that_names_the_place(path: str, value: Any, words: str) -> None:
    with pytest.raises(InputError) as caught:
        Piece.from_outside(changed(path, value), "disc.toml")
    sentence = str(caught.value)
    assert sentence.startswith("disc.toml")
    assert words in sentence
    assert "\n" not in sentence
    assert "pydantic" not in sentence


JUNK = st.recursive(
    st.none() | st.booleans() | st.integers() | st.floats() | st.text(max_size=12),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=12), inner, max_size=3),
    max_leaves=8,
)
PATHS = [
    "metal", "outline", "coats", "metal.thickness_mm", "metal.thickness", "coats.0.powder_depth_mm", "coats.0.jar",
    "outline.shape", "outline.diameter_mm", "dome_mm", "cells", "wires", "jars", "use", "firing", "so_far", "intended",
]  # fmt: skip


@settings(max_examples=300, deadline=None)
@given(st.sampled_from(PATHS), JUNK)
def test_no_junk_escapes_as_anything_but_one_sentence(path: str, value: Any) -> None:
    try:
        Piece.from_outside(changed(path, value))
    except InputError as error:
        sentence = str(error)
    else:
        sentence = "accepted"
    assert "\n" not in sentence


def test_the_schema_accepts_what_the_reader_accepts_and_refuses_unknown_keys() -> None:
    schema = Piece.outside_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(DISC, schema)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(changed("nmae", "x"), schema)
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(changed("metal.thickness", 1.0), schema)


@pytest.mark.parametrize("sign", ["\x00", "\x1b[31m", "\u202e", "\u2066", "\ud800", "\x9b"])
@pytest.mark.parametrize("place", ["name", "note", "key", "deep"])
def test_hidden_signs_are_refused_wherever_they_stand(sign: str, place: str) -> None:
    """Terminals obey escape sequences (ECMA-48) and turned writing reads otherwise (Unicode TR 36)."""
    data: dict[str, object] = {"name": "x", "note": "", "metal": {"kind": "copper", "thickness_mm": 1}}
    data["outline"] = {"shape": "circle", "diameter_mm": 25}
    if place == "key":
        data[f"na{sign}me"] = "x"
    elif place == "deep":
        data["coats"] = [{"face": "front", "jar": f"a{sign}"}]
    else:
        data[place] = f"a{sign}b"
    with pytest.raises(InputError, match=r"hidden sign U\+") as caught:
        Piece.from_outside(data, "piece.toml")
    assert str(caught.value).isprintable()
    if place == "deep":
        assert "coats[1].jar" in str(caught.value)


@pytest.mark.parametrize(("coats", "times", "taken"), [(60, 1, True), (61, 1, False), (2, 40, False), (2, 30, True)])
def test_layings_are_limited_however_they_are_written(coats: int, times: int, taken: bool) -> None:
    """The limit is our own: a small file must not be able to ask for hours of work."""
    data = {
        "name": "x",
        "metal": {"kind": "copper", "thickness_mm": 1},
        "outline": {"shape": "circle", "diameter_mm": 25},
        "coats": [{"face": "front", "jar": "a", "fired_thickness_mm": 0.02, "times": times}] * coats,
    }
    if taken:
        assert len(Piece.from_outside(data).coats) == coats
    else:
        with pytest.raises(InputError, match="layings"):
            Piece.from_outside(data)


def test_a_name_too_long_is_said_in_plain_words() -> None:
    with pytest.raises(InputError) as caught:
        Piece.from_outside(changed("name", "long " * 100))
    assert caught.value.message == "this is too long."
    assert re.fullmatch(r"At most \d+ signs\.", caught.value.remedy)


def test_a_number_of_a_hundred_digits_is_told_by_its_size() -> None:
    """And no library speaks in place of the product."""
    from enamelwright.questions.question import question

    for asked, told in (
        ({"thickness_mm": 0.9, "area_cm2": 1e300}, "1e+300 cm2 is outside what this can be"),
        ({"thickness_mm": 0.9, "diameter_mm": 30, "jars": 3}, "this should be a list"),
    ):
        with pytest.raises(InputError) as caught:
            question("cooling").ask(asked)
        assert told in str(caught.value)
        assert len(str(caught.value)) < 150
    with pytest.raises(InputError, match="this should be a whole number"):
        question("next-tile").ask({"loads": 1.5})
    for name, huge in (("window", {"reads_high_k": -1e300}), ("thermocouple", {"shown_c": 800, "meter_error_c": 1e300}),
                       ("dust", {"measured_kg_per_m3": 1e300})):  # fmt: skip
        with pytest.raises(InputError, match="not possible"):
            question(name).ask({**question(name).example, **huge})


def test_a_coat_that_may_not_be_warm_is_refused() -> None:
    """No kiln can be set to the cold: a plan of it broke."""
    data = copy.deepcopy(DISC)
    data["coats"][0]["cap_c"] = 0
    with pytest.raises(InputError, match="0 °C is outside what this can be"):
        Piece.from_outside(data)
