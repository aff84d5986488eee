"""Beginning a design from a technique, and the list of designs."""

from __future__ import annotations

import pytest
from starlette.testclient import TestClient

from enamelwright.craft.bench import Bench
from enamelwright.craft.jar import Jar
from enamelwright.craft.sketch import sketch
from enamelwright.craft.technique import customs
from enamelwright.errors import UnknownName
from enamelwright.questions.plan import answer
from enamelwright.workshop import designs, starters
from enamelwright.workshop.studio import Studio


def test_every_technique_of_the_table_can_be_begun() -> None:
    assert set(starters.techniques()) == set(customs())


@pytest.mark.parametrize("technique", starters.techniques())
def test_a_beginning_can_be_planned_as_it_stands(technique: str) -> None:
    piece = starters.begin(technique, "a trial", Bench.starter())
    assert piece.technique == technique
    plan = answer(piece, Bench.starter(), draws=32).payload
    assert len(plan.weights) == len(piece.coats)
    low, high = customs()[technique].firings
    assert plan.firings
    assert low <= len(plan.firings) + high  # the customary number is a habit of others, not a rule


def test_a_beginning_takes_the_studios_own_jar_of_the_kind() -> None:
    mine = Jar(id="J33", name="grey for the back", kind="counter")
    bench = Bench.starter().with_jars((mine,))
    assert starters.begin("sift_opaque", "x", bench).coats[0].jar == "J33"
    assert starters.begin("sift_opaque", "x", Bench.starter()).coats[0].jar == starters.PLAIN
    with pytest.raises(UnknownName):
        starters.begin("raku", "x", bench)


def test_a_sketch_weighs_what_the_plan_weighs() -> None:
    piece = starters.begin("cloisonne_copper", "x", Bench.starter())
    assert sketch(piece).weights == answer(piece, Bench.starter(), draws=32).payload.weights


def test_a_new_design_is_kept_and_opens_at_its_coats(client: TestClient, studio: Studio) -> None:
    form = {"name": "Heath brooch", "technique": "champleve", "metal": "copper", "thickness": "1,6", "across": "34"}
    made = client.post("/designs/new", data=form)
    assert made.status_code == 303
    page = client.get(made.headers["location"])
    assert page.status_code == 200
    assert "Heath brooch" in page.text
    piece = designs.piece_of(designs.version_row(studio, "Heath brooch"))
    assert piece.metal.thickness == pytest.approx(1.6e-3)
    assert piece.outline.shape == "circle"


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"name": ""}, "no name"), ({"name": "tide BROOCH"}, "already"), ({"technique": "raku"}, "raku"),
        ({"metal": "", "thickness": "1"}, "belong together"), ({"thickness": "99"}, "outside"), ({"across": "wide"}, "wide"),
    ],
)  # fmt: skip
def test_what_cannot_be_begun_is_said_and_the_form_stays_filled(
    client: TestClient, studio: Studio, changes: dict[str, str], words: str
) -> None:
    before = len(designs.designs(studio))
    form = {
        "name": "Heath <b>brooch</b>",
        "technique": "stencil",
        "metal": "copper",
        "thickness": "1",
        "across": "",
    } | changes
    answered = client.post("/designs/new", data=form)
    assert answered.status_code == 422
    assert words in answered.text
    assert "<b>brooch" not in answered.text
    assert len(designs.designs(studio)) == before


def test_the_list_shows_every_design_with_its_section(client: TestClient, studio: Studio) -> None:
    page = client.get("/designs")
    assert page.status_code == 200
    for row in designs.designs(studio):
        assert row.name in page.text
        assert f'href="/designs/{row.id}/coats"' in page.text
    assert page.text.count("seen edge-on") == len(designs.designs(studio))
    client.post("/designs/1/coats", data={"do": "off", "at": 1})
    assert "changes not kept yet" in client.get("/designs").text


def test_the_clean_counter_enamel_comes_first_and_it_is_said_why_not_the_other() -> None:
    """Lead and cadmium on the back of what is worn are avoided where a clean jar stands beside it (common practice)."""
    scrap, clean = (
        Jar.from_outside({"id": code, "name": name, "kind": "counter", "stock": {"grams_g": grams}, "hazards": held})
        for code, name, grams, held in (
            ("J06", "scrap blend", 400, {"lead": "mixed", "cadmium": "yes"}),
            ("J21", "single batch", 100, {"lead": "no", "cadmium": "no"}),
        )
    )
    both = Bench.starter().model_copy(update={"jars": (scrap, clean)})
    assert starters.begin("sift_opaque", "x", both).coats[0].jar == "J21"
    told = starters.why_not("sift_opaque", both)
    assert told == "J21 single batch is taken and not J06 scrap blend, which holds lead and cadmium."
    alone = Bench.starter().model_copy(update={"jars": (scrap,)})
    assert starters.begin("sift_opaque", "x", alone).coats[0].jar == "J06"
    assert starters.why_not("sift_opaque", alone) == ""


def test_a_design_that_cannot_be_read_keeps_the_others_in_the_list(client: TestClient, studio: Studio) -> None:
    from enamelwright.records.schema.designs import design, design_version

    with studio.writing():
        row = studio.keep(design, name="Of another time", technique="sift_opaque", invented=True)
        studio.add(design_version, design=row, number=1, piece={"name": "Of another time"})
    page = client.get("/designs")
    assert page.status_code == 200
    assert all(one.name in page.text for one in designs.designs(studio))
    assert "metal" in client.get(f"/designs/{row}/coats").text
