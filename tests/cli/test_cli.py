"""The command line as a maker meets it: text in 80 columns, JSON, exit codes, one sentence for trouble."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path

import pytest

EXAMPLES = Path(__file__).parents[2] / "examples"
DISC = """
name = "copper disc"
technique = "sift_opaque"
[metal]
kind = "copper"
thickness_mm = 1.0
[outline]
shape = "circle"
diameter_mm = 25
[[coats]]
face = "back"
jar = "lead_free_opaque_titania_medium"
powder_depth_mm = 0.5
[[coats]]
face = "front"
jar = "lead_free_opaque_titania_medium"
powder_depth_mm = 0.5
"""


def run(*arguments: str, stdin: str = "", cwd: Path | None = None) -> subprocess.CompletedProcess[str]:
    """Run the command in a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", "enamelwright", *arguments],
        input=stdin, capture_output=True, text=True, cwd=cwd, timeout=300, check=False,
    )  # fmt: skip


@pytest.fixture(scope="module")
def disc(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Write the copper disc once."""
    path = tmp_path_factory.mktemp("disc") / "disc.toml"
    path.write_text(DISC, encoding="utf-8")
    return path


def test_a_plan_reads_in_eighty_columns(disc: Path) -> None:
    done = run("plan", str(disc))
    assert done.returncode == 0, done.stderr
    assert max(len(line) for line in done.stdout.splitlines()) <= 80
    assert "\x1b" not in done.stdout
    for word in ("What to weigh", "Firings", "How it will lie", "Verdicts", "Take care", "°C", "°F", " g"):
        assert word in done.stdout


def test_all_gives_reasons_and_sources(disc: Path) -> None:
    done = run("plan", str(disc), "--all")
    assert "because" in done.stdout
    assert "Sources" in done.stdout
    assert max(len(line) for line in done.stdout.splitlines()) <= 80


def test_json_and_cards(disc: Path, tmp_path: Path) -> None:
    done = run("plan", str(disc), "--json", "--cards", str(tmp_path / "cards"))
    assert done.returncode == 0, done.stderr
    answer = json.loads(done.stdout)
    assert answer["payload"]["firings"]
    assert answer["payload"]["weights"][0]["to_weigh"]["unit"] == "kg"
    papers = sorted((tmp_path / "cards").glob("*.pdf"))
    assert len(papers) == 2
    assert all(paper.read_bytes().startswith(b"%PDF") for paper in papers)


def test_ask_speaks_json_both_ways() -> None:
    listed = run("ask", "--list")
    assert "grams" in listed.stdout
    done = run("ask", "grams", stdin='{"diameter_mm": 25, "powder_depth_mm": 0.5}')
    assert done.returncode == 0, done.stderr
    assert json.loads(done.stdout)["payload"]["on_piece"]["dimension"] == "mass"
    assert json.loads(run("ask", "grams", "--schema").stdout)["$defs"]


BAD = [
    (("plan", "nowhere.toml"), ""),
    (("ask", "grams"), "{"),
    (("ask", "grams"), "[]"),
    (("ask", "grams"), '{"diameter": 25}'),
    (("ask", "gramms"), "{}"),
    (("ask", "grams"), '{"a":' * 5000 + "1" + "}" * 5000),
    (("ask", "grams"), '{"diameter_mm": 1' + "0" * 5000 + "}"),
    (("ask", "grams"), '{"diameter_mm": 25, "powder_depth_mm": 0.5, "jar": "\\ud800\\u001b[31m"}'),
    (("plan", "a" * 5000), ""),
    (("gauge", "22 gauge"), ""),
    (("degrees", "hot"), ""),
    (("make", "nowhere"), ""),
]


@pytest.mark.parametrize(("arguments", "stdin"), BAD)
def test_bad_input_is_one_sentence_and_exit_code_two(arguments: tuple[str, ...], stdin: str, tmp_path: Path) -> None:
    done = run(*arguments, stdin=stdin, cwd=tmp_path)
    assert done.returncode == 2
    assert done.stdout == ""
    assert len(done.stderr.strip().splitlines()) == 1
    assert "Traceback" not in done.stderr
    assert list(tmp_path.iterdir()) == []


def test_a_bad_file_among_good_ones_is_named_and_the_rest_is_made(disc: Path, tmp_path: Path) -> None:
    folder = tmp_path / "pieces"
    folder.mkdir()
    (folder / "good.toml").write_text(DISC, encoding="utf-8")
    (folder / "bad.toml").write_text(
        DISC.replace('copper"', 'coper"', 1).replace('kind = "copper"', 'kind = "coper"'), encoding="utf-8"
    )
    done = run("make", str(folder), "--out", str(tmp_path / "out"))
    assert done.returncode == 2
    assert "bad.toml, metal.kind: there is no metal" in done.stderr
    assert (tmp_path / "out" / "good" / "plan.json").is_file()
    assert not (tmp_path / "out" / "bad").exists()


def test_nothing_is_left_half_written_when_the_folder_cannot_be_made(disc: Path, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    done = run("plan", str(disc), "--cards", str(tmp_path / "file" / "cards"))
    assert done.returncode == 2
    assert len(done.stderr.strip().splitlines()) == 1
    assert (tmp_path / "file").read_text(encoding="utf-8") == "in the way"


def test_quick_answers() -> None:
    assert "weigh out 0.3" in run("grams", "--diameter", "25 mm", "--powder", "0.5 mm").stdout
    assert "1.02" in run("gauge", "18 gauge (B&S)").stdout
    assert "788" in run("degrees", "1450 F").stdout
    assert run("fills", "1 mm").stdout.startswith("5 (4 to 6) fills")


def test_the_version_is_said() -> None:
    from enamelwright import __version__

    done = run("--version")
    assert (done.returncode, done.stdout.strip()) == (0, __version__)


def test_a_full_output_is_one_sentence() -> None:
    """/dev/full is Linux's disk without room."""
    with Path("/dev/full").open("w") as full:
        done = subprocess.run(
            [sys.executable, "-m", "enamelwright", "schema"],
            stdout=full,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert done.returncode == 1
    assert len(done.stderr.strip().splitlines()) == 1
    assert "Traceback" not in done.stderr


def test_a_name_of_two_lines_stays_on_one(disc: Path, tmp_path: Path) -> None:
    two = tmp_path / "two.toml"
    two.write_text(DISC.replace('"copper disc"', '"copper\\n\\tdisc"'), encoding="utf-8")
    assert run("plan", str(two)).stdout.startswith("copper disc ")


def test_make_gives_the_same_bytes_in_every_process(disc: Path, tmp_path: Path) -> None:
    made = []
    for seed in ("1", "2"):
        out = tmp_path / seed
        environment = {**os.environ, "PYTHONHASHSEED": seed}
        command = [sys.executable, "-m", "enamelwright", "make", str(disc), "--out", str(out)]
        subprocess.run(command, env=environment, check=True, capture_output=True)
        made.append({path.name: path.read_bytes() for path in (out / "disc").iterdir()})
    assert sorted(made[0]) == ["bench-card.pdf", "kiln-cards.pdf", "plan.json"]
    assert made[0] == made[1]
