"""A maker's session in the terminal: from a new jar to a closed firing, what differs, and putting it right."""

from __future__ import annotations

import os
import subprocess
import sys

import pytest
from terminal import Bench

DISC = """
name = "Winter disc"
technique = "sift_opaque"
[metal]
kind = "copper"
thickness = "18 gauge (B&S)"
[outline]
shape = "circle"
diameter_mm = 25
[[coats]]
face = "back"
jar = "N21"
powder_depth_mm = 0.5
[[coats]]
face = "front"
jar = "N04"
powder_depth_mm = 0.4
"""
DAY = """time;piece;set;seconds;stage;from;face;jar;grams
10:00;W-03;785;150;op;load;b;N21;0.41
10:20;W-04;";";";";";";0.43
10:40;+hook;";2:00;g;";f;;
"""


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    """One studio for the whole story; its steps build on each other and run in order."""
    made = Bench(tmp_path_factory.mktemp("studio"))
    (made.home / "disc.toml").write_text(DISC, encoding="utf-8")
    return made


def shelf_and_kiln(bench: Bench) -> None:
    bench.says("kiln", "keep", "front-loader", "--inside", "240x190x150", "--power", "1.8kW")
    said = bench.says("jar", "add", "N21", "counter", "--kind", "counter", "--grams", "200", "--lot", "A")
    assert "safety data sheet" in said  # lead and cadmium are not known of it
    bench.says(
        "jar", "add", "N04", "white, base", "--kind", "opaque", "--family", "white", "--lead", "no", "--cadmium", "no",
        "--maturity", "790C", "--grams", "100", "--lot", "W7",
    )  # fmt: skip
    bench.says("jar", "fact", "N04", "fusing.maturity", "786 C", "--from", "measured")
    assert "786 °C" in bench.says("jar", "show", "N04")
    assert {row["code"]: row["left"] for row in bench.tells("stock")} == {"N04": "100 g", "N21": "200 g"}
    assert bench.says("jar", "add", "N04", "again", "--kind", "opaque", code=2).count("\n") == 1


def design_and_pieces(bench: Bench) -> None:
    assert "version 1" in bench.says("design", "keep", str(bench.home / "disc.toml"))
    assert "already" in bench.says("design", "keep", str(bench.home / "disc.toml"))
    labels = [word for n in range(1, 5) for word in ("--label", f"W-{n:02d}")]
    said = bench.says("piece", "start", "Winter disc", *labels, "--batch", "winter", "--at", "2026-03-02 08:00")
    assert said.startswith("2026-001 W-01; 2026-002 W-02")
    assert "Winter disc" in bench.says("design", "plan", "Winter disc")
    assert [row["versions"] for row in bench.tells("design", "list")] == [1]


def coat_load_look_close(bench: Bench) -> None:
    said = bench.says(
        "coat", "W-01", "N21", "--face", "back", "--coat", "1", "--before", "4.50", "--after", "4.92", "--dried", "8",
        "--method", "sift", "--at", "2026-03-02 08:30",
    )  # fmt: skip
    assert "0.42 g on the piece" in said
    said = bench.says(
        "load", "begin", "W-01", "--set", "785C", "--from", "load", "--support", "trivet", "--face-up", "back", "--target",
        "orange peel", "--at", "2026-03-02 09:00",
    )  # fmt: skip
    assert "2026-F001" in said
    assert "Foretold: orange peel" in said
    assert bench.tells("open")["loads"][0]["pieces"] == ["2026-001"]
    bench.says("load", "look", "2026-F001", "--seconds", "90", "--stage", "sugar")
    bench.says("load", "close", "2026-F001", "--seconds", "150", "--stage", "orange peel")
    assert bench.tells("open")["loads"] == []
    assert "orange peel" in bench.says("load", "show", "2026-F001")


def one_line_and_what_differs(bench: Bench) -> None:
    bench.says(
        "coat", "W-02", "N21", "--face", "back", "--coat", "1", "--grams", "0.30", "--dried", "2", "--at",
        "2026-03-02 09:30",
    )  # fmt: skip
    told = bench.tells("differs", "W-02")
    assert told["good_piece"] == "2026-001"
    assert {one["what"] for one in told["differs"]} >= {"weight of N21 on the back", "drying of N21 on the back"}
    said = bench.says(
        "fired", "W-02", "--set", "785C", "--seconds", "150", "--stage", "sugar", "--from", "load", "--at",
        "2026-03-02 10:00",
    )  # fmt: skip
    assert "2026-F002 is closed: 2026-002, sugar" in said
    said = bench.says("fired", "--new", "blue scrap", "--set", "1450F", "--seconds", "2min", "--stage", "gloss")
    assert "2026-005 has no plan; the firing is kept with its number." in said
    bench.says("piece", "fault", "W-02", "flaking", "--when", "next days")
    assert "flaking" in bench.says("piece", "show", "W-02")


def putting_it_right_keeps_what_stood_there(bench: Bench) -> None:
    assert "reason" in bench.says("correct", "load", "2026-F002", "seconds=160s", code=2)
    bench.says("correct", "load", "2026-F002", "seconds=160s", "--why", "read the wrong clock")
    said = bench.says("history", "load", "2026-F002")
    assert "150 s -> 160 s" in said
    assert "read the wrong clock" in said
    assert "160s" in bench.says("piece", "show", "2026-002")


def a_paper_day_is_looked_at_and_then_written(bench: Bench) -> None:
    file = bench.home / "day.csv"
    file.write_text(DAY, encoding="utf-8")
    assert "Loads understood: 3; write it" in bench.says("paper-day", str(file), "--day", "2026-03-03")
    assert bench.tells("find", "2026-03-03") == []  # looked at, not written
    assert "2026-F004 to 2026-F006" in bench.says("paper-day", str(file), "--day", "2026-03-03", "--write")
    assert "already" in bench.says("paper-day", str(file), "--day", "2026-03-03", "--write", code=2)
    assert [row["name"] for row in bench.tells("find", "2026-03-03") if row["what"] == "load"] == [
        "2026-F006", "2026-F005", "2026-F004",
    ]  # fmt: skip


def traced_counted_and_found(bench: Bench) -> None:
    touched = bench.tells("lot", "trace", "N21")
    assert [row["label"] for row in touched] == ["W-01", "W-02", "W-03", "W-04"]
    bench.says("stock", "count", "N21=190")
    assert next(row["left"] for row in bench.tells("stock") if row["code"] == "N21") == "190 g"
    assert [row["name"] for row in bench.tells("find", "--colour", "white") if row["what"] == "jar"] == ["N04"]
    assert "Nothing was found" in bench.says("find", "xyzzy")


def what_cannot_be_used_is_one_sentence(bench: Bench) -> None:
    for words in (
        ("fired", "W-09", "--set", "785C"),
        ("fired", "W-01", "--set", "hot"),
        ("coat", "W-01", "N99"),
        ("fired",),
        ("load", "show", "2026-F099"),
        ("correct", "dream", "1", "a=b", "--why", "x"),
        ("find",),
        ("paper-day", str(bench.home / "nothing.csv")),
    ):
        code, _, complaint = bench.run(*words)
        assert code in (1, 2), words
        assert complaint.startswith("enamelwright: "), (words, complaint)
        assert complaint.count("\n") == 1, (words, complaint)


def the_real_command_reads_a_grid_from_its_input(bench: Bench) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "enamelwright", "paper-day", "--day", "2026-03-04"],
        input="piece;set;stage\nW-01;790;gloss\n", capture_output=True, text=True, timeout=300, check=False,
        env={**os.environ, **bench.env},
    )  # fmt: skip
    assert done.returncode == 0, done.stderr
    assert "Loads understood: 1; write it with --write." in done.stdout


def test_the_session_from_a_new_jar_to_a_closed_firing(bench: Bench) -> None:
    """One test, since every step stands on the one before and test processes share out the others."""
    for step in (
        shelf_and_kiln,
        design_and_pieces,
        coat_load_look_close,
        one_line_and_what_differs,
        putting_it_right_keeps_what_stood_there,
        a_paper_day_is_looked_at_and_then_written,
        traced_counted_and_found,
        what_cannot_be_used_is_one_sentence,
        the_real_command_reads_a_grid_from_its_input,
    ):
        step(bench)
