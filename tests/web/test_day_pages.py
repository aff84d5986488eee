"""The day in the browser: planned, disturbed twice and planned again, pinned, a class evening, and the sheets."""

from __future__ import annotations

import re
from datetime import datetime, time, timedelta
from typing import TYPE_CHECKING

import pytest
from starlette.testclient import TestClient

from enamelwright.craft.jar import Jar
from enamelwright.workshop import day, day_habits, day_kept, day_search, day_shelf, day_waits, jobs
from enamelwright.workshop.designs import designs
from enamelwright.workshop.jars import add_jar, jar_row
from enamelwright.workshop.loads import begin_load
from enamelwright.workshop.lots import lot_in_use, lots_of, open_lot
from enamelwright.workshop.orders import add_line, take_order
from enamelwright.workshop.people import person
from enamelwright.workshop.pieces import finish_piece, piece_row, start_pieces
from enamelwright.workshop.studio import Studio
from kiln_browser import leave
from record_forms import send, words
from serving import served

if TYPE_CHECKING:
    from playwright.sync_api import Browser

#: A working morning, and an evening.
MORNING = datetime.combine(datetime.now().astimezone().date(), time(9)).astimezone()
EVENING = MORNING + timedelta(hours=9)


@pytest.fixture
def pendant(studio: Studio) -> str:
    """A short design; every day is a working day."""
    day_habits.set_habits(studio, day_habits.DayHabits(rest=(), hours=("09:00-12:30", "13:00-21:00")))
    return next(str(one.name) for one in designs(studio) if "pendant" in str(one.name))


@pytest.fixture
def begun(studio: Studio, pendant: str) -> Studio:
    """Three pendants begun, two more ordered, at nine in the morning."""
    there = studio.at(MORNING)
    order = take_order(there, "pendants", state="agreed", due_on=there.today() + timedelta(days=6))
    add_line(there, order.id, design=pendant, count=2)
    start_pieces(there, 3, pendant)
    return there


def client_of(studio: Studio) -> TestClient:
    """Somebody at this machine."""
    from enamelwright.web.app import create_app

    made = TestClient(
        create_app(studio), base_url="http://localhost", headers={"Origin": "http://localhost"}, follow_redirects=False
    )
    made.app.state.worker.wake = lambda: None  # type: ignore[attr-defined]
    return made


def test_nothing_waits_and_then_a_plan_is_made(client: TestClient, studio: Studio, pendant: str) -> None:
    page = words(client.get("/day").text)
    assert "Nothing waits for a plan" in page
    assert client.post("/day", data={"do": "plan"}).status_code == 422
    start_pieces(studio, 2, pendant)
    page = client.get("/day").text
    assert "2 pieces wait, and nothing is planned yet" in words(page)
    assert client.get("/day/sheet.pdf").status_code == 422
    location = send(client, "/day", {"do": "plan"})
    page = client.get(location).text
    assert "Next in: " in words(page)
    assert "No other order could save more than" in words(page)
    assert page.count("<svg") >= 2
    assert " style=" not in page, "the page's policy forbids it"


def test_the_first_answer_is_what_goes_in_next(begun: Studio) -> None:
    with client_of(begun) as client:
        send(client, "/day", {"do": "plan"})
        page = client.get("/day").text
        first = day_kept.the_plan(begun)
        load = next(one for one in first.blocks if one.kiln)
        heading = re.search(r'class="next-words">([^<]+)<', page)
        assert heading is not None
        assert load.start[11:16] in heading[1]
        assert f"{len(load.members)} piece" in heading[1]
        assert "piece by piece" in words(page)
        for path in ("/day/sheet.pdf", f"/day/sheet.pdf?day={load.day}"):
            told = client.get(path)
            assert told.content.startswith(b"%PDF")
            assert told.content == client.get(path).content, "the same day gives the same bytes"
        assert client.get("/day/sheet.pdf?day=1999-01-01").status_code == 422
        assert client.get("/day/take-home.pdf").status_code == 422, "nobody's piece is a student's"


def test_the_next_two_loads_are_drawn_to_scale(begun: Studio) -> None:
    with client_of(begun) as client:
        send(client, "/day", {"do": "plan"})
        plan = day_kept.the_plan(begun)
        page = client.get("/day").text
        loads = [one for one in plan.blocks if one.kiln][:2]
        assert page.count('<figure class="drawn">') == len(loads)
        for one in loads:
            assert one.start[11:16] in page
        told = words(page)
        assert "to scale" in told
        numbers = [plan.about(name)["number"] or name for one in loads for name in one.pieces]
        assert all(number in told for number in numbers)
        drawn = day_shelf.loads_drawn(begun, plan, loads, 92.0, "paper")
        for one, block in zip(drawn, loads, strict=True):
            assert sorted(name for _, name in one.places) == sorted(block.pieces)
        sure = words(client.get("/day").text)
        assert "of 10 such days" in sure
        assert "begun again at once" in sure, "with what is assumed"


def test_a_new_lot_is_tried_first_from_the_page(begun: Studio) -> None:
    with client_of(begun) as client:
        routes = day_waits.waits(begun).routes
        code = next(iter(routes.values())).coats[0][0]
        add_jar(begun, Jar.from_outside({"id": code, "name": "counter", "kind": "counter"}))
        open_lot(begun, code, "old", opened_on=begun.today())
        send(client, "/day", {"do": "plan"})
        lot = open_lot(begun, code, "brand new", opened_on=begun.today())
        page = words(client.get("/day").text)
        assert "The day went otherwise" in page
        assert f"tile of {code}, lot brand new" in page.replace("Tile", "tile")
        send(client, "/day", {"do": "again"})
        page = client.get("/day").text
        assert "New lots, tried first" in page
        assert "tile of" in words(page)
        assert "New lot, no tile yet" in words(client.get("/").text)
        piece = next(one.number for one in day_waits.waits(begun).pieces if one.number)
        assert "New lot, no tile yet" in words(client.get(f"/pieces/{piece}/colour").text)
        assert client.get("/day/sheet.pdf").content.startswith(b"%PDF")
        send(client, "/day", {"do": "tried", "lot": str(lot)})
        assert "New lots, tried first" not in client.get("/day").text
        send(client, "/day", {"do": "again"})
        assert "tile of" not in words(client.get("/day").text)
        newest = open_lot(begun, code, opened_on=begun.today())
        assert lots_of(begun, code)[0].label == f"{code} of {begun.today()}", "called as the others are"
        send(client, "/day", {"do": "again"})
        assert "Use the old lot" in client.get("/day").text
        send(client, "/day", {"do": "old lot", "lot": str(newest)})
        page = words(client.get("/day").text)
        assert "tile of" not in page
        assert "The day went otherwise" not in page, "nothing waits"
        assert lot_in_use(begun, jar_row(begun, code).id).label == "brand new"


def test_a_large_day_is_planned_beside_the_page(begun: Studio, monkeypatch: pytest.MonkeyPatch) -> None:
    """The first plan is there at once, with a search that can be watched and stopped; the better plan takes over."""
    for module in (day, day_search):
        monkeypatch.setattr(module, "LARGE", 10)
    with client_of(begun) as client:
        location = send(client, "/day", {"do": "plan"})
        assert "job=" in location
        first = day_kept.the_plan(begun)
        page = client.get(location).text
        assert "A first plan is there" in words(page)
        assert "<progress" in page
        assert "<progress" in client.get("/day").text, "also when the page is opened again"
        assert "Stop" in page
        row = int(re.findall(r"job=(\d+)", location)[0])
        asked = jobs.job(begun, row).asked
        better = {**asked, "data": {**asked["data"], "windows": 0, "tries": 40}}
        told = day_search._replace(begun, better, lambda share, said: True)
        jobs.claim(begun)
        jobs._end(begun, row, state="done", fraction=1.0, result=dict(told), words="")
        moved = client.get(f"/day?job={row}", headers={"HX-Request": "true"})
        assert moved.headers["HX-Redirect"] == f"/day?job={row}"
        page = words(client.get(f"/day?job={row}").text)
        if day_kept.the_plan(begun).row != first.row:
            assert "A better plan has taken its place" in page
            send(client, "/day", {"do": "before"})
            assert day_kept.the_plan(begun).row == first.row
        else:
            assert "No better plan was found" in page
        location = send(client, "/day", {"do": "again"})
        row = int(re.findall(r"job=(\d+)", location)[0])
        assert jobs.job(begun, row).kind == "ask", "after a disturbance a better order is offered, not put in its place"


def test_pins_without_scripts_and_a_plan_that_moved_on(begun: Studio) -> None:
    with client_of(begun) as client:
        send(client, "/day", {"do": "plan"})
        plan = day_kept.the_plan(begun)
        load = next(one for one in plan.blocks if one.kiln)
        told = {"do": "pin", "block": load.name, "time": "16:30", "plan": str(plan.row)}
        send(client, "/day", dict(told))
        moved = next(one for one in day_kept.the_plan(begun).blocks if load.name in one.members)
        assert moved.start[11:16] >= "16:30"
        assert "pinned: not before 16:30" in words(client.get("/day").text)
        again = client.post("/day", data={**told, "time": "18:00"})
        assert again.status_code == 409, "the plan that was shown is no longer the newest"
        assert client.post("/day", data={**told, "plan": "", "time": "late"}).status_code == 422
        send(client, "/day", {**told, "plan": "", "off": "yes"})
        assert not day_kept.the_plan(begun).pins
        send(client, "/day", {"do": "before"})
        assert day_kept.the_plan(begun).pins, "back to the plan before"
        assert client.post("/day", data={"do": "dance"}).status_code == 422


def test_a_longer_search_can_be_watched_stopped_and_taken(begun: Studio) -> None:
    with client_of(begun) as client:
        send(client, "/day", {"do": "plan"})
        answer = client.post("/day", data={"do": "longer search"})
        address = answer.headers["location"].partition("#")[0]
        assert "<progress" in client.get(address).text
        row = int(re.findall(r"job=(\d+)", address)[0])
        client.post("/day", data={"do": "stop", "job": str(row)})
        assert "stopped on request" in client.get(address).text
        assert client.post("/day", data={"do": "take job", "job": str(row)}).status_code == 422
        # the worker's own answer, without its process: a search without the exact model
        row = day_search.look_longer(begun)
        from enamelwright.questions.question import question
        from enamelwright.workshop.bench import bench

        asked = {**jobs.job(begun, row).asked["data"], "windows": 0, "tries": 2}
        told = question("day").ask(asked, bench(begun)).to_json()
        jobs.claim(begun)
        jobs._end(begun, row, state="done", fraction=1.0, result=told, words="")
        assert "Take this plan" in client.get(f"/day?job={row}").text
        send(client, "/day", {"do": "take job", "job": str(row)})
        assert not day.stand(begun, day_kept.the_plan(begun)).otherwise


def test_hours_hands_and_chores(client: TestClient, studio: Studio, pendant: str) -> None:
    told = {"do": "set", "hours": "18:30-21:30", "work": ["Mon", "Thu"], "people": "K", "laying_places": "3"}
    send(client, "/day/hours", dict(told))
    kept = day_habits.habits(studio)
    assert (kept.hours, kept.people, kept.laying_places) == (("18:30-21:30",), ("K",), 3)
    assert set(kept.rest) == {"Tue", "Wed", "Fri", "Sat", "Sun"}
    send(client, "/day/hours", {"do": "chore", "label": "wash <blue>", "hand": "20", "drying": "2 h"})
    assert "wash &lt;blue&gt;, 20 min, then 120 min to dry" in client.get("/day/hours").text
    send(client, "/day/hours", {"do": "away", "who": "K", "start": "2026-03-02T18:00", "end": "2026-03-02T19:00"})
    assert day_habits.habits(studio).away[0].who == "K"
    send(client, "/day/hours", {"do": "back", "which": "0"})
    send(client, "/day/hours", {"do": "drop chore", "label": "wash <blue>"})
    assert not day_habits.habits(studio).chores
    for bad in ({"hours": ""}, {"hours": "soon"}, {"do": "chore", "label": "x", "hand": "blue"}):
        assert client.post("/day/hours", data={**told, **bad}).status_code == 422


def test_a_class_is_begun_in_one_form(client: TestClient, studio: Studio, pendant: str) -> None:
    from enamelwright.workshop.people import people
    from enamelwright.workshop.pieces import pieces_in_work

    design = next(str(one.id) for one in designs(studio) if one.name == pendant)
    send(client, "/pieces/new", {"design": design, "count": "1", "owners": "A, B"})
    labels = {one.id: (one.label, one.role) for one in people(studio)}
    assert [labels[one.owner] for one in pieces_in_work(studio)] == [("A", "student"), ("B", "student")]


def test_a_guest_is_not_shown_the_day() -> None:
    from enamelwright.web.page import PAGES

    assert next(one for one in PAGES if one.path == "/day").private


def test_a_day_disturbed_twice_and_a_class_in_the_browser(studio: Studio, begun: Studio, browser: Browser) -> None:
    """Plan, a piece is lost and a rush order comes, a load goes in late; then an evening with six students."""
    trouble: list[str] = []
    with served(begun) as address:
        page = browser.new_page(viewport={"width": 1024, "height": 768})
        page.on("console", lambda said: trouble.append(said.text) if said.type == "error" else None)
        page.on("pageerror", lambda error: trouble.append(str(error)))
        page.goto(f"{address}/day")
        leave(page, page.get_by_role("button", name="Plan the day"))
        page.get_by_role("heading", name=re.compile("Next in")).wait_for()
        before = day_kept.the_plan(begun)

        # dragging a bar fills in the form of its load; the button pins it
        load = next(one for one in before.blocks if one.kiln and one.day == before.blocks[0].day)
        bar = page.locator(f'.bars .wide [data-pin="{load.name}"]')
        bar.scroll_into_view_if_needed()
        box = bar.bounding_box()
        assert box is not None
        page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        page.mouse.down()
        page.mouse.move(box["x"] + box["width"] / 2 + 60, box["y"] + 2, steps=4)
        page.mouse.up()
        form = page.locator(f'form.pin[data-block="{load.name}"]')
        assert form.locator("input[name=time]").input_value() > load.start[11:16]
        leave(page, form.get_by_role("button", name="Pin"))
        page.get_by_text("Planned again with what is pinned.").wait_for()
        assert day_kept.the_plan(begun).pins

        # the first disturbance: a piece is lost, a rush order comes in
        numbers = [about["number"] for about in before.content["pieces"].values() if about["number"]]
        finish_piece(begun, numbers[0], "lost")
        rush = take_order(begun, "rush", state="agreed", due_on=begun.today() + timedelta(days=3))
        pendant = next(about["design"] for about in before.content["pieces"].values())
        add_line(begun, rush.id, design=pendant, count=1)
        page.reload()
        page.get_by_role("heading", name="The day went otherwise").wait_for()
        assert numbers[0] in page.locator(".otherwise").inner_text()
        assert str(rush.number) in page.locator(".otherwise").inner_text()
        leave(page, page.locator(".otherwise").get_by_role("button", name="Plan again from here"))
        page.get_by_text("the rest keeps its order").first.wait_for()
        assert page.locator(".otherwise").count() == 0

        # the second: work takes longer
        page.locator(".loads details.acts summary").last.click()
        last = page.locator(".loads details.acts[open]")
        last.locator("input[name=minutes]").fill("20")
        leave(page, last.get_by_role("button", name="Minutes more"))
        page.get_by_text("the rest keeps its order").first.wait_for()
        page.close()

    there = studio.at(EVENING)
    for row in numbers[1:]:
        finish_piece(there, row)
    for label in "ABCDEF":
        start_pieces(there, 1, pendant, owner=person(there, label, "student"))
    day.plan_day(there)
    with served(there) as address:
        page = browser.new_page(viewport={"width": 390, "height": 844})
        page.on("pageerror", lambda error: trouble.append(str(error)))
        page.goto(f"{address}/day/class")
        board = page.locator("ol.board")
        assert "A" in board.inner_text()
        assert page.evaluate("document.scrollingElement.scrollWidth <= document.scrollingElement.clientWidth")

        # a sale where the bench machine does not answer waits on the telephone
        page.goto(f"{address}/finished")
        row = page.locator(f"#piece-{numbers[1]}")
        row.get_by_text("Sold?").click()
        row.locator("input[name=other]").fill("40 EUR")
        page.context.set_offline(True)
        row.get_by_role("button", name="Sold", exact=True).click()
        row.get_by_text("waits on this device").wait_for()
        assert piece_row(there, numbers[1]).place != "sold"
        page.context.set_offline(False)
        row.wait_for(state="detached")
        assert piece_row(there, numbers[1]).place == "sold"
        page.close()
    plan = day_kept.the_plan(there)
    first = next(one for one in plan.blocks if one.kiln and any(plan.about(name)["owner"] for name in one.pieces))
    with client_of(studio.at(day_kept.clock(first.start) + timedelta(minutes=1))) as client:
        numbers = [plan.about(name)["number"] for name in first.pieces]
        begin_load(studio.at(day_kept.clock(first.start)), [one for one in numbers if one])
        told = words(client.get("/day/class").text)
        assert "in the kiln" in told
        home = client.get("/day/take-home.pdf?owner=A")
        assert home.content.startswith(b"%PDF")
        assert len(client.get("/day/take-home.pdf").content) > len(home.content)
    assert not trouble
