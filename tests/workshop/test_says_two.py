"""Firings that say two things are asked back at every door, and what stands in the record all the same teaches nothing."""

from __future__ import annotations

from pathlib import Path

import pytest
from typer.testing import CliRunner

from enamelwright.cli.main import app
from enamelwright.craft.kiln import Kiln
from enamelwright.records.home import Home
from enamelwright.workshop.at_kiln import came_out
from enamelwright.workshop.designs import keep_design
from enamelwright.workshop.firing_records import stage_records
from enamelwright.workshop.firings import load_row, looks_of, open_loads
from enamelwright.workshop.history import correct
from enamelwright.workshop.kilns import keep_kiln
from enamelwright.workshop.loads import begin_load, close_load, fired, look_in
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.says_two import (
    RANK,
    TWO_THINGS,
    AskedBack,
    Look,
    Outcome,
    ask_look,
    looks_at,
    says_two,
    says_two_of,
    two_things,
)  # fmt: skip
from enamelwright.workshop.studio import Studio


@pytest.mark.parametrize(
    ("told", "looks", "says"),
    [
        (Outcome(180, "gloss", 260), (), "first gloss at 260 s, but out after 180 s"),
        (Outcome(199, "gloss", 400), (), "first gloss at 400 s"),
        (Outcome(180, "orange peel", 150), (), "came out at orange peel"),
        (Outcome(180, "gloss", None), (Look(60, "gloss"), Look(120, "powder")), "gloss at 60 s, and then powder"),
        (Outcome(180, "sugar", None), (Look(60, "gloss"),), "gloss at 60 s, but it came out at sugar"),
        (Outcome(180, "gloss", None), (Look(260, "gloss"),), "seen in the kiln at 260 s"),
        # What any firing may say.
        (Outcome(180, "gloss", 180.6), (), ""),  # two readings of one clock of whole seconds
        (Outcome(180, "over-fired", 120), (Look(60, "sugar"), Look(120, "gloss")), ""),
        (Outcome(180, "gloss", 120), (Look(150, "cleared"), Look(160, "gloss")), ""),  # clear glass is glossy glass
        (Outcome(None, "sugar", None), (), ""),
        (Outcome(180, "", None), (Look(90, "gloss"), Look(90, "sugar")), ""),  # two pieces at one look
    ],
)
def test_what_cannot_both_be(told: Outcome, looks: tuple[Look, ...], says: str) -> None:
    found = two_things(told, looks)
    assert (says in found) if says else not found


def test_stages_are_those_of_the_record() -> None:
    from enamelwright.records.schema.loads import STAGES

    assert tuple(sorted(STAGES, key=lambda one: RANK[one])) == STAGES
    assert set(RANK) == set(STAGES)


def test_of_several_pieces_a_look_may_be_at_any() -> None:
    looks = [Look(60, "gloss"), Look(90, "sugar", 2)]
    assert looks_at(looks, 2, 2, own_stage=False) == [looks[1]]
    assert looks_at(looks, 1, 2, own_stage=True) == []
    assert looks_at(looks, 1, 2, own_stage=False) == [looks[0]]
    assert looks_at(looks, 2, 1, own_stage=True) == looks


@pytest.fixture
def load(studio: Studio, disc: Path) -> str:
    """The number of a load that came out well: 199 s, first gloss at 180."""
    keep_design(studio, disc)
    start_pieces(studio, 1, "Test disc")
    done = fired(studio, [1], set_point="790 C", seconds="199 s", stage_seen="gloss", to_gloss="180 s", start="load")
    return done.number


def test_a_correction_into_two_things_is_asked_back(studio: Studio, load: str) -> None:
    with pytest.raises(AskedBack, match="first gloss at 400 s, but out after 199 s"):
        correct(studio, "load", load, "misread", gloss="400")
    assert load_row(studio, load).to_gloss == 180  # nothing was written
    correct(studio, "load", load, "misread", words="a bit dark")
    correct(studio, "load", load, "misread", really=True, gloss="400")
    assert load_row(studio, load).to_gloss == 400
    assert "400 s" in says_two_of(studio, load)
    # Meant or not: nobody learns from it until it is put right.
    records, left_out = stage_records(studio)
    assert (records, left_out) == ([], {TWO_THINGS: 1})
    assert [one.number for one in says_two(studio)] == [load]
    correct(studio, "load", load, "misread", gloss="180")
    assert len(stage_records(studio)[0]) == 1
    assert says_two(studio) == ()


def test_a_look_into_the_past_is_asked_back_and_a_corrected_one_too(studio: Studio, load: str) -> None:
    ask_look(studio, load, "60 s", "sugar")
    look_in(studio, load, seconds="60 s", stage_seen="gloss")
    with pytest.raises(AskedBack, match="gloss at 60 s, and then powder at 120 s"):
        ask_look(studio, load, "120 s", "powder")
    ask_look(studio, load, "120 s", "powder", really=True)
    (seen,) = looks_of(studio, load)
    look_in(studio, load, seconds="120 s", stage_seen="gloss")
    with pytest.raises(AskedBack, match="seen in the kiln at 300 s"):
        correct(studio, "look", seen.of, "misread", seconds="300 s")
    correct(studio, "look", seen.of, "misread", seconds="70 s")
    # Looks that stand already and go backwards teach nothing.
    look_in(studio, load, seconds="130 s", stage_seen="powder")
    assert stage_records(studio)[1] == {TWO_THINGS: 1}


def test_one_piece_that_stayed_behind_says_one_thing(studio: Studio, disc: Path) -> None:
    keep_design(studio, disc)
    start_pieces(studio, 2, "Test disc")
    begun = begin_load(studio, [1, 2], set_point="790 C", start="load")
    close_load(
        studio, begun.load, seconds="199 s", stage_seen="gloss", to_gloss="180 s", each={2: {"stage_seen": "sugar"}}
    )
    assert says_two(studio) == ()
    records, left_out = stage_records(studio)
    assert not left_out
    # The first gloss was the other's.
    assert {(one.stage, one.to_gloss) for one in records} == {("gloss", 180), ("sugar", None)}
    # Each is a record of its own, and both are of one load.
    assert len({one.record for one in records}) == 2
    assert {one.load for one in records} == {begun.load}
    with pytest.raises(AskedBack):
        correct(studio, "load_piece", 2, "misread", to_gloss="250 s")


def test_how_a_load_came_out_is_asked_back_at_the_kiln(studio: Studio, load: str) -> None:
    def told(**more: object) -> None:
        came_out(studio, load, whole={"to_gloss": "260 s"}, each={}, faults={}, mishaps={}, **more)  # type: ignore[arg-type]

    with pytest.raises(AskedBack):
        told()
    assert load_row(studio, load).to_gloss == 180
    told(really=True)
    assert load_row(studio, load).to_gloss == 260


@pytest.fixture
def folder(tmp_path: Path) -> str:
    made = Home(tmp_path / "home")
    opened = Studio.open(made)
    keep_kiln(opened, Kiln(name="small kiln"))
    opened.close()
    return str(made.folder)


def run(home: str, *words: str) -> tuple[int, str]:
    """One command of the terminal: how it ended, and what it said."""
    done = CliRunner().invoke(app, [*words, "--home", home])
    said = f"{done.output} {done.exception or ''}"
    return done.exit_code, " ".join(said.split())


def test_the_terminal_asks_back(folder: str) -> None:
    two = ("--seconds", "180", "--stage", "gloss", "--to-gloss", "260")
    code, said = run(folder, "fired", "--new", "scrap", *two)
    assert code
    assert "first gloss at 260 s, but out after 180 s" in said
    assert "--really" in said
    opened = Studio.open(Home(Path(folder)))
    assert not open_loads(opened)
    assert says_two(opened) == ()
    opened.close()
    assert run(folder, "fired", "--new", "scrap", *two, "--really")[0] == 0
    code, said = run(folder, "learned", "kilns")
    assert "2026" in said or "says two things" in said
    assert run(folder, "load", "begin", "scrap")[0] == 0
    number = next(word for word in run(folder, "open")[1].split() if "-F002" in word)
    assert run(folder, "load", "look", number, "--seconds", "60", "--stage", "gloss")[0] == 0
    code, said = run(folder, "load", "look", number, "--seconds", "120", "--stage", "powder")
    assert code
    assert "and then powder at 120 s" in said
    code, said = run(folder, "load", "close", number, "--seconds", "150", "--stage", "sugar")
    assert code
    assert "came out at sugar" in said
    assert run(folder, "load", "close", number, "--seconds", "150", "--stage", "gloss")[0] == 0
    code, said = run(folder, "correct", "load", number, "gloss=400", "--why", "misread")
    assert code
    assert "--really" in said
    assert run(folder, "correct", "load", number, "gloss=400", "--why", "misread", "--really")[0] == 0
