"""Dust, glare and burns: the day by the record, six questions that answer without scripts, and careful words."""

from __future__ import annotations

import re
from typing import Any

import pytest
from starlette.testclient import TestClient

from enamelwright.web.pages.air import TOPICS
from enamelwright.workshop.exposure import expose
from enamelwright.workshop.studio import Studio
from everywhere import SMALL, TARGET, WIDE, axe, watch
from record_forms import send, undo, words

#: An address that answers, for every topic.
ASKED = {
    "dust": "mass=43+g&time=4+h&mesh=80&lead=30+%25&cadmium=2+%25",
    "glare": "temperature=790+C&width=150+mm&height=100+mm&distance=0.4+m&look=8+s&looks=5",
    "touch": "temperature=60+C&material=copper&seconds=1+s&diameter=32+mm&kiln_temperature=790+C",
    "landing": "layer1=iron&thick1=4+mm&layer2=board&firings=20&interval=4+min",
    "ventilation": "room=30&changes=6&lining=unknown&second_hand=yes",
    "sell-where": "market=EU&use=food&lead=yes&cadmium=unknown",
}


def page(client: TestClient, name: str, query: str = "", status: int = 200) -> str:
    """What a page says."""
    answer = client.get(f"/air/{name}?asked=yes&{query or ASKED[name]}")
    assert answer.status_code == status, answer.text[:2000]
    return words(answer.text)


def test_an_empty_day_is_told_so(client: TestClient) -> None:
    assert "No dry powder" in words(client.get("/air").text)


def test_every_topic_has_a_form_and_says_first_what_it_is(client: TestClient) -> None:
    for topic in TOPICS:
        text = client.get(f"/air/{topic.name}").text
        assert "What this is and is not" in text
        assert "<form" in text
        assert text.index("What this is and is not") < text.index("<form", text.index("<main"))


@pytest.mark.parametrize("name", ASKED)
def test_every_topic_answers_what_is_told_in_the_address(client: TestClient, name: str) -> None:
    told = page(client, name)
    assert ("What the texts say" if name == "sell-where" else "On this estimate") in told
    assert "Why?" in told


@pytest.mark.parametrize("name", ASKED)
def test_no_page_promises(client: TestClient, name: str) -> None:
    told = set(re.findall(r"[a-z]+", page(client, name).casefold()))
    assert not {"safe", "safely", "legal", "illegal", "legally", "harmless", "good"} & told


def test_the_standing_words_are_whole_once_a_day(client: TestClient) -> None:
    first, again = (page(client, "dust") for _ in range(2))
    assert TOPICS[0].what_it_is in first
    assert "In full" in again
    assert "In full" not in first


def test_four_layers_of_a_landing_spot(client: TestClient) -> None:
    told = page(client, "landing", "layer1=iron&layer2=board&layer3=gap&layer4=fibre&firings=20")
    assert "Low on this estimate" in told
    bare = page(client, "landing", "layer1=none&firings=20")
    assert "Too hot" in bare
    assert "What to change" in bare


@pytest.mark.parametrize(
    ("name", "query", "said"),
    [
        ("dust", "mass=43+g&time=4+h&changes=0", "without any fresh air"),
        ("dust", "mass=-3+g&time=4+h", "not possible"),
        ("dust", "mass=43&time=4+h", "without a unit"),
        ("dust", "mass=43+g&time=4+h&mesh=fine", "no whole number"),
        ("glare", "temperature=2000+C", "Check the temperature"),
        ("glare", "temperature=90+C", "too little"),
        ("touch", "temperature=1800+C", "not"),
        ("landing", "layer1=iron&out=2500+C", "Check the temperature"),
        ("landing", "layer1=wood", "wood is what lies below"),
        ("landing", "layer1=gap", "stands on the feet"),
        ("landing", "layer1=iron&interval=2+min&stays=5+min", "no longer"),
        ("ventilation", "room=30&changes=0", "No air changes"),
    ],
)
def test_what_cannot_be_is_refused_or_answered_with_care(client: TestClient, name: str, query: str, said: str) -> None:
    answer = client.get(f"/air/{name}?asked=yes&{query}")
    assert answer.status_code in {200, 422}
    assert said.casefold() in words(answer.text).casefold()


def test_an_opening_larger_than_the_kiln_asks_for_a_measure(client: TestClient, studio: Studio) -> None:
    from enamelwright.craft.kiln import Kiln
    from enamelwright.workshop.kilns import keep_kiln

    keep_kiln(studio, Kiln(name="blue", width=0.2, height=0.15, depth=0.2))
    told = page(client, "glare", "temperature=790+C&kiln=blue&width=400+mm", 422)
    assert "larger than the inside" in told
    assert "Measure" in told


def test_what_was_written_down_is_summed(client: TestClient, studio: Studio) -> None:
    expose(studio, "sifting", grams="20 g", duration="40 min")
    expose(studio, "open door", looks=6)
    told = words(client.get("/air").text)
    assert "20 g" in told
    assert "6 times open" in told


@pytest.mark.parametrize("name", [name for name in ASKED if name != "sell-where"])
def test_an_empty_form_is_asked_and_never_answered(client: TestClient, name: str) -> None:
    answer = client.get(f"/air/{name}?asked=yes")
    assert answer.status_code == 422
    told = words(answer.text)
    assert "On this estimate" not in told
    assert " °C" not in told.partition("What this is and is not")[2].partition("Ask")[0]


def test_only_what_keeps_the_wood_cooler_is_offered(client: TestClient) -> None:
    for query in ("layer1=none&firings=1", "layer1=iron&layer2=board&firings=40", "layer1=iron&side=2+m&firings=1"):
        told = page(client, "landing", query)
        assert "no cooler" not in told
        assert ("What to change" in told) is not ("None of the changes" in told or "Low on this" in told)


def test_a_limit_of_ones_own_replaces_the_published_one_and_goes_again(client: TestClient, studio: Studio) -> None:
    own = {
        "do": "own limit",
        "limit": "pb_air_osha_pel",
        "value": "20 µg/m3",
        "source": "national rule",
        "since": "2026-05-01",
    }
    location = send(client, "/air", own)
    assert "your own: national rule" in words(client.get("/air").text)
    assert "20 µg/m3" in page(client, "dust")
    undo(client, location)
    assert "your own" not in page(client, "dust")
    send(client, "/air", own)
    send(client, "/air", {"do": "forget limit", "limit": "pb_air_osha_pel"})
    assert "your own:" not in words(client.get("/air").text)
    for bad in (
        {"value": "20"},
        {"value": "-1 µg/m3"},
        {"source": ""},
        {"since": "soon"},
        {"limit": "none"},
        {"do": "x"},
    ):
        assert client.post("/air", data={**own, **bad}).status_code == 422


def test_an_unknown_topic_leads_back(client: TestClient) -> None:
    assert client.get("/air/ghosts").status_code == 422


@pytest.mark.parametrize("light", ["light", "dark"])
def test_answers_fit_can_be_hit_and_have_nothing_axe_objects_to(
    browser: Any, app_url: str, studio: Studio, light: str
) -> None:
    """Every question of dust, glare and heat answered, on a tablet and a telephone, in both lights."""
    expose(studio, "sifting", grams="20 g")
    watched = watch(browser, app_url, 1024, 768, light)
    page_, found = watched.page, []
    for path in [
        "/air",
        *(f"/air/{name}?asked=yes&{query}" for name, query in ASKED.items()),
        "/air/touch?asked=yes&seconds=0",
    ]:
        page_.goto(app_url + path)
        for width, height in ((1024, 768), (390, 844)):
            page_.set_viewport_size({"width": width, "height": height})
            wrong = page_.evaluate(WIDE) + page_.evaluate(SMALL, TARGET) + axe(page_)
            found += [f"{path} at {width}: {one}" for one in wrong]
    page_.context.close()
    assert not found + watched.complaints
