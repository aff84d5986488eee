"""One piece from a first idea to its cards, and on from the middle, as a maker would do it at the command line."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

HEAD = """
name = "Winter disc"
technique = "sift_opaque"
[metal]
kind = "copper"
thickness = "20 gauge (B&S)"
[outline]
shape = "circle"
diameter = "38 mm"
"""
FRONT = """
[[coats]]
face = "front"
jar = "lead_free_opaque_titania_medium"
powder_depth_mm = 0.5
[[coats]]
face = "front"
jar = "lead_free_opaque_titania_medium"
powder_depth_mm = 0.3
"""
BACK = """
[[coats]]
face = "back"
jar = "lead_free_opaque_titania_medium"
powder_depth_mm = 0.7
"""


def plan(folder: Path, text: str, *more: str) -> dict[str, Any]:
    """Plan a piece file through the command line and return the payload."""
    path = folder / "piece.toml"
    path.write_text(text, encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "enamelwright", "plan", str(path), "--json", *more],
        capture_output=True, text=True, timeout=300, check=False,
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    payload: dict[str, Any] = json.loads(done.stdout)["payload"]
    return payload


def levels(payload: dict[str, Any]) -> dict[str, str]:
    """Return rule -> level of what still asks for a decision."""
    return {v["rule"]: v["level"] for v in payload["verdicts"] if v["level"] != "good" and not v["intended"]}


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return one bench folder for the whole story."""
    return tmp_path_factory.mktemp("bench")


def test_without_a_back_the_plan_says_stop_and_with_it_the_way_is_free(folder: Path) -> None:
    bare = plan(folder, HEAD + FRONT)
    assert levels(bare)["COUNTER-NEED"] == "stop"
    backed = plan(folder, HEAD + BACK + FRONT)
    assert "stop" not in levels(backed).values()
    assert len(backed["firings"]) == len(bare["firings"]) + 1

    def last_bow(payload: dict[str, Any]) -> float:
        bow = payload["flatness"]["states"][-1]["bow"]
        return max(abs(bow["low"]), abs(bow["high"]))

    assert last_bow(backed) < last_bow(bare)


def test_the_cards_repeat_byte_for_byte(folder: Path) -> None:
    first, second = folder / "first", folder / "second"
    for out in (first, second):
        plan(folder, HEAD + BACK + FRONT, "--cards", str(out))
    papers = sorted(path.name for path in first.iterdir())
    assert len(papers) == 2
    for name in papers:
        assert (first / name).read_bytes() == (second / name).read_bytes()


def test_a_plan_goes_on_from_the_piece_as_it_is(folder: Path) -> None:
    whole = plan(folder, HEAD + BACK + FRONT)
    half = HEAD + (BACK + FRONT).replace("powder_depth_mm = 0.7", "powder_depth_mm = 0.7\nfired = true")
    rest = plan(folder, half)
    assert len(rest["firings"]) == len(whole["firings"]) - 1
    assert all(0 not in firing["fuses"] for firing in rest["firings"])
    assert 0 in rest["firings"][0]["reheats"]
    assert len(rest["totals"]) == 1
    assert rest["totals"][0]["grams"]["value"] < whole["totals"][0]["grams"]["value"]


def test_a_warning_can_be_meant(folder: Path) -> None:
    meant = plan(folder, HEAD + FRONT + '\n[[intended]]\nrule = "COUNTER-NEED"\nnote = "a saucer on purpose"\n')
    marked = {v["rule"]: v["intended"] for v in meant["verdicts"]}
    assert marked["COUNTER-NEED"] == "a saucer on purpose"
    assert "COUNTER-NEED" not in levels(meant)
