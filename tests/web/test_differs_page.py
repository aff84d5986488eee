"""What differs from the last good firing, as the page of a piece and the terminal tell it."""

from __future__ import annotations

import json
import re
from pathlib import Path

from starlette.testclient import TestClient
from typer.testing import CliRunner

from enamelwright.cli.main import app
from enamelwright.records.home import Home
from enamelwright.web.app import create_app
from enamelwright.workshop.studio import Studio
from record_forms import words

#: A piece of the demonstration with its counter coat laid with its number in the plan; the good one has none.
PIECE = "2026-075"


def test_the_page_says_by_how_much_and_the_most_first(demo_folder: Path) -> None:
    opened = Studio.open(Home(demo_folder))
    with TestClient(create_app(opened), base_url="http://localhost", follow_redirects=False) as made:
        page = made.get(f"/pieces/{PIECE}/firings")
    opened.close()
    part = page.text.partition('id="differs-noun"')[2].partition("</section>")[0]
    rows = [words(row) for row in re.findall(r"<li>(.*?)</li>", part, re.DOTALL)]
    seconds = [int(found[1]) for row in rows if (found := re.match(r"About (\d+) s ", row))]
    assert len(seconds) >= 2
    assert seconds == sorted(seconds, reverse=True)
    assert any("state of the kiln" in row and "either way" in row for row in rows)
    assert not any("coat of J21" in row for row in rows)  # each coat stands beside the one it stands for


def test_the_terminal_says_it_too(demo_folder: Path) -> None:
    told = CliRunner().invoke(app, ["differs", PIECE, "--home", str(demo_folder), "--json"])
    assert told.exit_code == 0
    rows = json.loads(told.stdout)["differs"]
    sizes = [row["matters"]["size"] for row in rows]
    assert sizes == sorted(sizes, reverse=True)
    assert len(rows) == len({row["what"] for row in rows})
    plain = CliRunner().invoke(app, ["differs", PIECE, "--home", str(demo_folder)])
    assert "may move the" in plain.stdout
    assert "either way" in plain.stdout
