"""Jars: put on the shelf, opened, washed, counted, told facts of; stock and hazards stay what they are."""

from __future__ import annotations

import re

import pytest
from starlette.testclient import TestClient

from enamelwright.craft.glass_of_jar import glass_of
from enamelwright.craft.jar import Jar
from enamelwright.craft.piece import Piece
from enamelwright.web.jar_view import TELLABLE
from enamelwright.workshop import lots
from enamelwright.workshop.bench import known_of
from enamelwright.workshop.designs import keep_design
from enamelwright.workshop.jars import add_jar, described, facts, jar_row, jars
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.studio import Studio
from record_forms import send, undo, words


@pytest.fixture
def jar(studio: Studio) -> int:
    """A jar with a lot of 250 g, bought again below 50 g."""
    described = {"id": "J1", "name": "sea green", "kind": "opaque", "optics": {"family": "green"}}
    row = add_jar(studio, Jar.from_outside(described), reorder_below="50 g")
    lots.open_lot(studio, row, "first", grams="250 g")
    return row


def grams(studio: Studio, jar: int) -> float:
    """Return what is left of a jar [g]."""
    return sum(one.grams or 0.0 for one in lots.levels(studio, jar)) * 1000


def test_a_new_jar_needs_a_code_a_name_and_a_kind(client: TestClient, studio: Studio) -> None:
    send(client, "/jars/new", {"code": "J2", "name": "black", "kind": "opaque"})
    row = jar_row(studio, "J2")
    assert described(row).hazards.lead == "unknown", "nothing is said that the label does not say"
    page = words(client.get(f"/jars/{row.id}").text)
    assert "Lead and cadmium not known" in page
    assert "not weighed left" in page


def test_a_new_jar_keeps_what_its_sheet_says(client: TestClient, studio: Studio) -> None:
    location = send(
        client, "/jars/new",
        {"code": "J3", "name": "red", "kind": "opaque", "family": "red", "cadmium": "yes", "lead": "no",
         "maturity": "1454 F", "expansion": "105", "grams": "250 g", "lot": "L7", "reorder_below": "50 g"},
    )  # fmt: skip
    jar = described(jar_row(studio, "J3"))
    # 1454 °F is 790 °C by the definition of the scales
    assert jar.fusing.maturity == pytest.approx(790 + 273.15, abs=0.1)
    assert jar.glass.expansion is not None
    assert jar.glass.expansion.value == pytest.approx(105e-7)
    page = words(client.get(location).text)
    assert "It holds cadmium." in page
    assert "250 g left" in page
    undo(client, location)
    assert [row.code for row in jars(studio)] == []


@pytest.mark.parametrize("kind", ["", "glue"])
def test_a_jar_of_no_kind_is_refused(client: TestClient, studio: Studio, kind: str) -> None:
    answer = client.post("/jars/new", data={"code": "J4", "name": "x", "kind": kind})
    assert answer.status_code == 422
    assert jars(studio) == []


def test_the_shelf_shows_what_is_left_and_what_to_buy(client: TestClient, studio: Studio, jar: int) -> None:
    page = words(client.get("/jars").text)
    assert "J1 sea green opaque, green" in page
    assert "250 g" in page
    assert "Buy again:" not in page
    lot = lots.lots_of(studio, jar)[0].id
    send(client, f"/jars/{jar}", {"do": "move", "lot": str(lot), "kind": "given away", "grams": "210 g"})
    page = words(client.get("/jars").text)
    assert "Buy again: J1 sea green" in page
    assert "40 g below the mark" in page


def test_the_band_is_as_long_as_there_is_powder(client: TestClient, studio: Studio, jar: int) -> None:
    def length() -> float:
        svg = re.search(r'<span class="level-strip">(.*?)</span>', client.get("/jars").text, re.DOTALL)
        assert svg is not None
        return max(float(one) for one in re.findall(r'<rect [^>]*width="([\d.]+)"[^>]*stroke=', svg.group(1)))

    full = length()
    lots.take_stock(studio, {lots.lots_of(studio, jar)[0].id: "125 g"})
    assert length() == pytest.approx(full / 2, rel=0.02)


def test_washing_and_sieving_take_their_loss_from_the_stock(client: TestClient, studio: Studio, jar: int) -> None:
    lot = lots.lots_of(studio, jar)[0].id
    send(
        client, f"/jars/{jar}", {"do": "powder", "lot": str(lot), "work": "washed", "before": "100 g", "after": "92 g"}
    )
    assert grams(studio, jar) == pytest.approx(242)
    assert lots.lot_row(studio, int(lot)).washed_on is not None
    send(client, f"/jars/{jar}", {"do": "powder", "lot": str(lot), "work": "sieved", "mesh": "100"})
    assert lots.lot_row(studio, int(lot)).mesh == 100


def test_a_count_sets_the_stock_and_undo_brings_it_back(client: TestClient, studio: Studio, jar: int) -> None:
    lot = lots.lots_of(studio, jar)[0].id
    location = send(client, "/jars/count", {f"lot-{lot}": "180 g"})
    assert grams(studio, jar) == pytest.approx(180)
    undo(client, location)
    assert grams(studio, jar) == pytest.approx(250)
    assert client.post("/jars/count", data={}).status_code == 422


def test_a_lot_is_opened_priced_and_used_up(client: TestClient, studio: Studio, jar: int) -> None:
    send(client, f"/jars/{jar}", {"do": "lot", "label": "second", "grams": "500 g", "price": "18.00 credits"})
    newest = lots.lots_of(studio, jar)[0]
    assert (newest.label, newest.price_minor, newest.currency) == ("second", 1800, "credits")
    location = send(client, f"/jars/{jar}", {"do": "finish", "lot": str(newest.id)})
    assert lots.lot_row(studio, int(newest.id)).finished
    undo(client, location)
    assert not lots.lot_row(studio, int(newest.id)).finished


def test_a_lot_of_another_jar_is_not_touched(client: TestClient, studio: Studio, jar: int) -> None:
    other = add_jar(studio, Jar.from_outside({"id": "J9", "name": "other", "kind": "flux"}))
    lot = lots.open_lot(studio, other, "theirs", grams="10 g")
    answer = client.post(f"/jars/{jar}", data={"do": "move", "lot": str(lot), "kind": "lost", "grams": "1 g"})
    assert answer.status_code == 422
    assert grams(studio, other) == pytest.approx(10)


def test_a_fact_stands_beside_the_one_before_it(client: TestClient, studio: Studio, jar: int) -> None:
    for origin, value in (("told", "760 C"), ("measured", "775 C")):
        send(client, f"/jars/{jar}", {"do": "fact", "fact": "fusing.maturity", "value": value, "origin": origin})
    page = words(client.get(f"/jars/{jar}").text)
    assert "Maturity 775 °C measured" in page
    assert "760 °C (not gone by) told" in page
    assert [one.wins for one in known_of(studio, jar_row(studio, jar))] == [True, False]
    location = send(client, f"/jars/{jar}", {"do": "fact", "fact": "hazards.lead", "value": "yes", "origin": "label"})
    assert len(facts(studio, jar)) == 3
    undo(client, location)
    assert len(facts(studio, jar)) == 2


def test_the_mark_is_set_and_a_jar_is_put_away_and_back(client: TestClient, studio: Studio, jar: int) -> None:
    send(client, f"/jars/{jar}", {"do": "mark", "reorder_below": "80 g"})
    assert jar_row(studio, jar).reorder_below == pytest.approx(0.08)
    send(client, f"/jars/{jar}", {"do": "away"})
    assert "sea green" not in client.get("/jars").text
    assert "sea green" in client.get("/jars?away=yes").text
    send(client, f"/jars/{jar}", {"do": "away", "back": "yes"})
    assert "sea green" in client.get("/jars").text


def test_the_shelf_is_filtered_by_kind_and_colour(client: TestClient, studio: Studio, jar: int) -> None:
    add_jar(studio, Jar.from_outside({"id": "J9", "name": "hard flux", "kind": "flux"}))
    assert "hard flux" not in client.get("/jars?family=green").text
    assert "sea green" not in client.get("/jars?kind=flux").text


def test_a_jar_named_with_markup_is_shown_as_text(client: TestClient, studio: Studio) -> None:
    nasty = "<img src=x onerror=alert(1)>"
    row = add_jar(studio, Jar.from_outside({"id": "J8", "name": nasty, "kind": "opaque"}))
    for page in ("/jars", f"/jars/{row}", "/jars/count", "/tiles"):
        assert "<img" not in client.get(page).text


@pytest.mark.parametrize("do", ["", "explode"])
def test_what_cannot_be_done_with_a_jar_is_said_so(client: TestClient, jar: int, do: str) -> None:
    assert client.post(f"/jars/{jar}", data={"do": do}).status_code == 422


def test_a_jar_is_described_anew_from_what_stands_there(client: TestClient, studio: Studio) -> None:
    told = {
        "id": "J9", "name": "sea green", "kind": "opaque", "mesh": 80, "optics": {"family": "green"},
        "hazards": {"lead": "yes"}, "fusing": {"maturity_c": 790, "hardness": "soft"},
    }  # fmt: skip
    row = add_jar(studio, Jar.from_outside(told))
    page = f"/jars/{row}"
    form = client.get(page).text.partition('value="describe"')[2].partition("</form>")[0]
    assert 'value="sea green"' in form
    assert re.search(r"<option[^>]*selected[^>]*>green<", form)
    changes = {
        "do": "describe",
        "name": "grass green",
        "kind": "transparent",
        "family": "green",
        "lead": "",
        "mesh": "100",
    }
    location = send(client, page, changes)
    jar = described(jar_row(studio, "J9"))
    assert (jar.name, jar.kind, jar.mesh, jar.hazards.lead, jar.fusing.hardness) == (
        "grass green", "transparent", 100, "unknown", None,
    )  # fmt: skip
    assert jar.fusing.maturity is not None, "what the form does not show stays"
    undo(client, location)
    assert described(jar_row(studio, "J9")).name == "sea green"


def test_an_expansion_is_gone_by_once_the_sheet_calls_it_linear(client: TestClient, studio: Studio) -> None:
    """Typed alone it is not used: a third of a cubical number is the linear one, and nobody may guess which it is."""
    told = {"code": "J5", "name": "grey", "kind": "opaque", "expansion": "105"}
    send(client, "/jars/new", told | {"code": "J6", "name": "other"})
    send(client, "/jars/new", told | {"expansion_kind": "linear"})
    alone, called = (glass_of(described(jar_row(studio, code))) for code in ("J6", "J5"))
    assert any("neither linear nor cubical" in one for one in alone.cautions)
    assert not any("neither linear nor cubical" in one for one in called.cautions)
    page = client.get(f"/jars/{jar_row(studio, 'J5').id}").text
    assert '<option value="linear" selected' in page or "<option selected>linear" in page
    assert "Expansion is called" in words(page)


def test_the_kind_of_an_expansion_can_be_told_afterwards(client: TestClient, studio: Studio) -> None:
    send(client, "/jars/new", {"code": "J5", "name": "grey", "kind": "opaque", "expansion": "105"})
    row = jar_row(studio, "J5").id
    form = {"do": "describe", "version": "1", "name": "grey", "kind": "opaque", "expansion_kind": "linear"}
    send(client, f"/jars/{row}", form)
    sheet = described(jar_row(studio, "J5")).glass.expansion
    assert sheet is not None
    assert (sheet.value, sheet.kind) == (pytest.approx(105e-7), "linear")


@pytest.mark.parametrize(
    ("expansion", "kind", "said"),
    [("0", "", "more than nothing"), ("-5", "", "more than nothing"), ("315", "linear", "say cubical")],
)
def test_an_expansion_that_cannot_be_is_refused_at_once(
    client: TestClient, studio: Studio, expansion: str, kind: str, said: str
) -> None:
    told = {"code": "J5", "name": "grey", "kind": "opaque", "expansion": expansion, "expansion_kind": kind}
    answer = client.post("/jars/new", data=told)
    assert answer.status_code == 422
    assert said in words(answer.text)
    assert jars(studio) == []


def test_every_example_of_a_fact_can_be_told_as_it_is_printed(client: TestClient, jar: int) -> None:
    for fact, name, example in TELLABLE:
        value = example.partition(",")[0].partition(" or ")[0]
        answer = client.post(f"/jars/{jar}", data={"do": "fact", "fact": fact, "value": value, "origin": "label"})
        assert answer.status_code == 303, (name, words(answer.text))
    page = words(client.get(f"/jars/{jar}").text)
    assert "105" in page.partition("Expansion")[2]


def test_a_fact_in_words_has_one_of_its_words(client: TestClient, jar: int) -> None:
    answer = client.post(f"/jars/{jar}", data={"do": "fact", "fact": "hazards.lead", "value": "perhaps"})
    assert answer.status_code == 422
    assert "yes, no" in words(answer.text)


def test_what_a_jar_is_taken_for_is_named(client: TestClient, studio: Studio) -> None:
    starter = "lead_free_transparent_medium"
    send(client, "/jars/new", {"code": "J5", "name": "red", "kind": "transparent", "starter": starter})
    page = words(client.get(f"/jars/{jar_row(studio, 'J5').id}").text)
    assert starter not in page
    assert "Taken for lead-free transparent, medium" in page


def test_a_jar_put_away_stays_on_what_it_is_laid_on(client: TestClient, studio: Studio, jar: int) -> None:
    told = {
        "name": "bowl", "technique": "sift_opaque", "metal": {"kind": "copper", "thickness_mm": 0.9},
        "outline": {"shape": "circle", "diameter_mm": 40},
        "coats": [{"face": "front", "jar": "J1", "powder_depth_mm": 0.4}],
    }  # fmt: skip
    kept = keep_design(studio, Piece.from_outside(told))
    piece = start_pieces(studio, 1, kept.version)[0]
    send(client, f"/jars/{jar}", {"do": "away", "version": "1"})
    page = words(client.get(f"/pieces/{piece.number}?wait=1").text)
    assert "cannot be drawn" not in page
    assert "Firing 1 comes next" in page
    assert "J1 sea green" in client.get(f"/designs/{kept.design}/coats").text, (
        "the coat keeps its jar when it is edited"
    )
    other = client.get("/designs/1/coats").text
    assert "J1 sea green" not in other, "nobody is offered it any more"
