"""Quick answers: one sentence a maker can act on, no field of the engine, nothing said twice."""

from __future__ import annotations

import re

import pytest
from starlette.testclient import TestClient

from record_forms import words

JAR = "lead_free_opaque_titania_medium"


def _panel(page: str, name: str) -> str:
    return words(page.split(f'id="{name}"')[1].split("</section>")[0])


def test_grams_are_told_as_one_sentence(client: TestClient) -> None:
    page = client.get(f"/quick?ask=grams&jar={JAR}&diameter=40+mm&powder_depth=0.4+mm").text
    said = _panel(page, "grams")
    found = re.search(
        r"Weigh ([\d.]+) g \(([\d.]+) to ([\d.]+)\) for a 40 mm disc; powder 0.4(0)? mm, glass [\d.]+ mm", said
    )
    assert found, said
    assert float(found[2]) <= float(found[1]) <= float(found[3])
    for raw in ("layings", "weighable", "coat 0", "face front", "0.00125"):
        assert raw not in said


def test_minutes_are_among_the_quick_answers(client: TestClient) -> None:
    said = _panel(client.get(f"/quick?ask=window&jar={JAR}&metal=copper&thickness=0.9+mm&target=gloss").text, "window")
    assert re.search(r"Set \d+ °C · \d+ °F: gloss at \d:\d\d to \d+:\d\d, from closing the door", said), said
    assert "First look" in said


def test_the_question_of_fills_is_put_once(client: TestClient) -> None:
    page = words(client.get("/quick?ask=fills&depth=1+mm").text)
    assert len(re.findall("fills bring .{0,8}cell level", page)) == 1
    assert re.search(r"5 \(4 to 6\) fills bring a cell 1 mm deep level", page)


@pytest.mark.parametrize(
    ("asked", "label"),
    [
        ("grams&diameter=wide&powder_depth=0.4+mm", "Disc across"),
        ("degrees", "Temperature"),
        ("fills&depth=deep", "Depth of the cell"),
    ],
)
def test_a_refusal_names_the_line_as_the_form_does_and_marks_it(client: TestClient, asked: str, label: str) -> None:
    answer = client.get(f"/quick?ask={asked}")
    assert answer.status_code == 422
    trouble = words(answer.text.split('role="alert"')[1].split("</div>")[0])
    assert label in trouble, trouble
    assert 'aria-invalid="true"' in answer.text


def test_a_page_that_is_not_done_calls_the_field_as_its_form_did(client: TestClient) -> None:
    page = client.get("/designs/1/shape?by=weigh")
    assert "Weight, g" in page.text
    answer = client.post("/designs/1/shape", data={"do": "weigh", "by": "weigh", "mass": "", "across": "30"})
    trouble = answer.text.split('role="alert"')[1].split("</div>")[0]
    assert "Weight, g" in trouble
    assert "(mass)" not in trouble
    assert answer.text.count('data-field="mass"') == 1


def test_a_piece_has_one_row_of_tabs_on_all_its_pages(client: TestClient, bubbled: str) -> None:
    rows, heads = set(), set()
    for page in ("", "/shape", "/coats", "/colour", "/compare", "/firings", "/record", "/price"):
        text = client.get(f"/pieces/{bubbled}{page}").text
        tabs = text.split('<ul class="tabs piece-tabs">')[1].split("</ul>")[0]
        rows.add(words(tabs))
        assert tabs.count('aria-current="page"') == 1
        heads.add(words(re.search("<h1>.*?</h1>", text, re.DOTALL)[0]))  # type: ignore[index]
    assert rows == {"Section Shape Coats Colour Compare Firings Record Price"}
    assert heads == {f"{bubbled} tonight"}
