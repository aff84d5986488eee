"""A notebook's table gives a first calibration in one step."""

from __future__ import annotations

import pytest
from typer.testing import CliRunner

from enamelwright.cli.main import app
from enamelwright.craft.kiln import Kiln
from enamelwright.records.home import Home
from enamelwright.workshop import notebook_in
from enamelwright.workshop.bench import bench
from enamelwright.workshop.coverage import compared
from enamelwright.workshop.firings import firings_of, loads_between
from enamelwright.workshop.jars import add_jar
from enamelwright.workshop.kilns import keep_kiln
from enamelwright.workshop.learned_clocks import learn
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
    assert "small kiln, from 12 firings: coats need 1." in flat  # so many times as long
    assert "1 of 13 teach nothing: no setting." in flat
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


@pytest.mark.parametrize("cut", ["foretell_past", "relearn"])
def test_cut_off_it_goes_on_when_it_is_brought_in_again(  # type: ignore[no-untyped-def]
    home, tmp_path, monkeypatch: pytest.MonkeyPatch, cut: str
) -> None:
    table = tmp_path / "old.csv"
    table.write_text(TEXT, encoding="utf-8")
    told = ["notebook", str(table), "--write", "--home", str(home.folder)]

    def power_cut(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(notebook_in, cut, power_cut)
    CliRunner().invoke(app, told)
    monkeypatch.undo()
    studio = Studio.open(home)
    assert len(loads_between(studio, "2025-03-01", "2025-04-01")) == 13  # the rows are there
    if cut == "foretell_past":
        assert learn(studio).records == ()
    studio.close()
    said = " ".join(CliRunner().invoke(app, told).output.split())
    assert "brought in before; nothing was written again" in said
    if cut == "foretell_past":
        assert "12 of its firings teach only from now on" in said
        assert "1 of 13 teach nothing: no setting" in said
    studio = Studio.open(home)
    assert len(loads_between(studio, "2025-03-01", "2025-04-01")) == 13
    assert next(one for one in bench(studio).learned_clocks if one.jar == "J04").firings == 12
    # And once more changes nothing.
    CliRunner().invoke(app, told)
    assert len(learn(studio).records) == 12
    studio.close()


#: A notebook of one maker, who never wrote down what never changed.
SHORT = "Date,Piece,Temp (°C),Time,First gloss,Diameter (mm),Enamel\n" + "\n".join(
    f"2025-03-{day:02d},N{day},800,2:4{day % 10},2:3{day % 10},22,J04" for day in range(1, 7)
)


def test_what_is_the_same_in_all_rows_is_told_once_even_afterwards(home, tmp_path) -> None:  # type: ignore[no-untyped-def]
    table = tmp_path / "short.csv"
    table.write_text(SHORT, encoding="utf-8")

    def run(*more: str) -> str:
        done = CliRunner().invoke(app, ["notebook", str(table), "--home", str(home.folder), *more])
        assert done.exit_code == 0, done.output
        return " ".join(done.output.split())

    # Before anything is written it is said what will teach nothing, why, and what helps.
    said = run()
    assert "6 of 6 teach nothing: no metal, no gauge." in said
    assert "--metal copper --thickness 0.9mm" in said
    assert "teach nothing" not in run("--metal", "copper", "--thickness", "0.9mm")
    assert "6 of 6 teach nothing: no metal, no gauge." in run("--write")
    studio = Studio.open(home)
    assert learn(studio).left_out == {"no metal, no gauge": 6}
    studio.close()
    assert "6 of its firings teach only from now on" in run("--write", "--metal", "copper", "--thickness", "0.9mm")
    studio = Studio.open(home)
    records = learn(studio).records
    assert len(records) == 6
    assert all("22" in one.kind for one in records)  # the size that was told, not the ordinary disc
    assert "diameter: 22 mm" in firings_of(studio, "N1")[0].words
    studio.close()


def test_rows_that_say_two_things_are_told_and_left_out(home, tmp_path) -> None:  # type: ignore[no-untyped-def]
    table = tmp_path / "two.csv"
    table.write_text(HEAD + LINES[0] + "\n2025-03-20,N20,small kiln,800,160,400,gloss,copper,0.9,J04\n")
    said = CliRunner().invoke(app, ["notebook", str(table), "--home", str(home.folder)]).output
    assert "1 of 2 teach nothing: says two things" in " ".join(said.split())
    said = CliRunner().invoke(app, ["notebook", str(table), "--write", "--home", str(home.folder)]).output
    assert "first gloss at 400 s, but out after 160 s" in " ".join(said.split())
    studio = Studio.open(home)
    assert learn(studio).left_out == {"says two things": 1}
    studio.close()


def test_a_control_tile_without_its_thickness_says_why_it_teaches_nothing(home) -> None:  # type: ignore[no-untyped-def]
    def run(*told: str) -> str:
        done = CliRunner().invoke(app, [*told, "--home", str(home.folder)])
        assert done.exit_code == 0, done.output
        return " ".join(done.output.split())

    run("tile", "make", "--control", "--metal", "copper")
    run("coat", "CT-01", "J04", "--face", "front", "--grams", "0.5")
    run("fired", "CT-01", "--set", "795C", "--seconds", "180", "--stage", "gloss", "--to-gloss", "170")
    said = run("learned", "kilns")
    assert "No firing has taught anything yet" in said
    assert "1 left out: a control tile without a plan, and nobody wrote down its thickness and weight" in said
    said = run("tile", "make", "--control", "--metal", "copper", "--thickness", "0.9mm", "--weight", "3.05")
    assert "teach nothing" not in said
    run("coat", "CT-02", "J04", "--face", "front", "--grams", "0.5", "--weighed-out", "0.6")
    run("fired", "CT-02", "--set", "795C", "--seconds", "180", "--stage", "gloss", "--to-gloss", "170")
    assert "1 firings" in run("learned", "kilns")


@pytest.mark.parametrize("lines", [["2025-03-20,N20,small kiln,80,160,150,gloss,copper,0.9,J04"], LINES])
def test_a_setting_that_lacks_a_digit_breaks_nothing(home, tmp_path, lines) -> None:  # type: ignore[no-untyped-def]
    """Glass at 80 C would take longer than there was time for: that row is a slip, alone or among others."""
    slip = "2025-03-21,N21,small kiln,80,160,150,gloss,copper,0.9,J04"
    told = {}
    for name, rows in (("without", lines), ("with", [*lines, slip])):
        table = tmp_path / f"{name}.csv"
        table.write_text(HEAD + "\n".join(rows) + "\n", encoding="utf-8")
        folder = tmp_path / name
        studio = Studio.open(Home(folder))
        keep_kiln(studio, Kiln(name="small kiln"))
        add_jar(studio, enamel("J04", "white, base", fusing={"hardness": "medium"}))
        done = CliRunner().invoke(app, ["notebook", str(table), "--write", "--home", str(folder)])
        assert done.exit_code == 0, done.output
        told[name] = [one for one in learn(studio).clocks if one.jar == "J04" and not one.coat]
        studio.close()
    if lines is not LINES:
        assert told == {"without": [], "with": []}
        return
    before, after = told["without"][0], told["with"][0]
    assert after.at(0.0, after.law)[0] == pytest.approx(before.at(0.0, after.law)[0], abs=0.05)
    assert after.by_heat == pytest.approx(before.by_heat, abs=0.0016)  # half of what it may be off by beforehand
    assert after.firings == before.firings + 1


def test_a_date_that_may_be_two_days_is_asked_for(tmp_path) -> None:  # type: ignore[no-untyped-def]
    table = tmp_path / "two.csv"
    table.write_text(HEAD + "3/4/2025,A,,800,160,150,gloss,copper,0.9,J04\n", encoding="utf-8")
    said = CliRunner().invoke(app, ["notebook", str(table)]).output
    assert "Dates: some could be two days; say --day-first or --month-first." in " ".join(said.split())
    told = CliRunner().invoke(app, ["notebook", str(table), "--month-first"]).output
    assert "Dates: month first." in told
    assert "No day is known" not in told
