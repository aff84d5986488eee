"""The coats editor over HTTP: every change a draft, Undo, versions, and answers while somebody drags."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from typing import Any

import pytest
from starlette.testclient import TestClient

from enamelwright.craft.colour.colour_advice import of_colour
from enamelwright.craft.piece import Piece
from enamelwright.workshop import designs, editing, stack_edits, trying
from enamelwright.workshop.drafts import draft
from enamelwright.workshop.pieces import piece_row, start_pieces
from enamelwright.workshop.studio import Studio

PENDANT, REEDBED, TIDE = 1, 2, 3


@pytest.fixture(autouse=True)
def _fresh_boards() -> Iterator[None]:
    """No board of another test is remembered."""
    trying._LAST.clear()
    yield
    trying._LAST.clear()


def piece_on(studio: Studio, design: int) -> Piece:
    return editing.of_design(studio, design).piece


def stack_of(page: str) -> dict[str, Any]:
    text = re.search(r'<script type="application/json" id="stack"[^>]*>(.*?)</script>', page, re.DOTALL)
    assert text is not None
    stack: dict[str, Any] = json.loads(text.group(1))
    return stack


# ---- edits to a stack ----------------------------------------------------------------------------


def test_laying_and_taking_off_are_opposites(studio: Studio) -> None:
    piece = piece_on(studio, TIDE)
    laid, number = stack_edits.lay(piece, "front", piece.coats[-1].jar, 2)
    assert len(laid.coats) == len(piece.coats) + 1
    assert stack_edits.place_of(laid, number) == 2
    assert stack_edits.take_off(laid, number) == piece


def test_wires_stay_on_the_coat_they_stand_on(studio: Studio) -> None:
    piece = piece_on(studio, TIDE)
    stood_on = piece.wires[0].after_coat
    beneath, _ = stack_edits.lay(piece, "front", piece.coats[-1].jar, 1)
    assert beneath.wires[0].after_coat == stood_on + 1
    above, _ = stack_edits.lay(piece, "front", piece.coats[-1].jar)
    assert above.wires[0].after_coat == stood_on
    back, _ = stack_edits.lay(piece, "back", piece.coats[0].jar)
    assert back.wires[0].after_coat == stood_on


def test_moving_out_and_in_is_nothing(studio: Studio) -> None:
    piece = piece_on(studio, PENDANT)
    front = [n for n, _ in piece.coats_on("front")]
    moved, at = stack_edits.move(piece, front[0], outward=True)
    assert at == front[1]
    assert moved != piece
    assert stack_edits.move(moved, at, outward=False) == (piece, front[0])
    assert stack_edits.move(piece, front[-1], outward=True) == (piece, front[-1])


def test_a_coat_turned_over_twice_is_outermost_again(studio: Studio) -> None:
    piece = piece_on(studio, PENDANT)
    number = piece.coats_on("front")[-1][0]
    over, at = stack_edits.turn_over(piece, number)
    assert over.coats[at].face == "back"
    assert over.coats[at].powder_depth == piece.coats[number].powder_depth
    again, back = stack_edits.turn_over(over, at)
    assert again.coats[back].to_outside() == piece.coats[number].to_outside()


def test_a_new_amount_replaces_the_old_however_it_was_told(studio: Studio) -> None:
    piece = piece_on(studio, PENDANT)
    weighed = stack_edits.change(piece, 1, {"weight_g": 0.5})
    assert weighed.coats[1].powder_depth is None
    assert weighed.coats[1].weight == pytest.approx(0.5e-3)
    assert stack_edits.change(weighed, 1, {"powder_depth": None}).coats[1].amount_words == ""


def test_a_new_outline_takes_cells_it_has_not_out_of_the_coats(studio: Studio) -> None:
    piece = piece_on(studio, REEDBED)
    round_one, gone = stack_edits.fit_cells(piece, {"shape": "circle", "diameter_mm": 30}, set())
    assert set(gone) == {"sky", "reeds", "dusk", "water"}
    assert not any(coat.cells for coat in round_one.coats)


# ---- the page ------------------------------------------------------------------------------------


def test_the_section_and_every_coat_are_on_the_page(client: TestClient, studio: Studio) -> None:
    page = client.get(f"/designs/{TIDE}/coats")
    assert page.status_code == 200
    piece = piece_on(studio, TIDE)
    for number in range(len(piece.coats)):
        assert f'data-coat="{number}"' in page.text
        assert f'id="band-{number}"' in page.text
    # The policy of the page lets no style in, and the drawing follows the light of the page.
    assert " style=" not in page.text
    assert 'stroke="var(--text)"' in page.text
    assert stack_of(page.text) == json.loads(json.dumps(piece.to_outside()))


def test_a_change_is_a_draft_and_undo_goes_back(client: TestClient, studio: Studio) -> None:
    before = piece_on(studio, PENDANT)
    answer = client.post(
        f"/designs/{PENDANT}/coats", data={"do": "change", "at": 1, "by": "powder_depth", "amount": "0,4"}
    )
    assert answer.status_code == 303
    assert piece_on(studio, PENDANT).coats[1].powder_depth == pytest.approx(0.4e-3)
    assert designs.version_row(studio, before.name).number == 1
    client.post(f"/designs/{PENDANT}/coats", data={"do": "undo"})
    assert piece_on(studio, PENDANT) == before
    client.post(f"/designs/{PENDANT}/coats", data={"do": "again"})
    assert piece_on(studio, PENDANT).coats[1].powder_depth == pytest.approx(0.4e-3)


@pytest.mark.parametrize("do", ["lay", "off", "out", "in", "over", "more", "less", "intend"])
def test_everything_can_be_undone(client: TestClient, studio: Studio, do: str) -> None:
    before = piece_on(studio, PENDANT)
    at = before.coats_on("front")[1 if do == "in" else 0][0]
    data = {
        "do": do,
        "at": at,
        "face": "front",
        "by": "powder_depth",
        "amount": "0.5",
        "rule": "BACK",
        "note": "a trial",
    }
    answer = client.post(f"/designs/{PENDANT}/coats", data=data)
    assert answer.status_code == 303
    assert client.get(answer.headers["location"]).status_code == 200
    assert piece_on(studio, PENDANT) != before
    client.post(f"/designs/{PENDANT}/coats", data={"do": "undo"})
    assert piece_on(studio, PENDANT) == before


def test_keeping_makes_a_version_and_can_be_taken_back(client: TestClient, studio: Studio) -> None:
    before = piece_on(studio, PENDANT)
    client.post(f"/designs/{PENDANT}/coats", data={"do": "off", "at": 2})
    client.post(f"/designs/{PENDANT}/coats", data={"do": "keep", "words": "one coat less"})
    newest = designs.version_row(studio, before.name)
    assert (newest.number, newest.words) == (2, "one coat less")
    assert len(designs.piece_of(newest).coats) == len(before.coats) - 1
    assert draft(studio, f"design:{PENDANT}") is None
    client.post(f"/designs/{PENDANT}/coats", data={"do": "take-back"})
    assert designs.version_row(studio, before.name).number == 1
    assert len(piece_on(studio, PENDANT).coats) == len(before.coats) - 1
    # The number of a version that was taken back is not given again.
    client.post(f"/designs/{PENDANT}/coats", data={"do": "keep"})
    assert designs.version_row(studio, before.name).number == 3


def test_a_piece_gets_the_version_kept_on_its_board(client: TestClient, studio: Studio) -> None:
    one, other = start_pieces(studio, 2, "Harbour pendant")
    client.post(f"/pieces/{one.number}/coats", data={"do": "off", "at": 2})
    client.post(f"/pieces/{one.number}/coats", data={"do": "keep"})
    version = designs.version_row(studio, "Harbour pendant")
    assert version.number == 2
    assert piece_row(studio, one.number).design_version == version.of
    assert piece_row(studio, other.number).design_version != version.of


def test_a_drawing_stays_with_the_version(client: TestClient, studio: Studio) -> None:
    client.post(f"/designs/{REEDBED}/coats", data={"do": "change", "at": 0, "by": "powder_depth", "amount": "0.12"})
    client.post(f"/designs/{REEDBED}/coats", data={"do": "keep"})
    newest = designs.version_row(studio, "Reedbed brooch")
    assert newest.number == 2
    shape = designs.shape_of(newest)
    assert shape is not None
    assert set(shape.cells) == {"sky", "reeds", "dusk", "water"}


def test_somebody_elses_change_is_not_run_over(client: TestClient, studio: Studio) -> None:
    client.post(
        f"/designs/{PENDANT}/coats", data={"do": "change", "at": 1, "by": "powder_depth", "amount": "0.4", "seen": 0}
    )
    second = {"do": "change", "at": 1, "by": "powder_depth", "amount": "0.6", "seen": 0}
    answer = client.post(f"/designs/{PENDANT}/coats", data=second)
    assert answer.status_code == 409
    assert "in the meantime" in answer.text
    assert piece_on(studio, PENDANT).coats[1].powder_depth == pytest.approx(0.4e-3)


# ---- while somebody drags ------------------------------------------------------------------------


def preview(client: TestClient, design: int, stack: str, **more: Any) -> Any:
    data = {"stack": stack, "at": 1, "by": "powder_depth", "amount": "0.6", "settled": "0", "narrow": "0", **more}
    return client.post(f"/designs/{design}/coats/preview", data=data)


def test_a_preview_keeps_nothing(client: TestClient, studio: Studio) -> None:
    stack = json.dumps(stack_of(client.get(f"/designs/{PENDANT}/coats").text))
    answer = preview(client, PENDANT, stack)
    assert answer.status_code == 200
    assert draft(studio, f"design:{PENDANT}") is None
    assert piece_on(studio, PENDANT).coats[1].powder_depth != pytest.approx(0.6e-3)
    for part in ("picture", "lead", "figures", "bands", "amounts", "judged", "pressed", "windows"):
        assert answer.text.count(f'id="{part}"') == 1


def test_the_first_answer_says_that_times_follow_and_the_whole_one_does_not(client: TestClient) -> None:
    stack = json.dumps(stack_of(client.get(f"/designs/{PENDANT}/coats").text))
    first = preview(client, PENDANT, stack).text
    whole = preview(client, PENDANT, stack, settled="1").text
    assert 'aria-busy="true"' in first
    assert 'aria-busy="true"' not in whole


def test_the_first_answer_is_the_whole_one_but_for_its_band(client: TestClient, studio: Studio) -> None:
    client.get(f"/designs/{PENDANT}/coats")
    before = trying.settle(studio, f"design:{PENDANT}", piece_on(studio, PENDANT), None)
    piece = stack_edits.change(piece_on(studio, PENDANT), 1, {"powder_depth_mm": 0.6})
    first = trying.glance(studio, f"design:{PENDANT}", piece)
    assert first is not None
    assert of_colour(first.plan.advice) == of_colour(before.plan.advice), (
        "what is said of colours waits for the whole one"
    )
    whole = trying.settle(studio, f"design:{PENDANT}", piece, None)
    assert [w.to_weigh.value for w in first.plan.weights] == [w.to_weigh.value for w in whole.plan.weights]
    # The nominal bow does not depend on how many draws stand behind the band.
    one, other = first.plan.flatness.states[-1].bow, whole.plan.flatness.states[-1].bow
    assert one.value == pytest.approx(other.value, rel=1e-9)
    assert (one.high - one.low) == pytest.approx(other.high - other.low, rel=0.5)


def test_another_order_of_coats_is_answered_whole(client: TestClient, studio: Studio) -> None:
    client.get(f"/designs/{PENDANT}/coats")
    shorter = stack_edits.take_off(piece_on(studio, PENDANT), 2)
    assert trying.glance(studio, f"design:{PENDANT}", shorter) is None


def test_a_live_change_answers_with_the_draft_it_made(client: TestClient, studio: Studio) -> None:
    stack = json.dumps(stack_of(client.get(f"/designs/{PENDANT}/coats").text))
    data = {"do": "change", "live": "1", "at": 1, "by": "powder_depth", "amount": "0.6", "seen": 0, "stack": stack}
    answer = client.post(f"/designs/{PENDANT}/coats", data=data, headers={"HX-Request": "true"})
    assert answer.status_code == 200
    made = draft(studio, f"design:{PENDANT}")
    assert made is not None
    assert f'data-seen="{made.id}"' in answer.text
    assert stack_of(answer.text)["coats"][1]["powder_depth_mm"] == 0.6


@pytest.mark.parametrize(
    ("amount", "words"),
    [
        ("nonsense", "nonsense"),
        ("", "empty"),
        ("99", "outside what this can be"),
        ("<script>alert(1)</script>", "&lt;script&gt;"),
    ],
)
def test_a_bad_amount_is_refused_in_a_sentence_and_nothing_is_lost(
    client: TestClient, studio: Studio, amount: str, words: str
) -> None:
    before = piece_on(studio, PENDANT)
    answer = client.post(
        f"/designs/{PENDANT}/coats", data={"do": "change", "at": 1, "by": "powder_depth", "amount": amount}
    )
    assert answer.status_code == 422
    assert words in answer.text
    assert "<script>alert" not in answer.text
    assert piece_on(studio, PENDANT) == before


@pytest.mark.parametrize("stack", ["", "[]", "{", '{"name": 3}', "[" * 50_000, json.dumps({"name": "x" * 500_000})])
def test_a_stack_that_is_none_is_refused(client: TestClient, stack: str) -> None:
    assert preview(client, PENDANT, stack).status_code == 422


def test_a_name_with_markup_stays_a_name(client: TestClient, studio: Studio) -> None:
    name = '</script><img src=x onerror="alert(1)">'
    piece = Piece.from_outside({**piece_on(studio, PENDANT).to_outside(), "name": name, "note": name})
    design = designs.keep_design(studio, piece, name).design
    for page in (f"/designs/{design}/coats", f"/designs/{design}/shape", f"/designs/{design}/compare", "/designs"):
        text = client.get(page).text
        assert "<img src=x" not in text
    assert stack_of(client.get(f"/designs/{design}/coats").text)["name"] == name


def test_what_is_not_there_is_said(client: TestClient) -> None:
    assert client.get("/designs/999/coats").status_code in {404, 409, 422}
    assert client.get("/pieces/2026-999/coats").status_code in {404, 409, 422}
    assert client.post(f"/designs/{PENDANT}/coats", data={"do": "off", "at": 77}).status_code == 422
    assert client.post(f"/designs/{PENDANT}/coats", data={"do": "explode"}).status_code == 422


# ---- comparing -----------------------------------------------------------------------------------


def test_two_stacks_side_by_side_say_what_differs(client: TestClient) -> None:
    assert "Nothing." in client.get(f"/designs/{PENDANT}/compare").text
    client.post(f"/designs/{PENDANT}/coats", data={"do": "change", "at": 1, "by": "powder_depth", "amount": "0.4"})
    page = client.get(f"/designs/{PENDANT}/compare?left=1&right=now").text
    assert "Coat 2, powder depth (mm)" in page
    assert "<td>0.4</td>" in page
    assert client.get(f"/designs/{PENDANT}/compare?left=../../x").status_code == 422
