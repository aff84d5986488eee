"""The day from the record: what waits, a plan kept, two disturbances, a class, and what is short."""

from __future__ import annotations

import json
import sys
from datetime import timedelta
from pathlib import Path

import pytest

from enamelwright.errors import InputError
from enamelwright.records.errors import Conflict
from enamelwright.workshop import day, day_habits, day_kept, day_progress, day_search, day_shelf, day_waits, jobs
from enamelwright.workshop.coats import lay_coat
from enamelwright.workshop.designs import keep_design
from enamelwright.workshop.loads import begin_load, close_load
from enamelwright.workshop.lots import open_lot, work_powder
from enamelwright.workshop.orders import add_line, take_order
from enamelwright.workshop.people import person
from enamelwright.workshop.pieces import finish_piece, start_pieces
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.worker import Worker, wait_for
from morning import MORNING, enamel


@pytest.fixture
def begun(studio: Studio, disc: Path) -> Studio:
    """Four discs begun, two of them ordered for Thursday, and three more ordered that nobody began."""
    keep_design(studio, disc)
    order = take_order(studio, "discs", state="agreed", due_on=MORNING.date() + timedelta(days=3))
    line = add_line(studio, order.id, design="Test disc", count=5)
    start_pieces(studio, 2, "Test disc")
    start_pieces(studio, 2, "Test disc", labels=("moon", "sun"), order_line=line)
    return studio


def later(studio: Studio, minutes: float) -> Studio:
    """The same studio so many minutes after the morning."""
    return studio.at(MORNING + timedelta(minutes=minutes))


def lay_and_fire(studio: Studio, pieces: list[str], jar: str, face: str, minutes: float) -> None:
    """Lay a coat on pieces and fire them at once; the load is out after three minutes."""
    for piece in pieces:
        lay_coat(later(studio, minutes - 1), piece, jar, face=face)
    load = begin_load(later(studio, minutes), pieces)
    close_load(later(studio, minutes + 3), load.load)


def test_what_waits_is_begun_and_ordered(begun: Studio) -> None:
    found = day_waits.waits(begun)
    assert len(found.pieces) == 7
    ordered = [one for one in found.pieces if not one.number]
    assert len(ordered) == 3
    assert {one.due for one in ordered} == {"2026-03-05"}
    assert [one.due for one in found.pieces][-1] == "", "what has no date comes last"
    assert {one.done for one in found.pieces} == {0}
    start_pieces(begun, 1)
    assert [why for _, why in day_waits.waits(begun).left_out] == ["it has no plan."]


def test_coats_and_firings_of_the_record_lie_behind_a_piece(begun: Studio) -> None:
    names = [one.name for one in day_waits.waits(begun).pieces if one.number]
    numbers = [name.split()[0] for name in names]
    lay_coat(begun, numbers[0], "J21", face="back")
    one = next(one for one in day_waits.waits(begun).pieces if one.number == numbers[0])
    assert one.steps[one.done].work == "fire"
    assert one.ready > day_progress.local(MORNING), "it dries"
    load = begin_load(later(begun, 5), [numbers[0]], kiln="small kiln")
    found = day_waits.waits(later(begun, 6))
    one = next(one for one in found.pieces if one.number == numbers[0])
    assert one.steps[one.done - 1].work == "fire"
    assert one.inside == load.number
    assert found.kilns["small kiln"] > day_progress.local(MORNING + timedelta(minutes=6))
    close_load(later(begun, 8), load.load)
    found = day_waits.waits(later(begun, 9))
    after = next(one for one in found.pieces if one.number == numbers[0])
    assert (after.done, after.inside, found.kilns) == (one.done, "", {})
    assert after.ready, "it cools"


def test_a_plan_is_kept_and_answers_what_goes_in_next(begun: Studio) -> None:
    plan = day.plan_day(begun)
    assert plan.answer["words"].startswith("Next in: ")
    assert plan.answer["above_least"]["value"] >= 0
    assert not plan.answer["late"]
    kept = day_kept.the_plan(begun)
    assert kept.blocks == plan.blocks
    told = {member for block in plan.blocks for member in block.members}
    steps = sum(len(one.steps) for one in day_waits.waits(begun).pieces)
    assert len(told) == steps, "every step once"
    assert not day.stand(begun, plan).otherwise
    single = next(one for one in plan.answer["compared"] if one["name"] == "piece by piece")
    assert single["work"]["value"] > plan.answer["work"]["value"]


def test_a_day_disturbed_twice_keeps_its_order(begun: Studio) -> None:
    """A delay, then a spoilt piece and a rush order; what has begun stays, few loads change."""
    plan = day.plan_day(begun)
    first = plan.blocks[0]
    there = later(begun, 2)
    again = day.takes_longer(there, first.name, 30)
    assert first.name in {block.name for block in again.past}
    ends = day_kept.clock(next(one.end for one in again.past if one.name == first.name))
    assert all(day_kept.clock(one.start) >= ends for one in again.blocks), "the one pair of hands is busy so long"
    before = {frozenset(one.pieces) for one in plan.blocks if one.kiln}
    after = {frozenset(one.pieces) for one in again.blocks if one.kiln}
    assert before == after, "the same pieces share their loads"

    numbers = [name.split()[0] for name, about in again.content["pieces"].items() if about["number"]]
    finish_piece(there, numbers[0], "spoilt")
    rush = take_order(there, "rush", state="agreed", due_on=MORNING.date() + timedelta(days=1))
    add_line(there, rush.id, design="Test disc", count=1)
    now = later(begun, 60)
    stand = day.stand(now, again)
    assert stand.otherwise
    assert [name.split()[0] for name in stand.gone] == [numbers[0]]
    assert {name.split()[0] for name in stand.new} == {"2026-C001", rush.number}, "what was spoilt is owed again"
    third = day.replan_day(now)
    assert not day.stand(now, third).otherwise
    names = {name for block in third.blocks for name in block.pieces}
    assert not any(name.startswith(numbers[0]) for name in names)
    assert any(name.startswith(rush.number) for name in names)
    assert day_kept.plan_before(now) is not None
    assert day_kept.the_plan(now).content == again.content, "Undo goes back to the plan before"


def test_steps_without_a_trace_stay_done(begun: Studio) -> None:
    plan = day.plan_day(begun)
    now = later(begun, 45)
    again = day.replan_day(now)
    over = [
        one for one in plan.blocks if day_kept.clock(one.end) <= now.clock() and one.work.startswith(("cut", "scour"))
    ]
    assert over
    assert not {one.name for one in over} & {m for block in again.blocks for m in block.members}
    third = day.replan_day(later(begun, 46))
    assert not {one.name for one in over} & {m for block in third.blocks for m in block.members}


def test_a_load_that_did_not_go_in_is_behind(begun: Studio) -> None:
    plan = day.plan_day(begun)
    load = next(one for one in plan.blocks if one.kiln)
    late = begun.at(day_kept.clock(load.start) + timedelta(minutes=20))
    assert load.name in {one.name for one in day.stand(late, plan).behind}
    again = day.replan_day(late)
    assert load.name in {m for block in again.blocks for m in block.members}
    assert all(day_kept.clock(one.start) >= late.clock() - timedelta(minutes=1) for one in again.blocks)


def test_a_piece_begun_takes_the_place_it_was_ordered_for(begun: Studio) -> None:
    plan = day.plan_day(begun)
    line = next(one.line for one in day_waits.waits(begun).pieces if not one.number)
    started = start_pieces(begun, 1, "Test disc", order_line=line)[0]
    assert not day.stand(begun, plan).otherwise
    again = day.replan_day(begun)
    assert any(str(started.number) in name for block in again.blocks for name in block.pieces)
    assert len(again.blocks) == len(plan.blocks)


def test_pins_and_ticks(begun: Studio) -> None:
    plan = day.plan_day(begun)
    load = next(one for one in plan.blocks if one.kiln)
    pinned = day.pin(begun, load.name, "15:00", plan.row)
    moved = next(one for one in pinned.blocks if load.name in one.members)
    assert moved.start >= f"{load.day}T15:00"
    with pytest.raises(Conflict):
        day.pin(begun, load.name, "16:00", plan.row)
    free = day.pin(begun, load.name, "")
    assert not free.pins
    for text in ("soon", "25:00"):
        with pytest.raises(InputError):
            day.pin(begun, load.name, text)
    first = free.blocks[0]
    ticked = day.tick(begun, first.name)
    assert first.name not in {m for block in ticked.blocks for m in block.members}
    assert first.name not in {m for block in day.replan_day(begun).blocks for m in block.members}
    with pytest.raises(InputError):
        day.tick(begun, first.name)


def test_a_class_keeps_pieces_to_their_owners(studio: Studio, disc: Path) -> None:
    keep_design(studio, disc)
    for label in ("A", "B", "C"):
        start_pieces(studio, 1, "Test disc", owner=person(studio, label, "student"))
    day_habits.set_habits(studio, day_habits.DayHabits(hours=("18:30-21:30",), laying_places=2))
    plan = day.plan_day(studio)
    owners = {name: about["owner"] for name, about in plan.content["pieces"].items()}
    assert set(owners.values()) == {"A", "B", "C"}
    for block in plan.blocks:
        if block.kiln:
            assert block.who == ("M",), "who teaches fires"
        else:
            assert block.who == (owners[block.pieces[0]],)
    assert any(len({owners[name] for name in block.pieces}) == 3 for block in plan.blocks if block.kiln)


def test_chores_are_planned_and_ticked_off_for_good(begun: Studio) -> None:
    chore = {"label": "wash the white", "hand": "20 min", "drying": "2 h"}
    day_habits.set_habits(begun, day_habits.DayHabits.from_outside({"chores": [chore]}))
    plan = day.plan_day(begun)
    block = next(one for one in plan.blocks if one.pieces == ("wash the white",))
    day.tick(begun, block.name)
    assert not day_habits.habits(begun).chores
    assert not day.stand(begun, day_kept.the_plan(begun)).otherwise


def test_a_new_lot_is_tried_on_a_tile_before_the_pieces(begun: Studio) -> None:
    """Opening a second lot is enough; the tile goes when it was tested, or when the lot has come out of the kiln."""
    day.plan_day(begun)
    lot = open_lot(begun, "J04", "B", grams="50 g", opened_on=MORNING.date())
    found = day_waits.waits(begun)
    tile = next(one for one in found.pieces if one.is_tile)
    assert tile.name == "tile of J04, lot B"
    assert all(one.after == (tile.name,) for one in found.pieces if not one.is_tile)
    assert day.stand(begun, day_kept.the_plan(begun)).new == (tile.name,), "the day went otherwise by itself"
    plan = day.plan_day(begun)
    out = max(block.end for block in plan.blocks if block.kiln and tile.name in block.pieces)
    laid = [block for block in plan.blocks if block.work.startswith("sift") and block.pieces != (tile.name,)]
    assert laid
    assert min(block.start for block in laid) >= out, "nothing is laid before the tile is out"
    assert any(block.start < out for block in plan.blocks if tile.name not in block.pieces), "but other work goes on"
    assert not day.stand(begun, plan).otherwise

    over = begun.at(day_kept.clock(out) + timedelta(minutes=30))
    stand = day.stand(over, plan)
    assert tile.name not in {name for one in stand.behind for name in one.pieces}, "its time is over, so it is done"
    again = day.replan_day(over)
    assert not any(block.kiln and tile.name in block.pieces for block in again.blocks), "done stays done"
    load = next(block for block in plan.blocks if block.kiln and tile.name in block.pieces)
    assert day_shelf.loads_drawn(over, plan, [load], 90.0, "paper")[0].svg
    work_powder(over, lot, "tested")
    assert not any(one.is_tile or one.after for one in day_waits.waits(over).pieces)
    (drawn,) = day_shelf.loads_drawn(over, plan, [load], 90.0, "paper")
    assert (drawn.svg, drawn.words.partition(".")[0]) == ("", "a tile in it was tried meanwhile")


def test_a_lot_that_came_out_of_the_kiln_needs_no_tile(begun: Studio) -> None:
    open_lot(begun, "J21", "B", opened_on=MORNING.date())
    numbers = [one.number for one in day_waits.waits(begun).pieces if one.number]
    assert [one.name for one in day_waits.waits(begun).pieces if one.is_tile] == ["tile of J21, lot B"]
    lay_and_fire(begun, numbers[:1], "J21", "back", 10)
    later_on = later(begun, 20)
    assert not any(one.is_tile for one in day_waits.waits(later_on).pieces)
    open_lot(later_on, "J04", "C", opened_on=MORNING.date())
    done = next(one for one in day_waits.waits(later_on).pieces if one.number == numbers[0])
    assert done.after == ("tile of J04, lot C",)


def test_bad_habits_are_refused(studio: Studio) -> None:
    for bad in ({"hours": ["9-12"]}, {"hours": ["09:00-12:00", "11:00-13:00"]}, {"days_off": ["never"]},
                {"rest": ["Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun"]}):  # fmt: skip
        with pytest.raises(InputError):
            day_habits.set_habits(studio, day_habits.DayHabits.from_outside(bad))
    with pytest.raises(InputError):
        day.plan_day(studio)
    with pytest.raises(InputError):
        day.replan_day(studio)


def test_a_longer_search_is_a_job_of_its_own_process(begun: Studio) -> None:
    day.plan_day(begun)
    row = day_search.look_longer(begun)
    asked = jobs.job(begun, row).asked
    assert asked["name"] == "day"
    assert asked["data"]["windows"] > 0
    with pytest.raises(InputError):
        day_search.take_job(begun, row)
    jobs.stop(begun, row)
    assert jobs.job(begun, row).state == "stopped"


def test_a_large_day_has_a_plan_at_once_and_a_better_one_from_the_worker(
    begun: Studio, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The real worker, a process of its own, with the real exact solver; nothing of it in this process."""
    for name, value in {"LARGE": 30, "TRIES": 4, "FEWEST_STRETCHES": 1, "MOST_STRETCHES": 1}.items():
        monkeypatch.setattr(day_search, name, value)
    first = day.plan_day(begun, 0)
    assert day_search.is_large(first)
    assert first.blocks, "the rules of thumb alone give a plan"
    row = day_search.look_longer(begun, replaces=True)
    solver_was_here = "ortools" in sys.modules
    worker = Worker(begun)
    worker.wake()
    try:
        assert wait_for(begun, row, 600)
    finally:
        worker.close()
    done = jobs.job(begun, row)
    assert done.state == "done", done.words
    assert "up to 1 stretches of it were worked over by the exact model" in done.result["because"]
    assert ("ortools" in sys.modules) == solver_was_here
    kept = day_kept.the_plan(begun)
    # the worker lives in its own time: both orders were timed from its moment before one took the place of the other
    told = done.result["payload"], done.result["was"]
    found, was = ((len(one["late"]), sum(each["by"]["value"] for each in one["late"]), one["work"]["value"], one["loads"])
                  for one in told)  # fmt: skip
    assert (kept.row != first.row) == (found < was), "only a better one takes its place"
    if kept.row != first.row:
        assert kept.answer["work"]["value"] == done.result["payload"]["work"]["value"]
    steps = sorted(member for block in kept.blocks for member in block.members)
    assert len(steps) == len(set(steps)), "every step once"
    assert set(steps) <= {member for block in first.blocks for member in block.members}


def test_what_the_worker_found_does_not_run_over_a_plan_made_meanwhile(begun: Studio) -> None:
    first = day.plan_day(begun, 0)
    row = day_search.look_longer(begun, replaces=True)
    asked = jobs.job(begun, row).asked
    load = next(one for one in first.blocks if one.kiln)
    mine = day.pin(begun, load.name, "15:00", first.row)
    little = {**asked, "data": {**asked["data"], "windows": 0, "tries": 2}}
    told = day_search._replace(begun, little, lambda share, words: True)
    assert "kept" not in told
    assert day_kept.the_plan(begun).row == mine.row
    stopped = day_search._replace(begun, {**little, "plan": mine.row}, lambda share, words: False)
    assert "kept" not in stopped, "what was stopped keeps nothing"
    assert day_kept.the_plan(begun).row == mine.row


def test_shortages_count_what_is_only_ordered(begun: Studio) -> None:
    from enamelwright.workshop.lots import lot_row, take_stock

    plan = day.plan_day(begun)
    assert day.short_of(begun, plan) == ()
    take_stock(begun, {int(lot_row(begun, "A", "J21").id): "1 g"})
    assert [line.split(":")[0] for line in day.short_of(begun, plan)] == ["J21"]


def test_the_day_on_the_command_line(disc: Path, tmp_path: Path) -> None:
    """Plan, show, pin, plan again and print, each as its own command."""
    from typer.testing import CliRunner

    from enamelwright.cli.main import app
    from enamelwright.records.home import Home

    home = tmp_path / "home"
    opened = Studio.open(Home(home))
    with opened.writing():
        from enamelwright.workshop.jars import add_jar

        add_jar(opened, enamel("J21", "counter", "counter", "mixed"))
        add_jar(opened, enamel("J04", "white, base"))
    keep_design(opened, disc)
    start_pieces(opened, 2, "Test disc")
    opened.close()

    def said(*words: str) -> str:
        done = CliRunner().invoke(app, ["day", *words, "--home", str(home)])
        assert done.exit_code == 0, done.exception
        return done.stdout

    assert "Next in: " in said("plan")
    rows = json.loads(said("show", "--json"))
    load = next(row for row in rows if "°C" in row["what"])
    assert "Next in: " in said("pin", load["called"], "23:00")
    assert "Next in: " in said("replan")
    said("sheet", str(tmp_path / "day.pdf"))
    first = (tmp_path / "day.pdf").read_bytes()
    said("sheet", str(tmp_path / "day.pdf"))
    assert (tmp_path / "day.pdf").read_bytes() == first, "the same day gives the same bytes"
    assert b"/MarkInfo" in first or b"StructTreeRoot" in first, "tagged"
