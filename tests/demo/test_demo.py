"""The demonstration as it lies in its database: the scripted story, the draws, the money, the labels."""

from __future__ import annotations

import os
import shutil
from datetime import date, datetime
from pathlib import Path
from statistics import mean
from typing import Any

import pytest
from sqlalchemy import select
from typer.testing import CliRunner

from enamelwright.cli.main import app
from enamelwright.demo.generator import build
from enamelwright.demo.place import build_demo, delete_demo, demo_home, is_demo
from enamelwright.demo.scorer import agreement, score, truths
from enamelwright.demo.script import firings, happenings, jars, pieces
from enamelwright.demo.world import World
from enamelwright.errors import InputError
from enamelwright.records.home import VARIABLE, Home
from enamelwright.records.kinds import tables
from enamelwright.records.schema.designs import saved_plan
from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.schema.loads import load_piece, prediction
from enamelwright.records.schema.orders import payment
from enamelwright.records.store import Store
from enamelwright.records.writing import current
from enamelwright.workshop import predictions, weighing_out
from enamelwright.workshop.baths import bath_entries, baths, containers
from enamelwright.workshop.coats import coats_on, coats_without_firing
from enamelwright.workshop.designs import designs, versions
from enamelwright.workshop.exposure import sifted
from enamelwright.workshop.faults import faults_of
from enamelwright.workshop.firings import firings_of, loads_between, open_loads
from enamelwright.workshop.jars import jars as jars_on_shelf
from enamelwright.workshop.kilns import anchors, kiln_events
from enamelwright.workshop.lots import levels
from enamelwright.workshop.measures import measures_of
from enamelwright.workshop.orders import order_row, paid
from enamelwright.workshop.pieces import piece_row
from enamelwright.workshop.settings import setting
from enamelwright.workshop.studio import Studio

EVERYTHING = ("", "9999")


def rows_of(studio: Studio, query: Any) -> list[Any]:
    """All rows of a query."""
    with studio.reading() as connection:
        return list(connection.execute(query))


def in_order(studio: Studio) -> list[Any]:
    """The loads, the first first."""
    return list(reversed(loads_between(studio, *EVERYTHING)))


# --- the story ------------------------------------------------------------------------------------


def test_108_loads_closed_with_numbers_in_order(studio: Studio) -> None:
    loads = in_order(studio)
    assert [load.number for load in loads] == [f"2026-F{n:03d}" for n in range(1, 109)]
    assert all(load.closed_at > load.at for load in loads)
    assert not open_loads(studio)


def test_scripted_outcomes_stand_in_the_record(studio: Studio) -> None:
    for load, row in zip(in_order(studio), firings(), strict=True):
        assert datetime.fromisoformat(load.at) == row.at.astimezone()
        assert load.set_point == pytest.approx(row.set_point + 273.15)
        assert (load.seconds, load.start, load.support) == (row.seconds, row.start, row.support)
        if row.stage:
            assert load.stage_seen == row.stage, row.firing
        if row.to_gloss is not None:
            assert load.to_gloss == row.to_gloss, row.firing
        if row.seen:
            assert row.seen in load.words
        if load.to_gloss is not None:
            assert load.to_gloss <= load.seconds


def test_pieces_have_the_firings_of_their_story(studio: Studio) -> None:
    told = {"A-01": 4, "A-11": 5, "A-12": 5, "PC": 10, "PD": 10, "PB2": 13, "K1": 2, "K11": 3, "TL-01": 1, "TL-05": 0}
    assert {label: len(firings_of(studio, label)) for label in told} == told
    states = {label: piece_row(studio, label).state for label in pieces()}
    assert states == {label: piece.state for label, piece in pieces().items()}


def test_what_stands_on_the_bench_is_begun_planned_and_not_fired(studio: Studio) -> None:
    """Two with a coat laid and a third begun, so that the day, the kiln and the balance have something to show."""
    told = [label for one in happenings()["unfinished"] for label in one["labels"]]
    assert len(told) == 3
    assert not set(told) & set(pieces()), "the scripted rows stand as they were"
    rows = {label: piece_row(studio, label) for label in told}
    assert all((row.state, row.place, bool(row.invented)) == ("in work", "bench", True) for row in rows.values())
    assert all(row.design_version and not firings_of(studio, label) for label, row in rows.items())
    laid = {label: [coat.coat for coat in coats_on(studio, label)] for label in told}
    assert sorted(map(len, laid.values())) == [0, 1, 1]
    waiting = {piece for one in weighing_out.waiting(studio) for piece in one.labels}
    assert set(told) <= waiting
    assert {one.piece for one in coats_without_firing(studio)} == {rows[label].id for label in told if laid[label]}


def test_the_front_heavy_disc(studio: Studio) -> None:
    laid = {coat.face: coat for coat in coats_on(studio, "A-12")[:2]}
    assert laid["back"].on_piece == pytest.approx(0.20e-3, abs=0.011e-3)
    assert laid["front"].on_piece == pytest.approx(0.33e-3, abs=0.011e-3)
    first_bow = measures_of(studio, "A-12", "bow")[0]
    assert first_bow.length == pytest.approx(0.04e-3, abs=0.006e-3)
    others = [measures_of(studio, f"A-{n:02d}", "bow")[0].length for n in range(1, 11)]
    assert max(others) < 0 < first_bow.length
    fault = faults_of(studio, "A-12")[0]
    assert (fault.fault, fault.when_seen, fault.healed) == ("hairline", "next days", True)


def test_the_failed_body_has_lead_below_lead_free(studio: Studio) -> None:
    codes = {row.id: row.code for row in jars_on_shelf(studio)}
    front = [codes[coat.jar] for coat in coats_on(studio, "PB1") if coat.face == "front"]
    assert front[-3:] == ["J16", "J14", "J03"]
    assert [fault.fault for fault in faults_of(studio, "PB1")][-2:] == ["wirecrack", "wirecrack"]
    remade = [codes[coat.jar] for coat in coats_on(studio, "PB2") if coat.face == "front"]
    assert remade[-1] == "J16"
    assert "J16" not in remade[:-1]


def test_control_tiles_tell_the_drift_and_the_step(studio: Studio) -> None:
    """Every stage says gloss; only the seconds fall, and come back when the probe is pushed in."""
    seconds = [firings_of(studio, f"CT-{n:02d}")[-1] for n in range(1, 10)]
    assert {load.stage_seen for load in seconds} == {"gloss"}
    told = [load.to_gloss for load in seconds]
    assert told[:8] == sorted(told[:8], reverse=True)
    limit = mean(told[:3]) - 20.0
    assert [n for n, one in enumerate(told, 1) if one < limit] == [6, 7, 8]
    assert told[8] > limit
    step = [event for event in kiln_events(studio) if event.new_epoch]
    assert len(step) == 1
    assert datetime.fromisoformat(step[0].at).astimezone().date() == date(2026, 4, 23)
    assert not anchors(studio), "nothing that gives the offset away"


def test_the_queue_shows_on_the_display_before_the_load(studio: Studio) -> None:
    loads = in_order(studio)
    spaced, queued = loads[:3], loads[3:6]
    assert all(load.shown_at_load == load.set_point for load in spaced)
    assert all(load.set_point - load.shown_at_load > 5 for load in queued)
    assert all(load.idle_before == pytest.approx(5, abs=1) for load in queued)


def test_the_record_agrees_with_the_hidden_law(studio: Studio) -> None:
    """About one stage in twenty is read as a neighbour; doors drop 60 to 75 K; seconds are read to 4 s."""
    found = agreement(studio)
    assert found.loads == 108
    assert found.same + found.neighbours == found.loads
    assert found.same / found.loads > 0.9
    assert found.gloss_error < 6.0


def test_sifting_loss_falls(studio: Studio) -> None:
    def loss(first: str, last: str) -> float:
        coats = [
            coat
            for label in pieces()
            for coat in coats_on(studio, label)
            if coat.weighed_out and coat.on_piece and coat.method == "sift" and first <= coat.at < last
        ]
        return 1.0 - sum(c.on_piece for c in coats) / sum(c.weighed_out for c in coats)

    assert loss("2026-03-01", "2026-03-07") == pytest.approx(0.175, abs=0.015)
    assert loss("2026-04-02", "2026-05-01") == pytest.approx(0.11, abs=0.02)


# --- what the product says of the plans -----------------------------------------------------------


def test_the_product_stops_the_plans_that_the_story_says_it_stops(studio: Studio) -> None:
    """Lead and cadmium before a class, lead under lead-free, a lump in a shallow recess; a bare back is watched."""
    verdicts: dict[tuple[str, int], set[tuple[str, str]]] = {}
    for design in designs(studio):
        for version in versions(studio, design.name):
            plan = rows_of(studio, current(saved_plan).where(saved_plan.c.design_version == version.of))[0]
            verdicts[design.name, version.number] = {
                (one["rule"], one["level"]) for one in plan.answer["payload"]["verdicts"] if one["rule"]
            }
    assert ("CLASS-PBCD", "stop") in verdicts["Class square", 1]
    assert not any(rule == "CLASS-PBCD" for rule, _ in verdicts["Class square", 2])
    assert ("ORD-LEAD", "stop") in verdicts["Lantern pendant", 1]
    assert not any(rule == "ORD-LEAD" for rule, _ in verdicts["Lantern pendant", 2])
    assert ("LUMP-RECESS", "stop") in verdicts["Reedbed brooch", 1]
    assert not any(level == "stop" for _, level in verdicts["Reedbed brooch", 2])
    assert ("COUNTER-BARE-HI", "watch") in verdicts["Reedbed brooch", 2]
    assert not any(level == "stop" for _, level in verdicts["Ripple stud", 1] | verdicts["Heron plaque", 1])


def test_predictions_were_frozen_before_the_outcome(studio: Studio) -> None:
    frozen = rows_of(studio, current(prediction))
    loads = {load.of: load for load in in_order(studio)}
    assert len(frozen) > 100
    for one in frozen:
        assert one.asked["told"] == "before the outcome"
        assert one.recorded_at <= loads[one.load].at < loads[one.load].closed_at
        assert one.figures["firing"]["number"] == one.firing


# --- stock, waste, dust, money --------------------------------------------------------------------


def test_stock_goes_down_by_what_was_weighed_out_and_never_below_nothing(studio: Studio) -> None:
    left = levels(studio)
    assert len(left) == len(jars()) + 1
    assert all(level.grams is not None and level.grams >= 0 for level in left)
    white = next(level for level in left if level.code == "J04")
    used = sum(coat.weighed_out for label in pieces() for coat in coats_on(studio, label) if coat.weighed_out
               and coat.jar == white.jar)  # fmt: skip
    assert white.grams == pytest.approx(0.610 - used, rel=0.03)
    orange = [level for level in left if level.code == "J13"]
    assert len(orange) == 2


def test_pickle_and_waste(studio: Studio) -> None:
    bath = baths(studio, closed=True)[0]
    what = [entry.what for entry in bath_entries(studio, bath.id)]
    assert (what.count("dip"), what.count("spill"), what.count("drawn off")) == (31, 2, 1)
    assert bath.closed_on == "2026-04-09"
    assert containers(studio)[0].mass == pytest.approx(6e-3)


def test_the_scrap_blend_is_counted_where_it_was_sifted(studio: Studio) -> None:
    scrap = next(row.id for row in jars_on_shelf(studio) if row.code == "J06")
    days = {coat.at[:10] for label in pieces() for coat in coats_on(studio, label) if coat.jar == scrap}
    assert len(days) == 1
    mine = [one for one in sifted(studio, *EVERYTHING) if one.jar == scrap]
    assert sum(one.grams for one in mine) > 4e-3


def test_money(studio: Studio) -> None:
    """460 with 40 % deposit; five pairs at 38 and one at 20; eight evenings of four students at 25."""
    rows = rows_of(studio, current(payment))
    by_kind: dict[str, int] = {}
    for row in rows:
        by_kind[row.kind] = by_kind.get(row.kind, 0) + row.minor
    assert by_kind == {"deposit": 18400, "balance": 27600, "sale": 21000, "class": 80000}
    assert 18400 == 0.4 * 46000
    order = order_row(studio, "2026-C001")
    assert (order.state, paid(studio, order.id)) == ("collected", 46000)
    assert piece_row(studio, "PB2").place == "sold"


# --- invented, apart, and gone in one step --------------------------------------------------------


def test_everything_with_a_place_for_it_is_marked_invented(studio: Studio) -> None:
    assert setting(studio, "invented") == happenings()["label"]
    for table in tables("kept"):
        if "invented" in table.c:
            rows = rows_of(studio, select(table))
            assert rows
            assert all(row.invented for row in rows), table.name
    assert all(row.described["synthetic"] for row in jars_on_shelf(studio))


def test_commands_say_so_on_an_invented_record(demo_folder: Path) -> None:
    done = CliRunner().invoke(app, ["find", "A-12", "--home", str(demo_folder)])
    assert done.exit_code == 0
    assert "Invented demonstration data" in done.stderr
    assert "A-12" in done.stdout


def test_every_table_a_maker_writes_is_written(studio: Studio) -> None:
    """What a demonstration has no story for is named here."""
    no_story = {"anchor", "draft", "job", "look", "jar_fact", "photo", "posterior", "snapshot_taken", "device"}
    empty = {table.name for table in tables() if not rows_of(studio, select(table).limit(1))}
    assert empty <= no_story


@pytest.fixture
def without_plans(monkeypatch: pytest.MonkeyPatch) -> None:
    """Plans take most of the time, and are the product's, not the script's."""

    def nothing(_studio: Studio, rows: list[Any], *_load: object) -> list[Any]:
        return [predictions.Foretold(row.id, None, 1, {}, None) for row in rows]

    class NoPlan:
        def to_json(self) -> dict[str, Any]:
            return {"engine": "none", "bench": "none"}

    monkeypatch.setattr("enamelwright.workshop.loads.foretell", nothing)
    monkeypatch.setattr("enamelwright.demo.shelf.plan_of", lambda *_: NoPlan())


@pytest.mark.usefixtures("without_plans")
def test_the_same_seed_makes_the_same_record_on_either_database(studio: Studio, store: Store) -> None:
    again = Studio(store)
    build(again)
    assert content(again) == content(studio)


@pytest.mark.usefixtures("without_plans")
def test_another_seed_changes_the_chances_and_not_the_script(studio: Studio, tmp_path: Path) -> None:
    other = Studio.open(Home(tmp_path))
    try:
        build(other, seed=7)
        pairs = list(zip(in_order(other), in_order(studio), strict=True))
        assert any(one.shown_lowest != two.shown_lowest for one, two in pairs)
        script = ("number", "at", "set_point", "seconds", "start")
        for one, two in pairs:
            assert all(getattr(one, name) == getattr(two, name) for name in script)
    finally:
        other.close()


def content(studio: Studio) -> dict[str, list[dict[str, Any]]]:
    """Every row of every table, without what a device or the plans, and what was learned beside them, put there."""
    left_out = {"prediction", "saved_plan", "device_entry", "posterior"}
    names = {"entry", "firing"}
    return {
        table.name: [
            {name: value for name, value in row._mapping.items() if name not in names}
            for row in rows_of(studio, select(table).order_by(*table.primary_key.columns))
        ]
        for table in tables()
        if table.name not in left_out
    }


def test_it_is_deleted_in_one_step_and_nothing_else_is(demo_folder: Path, tmp_path: Path) -> None:
    folder = tmp_path / "demo"
    shutil.copytree(demo_folder, folder)
    keepsake = tmp_path / "mine.txt"
    keepsake.write_text("mine")
    assert is_demo(demo_home(folder))
    done = CliRunner().invoke(app, ["demo", "--home", str(folder), "--delete"])
    assert done.exit_code == 0, done.output
    assert not folder.exists()
    assert keepsake.exists()


def test_a_studios_own_record_is_neither_written_over_nor_deleted(tmp_path: Path) -> None:
    home = Home(tmp_path / "studio")
    Studio.open(home).close()
    with pytest.raises(InputError, match="a studio's record is kept here"):
        build_demo(home)
    with pytest.raises(InputError, match="studio's own record"):
        delete_demo(home)
    assert home.database.exists()


def test_a_demonstration_is_not_built_twice(demo_folder: Path, tmp_path: Path) -> None:
    folder = tmp_path / "demo"
    shutil.copytree(demo_folder, folder)
    with pytest.raises(InputError, match="there already"):
        build_demo(demo_home(folder))


def test_it_lives_apart_even_when_the_studio_has_a_database_elsewhere(
    monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    monkeypatch.setitem(os.environ, VARIABLE, str(tmp_path))
    monkeypatch.setenv("ENAMELWRIGHT_DATABASE", "postgresql://nowhere/studio")
    home = demo_home()
    assert home.on_sqlite
    assert home.folder == tmp_path / "demo"
    with pytest.raises(InputError, match="no demonstration here"):
        delete_demo(home)


def test_a_build_that_fails_leaves_nothing(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    def fail(*_: object) -> None:
        raise InputError("stopped half way.")

    monkeypatch.setattr("enamelwright.demo.generator.plan_affairs", fail)
    folder = tmp_path / "demo"
    with pytest.raises(InputError, match="half way"):
        build_demo(demo_home(folder))
    assert not list(tmp_path.iterdir())


def test_a_folder_with_other_things_is_left_alone(tmp_path: Path) -> None:
    (tmp_path / "letter.txt").write_text("dear")
    with pytest.raises(InputError, match="other things"):
        build_demo(demo_home(tmp_path))
    assert [path.name for path in tmp_path.iterdir()] == ["letter.txt"]


def test_what_a_build_left_that_was_cut_short_is_no_hindrance(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    left = Home(tmp_path / "demo.making")
    Studio.open(left).close()
    left.photos.mkdir()
    monkeypatch.setattr("enamelwright.demo.generator.build", lambda studio, seed, _progress: World(studio, seed))
    build_demo(demo_home(tmp_path / "demo"))
    assert not (tmp_path / "demo" / left.photos.name).exists()
    assert [path.name for path in tmp_path.iterdir()] == ["demo"]


# --- the scorer -----------------------------------------------------------------------------------


def test_claims_are_scored_against_what_is_so() -> None:
    name = "kiln reads low on 2026-03-02 [K]"
    scored = score({name: 8.0})[0]
    assert (scored.true, scored.error) == (6.0, 2.0)
    assert truths()["step of the display on 2026-04-23 [K]"] == -15.0
    with pytest.raises(KeyError):
        score({"the weather": 1.0})


def test_loads_and_pieces_are_counted_once(studio: Studio) -> None:
    assert len(rows_of(studio, current(load_table))) == 108
    inside = rows_of(studio, current(load_piece))
    assert len(inside) == sum(len(row.pieces) for row in firings())
