"""Strips in the terminal: started as such, and their bows told with the sign they have."""

from __future__ import annotations

from pathlib import Path

import pytest
from terminal import Bench


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    made = Bench(tmp_path)
    made.says("kiln", "keep", "front-loader", "--inside", "240x190x150")
    return made


def test_a_strip_is_started_as_one(bench: Bench) -> None:
    bench.says("piece", "start", "--kind", "strip", "--label", "W-01", "--metal", "copper", "--thickness", "0.8 mm",
               "--weight", "5.2")  # fmt: skip
    assert "strip" in bench.says("piece", "show", "W-01")
    code, _, complaint = bench.run("piece", "start", "--kind", "moon", "--label", "W-02")
    assert code != 0
    assert "'moon' is no kind" in complaint


def test_a_hollow_front_is_told_with_its_minus(bench: Bench) -> None:
    """`-0.12 mm` was taken for an option that does not exist."""
    bench.says("piece", "start", "--kind", "strip", "--label", "W-01")
    bench.says("piece", "measure", "W-01", "bow", "-0.12 mm", "--over", "50 mm")
    assert "bow, -0.12 mm, over 50 mm" in bench.says("piece", "show", "W-01")
    bench.says("piece", "measure", "W-01", "bow", "-.1mm", "--over", "50 mm")
    assert "bow, -.1mm" in bench.says("piece", "show", "W-01")
    code, _, _ = bench.run("piece", "measure", "W-01", "bow", "0.1 mm", "--ovr", "50 mm")
    assert code != 0, "an option that does not exist is still refused"
