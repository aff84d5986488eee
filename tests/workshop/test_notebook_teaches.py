"""A notebook's table gives a first calibration in one step."""

from __future__ import annotations

import pytest
from typer.testing import CliRunner

from enamelwright.cli.main import app
from enamelwright.craft.kiln import Kiln
from enamelwright.records.home import Home
from enamelwright.workshop.bench import bench
from enamelwright.workshop.coverage import compared
from enamelwright.workshop.jars import add_jar
from enamelwright.workshop.kilns import keep_kiln
from enamelwright.workshop.learning import learn
from enamelwright.workshop.studio import Studio
from morning import enamel

HEAD = "Date,Piece,Kiln,Temp (°C),Time (s),First gloss (s),Stage,Metal,Thickness (mm),Enamel\n"
#: A kiln in which a white takes 150 s at 800 C, and one row that lacks the setting.
LINES = [
    f"2025-03-{day:02d},N{day},small kiln,800,{155 + day % 3},{150 + day % 5},gloss,copper,0.9,J04"
    for day in range(1, 13)
]
TEXT = HEAD + "\n".join([*LINES, "2025-03-20,N20,small kiln,,160,,gloss,copper,0.9,J04"]) + "\n"


@pytest.fixture
def home(tmp_path):  # type: ignore[no-untyped-def]
    made = Home(tmp_path / "home")
    studio = Studio.open(made)
    keep_kiln(studio, Kiln(name="small kiln"))
    add_jar(studio, enamel("J04", "white, base", fusing={"hardness": "medium"}))
    studio.close()
    return made


def test_one_step_from_table_to_windows(home, tmp_path) -> None:  # type: ignore[no-untyped-def]
    table = tmp_path / "old.csv"
    table.write_text(TEXT, encoding="utf-8")
    said = CliRunner().invoke(app, ["notebook", str(table), "--write", "--home", str(home.folder)])
    assert said.exit_code == 0, said.output
    flat = " ".join(said.output.split())
    assert "small kiln, from 12 firings: coats need about" in flat
    assert "more time" in flat
    assert "1 of it teach nothing: no setting." in flat
    studio = Studio.open(home)
    clock = next(one for one in bench(studio).learned_clocks if one.jar == "J04")
    assert clock.firings == 12
    assert clock.decades > 0.2  # the window without a record expects half the time
    assert compared(studio) == []  # told afterwards, so none of it counts as foretold
    # The same table again teaches nothing twice.
    again = CliRunner().invoke(app, ["notebook", str(table), "--write", "--home", str(home.folder)])
    assert "brought in before" in again.output
    assert len(learn(studio).records) == 12
    studio.close()


def test_the_page_shows_what_a_notebook_taught(home, tmp_path) -> None:  # type: ignore[no-untyped-def]
    from starlette.testclient import TestClient

    from enamelwright.web.app import create_app

    table = tmp_path / "old.csv"
    table.write_text(TEXT, encoding="utf-8")
    CliRunner().invoke(app, ["notebook", str(table), "--write", "--home", str(home.folder)])
    studio = Studio.open(home)
    with TestClient(create_app(studio), base_url="http://localhost") as client:
        page = client.get("/learned?wait=1").text
    assert "It stands on 12" in page
    studio.close()
