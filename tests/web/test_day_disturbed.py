"""A day disturbed three times, told through the pages: somebody late, a kiln at fault, a piece that failed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection
from datetime import datetime, time, timedelta

from starlette.testclient import TestClient

from enamelwright.craft.kiln import Kiln
from enamelwright.web.app import create_app
from enamelwright.workshop import day_habits, day_kept
from enamelwright.workshop.coats import lay_coat
from enamelwright.workshop.designs import designs
from enamelwright.workshop.kilns import keep_kiln
from enamelwright.workshop.loads import begin_load, close_load
from enamelwright.workshop.orders import add_line, take_order
from enamelwright.workshop.pieces import finish_piece, start_pieces
from enamelwright.workshop.studio import Studio
from record_forms import send, words

MORNING = datetime.combine(datetime.now().astimezone().date(), time(9)).astimezone()
TODAY = MORNING.date().isoformat()


def at(hour: int, minute: int = 0) -> datetime:
    return MORNING.replace(hour=hour, minute=minute)


def page_at(studio: Studio, moment: datetime) -> TestClient:
    """Somebody at this machine at that moment."""
    made = TestClient(
        create_app(studio.at(moment)), base_url="http://localhost", headers={"Origin": "http://localhost"},
        follow_redirects=False,
    )  # fmt: skip
    made.app.state.worker.wake = lambda: None  # type: ignore[attr-defined]
    return made


def company(blocks: tuple[day_kept.Block, ...], but: Collection[str] = ()) -> Counter[frozenset[str]]:
    """Who shares a load with whom, some pieces left aside."""
    told = (frozenset(name for name in one.pieces if name not in but) for one in blocks if one.kiln)
    return Counter(one for one in told if one)


def sound(before: day_kept.KeptPlan, after: day_kept.KeptPlan, moment: datetime) -> None:
    """Nothing stands twice, the past is as it was, and nothing new is planned before this moment."""
    members = Counter(member for block in after.every for member in block.members)
    assert max(members.values()) == 1
    assert set(before.past) <= set(after.past), "what lay behind stays as it was"
    assert all(day_kept.clock(block.start) >= moment for block in after.blocks)


def test_a_day_disturbed_three_times(studio: Studio) -> None:
    pendant = next(str(one.name) for one in designs(studio) if "pendant" in str(one.name))
    for name in ("small", "large"):
        keep_kiln(studio, Kiln.from_outside({"name": name, "preset": "fibre small"}, "kiln"))
    there = studio.at(MORNING)
    day_habits.set_habits(there, day_habits.DayHabits(rest=(), people=("K", "L"), kilns=("small",)))
    order = take_order(there, "pendants", state="agreed", due_on=there.today() + timedelta(days=6))
    line = add_line(there, order.id, design=pendant, count=6)
    numbers = [str(one.number) for one in start_pieces(there, 6, pendant, order_line=line)]
    with page_at(studio, MORNING) as client:
        send(client, "/day", {"do": "plan"})
    first = day_kept.the_plan(there)
    assert {who for block in first.blocks for who in block.who} == {"K", "L"}

    # L comes at eleven: what K has begun stays, the same pieces share their loads
    with page_at(studio, at(9, 30)) as client:
        send(client, "/day/hours", {"do": "away", "who": "L", "start": f"{TODAY}T09:00", "end": f"{TODAY}T11:00"})
        send(client, "/day", {"do": "again"})
        assert "11:00" in words(client.get("/day/hours").text)
    second = day_kept.the_plan(there)
    sound(first, second, at(9, 30))
    late = [one for one in second.blocks if "L" in one.who]
    assert late
    assert all(day_kept.clock(one.start) >= at(11) for one in late)
    assert company(second.blocks) == company(first.blocks), "the order is kept, and moves along"

    # the kiln has a fault until two: nothing goes in before, the second kiln is not used unless it is told
    with page_at(studio, at(11, 30)) as client:
        send(client, "/day/hours", {"do": "away", "who": "small", "start": f"{TODAY}T11:30", "end": f"{TODAY}T14:00"})
        send(client, "/day", {"do": "again"})
    third = day_kept.the_plan(there)
    sound(second, third, at(11, 30))
    loads = [one for one in third.blocks if one.kiln]
    assert {one.kiln for one in loads} == {"small"}
    assert all(day_kept.clock(one.start) >= at(14) for one in loads)
    assert any(day_kept.clock(one.start) < at(14) for one in third.blocks), "the bench goes on"

    # the first load goes in and comes out; one piece of it is spoilt
    load = loads[0]
    when = day_kept.clock(load.start)
    inside = [str(third.about(name)["number"]) for name in load.pieces]
    for number in inside:
        lay_coat(studio.at(when - timedelta(minutes=20)), number, face="back")
    put = begin_load(studio.at(when), inside, kiln="small")
    close_load(studio.at(when + timedelta(minutes=3)), put.load)
    finish_piece(studio.at(when + timedelta(minutes=8)), inside[0], "spoilt")
    now = (when + timedelta(minutes=10)).replace(second=0, microsecond=0)
    with page_at(studio, now) as client:
        told = words(client.get("/day").text)
        assert "The day went otherwise" in told
        assert f"No longer there: {inside[0]}" in told
        assert "Start this first" in told, "what is spoilt is owed again"
        send(client, "/day", {"do": "again"})
        told = words(client.get("/day").text)
        assert "The day went otherwise" not in told
        assert client.get("/day/sheet.pdf").content.startswith(b"%PDF")
    fourth = day_kept.the_plan(there)
    sound(third, fourth, now)
    over = [one for one in fourth.past if one.kiln]
    assert [sorted(one.pieces) for one in over] == [sorted(load.pieces)], "the load is told as over, once"
    spoilt = next(name for name in load.pieces if name.startswith(inside[0]))
    assert not any(spoilt in one.pieces for one in fourth.blocks)
    fresh = {name for block in fourth.blocks for name in block.pieces} - set(third.content["pieces"])
    assert len(fresh) == 1, "one more of the order"
    before = company(tuple(one for one in third.blocks if one != load), {spoilt})
    assert company(fourth.blocks, fresh) == before, "all others keep their company"
    assert numbers[1] in " ".join(fourth.content["pieces"])
    with page_at(studio, now) as client:
        send(client, "/day", {"do": "before"})
        assert day_kept.the_plan(there).content == third.content, "and back"
