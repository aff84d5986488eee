"""Today goes by the plan of the day that is kept, and never says otherwise than the page of the day."""

from __future__ import annotations

import re
from datetime import datetime, time, timedelta

import pytest
from starlette.testclient import TestClient

from enamelwright.workshop import day, day_habits, day_kept
from enamelwright.workshop.coats import lay_coat
from enamelwright.workshop.designs import designs
from enamelwright.workshop.orders import add_line, take_order
from enamelwright.workshop.pieces import finish_piece, start_pieces
from enamelwright.workshop.studio import Studio
from record_forms import words

#: A working morning.
MORNING = datetime.combine(datetime.now().astimezone().date(), time(9)).astimezone()
_HEAD = re.compile(r'class="next-words">(.*?)</h2>', re.DOTALL)


@pytest.fixture
def morning(client: TestClient, studio: Studio) -> Studio:
    """Two pendants begun and two more ordered for today, at nine in the morning; every day is a working day."""
    day_habits.set_habits(studio, day_habits.DayHabits(rest=(), hours=("09:00-12:30", "13:00-21:00")))
    there = studio.at(MORNING)
    pendant = next(str(one.name) for one in designs(there) if "pendant" in str(one.name))
    order = take_order(there, "two pendants", state="agreed", due_on=there.today() - timedelta(days=1))
    add_line(there, order.id, design=pendant, count=2)
    first, second = start_pieces(there, 2, pendant)
    lay_coat(there.telling(MORNING - timedelta(minutes=20)), second.id, face="back")
    lay_coat(there.telling(MORNING - timedelta(minutes=40)), first.id, face="back")
    client.app.state.studio = there  # type: ignore[attr-defined]
    return there


def test_today_says_what_the_day_says(client: TestClient, morning: Studio) -> None:
    assert "Next in:" not in words(client.get("/").text), "nothing is planned"
    plan = day.plan_day(morning, 0)
    today, the_day = client.get("/").text, client.get("/day").text
    told = [words(_HEAD.findall(page)[0]) for page in (today, the_day)]
    assert told[0] == told[1]
    assert told[0].startswith("Next in: ")
    assert '<a href="/day">' in _HEAD.findall(today)[0]
    by_plan = words(today.partition("Next to fire</h2>")[2].partition("<h2>")[0])
    loads = day.stand(morning, plan).loads
    for load in loads[:2]:
        assert load.start[11:16] in by_plan
        assert all(name in by_plan for name in load.pieces)
    assert by_plan.index(loads[0].start[11:16]) < by_plan.index(loads[0].pieces[0])


def test_what_waits_stands_in_the_order_of_the_plan(client: TestClient, morning: Studio) -> None:
    """The plan holds, not what was laid first; what it does not know comes after."""
    plan = day.plan_day(morning, 0)
    waits = sorted(name for name, about in plan.content["pieces"].items() if about["number"])
    turned = [one.to_json() for one in plan.blocks]
    for row in turned:
        if row[6] and waits[0] in row[4]:  # the first of them goes in an hour after the other
            row[0], row[1] = (
                (datetime.fromisoformat(moment) + timedelta(hours=1)).isoformat(timespec="minutes") for moment in row[:2]
            )  # fmt: skip
            row[4], row[5] = [waits[0]], [one for one in row[5] if one.startswith(waits[0])]
    day_kept.change(morning, plan, blocks=[
        *turned,
        *(one.to_json() for block in plan.blocks if block.kiln
          for one in block.of(m for m in block.members if not m.startswith(waits[0])) if waits[0] in block.pieces),
    ])  # fmt: skip
    page = client.get("/").text
    listed = page.partition("Laid, waiting for the kiln</h2>")[2].partition("<h2>")[0]
    assert listed.index(f"/pieces/{waits[1][:8]}") < listed.index(f"/pieces/{waits[0][:8]}")
    assert words(listed).count("by the plan in at") == 2


def test_a_due_line_says_how_late_the_plan_is(client: TestClient, morning: Studio) -> None:
    late = re.compile(r"by the plan late by (\d+(?:\.\d)? (?:min|h|days))")
    due = client.get("/").text.partition("<h2>Due</h2>")[2].partition("<h2>")[0]
    assert not late.search(words(due))
    plan = day.plan_day(morning, 0)
    by = max(one["by"]["value"] for one in plan.answer["late"])
    due = client.get("/").text.partition("<h2>Due</h2>")[2].partition("<h2>")[0]
    said = late.search(words(due))
    assert said is not None
    number, unit = said[1].split()
    assert float(number) * {"min": 60, "h": 3600, "days": 86400}[unit] == pytest.approx(by, rel=0.25)


def test_an_order_far_off_is_due_when_the_plan_is_late_with_it(client: TestClient, morning: Studio) -> None:
    far = take_order(morning, "far away", state="agreed", due_on=morning.today() + timedelta(days=60))
    add_line(morning, far.id, design=designs(morning)[0].name)
    plan = day.plan_day(morning, 0)
    assert "far away" not in words(client.get("/").text)
    name = next(name for name, about in plan.content["pieces"].items() if about["order"] == far.number)
    late = [*plan.answer["late"], {"piece": name, "by": {"value": 7200.0}, "whatever_is_done": False}]
    day_kept.change(morning, plan, answer={**plan.answer, "late": late})
    assert "far away, by the plan late by 2 h" in words(client.get("/").text)


def test_a_plan_the_record_has_left_behind_is_said_so(client: TestClient, morning: Studio) -> None:
    day.plan_day(morning, 0)
    assert "The day went otherwise" not in words(client.get("/").text)
    start_pieces(morning, 1, designs(morning)[0].name)
    assert "The day went otherwise" in words(client.get("/").text)


def test_a_plan_that_has_run_out_heads_nothing(client: TestClient, morning: Studio) -> None:
    """An old plan with nothing left in it does not say that there is nothing to fire."""
    plan = day.plan_day(morning, 0)
    for name, about in plan.content["pieces"].items():
        if about["number"]:
            finish_piece(morning, name[:8])
    day_kept.change(morning, plan, blocks=[])
    later = morning.at(MORNING + timedelta(days=30))
    start_pieces(later, 1, metal="copper")
    client.app.state.studio = later  # type: ignore[attr-defined]
    assert "Nothing more to fire" not in words(client.get("/").text)


def test_words_that_belong_together_do_not_break(client: TestClient, morning: Studio) -> None:
    waits = start_pieces(morning, 1, designs(morning)[0].name)[0]
    lay_coat(morning.telling(MORNING - timedelta(days=40)), waits.id, face="front")
    page = client.get("/?wait=1").text
    assert re.search(r'<span class="whole">laid \d+ \w+ \d{4}</span>', page)
    assert re.search(r'<span class="whole">[\d:]+ to [\d:]+[^<]*</span>', page)
