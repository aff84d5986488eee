"""An evening with students: which day the board shows, what is in, next and done, and what goes home on paper."""

from __future__ import annotations

import re
from datetime import datetime, time, timedelta

import pytest
from starlette.testclient import TestClient

from enamelwright.web.app import create_app
from enamelwright.workshop import day, day_habits, day_kept, day_papers
from enamelwright.workshop.designs import designs
from enamelwright.workshop.loads import begin_load, close_load
from enamelwright.workshop.people import person
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.studio import Studio
from record_forms import words

EVENING = datetime.combine(datetime.now().astimezone().date(), time(18, 30)).astimezone()


@pytest.fixture
def evening(studio: Studio) -> Studio:
    """Four students with a pendant each, from half past six to ten, three places to lay powder; the teacher alone
    has one too."""
    there = studio.at(EVENING)
    pendant = next(str(one.name) for one in designs(there) if "pendant" in str(one.name))
    day_habits.set_habits(there, day_habits.DayHabits(rest=(), hours=("18:30-22:00",), laying_places=3))
    for label in "ABCD":
        start_pieces(there, 1, pendant, owner=person(there, label, "student"))
    start_pieces(there, 1, pendant)
    day.plan_day(there, 0)
    return there


def client_at(studio: Studio, moment: datetime) -> TestClient:
    made = TestClient(
        create_app(studio.at(moment)), base_url="http://localhost", headers={"Origin": "http://localhost"},
        follow_redirects=False,
    )  # fmt: skip
    made.app.state.worker.wake = lambda: None  # type: ignore[attr-defined]
    return made


def turns(page: str) -> list[tuple[str, str]]:
    """State and owners of each load on the board, in order."""
    return re.findall(r'<li class="turn-(\w+)">.*?class="whose">([^<]+)<', page, re.DOTALL)


def test_the_board_follows_the_evening(evening: Studio) -> None:
    plan = day_kept.the_plan(evening)
    loads = [one for one in plan.blocks if one.kiln and one.day == EVENING.date().isoformat()
             and any(plan.about(name)["owner"] for name in one.pieces)]  # fmt: skip
    assert len(loads) > 1
    with client_at(evening, EVENING) as client:
        board = turns(client.get("/day/class").text)
        assert [state for state, _ in board] == ["next", *["queue"] * (len(loads) - 1)]
        assert {label for _, owners in board for label in owners.split(", ")} >= set("ABCD")
    first, start = loads[0], day_kept.clock(loads[0].start)
    numbers = [str(plan.about(name)["number"]) for name in first.pieces]
    put = begin_load(evening.at(start), numbers)
    with client_at(evening, start + timedelta(minutes=1)) as client:
        page = client.get("/day/class").text
        assert [state for state, _ in turns(page)][:2] == ["in", "next"]
        told = words(page)
        assert f"the last load of the class is out at {max(one.end for one in loads)[11:16]}" in told
        assert numbers[0] in told
        assert "went otherwise" not in told, "nobody writes down what students lay"
    close_load(evening.at(start + timedelta(minutes=4)), put.load)
    with client_at(evening, start + timedelta(minutes=6)) as client:
        day.replan_day(evening.at(start + timedelta(minutes=6)), 0)
        board = turns(client.get("/day/class").text)
        assert board[0][0] == "next"
        assert board[-1][0] == "out", "what is done stands last"


def test_the_teacher_s_own_coat_is_still_asked_for(evening: Studio) -> None:
    """What the workshop lays is written down; what is not is behind."""
    plan = day_kept.the_plan(evening)
    laid = [one for one in plan.blocks if "sift" in one.work and not plan.about(one.pieces[0])["owner"]]
    late = day_kept.clock(laid[0].end) + timedelta(minutes=10)
    behind = {name for one in day.stand(evening.at(late), plan).behind for name in one.pieces if not one.kiln}
    assert behind == set(laid[0].pieces)


def test_another_evening_can_be_chosen(evening: Studio) -> None:
    plan = day_kept.the_plan(evening)
    days = sorted({one.day for one in plan.blocks})
    assert len(days) > 1
    tomorrow = days[1]
    with client_at(evening, EVENING) as client:
        page = client.get(f"/day/class?day={tomorrow}").text
        assert len(turns(page)) == sum(bool(one.kiln) for one in plan.blocks if one.day == tomorrow)
        assert f"take-home.pdf?day={tomorrow}" in page
        for bad in ("1999-01-01", "soon", ""):
            assert turns(client.get(f"/day/class?day={bad}").text) == turns(client.get("/day/class").text)


def test_what_goes_home_says_how_it_stands(evening: Studio) -> None:
    plan = day_kept.the_plan(evening)
    ends = {
        name: max(one.day for one in plan.blocks if name in one.pieces and one.kiln) for name in plan.content["pieces"]
    }
    name = next(name for name, about in plan.content["pieces"].items() if about["owner"] == "A")
    route = plan.routes[int(plan.about(name)["version"])]
    assert route.steps[-1].work == "check", "it is looked at after a night"
    last = sorted({one.day for one in plan.blocks if name in one.pieces})
    (home,) = day_papers.take_home_of(evening, plan, last[-1], "A")
    (piece,) = home.pieces
    assert piece.stands.startswith("Out of our hands at ")
    (early,) = day_papers.take_home_of(evening, plan, last[0], "A")
    if ends[name] > last[0]:
        assert early.pieces[0].stands == "It stays here: there is more to do."
    night = [one for one in last if one >= ends[name] and one < last[-1]]
    for one in night:
        left = {day_papers._kind_of(route, m) for block in plan.blocks if block.day > one and name in block.pieces
                for m in block.members if day_kept.step_of(m)[0] == name}  # fmt: skip
        (told,) = day_papers.take_home_of(evening, plan, one, "A")
        assert told.pieces[0].stands.startswith("Out of our hands") == (left <= {"check"})
    with client_at(evening, EVENING) as client:
        assert client.get("/day/take-home.pdf?owner=nobody").status_code == 422
        assert client.get(f"/day/take-home.pdf?day={last[-1]}&owner=A").content.startswith(b"%PDF")


def test_the_hours_of_the_class_are_set(evening: Studio) -> None:
    with client_at(evening, EVENING) as client:
        told = {"entry": "1", "do": "set", "hours": "09:00-12:30, 18:00-21:00", "work": list(day_habits.WEEKDAYS)}
        lesson = {"class_from": "18:00", "class_until": "21:00", "class_day": ["Tue", "Thu"]}
        assert client.post("/day/hours", data=told | lesson).status_code == 303
        kept = day_habits.habits(evening)
        assert (kept.class_hours, kept.class_days) == ("18:00-21:00", ("Tue", "Thu"))
        page = client.get("/day/hours").text
        assert 'name="class_from" type="time" value="18:00"' in page
        assert 'name="class_day" value="Thu" checked' in page
        for n, bad in enumerate(({"class_from": "18:00"}, {"class_from": "14:00", "class_until": "15:00"})):
            assert client.post("/day/hours", data=told | bad | {"entry": f"bad {n}"}).status_code == 422
        assert client.post("/day/hours", data=told | {"entry": "2"}).status_code == 303
        assert day_habits.habits(evening).class_hours == ""


def test_a_plan_without_students_is_no_class(studio: Studio) -> None:
    there = studio.at(EVENING)
    day_habits.set_habits(there, day_habits.DayHabits(rest=(), hours=("18:30-22:00",)))
    start_pieces(there, 1, next(str(one.name) for one in designs(there) if "pendant" in str(one.name)))
    day.plan_day(there, 0)
    with client_at(there, EVENING) as client:
        page = client.get("/day/class").text
        assert not turns(page)
        assert "Nothing of a student is planned today." in words(page)
        assert "out at" not in words(page)
