"""What no plan can keep or do: dates that are over, a piece larger than the shelf, nobody there; on page and terminal."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest
from starlette.testclient import TestClient
from typer.testing import CliRunner

from enamelwright.cli.main import app
from enamelwright.workshop import day_kept
from enamelwright.workshop.designs import designs, keep_design
from enamelwright.workshop.orders import add_line, take_order
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.studio import Studio
from record_forms import send, words

VAST = """name = "vast dish"
technique = "sift_opaque"
[metal]
kind = "copper"
thickness_mm = 1.0
[outline]
shape = "circle"
diameter_mm = 420
[[coats]]
face = "front"
jar = "lead_free_opaque_titania_medium"
powder_depth_mm = 0.5
"""


@pytest.fixture
def vast(tmp_path: Path) -> Path:
    """A design larger than any shelf here."""
    path = tmp_path / "vast.toml"
    path.write_text(VAST)
    return path


def terminal(studio: Studio, *asked: str) -> str:
    done = CliRunner().invoke(app, ["day", *asked, "--home", str(Path(studio.store.home.folder))])
    assert done.exit_code == 0, done.exception
    return words(done.stdout)


def test_a_date_that_is_over_and_a_piece_that_fits_nowhere(client: TestClient, studio: Studio, vast: Path) -> None:
    """The rest is planned all the same; what is late is named with by how much, what fits nowhere with why."""
    keep_design(studio, vast)
    pendant = next(str(one.name) for one in designs(studio) if "pendant" in str(one.name))
    order = take_order(studio, "rush", state="agreed", due_on=studio.today() - timedelta(days=3))
    add_line(studio, order.id, design=pendant, count=2)
    large = str(start_pieces(studio, 1, "vast dish")[0].number)
    send(client, "/day", {"do": "plan"})
    plan = day_kept.the_plan(studio)
    assert len(plan.answer["late"]) == 2
    assert all(one["whatever_is_done"] for one in plan.answer["late"])
    assert not any(large in name for block in plan.blocks for name in block.pieces)
    page = client.get("/day").text
    told = words(page)
    assert "Late:" in told
    assert "days, whatever is done" in told
    assert f"Cannot be planned: {large}: the piece is larger than the shelf" in told
    assert "Use a larger kiln or a smaller support." in told
    assert client.get("/day/sheet.pdf").status_code in {200, 422}
    for asked in ("plan", "replan"):
        said = terminal(studio, asked)
        assert "whatever is done" in said
        assert f"Not planned: {large}: the piece is larger than the shelf" in said


def test_when_nothing_can_be_planned_the_page_says_why(client: TestClient, studio: Studio, vast: Path) -> None:
    keep_design(studio, vast)
    start_pieces(studio, 5, "vast dish")
    send(client, "/day", {"do": "plan"})
    told = words(client.get("/day").text)
    assert "Nothing more to fire" in told
    assert "Cannot be planned: 5 pieces, as " in told
    assert "larger than the shelf" in told
    assert client.get("/day/class").status_code == 200


def test_somebody_away_for_good_is_told_where_to_look(client: TestClient, studio: Studio) -> None:
    pendant = next(str(one.name) for one in designs(studio) if "pendant" in str(one.name))
    start_pieces(studio, 1, pendant)
    today = studio.today()
    send(
        client,
        "/day/hours",
        {"do": "set", "hours": "09:00-17:00", "work": ["Mon", "Tue", "Wed", "Thu", "Fri"], "people": "K"},
    )
    away = {"do": "away", "who": "K", "start": f"{today}T00:00", "end": f"{today + timedelta(days=800)}T00:00"}
    send(client, "/day/hours", away)
    answer = client.post("/day", data={"do": "plan"})
    assert answer.status_code == 409
    assert "does not end within 400 days" in words(answer.text)
    assert "who is away" in words(answer.text)
    send(client, "/day/hours", {"do": "back", "which": "0"})
    send(client, "/day", {"do": "plan"})
    assert day_kept.the_plan(studio).blocks


def test_nobody_told_is_still_somebody(client: TestClient, studio: Studio) -> None:
    """A record without a maker is planned for one pair of hands."""
    pendant = next(str(one.name) for one in designs(studio) if "pendant" in str(one.name))
    start_pieces(studio, 1, pendant)
    send(client, "/day", {"do": "plan"})
    assert len({who for block in day_kept.the_plan(studio).blocks for who in block.who}) == 1


def test_unreadable_times_change_nothing(client: TestClient, studio: Studio) -> None:
    for told in (
        {"do": "set", "hours": "18:30-17:00", "work": "Mon"}, {"do": "set", "hours": "09:00-12:00", "days_off": "2026-02-30"},
        {"do": "away", "who": "K", "start": "2026-02-30T10:00", "end": "2026-03-01T10:00"},
        {"do": "chore", "label": "wash", "hand": "-5 min"}, {"do": "set", "hours": "09:00-17:00", "work": []},
    ):  # fmt: skip
        assert client.post("/day/hours", data=told).status_code == 422


def test_a_kiln_that_goes_away_later_is_not_planned_round_and_that_is_said(client: TestClient, studio: Studio) -> None:
    from enamelwright.craft.kiln import Kiln
    from enamelwright.workshop.kilns import keep_kiln

    keep_kiln(studio, Kiln(name="large"))
    day = studio.today() + timedelta(days=2)
    gone = {"do": "away", "who": "large", "start": f"{day}T10:00", "end": f"{day}T12:00"}
    assert "plan again when it has gone" in words(client.get(send(client, "/day/hours", gone)).text)
    told = words(client.get(send(client, "/day/hours", {**gone, "who": "K"})).text)
    assert "plan again when it has gone" not in told, "who works is planned round"
    now = {**gone, "start": f"{studio.today() - timedelta(days=1)}T10:00"}
    assert "plan again when it has gone" not in words(client.get(send(client, "/day/hours", now)).text)
