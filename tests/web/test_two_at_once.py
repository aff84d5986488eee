"""Two people at two devices change the same thing: the second is told, both values stand side by side, nothing is lost."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

import pytest

from enamelwright.workshop import faults, history, kilns, measures, pieces
from enamelwright.workshop.jars import add_jar, jar_row
from record_forms import entry_of, send, words

if TYPE_CHECKING:
    from starlette.testclient import TestClient

    from enamelwright.workshop.studio import Studio


def filled(client: TestClient, page: str, form: str = "") -> dict[str, str]:
    """Return a form of a page as it is filled in: hidden lines, lines and what is chosen."""
    text = client.get(page).text
    inside = next(one for one in re.findall(r"<form.*?</form>", text, re.DOTALL) if form in one)
    told = dict(re.findall(r'<input[^>]*? name="([^"]+)"[^>]*? value="([^"]*)"', inside))
    told |= dict(re.findall(r'<input[^>]*?name="([^"]+)"[^>]*? value="([^"]*)"', inside))
    for name, choices in re.findall(r'<select name="([^"]+)">(.*?)</select>', inside, re.DOTALL):
        chosen = re.search(r"<option[^>]* selected[^>]*>([^<]*)<", choices)
        told[name] = "" if chosen is None or chosen.group(1) == "not known" else chosen.group(1)
    return told


@pytest.fixture
def measure(studio: Studio) -> int:
    (piece,) = pieces.start_pieces(studio, 1, "harbour pendant")
    return measures.take_measure(studio, piece.number, "bow", "0.4 mm", words="first")


def test_a_second_correction_does_not_take_the_first_one_back(client: TestClient, studio: Studio, measure: int) -> None:
    """Two open the same entry; one corrects the length, the other then the note: the length stays corrected."""
    page = f"/record/measure/{measure}"
    one, other = (filled(client, page, "to-words") for _ in range(2))
    assert one["seen"] == other["seen"]
    told = client.post(page, data={**one, "to-length": "0.7 mm", "why": "misread", "do": "correct"})
    assert told.status_code == 303
    answer = client.post(page, data={**other, "to-words": "warm", "why": "a note", "do": "correct"})
    assert answer.status_code == 409
    assert "warm" in words(answer.text)
    assert "first" in words(answer.text)
    assert "Open it again" in answer.text
    row = history.states(studio, "measure", measure)
    assert [state.changed.get("length") is not None for state in row] == [False, True]
    again = filled(client, page, "to-words")
    assert again["to-length"] == "0.7 mm"
    assert client.post(page, data={**again, "to-words": "warm", "why": "a note", "do": "correct"}).status_code == 303
    last = filled(client, page, "to-words")
    assert (last["to-length"], last["to-words"]) == ("0.7 mm", "warm")


def test_what_somebody_corrected_is_not_taken_out_unseen(client: TestClient, studio: Studio, measure: int) -> None:
    page = f"/record/measure/{measure}"
    other = filled(client, page, "to-words")
    told = {**other, "to-length": "0.7 mm", "why": "misread", "do": "correct"}
    assert client.post(page, data={**told, "entry": entry_of(client, page)}).status_code == 303
    answer = client.post(page, data={**other, "why": "by mistake", "do": "withdraw"})
    assert answer.status_code == 409
    assert not history.states(studio, "measure", measure)[-1].withdrawn


def test_a_kept_thing_changed_meanwhile_shows_both_values(client: TestClient, studio: Studio) -> None:
    from enamelwright.craft.jar import Jar

    row = add_jar(studio, Jar.from_outside({"id": "T1", "name": "sea", "kind": "opaque"}, "jar"))
    page = f"/jars/{row}"
    mark, name = filled(client, page, 'value="mark"'), filled(client, page, 'value="describe"')
    assert client.post(page, data={**name, "name": "sea green"}).status_code == 303
    answer = client.post(page, data={**mark, "reorder_below": "50 g"})
    assert answer.status_code == 409
    assert "50 g" in words(answer.text)
    assert jar_row(studio, row).reorder_below is None
    assert jar_row(studio, row).name == "sea green"


def test_a_kiln_described_by_two_is_described_by_one(client: TestClient, studio: Studio) -> None:
    send(client, "/set-up/kilns", {"name": "front kiln", "kind": "electric", "width": "220 mm"})
    kiln = next(one for one in kilns.kilns(studio) if one.name == "front kiln")
    page = f"/set-up/kilns/{kiln.id}"
    one, other = (filled(client, page, 'value="describe"') for _ in range(2))
    assert client.post(page, data={**one, "width": "250 mm"}).status_code == 303
    answer = client.post(page, data={**other, "width": "300 mm"})
    assert answer.status_code == 409
    assert "300 mm" in words(answer.text)
    assert "250 mm" in words(answer.text)


def test_house_rules_set_meanwhile_are_not_overwritten(client: TestClient) -> None:
    page = "/set-up/house"
    one, other = (filled(client, page, "bow_limit") for _ in range(2))
    assert client.post(page, data={**one, "hottest": "840 C"}).status_code == 303
    assert client.post(page, data={**other, "hottest": "860 C"}).status_code == 409
    assert filled(client, page, "bow_limit")["hottest"].startswith("840")


def test_one_form_is_one_entry_whatever_it_says_the_second_time(client: TestClient, studio: Studio) -> None:
    (piece,) = pieces.start_pieces(studio, 1, "harbour pendant")
    page = f"/pieces/{piece.number}"
    sent = {"entry": entry_of(client, f"{page}/firings"), "fault": "pits"}
    assert [client.post(f"{page}/faults", data=sent).status_code for _ in range(2)] == [303, 303]
    answer = client.post(f"{page}/faults", data={**sent, "fault": "hairline"})
    assert answer.status_code == 409
    assert "sent before" in words(answer.text)
    assert [one.fault for one in faults.faults_of(studio, piece.number)] == ["pits"]


def test_every_form_of_a_page_has_an_id_of_its_own(client: TestClient, studio: Studio) -> None:
    (piece,) = pieces.start_pieces(studio, 1, "harbour pendant")
    found = re.findall(r'name="entry" value="([0-9a-f]+)"', client.get(f"/pieces/{piece.number}").text)
    assert len(found) > 1
    assert len(set(found)) == len(found)
