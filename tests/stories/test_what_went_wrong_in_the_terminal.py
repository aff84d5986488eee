"""A fault and what was learned, in the terminal: written down, asked why, ways out, and an empty record that says so."""

from __future__ import annotations

import pytest
from terminal import Bench


@pytest.fixture
def bench(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    """A studio with a kiln, a jar and a piece that was fired before it was dry."""
    made = Bench(tmp_path_factory.mktemp("studio"))
    made.says("kiln", "keep", "front-loader", "--inside", "240x190x150")
    made.says("jar", "add", "N04", "white", "--kind", "opaque", "--family", "white", "--grams", "100", "--lot", "W7")
    made.says("piece", "start", "--label", "P-1", "--metal", "copper", "--at", "2026-03-02 08:00")
    return made


def test_an_empty_record_is_told_as_one(bench: Bench) -> None:
    assert "No firing has taught anything yet" in bench.says("learned", "kilns")
    assert "No control tile" in bench.says("learned", "control")
    assert "Nothing was foretold" in bench.says("learned", "foretold")
    assert "No fault is written down" in bench.says("learned", "faults")
    assert "no tile yet" in bench.says("learned", "tiles", "N04")
    code = bench.run("fault", "P-1")[0]
    assert code == 2
    assert "Say which with --fault" in bench.says("fault", "P-1", code=2)


def test_a_fault_is_asked_why(bench: Bench) -> None:
    said = bench.says("fault", "P-1", "--fault", "bubbles", "--when", "in the kiln", "--where", "all over")
    assert "bubbles" in said
    assert "What now:" in said
    assert "Refill" in said
    told = bench.tells("fault", "P-1", "--fault", "wirecrack")
    assert told["causes"]["payload"]["causes"][0]["standing"].startswith("first")
    assert told["ways"]["payload"]["may_wait"] is False
    own = bench.tells("fault", "P-1", "--fault", "it looks odd")
    assert own["causes"] is None
    assert "none is near" in own["unknown"]
    assert told["unknown"] == ""
    specks = bench.says("fault", "P-1", "--fault", "specks")
    assert "No fault is called 'specks' here; near are black specks" in specks
    assert "specks or colour bleed" in specks
    assert "What now:" in specks
    assert own["ways"]["payload"]["ways"]
    assert bench.run("fault", "P-1", "--fault", "bubbles", "--when", "some day")[0] == 2
