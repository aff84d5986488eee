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
    send(client, "/pickle", {"do": "waste", "container": str(drum), "what": "sludge", "mass": "120 g"})
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
    for page in ("/pickle", f"/pickle/{bath}"):
        told = words(client.get(page).text).casefold().split()
        assert not {"safe", "legal", "safely", "harmless"} & set(told)


@pytest.mark.parametrize("data", [{"do": "bath"}, {"do": "drink"}, {"do": "waste", "container": "x"}])
def test_what_cannot_be_done_is_said_so(client: TestClient, data: dict[str, str]) -> None:
    assert client.post("/pickle", data=data).status_code == 422
