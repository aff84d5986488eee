"""Whoever uses the terminal alone goes by what the own firings taught, without any server."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from terminal import Bench

from enamelwright.records.home import Home
from enamelwright.workshop import relearning
from enamelwright.workshop.kept_learned import kept_clocks
from enamelwright.workshop.studio import Studio

EXAMPLE = Path(__file__).parents[2] / "examples" / "sifted-pendant.toml"
#: When each load came out, and after how many seconds its first gloss showed: slower than any table has it.
FIRINGS = (("2026-03-02 10:00", 260), ("2026-03-03 10:00", 270), ("2026-03-04 10:00", 265))


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    """A studio with a kiln and a design, told in the terminal."""
    made = Bench(tmp_path)
    made.says("kiln", "keep", "front-loader", "--inside", "240x190x150")
    made.says("design", "keep", str(EXAMPLE))
    return made


def fire(bench: Bench, label: str, at: str, to_gloss: int) -> str:
    """Fire one piece of the design and note when it glossed; returns the number of its load."""
    design = next(iter(bench.tells("design", "list")))["design"]
    bench.says("piece", "start", design, "--label", label, "--at", at)
    begun = re.search(r"\d{4}-F\d+", bench.says("load", "begin", label, "--at", at))
    assert begun is not None
    bench.says("load", "close", begun[0], "--seconds", str(to_gloss + 20), "--to-gloss", str(to_gloss),
               "--stage", "gloss")  # fmt: skip
    return begun[0]


def kept(bench: Bench) -> list[Any]:
    studio = Studio.open(Home(bench.home))
    try:
        return list(kept_clocks(studio))
    finally:
        studio.close()


def foretold(bench: Bench, label: str) -> Any:
    """What the terminal freezes of the next firing of a piece."""
    from sqlalchemy import select

    from enamelwright.records.schema.loads import prediction

    studio = Studio.open(Home(bench.home))
    try:
        with studio.reading() as connection:
            row = connection.execute(select(prediction).order_by(prediction.c.id.desc()).limit(1)).one()
            return row.figures["firing"]["window"]
    finally:
        studio.close()


def test_what_came_out_moves_the_next_window(bench: Bench) -> None:
    for n, (at, seconds) in enumerate(FIRINGS):
        fire(bench, f"P{n}", at, seconds)
    windows = foretold(bench, "P2")
    assert kept(bench), "the second load was foretold by the first"
    fire(bench, "P3", "2026-03-05 10:00", 262)
    after = foretold(bench, "P3")
    assert after["seconds"]["value"] != windows["seconds"]["value"]


def test_a_command_that_needs_no_bench_learns_nothing(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    fire(bench, "P0", *FIRINGS[0])
    times: list[int] = []
    monkeypatch.setattr(relearning, "catch_up", lambda _: times.append(1))
    bench.says("jar", "list")
    bench.says("open")
    assert not times


def test_a_load_taken_back_is_forgotten(bench: Bench) -> None:
    load = fire(bench, "P0", *FIRINGS[0])
    design = next(iter(bench.tells("design", "list")))["design"]
    bench.says("design", "plan", design)
    assert kept(bench)
    bench.says("correct", "load", load, "--withdraw", "--why", "it was another one")
    bench.says("design", "plan", design)
    assert not kept(bench)


def test_a_setting_put_right_afterwards_is_not_learned_from_as_it_was_foretold(bench: Bench) -> None:
    """A band told for 780 C says nothing of a piece that was really fired at 820 C."""
    load = fire(bench, "P0", *FIRINGS[0])
    fire(bench, "P1", *FIRINGS[1])
    assert "2 firings" in bench.says("learned", "kilns")
    bench.says("correct", "load", load, "set=820C", "--why", "it was another setting")
    said = bench.says("learned", "kilns")
    assert "1 left out: its setting was corrected after it was foretold" in said
    assert "2 firings" not in said
    assert "1 of 1" in bench.says("learned", "foretold") or "0 of 1" in bench.says("learned", "foretold")


def test_a_failure_is_said_once_and_the_command_goes_on(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    fire(bench, "P0", *FIRINGS[0])
    design = next(iter(bench.tells("design", "list")))["design"]

    def broken(_: Studio) -> Any:
        raise ValueError("done_sd is too large")

    monkeypatch.setattr(relearning, "learn", broken)
    code, out, complaint = bench.run("design", "plan", design)
    assert code == 0
    assert out
    assert complaint.count("Learning from the record has failed since") == 1
    assert "nothing was learned before" in complaint
    assert "has failed since" in bench.says("learned", "kilns", code=1)
