"""Pickle: baths made up, used and closed, and waste until it is handed in."""

from __future__ import annotations

import pytest
from starlette.testclient import TestClient

from enamelwright.workshop import baths
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.studio import Studio
from record_forms import send, undo, words


@pytest.fixture
def bath(studio: Studio) -> int:
    """A bath of one litre."""
    return baths.open_bath(studio, "pickle, June", volume="1 l")


def test_a_bath_is_made_up_and_shown(client: TestClient, studio: Studio) -> None:
    location = send(client, "/pickle", {"do": "bath", "name": "weak", "kind": "pickle", "volume": "1.5 l"})
    assert "1.5 l" in words(client.get("/pickle").text)
    undo(client, location)
    assert baths.bath_row(studio, "weak").put_away


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (
            {"what": "dip", "pieces": "3", "duration": "8 min", "copper_area": "40 cm2"},
            "pieces 3, for 8 min, copper 40 cm2",
        ),
        ({"what": "acidity", "ph": "1.8"}, "pH 1.8"),
        ({"what": "temperature", "temperature": "45 C"}, "45 C"),
        ({"what": "spill", "volume": "0.1 l", "words": "wiped up"}, "0.1 l: wiped up"),
    ],
)
def test_what_happens_in_a_bath_is_kept_as_typed(
    client: TestClient, studio: Studio, bath: int, data: dict[str, object], said: str
) -> None:
    location = send(client, f"/pickle/{bath}", data)
    assert said in words(client.get(f"/pickle/{bath}").text)
    undo(client, location)
    assert baths.bath_entries(studio, bath) == []


def test_a_dip_names_its_piece_and_an_entry_can_be_corrected(client: TestClient, studio: Studio, bath: int) -> None:
    piece = start_pieces(studio, 1, metal="copper")[0]
    send(client, f"/pickle/{bath}", {"what": "dip", "piece": piece.number, "duration": "8 min"})
    entry = baths.bath_entries(studio, bath)[0]
    assert entry.piece == piece.id
    page = f"/record/bath%20entry/{entry.of}"
    send(client, page, {"do": "withdraw", "why": "another bath", "back": f"/pickle/{bath}"})
    assert baths.bath_entries(studio, bath) == []


def test_what_is_drawn_off_stands_in_the_container(client: TestClient, studio: Studio, bath: int) -> None:
    send(client, "/pickle", {"do": "container", "label": "drum 2", "contents": "spent pickle"})
    drum = baths.container_row(studio, "drum 2").id
    location = send(client, f"/pickle/{bath}", {"what": "drawn off", "volume": "0.4 l", "container": str(drum)})
    assert baths.containers(studio)[0].volume == pytest.approx(0.0004)
    undo(client, location)
    assert not baths.containers(studio)[0].volume
    assert baths.bath_entries(studio, bath) == []
    told = {"do": "waste", "container": str(drum), "mass": "120 g"}
    answer = client.post("/pickle", data={**told, "what": "sludge"})
    assert answer.status_code == 422
    assert "unknown contents" in words(answer.text)
    send(client, "/pickle", {**told, "what": "sludge of the pickle"})
    send(client, "/pickle", {"do": "hand in", "container": str(drum), "handed_to": "the collecting point"})
    assert baths.containers(studio) == []


def test_a_closed_bath_takes_no_more_entries_from_its_page(client: TestClient, studio: Studio, bath: int) -> None:
    location = send(client, f"/pickle/{bath}", {"do": "close"})
    page = client.get(f"/pickle/{bath}").text
    assert "Closed" in page
    assert 'name="what"' not in page.partition("</main>")[0].replace('type="hidden" name="what"', "")
    undo(client, location)
    assert baths.bath_row(studio, bath).closed_on is None


def test_what_a_bath_has_met_is_ticked(client: TestClient, studio: Studio, bath: int) -> None:
    send(client, f"/pickle/{bath}", {"do": "met", "met": ["met_lead", "met_silver"]})
    row = baths.bath_row(studio, bath)
    assert (row.met_lead, row.met_cadmium, row.met_silver) == (True, False, True)


def test_the_page_promises_nothing(client: TestClient, bath: int) -> None:
    for page in ("/pickle", f"/pickle/{bath}", f"/pickle/{bath}/spent?allowed=yes"):
        told = words(client.get(page).text).casefold().split()
        assert not {"safe", "legal", "safely", "harmless"} & set(told)


VINEGAR = {"do": "bath", "made": "vinegar and salt", "volume": "0.5 l", "strength": "5 %", "salt": "15 g"}


def page_of(client: TestClient, path: str) -> str:
    return words(client.get(path).text)


def test_a_bath_that_is_described_is_counted(client: TestClient, studio: Studio) -> None:
    send(client, "/pickle", {**VINEGAR, "name": "June"})
    row = baths.bath_row(studio, "June").id
    send(client, f"/pickle/{row}", {"what": "dip", "before": "42 g", "after": "40 g", "copper_area": "500 cm2"})
    page = page_of(client, f"/pickle/{row}")
    assert "working" in page
    assert "13% of the acid is taken up (12 to 13%)" in page
    assert "pH 3.3 to 3.5" in page
    assert "weighed" in page
    # forms answer without a script
    ahead = page_of(client, f"/pickle/{row}?area=500+cm2&loads=2")
    assert "After it: Stop exhausted" in ahead
    assert page_of(client, "/pickle").count("working") == 1


@pytest.mark.parametrize("asked", ["area=much", "loads=some", "loads=0", "oxide=-1+g", "loads=99999999"])
def test_an_impossible_load_is_refused_beside_its_form(client: TestClient, studio: Studio, asked: str) -> None:
    send(client, "/pickle", {**VINEGAR, "name": "June"})
    row = baths.bath_row(studio, "June").id
    answer = client.get(f"/pickle/{row}?{asked}")
    assert answer.status_code == 200
    assert 'role="alert"' in answer.text


def test_what_is_made_up_wrongly_is_refused_and_not_kept(client: TestClient, studio: Studio) -> None:
    for bad in ({"strength": "strong"}, {"made": "tea"}, {"acid": "-5 g", "strength": ""}):
        assert client.post("/pickle", data={**VINEGAR, "name": "June", **bad}).status_code == 422
    assert baths.baths(studio) == []


def test_an_etching_liquor_is_its_own_container_and_only_held(client: TestClient, studio: Studio) -> None:
    send(client, "/pickle", {"do": "bath", "name": "mordant", "made": "ferric chloride", "volume": "1 l"})
    row = baths.bath_row(studio, "mordant")
    assert row.kind == "etching liquor"
    assert "keep it by itself" in page_of(client, f"/pickle/{row.id}")
    page = page_of(client, f"/pickle/{row.id}/spent?allowed=yes")
    assert "Hold and hand in" in page
    assert "Work it out" not in page
    send(client, f"/pickle/{row.id}", {"do": "met", "met": []})
    assert "Work it out" not in page_of(client, f"/pickle/{row.id}/spent?allowed=yes")


def test_grit_in_water_is_let_settle(client: TestClient, studio: Studio) -> None:
    send(client, "/pickle", {"do": "bath", "name": "scrub tub", "made": "abrasive only", "volume": "2 l"})
    row = baths.bath_row(studio, "scrub tub")
    assert row.kind == "rinse"
    assert "let it settle, keep the solids" in page_of(client, f"/pickle/{row.id}")
    assert "let it settle" in page_of(client, "/pickle")
    assert "Hold and hand in" in page_of(client, f"/pickle/{row.id}/spent")


def test_a_top_up_of_another_kind_ends_a_bath(client: TestClient, studio: Studio) -> None:
    send(client, "/pickle", {**VINEGAR, "name": "June"})
    row = baths.bath_row(studio, "June").id
    send(client, f"/pickle/{row}", {"do": "met"})
    location = send(client, f"/pickle/{row}", {"what": "top up", "volume": "0.1 l", "with": "citric acid"})
    assert "two chemistries" in page_of(client, f"/pickle/{row}")
    assert "Hold and hand in" in page_of(client, f"/pickle/{row}/spent?allowed=yes")
    undo(client, location)
    assert "two chemistries" not in page_of(client, f"/pickle/{row}")


def test_soda_is_told_only_where_it_is_allowed_and_the_strength_is_known(client: TestClient, studio: Studio) -> None:
    send(client, "/pickle", {**VINEGAR, "name": "June"})
    row = baths.bath_row(studio, "June").id
    send(client, f"/pickle/{row}", {"do": "met"})
    assert "23 g" not in page_of(client, f"/pickle/{row}/spent")
    assert "23 g" not in page_of(client, f"/pickle/{row}/spent?allowed=no")
    assert "23 g" in page_of(client, f"/pickle/{row}/spent?allowed=yes")
    assert "38 g" in page_of(client, f"/pickle/{row}/spent?allowed=yes&soda=baking+soda")
    for bad in ("soda=lye", "standing=boiled", "dose=9", "dose=x"):
        answer = client.get(f"/pickle/{row}/spent?allowed=yes&{bad}")
        assert answer.status_code == 200
        assert 'role="alert"' in answer.text
    send(client, f"/pickle/{row}", {"do": "made", "made": "vinegar and salt", "volume": "0.5 l"})
    assert "read it off the bottle" in page_of(client, f"/pickle/{row}/spent?allowed=yes")


def test_the_standing_caution_is_told_in_full_once_a_day(client: TestClient, bath: int) -> None:
    assert "not a ruling" in page_of(client, "/pickle")
    assert "not a ruling" not in page_of(client, f"/pickle/{bath}")
    client.cookies.clear()
    client.cookies.set("told-pickle", "2020-01-01")
    assert "not a ruling" in page_of(client, "/pickle")


@pytest.mark.parametrize("data", [{"do": "bath"}, {"do": "drink"}, {"do": "waste", "container": "x"}])
def test_what_cannot_be_done_is_said_so(client: TestClient, data: dict[str, str]) -> None:
    assert client.post("/pickle", data=data).status_code == 422


def headline(client: TestClient, row: int) -> str:
    page = client.get(f"/pickle/{row}").text
    return words(page.partition('id="state-noun"')[2].partition(">")[2].partition("</h2>")[0])


def test_a_closed_bath_tells_when_it_was_closed_and_where_it_went(client: TestClient, studio: Studio) -> None:
    send(client, "/pickle", {**VINEGAR, "name": "June"})
    row = baths.bath_row(studio, "June").id
    assert headline(client, row).startswith("fresh")
    send(client, f"/pickle/{row}", {"do": "close"})
    assert "where its liquor went is not written down" in headline(client, row)
    assert "Say where it went" in page_of(client, f"/pickle/{row}")
    send(client, "/pickle", {"do": "container", "label": "drum 2", "contents": "spent pickle"})
    drum = baths.container_row(studio, "drum 2").id
    assert "Drawn off into" in page_of(client, f"/pickle/{row}/spent")
    told = {"what": "drawn off", "volume": "0.5 l", "container": str(drum), "from": "spent"}
    send(client, f"/pickle/{row}/spent", told, to=f"/pickle/{row}")
    assert "not handed in yet" in headline(client, row)
    send(client, "/pickle", {"do": "hand in", "container": str(drum), "handed_to": "collecting point"})
    told = headline(client, row)
    assert told.startswith("Closed")
    assert "handed in to collecting point on" in told
    for word in ("working", "hardly used", "slow", "quick"):
        assert word not in told
    assert "When it was closed: fresh" in page_of(client, f"/pickle/{row}")
    assert "handed in to collecting point" in page_of(client, "/pickle")


def test_a_second_chemistry_is_warned_of_and_refused(client: TestClient, studio: Studio) -> None:
    send(client, "/pickle", {**VINEGAR, "name": "June"})
    send(client, "/pickle", {"do": "bath", "name": "citric", "made": "citric acid", "volume": "1 l"})
    june, citric = (baths.bath_row(studio, name).id for name in ("June", "citric"))
    send(client, "/pickle", {"do": "container", "label": "drum 2"})
    drum = str(baths.container_row(studio, "drum 2").id)
    send(client, f"/pickle/{june}", {"what": "drawn off", "volume": "0.5 l", "container": drum})
    assert "Not into drum 2" in page_of(client, f"/pickle/{citric}/spent")
    told = {"what": "drawn off", "volume": "1 l", "container": drum}
    answer = client.post(f"/pickle/{citric}", data=told)
    assert answer.status_code == 422
    assert "container of its own" in words(answer.text)
    assert baths.bath_entries(studio, citric) == []
    answer = client.post("/pickle", data={"do": "waste", "container": drum, "what": "bleach"})
    assert answer.status_code == 422
    assert "chlorine" in words(answer.text)


def test_a_long_ledger_is_folded_and_a_form_asks_what_a_maker_knows(client: TestClient, studio: Studio) -> None:
    send(client, "/pickle", {**VINEGAR, "name": "June"})
    row = baths.bath_row(studio, "June").id
    for _ in range(8):
        send(client, f"/pickle/{row}", {"what": "dip", "pieces": "4", "before": "20 g"})
    page = client.get(f"/pickle/{row}").text
    assert "3 earlier" in words(page)
    form = page.partition('id="note-noun"')[2].partition("</form>")[0].partition("<details")[0]
    assert form.count("<label") <= 4
    made = client.get("/pickle").text.partition('id="new-noun"')[2].partition("</form>")[0].partition("<details")[0]
    assert made.count("<label") <= 4
    assert "by the weight of its pieces" in words(page)


def test_what_stays_dissolved_is_drawn_over_the_dose(client: TestClient, studio: Studio) -> None:
    send(client, "/pickle", {**VINEGAR, "name": "June"})
    row = baths.bath_row(studio, "June").id
    send(client, f"/pickle/{row}", {"do": "met"})
    assert 'class="dose-band"' not in client.get(f"/pickle/{row}/spent?allowed=yes").text  # no copper in it yet
    send(client, f"/pickle/{row}", {"what": "dip", "before": "40 g", "after": "38 g", "copper_area": "500 cm2"})
    page = client.get(f"/pickle/{row}/spent?allowed=yes").text
    outline = page.partition('class="dose-band" points="')[2].partition('"')[0].split()
    assert len(outline) == 2 * 13
    heights = [float(point.split(",")[1]) for point in outline]
    assert all(high <= low for high, low in zip(heights[:13], heights[:12:-1], strict=True))
    assert "The same in figures" in words(page)
