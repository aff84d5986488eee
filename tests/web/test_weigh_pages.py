"""Weigh out: the grams of the plan in huge digits, and what other grams do."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from enamelwright import units
from enamelwright.workshop.coats import coats_on, lay_coat
from enamelwright.workshop.designs import keep_design
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.weighing_out import around, waiting, weighing

if TYPE_CHECKING:
    from starlette.testclient import TestClient

    from enamelwright.workshop.studio import Studio

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture
def pieces(studio: Studio) -> list[str]:
    version = keep_design(studio, EXAMPLES / "sifted-pendant.toml").version
    return [row.number for row in start_pieces(studio, 2, version)]


def entry_of(page: str) -> str:
    found = re.search(r'name="entry" value="([0-9a-f]+)"', page)
    assert found is not None
    return found.group(1)


def test_the_side_and_its_grams_are_the_plans(client: TestClient, studio: Studio, pieces: list[str]) -> None:
    one = weighing(studio, pieces[0])
    page = client.get(f"/weigh/{pieces[0]}").text
    grams = units.from_si(one.weight.to_weigh.value, "g", "mass")
    shown = re.search(r'class="digits">([\d.]+)<', page)
    assert shown is not None
    assert float(shown.group(1)) == pytest.approx(grams, abs=0.006)  # to the step of the balance
    assert f'<p class="side">{one.weight.face}</p>' in page


def test_pieces_alike_wait_together(client: TestClient, studio: Studio, pieces: list[str]) -> None:
    (one,) = waiting(studio)
    assert (one.pieces, one.coat) == (tuple(pieces), 1)
    page = client.get("/weigh").text
    assert ", ".join(pieces) in page


def test_laid_twice_by_one_form_is_one_coat_on_each(client: TestClient, studio: Studio, pieces: list[str]) -> None:
    page = client.get(f"/weigh/{pieces[0]}?coat=1&piece={pieces[1]}").text
    data = {"entry": entry_of(page), "coat": "1", "piece": pieces, "grams": "0.47"}
    answers = [client.post(f"/weigh/{pieces[0]}", data=data) for _ in range(2)]
    assert [one.status_code for one in answers] == [303, 303]
    for number in pieces:
        (laid,) = coats_on(studio, number)
        assert (laid.coat, laid.face, laid.weighed_out) == (1, "back", pytest.approx(0.47e-3))
        assert laid.typed["weighed_out"] == "0.47 g"
    assert waiting(studio)[0].coat == 2


def test_a_coat_can_be_taken_back(client: TestClient, studio: Studio, pieces: list[str]) -> None:
    entry = entry_of(client.get(f"/weigh/{pieces[0]}?coat=1").text)
    client.post(f"/weigh/{pieces[0]}", data={"entry": entry, "coat": "1", "piece": pieces[:1], "grams": "0.5 g"})
    assert len(coats_on(studio, pieces[0])) == 1
    assert client.post("/weigh/take-back", data={"what": entry}).status_code == 303
    assert not coats_on(studio, pieces[0])


def test_more_powder_is_thicker_glass_in_proportion(studio: Studio, pieces: list[str]) -> None:
    """Mass of glass is area times thickness times density, so thickness goes with the grams."""
    one = weighing(studio, pieces[0], 2)
    less, same, more = around(one, (0.9, 1.0, 1.1))
    assert same.thickness.value == pytest.approx(one.weight.fired_thickness.value, rel=1e-6)
    assert less.thickness.value / same.thickness.value == pytest.approx(0.9, rel=1e-6)
    assert more.thickness.value / same.thickness.value == pytest.approx(1.1, rel=1e-6)


def test_more_on_the_front_bends_the_front_hollower_or_less_round(studio: Studio, pieces: list[str]) -> None:
    """Glass in compression on one face bows that face out; the other face's coat works against it (Timoshenko 1925)."""
    front, back = weighing(studio, pieces[0], 2), weighing(studio, pieces[0], 1)
    assert (front.weight.face, back.weight.face) == ("front", "back")
    bows = [[found.bow.value for found in around(one, (0.8, 1.2)) if found.bow is not None] for one in (front, back)]
    (front_less, front_more), (back_less, back_more) = bows
    assert (front_more - front_less) * (back_more - back_less) < 0


@pytest.mark.parametrize("grams", ["", "much", "-1", "0", "nan", "1e9", "3 mm", "<b>1</b>"])
def test_what_is_no_weight_is_a_sentence(client: TestClient, pieces: list[str], grams: str) -> None:
    answer = client.get(f"/weigh/{pieces[0]}/would-be", params={"coat": "1", "grams": grams})
    assert answer.status_code == 422
    assert answer.json()["words"]
    page = client.post(f"/weigh/{pieces[0]}", data={"coat": "1", "grams": grams})
    assert page.status_code in {409, 422}


def test_tolerance_stands_beside_the_scale(client: TestClient, pieces: list[str]) -> None:
    part = client.get(f"/weigh/{pieces[0]}/around?coat=1").text
    assert part.count("<tr") == 6  # heading and five amounts
    assert "as planned" in part
    assert "10 % more" in part
    whole = client.get(f"/weigh/{pieces[0]}?coat=1&around=1&grams=0.5").text
    assert "as planned" in whole  # without scripts
    assert "after firing, planned" in whole


def test_a_piece_without_a_plan_is_a_sentence(client: TestClient, studio: Studio) -> None:
    (row,) = start_pieces(studio, 1, labels=["thread try"])
    answer = client.get(f"/weigh/{row.number}")
    assert answer.status_code in {409, 422}
    assert "has no plan" in answer.text


@pytest.mark.parametrize(("times", "asked"), [(100, True), (0.01, True), (1, False), (2, False), (0.5, False)])
def test_a_comma_that_slipped_is_asked_after(
    client: TestClient, studio: Studio, pieces: list[str], times: float, asked: bool
) -> None:
    grams = units.from_si(weighing(studio, pieces[0], 1).weight.to_weigh.value, "g", "mass") * times
    told = client.get(f"/weigh/{pieces[0]}/would-be", params={"coat": "1", "grams": f"{grams:.5f}"}).json()
    assert any("did the comma slip?" in one for one in told["worse"][:1]) is asked
    assert told["level"] != "good" if asked else True


def test_the_grams_stand_in_the_record_of_the_piece(client: TestClient, studio: Studio, pieces: list[str]) -> None:
    lay_coat(studio, pieces[0], coat=1, weighed_out="0.73 g", on_piece="0.61 g")
    page = client.get(f"/pieces/{pieces[0]}/record").text
    assert "0.73 g weighed out, 0.61 g on it" in page
