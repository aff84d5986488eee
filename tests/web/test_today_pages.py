"""Today and Find: what waits, in the order it waits; and one box that finds anything."""

from __future__ import annotations

import re
from datetime import datetime, time, timedelta
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from enamelwright.craft.jar import Jar
from enamelwright.records.outside import copy_outside
from enamelwright.workshop import day, day_kept, day_waits, faults, loads, lots, orders
from enamelwright.workshop.coats import lay_coat
from enamelwright.workshop.designs import designs, piece_of, version_row
from enamelwright.workshop.jars import add_jar
from enamelwright.workshop.kilns import keep_kiln
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.studio import Studio
from record_forms import words


def test_an_empty_bench_says_how_to_begin(client: TestClient) -> None:
    page = client.get("/").text
    assert "Nothing is on the bench yet." in page
    assert 'href="/jars/new"' in page


def test_what_was_laid_first_goes_in_first_with_its_heat(client: TestClient, studio: Studio) -> None:
    first, second = start_pieces(studio, 2, designs(studio)[0].name, labels=["A", "B"])
    now = studio.clock()
    lay_coat(studio.telling(now - timedelta(minutes=5)), second.id, face="front")
    lay_coat(studio.telling(now - timedelta(minutes=50)), first.id, face="back", dried="15 min")
    page = client.get("/?wait=1").text
    assert page.index(first.number) < page.index(second.number)
    told = words(page)
    assert "laid 50 min ago, dried 15 min" in told
    assert "laid 5 min ago: drying" in told
    assert "°C ·" in told, "the window of the firing that comes"
    quick = client.get("/").text
    assert "°C ·" in words(quick), "once worked out it stands there at once"


def test_a_load_in_the_kiln_and_one_that_is_hot(client: TestClient, studio: Studio) -> None:
    one, two = start_pieces(studio, 2, metal="copper", labels=["A", "B"])
    loads.fired(studio, [one.id], seconds="150 s", stage_seen="gloss")
    begun = loads.begin_load(studio, [two.id])
    told = words(client.get("/").text)
    assert "In the kiln since" in told
    assert begun.number in told
    assert "may still be hot" in told
    later = studio.at(studio.clock() + timedelta(hours=2))
    client.app.state.studio = later  # type: ignore[attr-defined]
    assert "may still be hot" not in words(client.get("/").text)


def test_cooling_is_told_by_the_piece_and_not_by_a_flat_time(client: TestClient, studio: Studio) -> None:
    """A planned piece is spoken of as hot until it may be held in still air; what it stood on, and what nobody can
    work out, for longer."""
    named = {row.name: row for row in designs(studio)}
    planned = start_pieces(studio, 1, next(iter(named)), labels=["planned"])[0]
    plain = start_pieces(studio, 1, metal="copper", labels=["plain"])[0]
    for row in (planned, plain):
        loads.fired(studio, [row.id], seconds="150 s", stage_seen="gloss")
    client.get(f"/pieces/{planned.number}?wait=1")  # its plan is at hand
    told = words(client.get("/").text)
    until = re.search(r"may still be hot, at least until (\d\d):(\d\d) , 2", told)
    assert until is not None, told
    assert told.count("may still be hot") == 2
    now = studio.clock()
    client.app.state.studio = studio.at(now + timedelta(minutes=30))  # type: ignore[attr-defined]
    told = words(client.get("/").text)
    assert told.count("may still be hot") == 2
    assert told.count("What it stood on may still be hot.") == 1
    client.app.state.studio = studio.at(now + timedelta(minutes=50))  # type: ignore[attr-defined]
    assert "still be hot" not in words(client.get("/").text)


def test_midnight_cools_nothing(client: TestClient, studio: Studio) -> None:
    """What came out at ten to twelve is still hot at five past, and gone from the page an hour later."""
    piece = start_pieces(studio, 1, metal="copper", labels=["late"])[0]
    midnight = datetime.combine(studio.today(), time()).astimezone()
    loads.fired(studio, [piece.id], seconds="150 s", stage_seen="gloss", at=midnight - timedelta(minutes=10))
    for minutes, hot in ((5, True), (60, False)):
        client.app.state.studio = studio.at(midnight + timedelta(minutes=minutes))  # type: ignore[attr-defined]
        assert ("may still be hot" in words(client.get("/").text)) is hot


def test_faults_jars_to_buy_orders_and_the_copy_are_named(client: TestClient, studio: Studio) -> None:
    piece = start_pieces(studio, 1, metal="copper", labels=["A"])[0]
    faults.see_fault(studio, piece.id, "pits", place="rim")
    jar = add_jar(studio, Jar.from_outside({"id": "J1", "name": "red", "kind": "opaque"}), reorder_below="50 g")
    lots.open_lot(studio, jar, grams="20 g")
    orders.take_order(studio, "a brooch", due_on=studio.today().isoformat())
    orders.take_order(studio, "far away", due_on=(studio.today() + timedelta(days=90)).isoformat())
    told = words(client.get("/").text)
    assert "A : pits, rim" in told
    assert "Buy again J1 red" in told
    assert "today: a brooch" in told
    assert "far away" not in told
    assert "Copy outside this machine" in told
    assert "none was made yet" in told


@pytest.mark.parametrize(("days", "said"), [(6, False), (7, False), (9, True)])
def test_a_copy_outside_that_is_over_a_week_old_is_told(
    client: TestClient, studio: Studio, tmp_path: Path, days: int, said: bool
) -> None:
    place = tmp_path / "stick"
    place.mkdir()
    start_pieces(studio, 1, labels=["A"], metal="copper")
    copy_outside(studio.store, place)
    client.app.state.studio = studio.at(studio.clock() + timedelta(days=days))  # type: ignore[attr-defined]
    told = client.get("/").text.partition("Copy outside this machine</h2>")[2]
    assert "last one" in told
    assert ('class="day-line watch"' in told[: told.index("last one")]) == said


@pytest.mark.parametrize(
    ("asked", "page"),
    [("2-tone", "/pieces/"), ("zebra", "/jars/"), ("marble arch", "/orders/"), ("lot-9-xyz", "/jars/")],
)
def test_a_single_thing_is_opened_at_once(client: TestClient, studio: Studio, asked: str, page: str) -> None:
    start_pieces(studio, 1, metal="copper", labels=["2-tone"])
    jar = add_jar(studio, Jar.from_outside({"id": "J1", "name": "zebra", "kind": "opaque"}))
    lots.open_lot(studio, jar, "lot-9-xyz")
    orders.take_order(studio, "under a marble arch")
    answer = client.get("/find", params={"for": asked})
    assert answer.status_code == 303
    assert answer.headers["location"].startswith(page)


def test_several_things_are_listed_by_what_they_are(client: TestClient, studio: Studio) -> None:
    start_pieces(studio, 14, metal="copper", words="with a heron")
    orders.take_order(studio, "a heron for the hall")
    page = client.get("/find?for=heron").text
    told = words(page)
    assert "Pieces 14" in told
    assert "Orders 1" in told
    assert "All 14" in told
    everything = client.get("/find", params={"for": "heron", "all": "Pieces"}).text
    assert everything.count('href="/pieces/') > page.count('href="/pieces/')


def test_a_day_finds_what_happened_on_it(client: TestClient, studio: Studio) -> None:
    made = start_pieces(studio, 2, metal="copper")
    assert made[0].number in client.get(f"/find?for={studio.today().isoformat()}").text


@pytest.mark.parametrize("asked", ["", "nothing goes by this", "<script>alert(1)</script>", "%_%", "x" * 5000])
def test_nothing_found_is_said_in_words(client: TestClient, studio: Studio, asked: str) -> None:
    from enamelwright.craft.kiln import Kiln

    keep_kiln(studio, Kiln(name="front-loader"))
    answer = client.get("/find", params={"for": asked})
    assert answer.status_code == 200
    assert "<script>alert" not in answer.text


def untried(studio: Studio, code: str) -> str:
    """A jar with a lot in use and a new one that was opened today; returns the label of the new one."""
    jar = add_jar(studio, Jar.from_outside({"id": code, "name": f"{code} of the test", "kind": "opaque"}))
    lots.open_lot(studio, jar, f"{code} old", opened_on=studio.today())
    lots.open_lot(studio, jar, f"{code} new", opened_on=studio.today())
    return f"{code} new"


def test_a_new_lot_is_a_warning_only_where_something_needs_it(client: TestClient, studio: Studio) -> None:
    """A lot nobody needs is counted with the jars; one that a piece or an order needs is on Today, with when."""
    design = next(one for one in designs(studio) if "pendant" in str(one.name))
    coats = piece_of(version_row(studio, design.name)).coats
    code = coats[-1].jar
    needed, idle = untried(studio, code), untried(studio, "ZZ9")
    today, shelf = words(client.get("/").text), words(client.get("/jars").text)
    assert "New lot, no tile yet" not in today, "nothing is begun or ordered"
    assert "2 new lots were not tried on a tile yet, and no piece needs them so far" in shelf
    assert idle in shelf

    order = orders.take_order(studio, "pendants", state="agreed", due_on=studio.today() + timedelta(days=6))
    orders.add_line(studio, order.id, design=design.name, count=2)
    today = words(client.get("/").text)
    assert f"New lot, no tile yet: {needed} , for 2 ordered pieces" in today.replace(f"{needed},", f"{needed} ,")
    assert idle not in today

    piece = start_pieces(studio, 1, design.name)[0]
    today = words(client.get("/").text)
    assert f"for {piece.number}" in today
    shelf = words(client.get("/jars").text)
    assert "1 new lot was not tried on a tile yet, and no piece needs it so far" in shelf
    assert needed not in shelf.partition("1 new lot was not tried")[2]

    day.plan_day(studio)
    laid = next(
        block for block in day_kept.the_plan(studio).blocks
        if not block.kiln and "sift" in block.work and not block.pieces[0].startswith("tile of")
    )  # fmt: skip
    today = words(client.get("/").text)
    assert "planned to be laid" in today
    when = re.search(r"planned to be laid (.*?) at (\d\d:\d\d)", today)
    assert when is not None
    assert f"{laid.start[:10]}T{when[2]}" >= laid.start[:16]

    for one in day_waits.waits(studio).pieces:
        if one.number:
            for coat in (each for each in coats if each.jar == code):
                lay_coat(studio, one.number, coat.jar, face=coat.face)
    finish_order = orders.order_row(studio, order.id)
    orders.change_order(studio, finish_order.id, state="cancelled")
    assert "New lot, no tile yet" not in words(client.get("/").text), "every coat of it is laid"


def test_a_piece_fired_again_is_hot_from_its_last_load_alone(client: TestClient, studio: Studio) -> None:
    piece = start_pieces(studio, 1, metal="copper", labels=["A"])[0]
    now = studio.clock()
    for minutes in (12, 4):
        loads.fired(studio, [piece.id], seconds="150 s", stage_seen="gloss", at=now - timedelta(minutes=minutes))
    told = words(client.get("/").text)
    assert told.count("may still be hot") == 2
    assert told.count("What it stood on may still be hot.") == 1
