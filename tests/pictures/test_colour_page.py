"""The page of colours is what the curves and the study say; the promise of the study is in it."""

from __future__ import annotations

import json
import re
from xml.etree import ElementTree

import pytest

import colour_page
from enamelwright.craft.colour.eyes import EYES, eye_words
from enamelwright.pictures.eyes_sheet import eyes_sheet_svg


@pytest.mark.parametrize("name", ["colours.md", "colour-sheet.svg", "eyes-sheet.svg"])
def test_the_page_is_fresh(name: str) -> None:
    kept = colour_page.PAGE.with_name(name).read_text(encoding="utf-8")
    assert kept == colour_page.written()[name], colour_page.AGAIN


def test_by_daylight_and_a_card_unseen_stacks_come_within_what_is_promised() -> None:
    """Mean CIEDE2000 of 1.5 over many makers, and nearer than the nearest tile; twelve million pixels within 2 s."""
    study = json.loads(colour_page.STUDY.read_text(encoding="utf-8"))
    day = study["conditions"]["daylight and card"]
    assert day["makers"] >= 10
    assert day["unseen, mean"] <= 1.5
    assert day["unseen, mean"] < day["nearest tile alone, mean"] / 2
    assert set(study["conditions"]) >= {"LED and card", "camera JPEG and card", "grey card only"}
    assert float(study["speed"]["12 million pixels, file to corrected picture"].partition(" ")[0]) <= 2


def test_the_sheet_of_eyes_says_all_without_colour() -> None:
    words = " ".join("".join(node.itertext()) for node in ElementTree.fromstring(eyes_sheet_svg()).iter())
    assert "INVENTED" in words
    assert all(eye_words(eyes) in words for eyes in EYES)
    assert re.search(r"look alike to eyes with few or no green cones", words)
