"""What devices at the bench send: once is once, late is dated back, nonsense changes nothing."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING, Any

import pytest
from sqlalchemy import func, select

from enamelwright.records.schema.coats import coat_laid
from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.schema.loads import load_piece, look, prediction
from enamelwright.records.writing import current
from enamelwright.workshop.faults import faults_of
from enamelwright.workshop.firings import load_row, looks_of, open_loads, pieces_in
from enamelwright.workshop.listing import payments
from enamelwright.workshop.pieces import piece_row, start_pieces

if TYPE_CHECKING:
    from starlette.testclient import TestClient

    from enamelwright.workshop.studio import Studio


@pytest.fixture
def pieces(studio: Studio) -> list[str]:
    return [row.number for row in start_pieces(studio, 3, "harbour pendant")]


def send(client: TestClient, entry: str, kind: str, body: dict[str, Any], **more: str) -> Any:
    return client.post("/api/v1/entries", json={"entry": entry, "kind": kind, "body": body, **more})


def rows(studio: Studio, table: Any) -> int:
    with studio.reading() as connection:
        return int(connection.execute(select(func.count()).select_from(table)).scalar() or 0)


def put_in(client: TestClient, pieces: list[str], entry: str = "put-in-0001") -> dict[str, Any]:
    answer = send(client, entry, "put in", {"pieces": pieces, "set_point": "790 °C", "start": "load"})
    assert answer.status_code == 200, answer.text
    return dict(answer.json())


def test_an_entry_sent_twice_is_one_row_and_the_same_answer(
    client: TestClient, studio: Studio, pieces: list[str]
) -> None:
    first, again = put_in(client, pieces), put_in(client, pieces)
    assert first == again
    body = {"load": first["load"], "seconds": 95, "stage_seen": "gloss"}
    looks = [send(client, "look-00000001", "look", body).json() for _ in range(3)]
    assert looks[0] == looks[1] == looks[2]
    assert (rows(studio, load_table), rows(studio, load_piece), rows(studio, look)) == (1, 3, 1)


def test_an_entry_id_is_not_used_for_something_else(client: TestClient, studio: Studio, pieces: list[str]) -> None:
    load = put_in(client, pieces)["load"]
    assert (
        send(client, "look-00000001", "look", {"load": load, "seconds": 60, "stage_seen": "sugar"}).status_code == 200
    )
    other = send(client, "look-00000001", "look", {"load": load, "seconds": 90, "stage_seen": "gloss"})
    assert other.status_code == 409
    assert [one.stage_seen for one in looks_of(studio, load)] == ["sugar"]


def test_what_is_foretold_is_frozen_before_anything_is_seen(
    client: TestClient, studio: Studio, pieces: list[str]
) -> None:
    put_in(client, pieces)
    with studio.reading() as connection:
        told = connection.execute(current(prediction)).all()
    assert len(told) == len(pieces)
    assert {one.asked["told"] for one in told} == {"before the outcome"}


def test_a_load_may_be_named_by_the_entry_that_put_it_in(client: TestClient, studio: Studio, pieces: list[str]) -> None:
    """A device that lost the bench machine does not know the number yet."""
    named = {"entry": "put-in-0001"}
    early = send(client, "look-00000001", "look", {"load": named, "seconds": 60, "stage_seen": "sugar"})
    assert early.status_code == 409
    load = put_in(client, pieces)["load"]
    assert (
        send(client, "look-00000002", "look", {"load": named, "seconds": 60, "stage_seen": "sugar"}).json()["load"]
        == load
    )
    assert (
        send(client, "out-000000001", "out", {"load": named, "seconds": 100, "stage_seen": "gloss"}).json()["load"]
        == load
    )
    assert not open_loads(studio)


def test_what_arrives_late_keeps_the_moment_it_happened(client: TestClient, studio: Studio, pieces: list[str]) -> None:
    """The device's clock is three hours wrong; what counts is how long ago it was told."""
    wrong = datetime.now(UTC) + timedelta(hours=3)
    send(
        client, "put-in-0001", "put in", {"pieces": pieces}, device_at=(wrong - timedelta(minutes=40)).isoformat(),
        sent_at=wrong.isoformat(),
    )  # fmt: skip
    (row,) = open_loads(studio)
    ago = datetime.now(UTC) - datetime.fromisoformat(row.at)
    assert timedelta(minutes=39) < ago < timedelta(minutes=42)
    assert datetime.fromisoformat(row.recorded_at) - datetime.fromisoformat(row.at) > timedelta(minutes=39)


def test_nothing_happens_in_the_future(client: TestClient, studio: Studio, pieces: list[str]) -> None:
    ahead = (datetime.now(UTC) + timedelta(hours=3)).isoformat()
    send(client, "put-in-0001", "put in", {"pieces": pieces}, device_at=ahead)
    (row,) = open_loads(studio)
    assert datetime.fromisoformat(row.at) <= datetime.now(UTC) + timedelta(seconds=6)


def test_exceptions_faults_and_mishaps_piece_by_piece(client: TestClient, studio: Studio, pieces: list[str]) -> None:
    load = put_in(client, pieces)["load"]
    send(client, "out-000000001", "out", {"load": load, "seconds": 100, "stage_seen": "gloss", "to_gloss": 95})
    told = send(
        client, "after-0000001", "after",
        {"load": load, "whole": {"stage_seen": "gloss", "cooled": "on the pad"},
         "each": {pieces[1]: {"stage_seen": "orange peel"}}, "faults": {pieces[1]: ["pits", "hairline"]},
         "mishaps": {pieces[2]: "dropped"}},
    )  # fmt: skip
    assert told.status_code == 200, told.text
    row = load_row(studio, load)
    assert (row.seconds, row.to_gloss, row.stage_seen, row.cooled) == (100, 95, "gloss", "on the pad")
    inside = {part.number: part for part in pieces_in(studio, row.of)}
    assert [inside[name].stage_seen for name in pieces] == [None, "orange peel", None]
    assert [bool(inside[name].do_not_learn) for name in pieces] == [False, False, True]
    assert [fault.fault for fault in faults_of(studio, pieces[1])] == ["pits", "hairline"]
    assert not faults_of(studio, pieces[0])


def test_everything_can_be_taken_back_and_stays_readable(client: TestClient, studio: Studio, pieces: list[str]) -> None:
    load = put_in(client, pieces)["load"]
    send(client, "look-00000001", "look", {"load": load, "seconds": 60, "stage_seen": "sugar"})
    send(client, "out-000000001", "out", {"load": load, "seconds": 100, "stage_seen": "gloss"})
    send(
        client, "after-0000001", "after", {"load": load, "whole": {"cooled": "slowly"}, "faults": {pieces[0]: ["pits"]}}
    )
    back = [send(client, f"back-0000-{n}", "take back", {"entry": entry}).status_code for n, entry in
            enumerate(("after-0000001", "out-000000001", "look-00000001"))]  # fmt: skip
    assert back == [200, 200, 200]
    (row,) = open_loads(studio)
    assert (row.number, row.seconds, row.stage_seen, row.cooled) == (load, None, None, None)
    assert not looks_of(studio, load)
    assert not faults_of(studio, pieces[0])
    assert send(client, "back-0000-9", "take back", {"entry": "put-in-0001"}).status_code == 200
    assert not open_loads(studio)
    assert rows(studio, load_table) > 1  # nothing was deleted


def test_a_load_somebody_looked_into_does_not_vanish(client: TestClient, studio: Studio, pieces: list[str]) -> None:
    load = put_in(client, pieces)["load"]
    send(client, "look-00000001", "look", {"load": load, "seconds": 60, "stage_seen": "sugar"})
    assert send(client, "back-0000-1", "take back", {"entry": "put-in-0001"}).status_code == 409
    assert [row.number for row in open_loads(studio)] == [load]


@pytest.mark.parametrize(
    ("kind", "body"),
    [
        ("put in", {}),
        ("put in", {"pieces": []}),
        ("put in", {"pieces": "2026-001"}),
        ("put in", {"pieces": ["nobody"]}),
        ("put in", {"pieces": [{"number": 1}]}),
        ("put in", {"pieces": ["2026-001"], "set_point": "hot"}),
        ("put in", {"pieces": ["2026-001"], "set_point": {"a": 1}}),
        ("put in", {"pieces": ["2026-001"], "start": "whenever"}),
        ("put in", {"pieces": ["2026-001"], "each": {"2026-002": {"position": "left"}}}),
        ("look", {"load": 7}),
        ("look", {"load": "../../etc"}),
        ("look", {}),
        ("after", {"load": {"entry": ["x"]}}),
        ("coat", {"pieces": ["2026-001"], "coat": "third"}),
        ("take back", {"entry": "never-sent-1"}),
        ("explode", {}),
    ],
)  # fmt: skip
def test_nonsense_is_refused_in_a_sentence_and_changes_nothing(
    client: TestClient, studio: Studio, pieces: list[str], kind: str, body: dict[str, Any]
) -> None:
    answer = send(client, "nonsense-001", kind, body)
    assert answer.status_code in {409, 422}, answer.text
    assert isinstance(answer.json()["error"], str)
    assert (rows(studio, load_table), rows(studio, look), rows(studio, coat_laid)) == (0, 0, 0)


def test_a_dash_is_not_known_as_everywhere_in_the_record(client: TestClient, studio: Studio, pieces: list[str]) -> None:
    body = {"pieces": pieces[:1], "coat": 1, "face": "back", "weighed_out": "-"}
    assert send(client, "coat-0000001", "coat", body).status_code == 200
    with studio.reading() as connection:
        assert [row.weighed_out for row in connection.execute(current(coat_laid))] == [None]


@pytest.mark.parametrize("entry", ["", "short", "a" * 65, "with space 1", "sl/ash/es-1", "ünïcödé-1"])
def test_an_entry_needs_a_proper_id(client: TestClient, studio: Studio, pieces: list[str], entry: str) -> None:
    assert send(client, entry, "put in", {"pieces": pieces}).status_code == 422
    assert not open_loads(studio)


def test_another_site_writes_nothing(client: TestClient, studio: Studio, pieces: list[str]) -> None:
    answer = client.post(
        "/api/v1/entries", json={"entry": "put-in-0001", "kind": "put in", "body": {"pieces": pieces}},
        headers={"Origin": "http://elsewhere.invalid"},
    )  # fmt: skip
    assert answer.status_code == 403
    assert not open_loads(studio)


def test_a_sale_told_at_a_fair_arrives_hours_later_and_once(
    client: TestClient, studio: Studio, pieces: list[str]
) -> None:
    now = datetime.now(UTC)
    at = (now - timedelta(hours=3)).isoformat()
    told = {"piece": pieces[0], "money": "38.00 EUR", "how": "cash"}
    for _ in range(2):
        answer = send(client, "sale-0001", "sold", told, device_at=at, sent_at=now.isoformat())
        assert answer.status_code == 200, answer.text
    row = piece_row(studio, pieces[0])
    assert row.place == "sold"
    paid = payments(studio, piece=int(row.id))
    assert [(one.minor, one.how) for one in paid] == [(3800, "cash")]
    assert abs(datetime.fromisoformat(paid[0].at) - datetime.fromisoformat(at)) < timedelta(minutes=1)
    again = send(client, "sale-0002", "sold", told)
    assert again.status_code == 409
    assert "sold already" in again.text, "the same sale by another way is told, not written twice"
    assert len(payments(studio, piece=int(row.id))) == 1
    for slip in ({"piece": pieces[1]}, {"piece": pieces[1], "money": "a lot"}, {"piece": "nobody", "money": "3 EUR"}):
        assert send(client, "sale-0003", "sold", slip).status_code in (404, 409, 422)
    assert piece_row(studio, pieces[1]).place != "sold"
