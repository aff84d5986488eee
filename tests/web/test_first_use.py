"""First use: an empty studio is led to a first plan, on paper too."""

from __future__ import annotations

import io
import re
import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from pypdf import PdfReader
from starlette.testclient import TestClient

from enamelwright.web.app import create_app
from enamelwright.web.beside import Beside
from enamelwright.web.pages.first import steps
from enamelwright.workshop.bench import bench
from enamelwright.workshop.designs import piece_of, version_row
from enamelwright.workshop.jars import described, jar_row
from enamelwright.workshop.studio import Studio


@pytest.fixture
def empty(tmp_path: Path, empty_sqlite: Path) -> Iterator[Studio]:
    """A studio about which nothing is known."""
    from enamelwright.records.home import Home

    home = Home(tmp_path / "empty")
    home.folder.mkdir()
    shutil.copy(empty_sqlite, home.database)
    opened = Studio.open(home)
    yield opened
    opened.close()


@pytest.fixture
def visitor(empty: Studio) -> Iterator[TestClient]:
    with TestClient(create_app(empty), base_url="http://localhost", headers={"Origin": "http://localhost"}) as made:
        yield made


def test_three_forms_lead_to_a_plan_and_its_card(visitor: TestClient, empty: Studio) -> None:
    assert "Begin with the kiln" in visitor.get("/first").text
    at = visitor.post("/first/kiln", data={"entry": "1", "name": "small", "preset": "fibre small"})
    assert at.url.path == "/first/jars"
    at = visitor.post(
        "/first/jars",
        data={
            "entry": "2",
            "front_code": "J1",
            "front_name": "sea green",
            "front_kind": "transparent",
            "back_code": "C1",
        },
    )
    assert at.url.path == "/first/piece"
    assert '<option value="transparent_direct" selected>' in at.text, "the technique follows the jar"
    at = visitor.post(
        "/first/piece",
        data={
            "entry": "3",
            "name": "leaf",
            "technique": "transparent_direct",
            "metal": "copper",
            "thickness": "1 mm",
            "across": "32 mm",
        },
    )
    assert at.url.path.startswith("/pieces/")
    number = at.url.path.rpartition("/")[2]
    assert "<svg" in visitor.get(f"/pieces/{number}?wait=1").text
    card = visitor.get("/paper/day.pdf", params={"piece": number})
    words = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(card.content)).pages)
    assert "leaf" in words
    assert "sea green" in words, "the studio's own jar is in the plan"
    assert all(step.done for step in steps(empty))


def test_a_jar_of_which_nothing_is_known_says_so(visitor: TestClient, empty: Studio) -> None:
    visitor.post("/first/jars", data={"entry": "2", "front_code": "J1", "front_kind": "opaque", "back_code": "C1"})
    jar = described(jar_row(empty, "J1"))
    assert jar.hazards.lead == "unknown"
    assert jar.hazards.cadmium == "unknown"
    assert jar.starter, "a kind of glass stands in, marked as assumption"
    assert bench(empty).jar("C1").kind == "counter"


def test_each_step_can_be_left_for_later_and_said_twice(visitor: TestClient, empty: Studio) -> None:
    for path in ("/first/kiln", "/first/jars", "/first/piece"):
        assert visitor.get(path).status_code == 200
    for _ in range(2):
        visitor.post("/first/piece", data={"entry": "same", "name": "leaf", "technique": "sift_opaque"})
    assert len([one for one in steps(empty) if one.done]) == 1
    assert visitor.post("/first/piece", data={"entry": "other", "name": "LEAF"}).status_code == 422
    assert visitor.post("/first/jars", data={"entry": "n", "front_kind": "opaque"}).status_code == 422


def test_the_first_page_of_an_empty_studio_leads_there(visitor: TestClient) -> None:
    assert 'href="/first"' in visitor.get("/").text


def test_an_invented_record_says_so_on_every_page(demo_folder: Path) -> None:
    from enamelwright.records.home import Home

    studio = Studio.open(Home(demo_folder))
    visitor = TestClient(create_app(studio), base_url="http://localhost")
    for path in ("/", "/pieces", "/set-up", "/paper", "/first", "/quick", "/no-such-page"):
        assert "Invented demonstration data" in visitor.get(path).text
    studio.close()


def test_the_invented_workshop_opens_beside_at_a_door_of_its_own(demo_folder: Path) -> None:
    import time
    import urllib.request

    beside = Beside(demo_folder)
    assert beside.state == "closed"
    beside.open()
    while beside.state in {"building", "opening"}:
        time.sleep(0.1)
    try:
        assert beside.state == "open"
        with urllib.request.urlopen(beside.address + "first", timeout=60) as answer:
            assert "Invented demonstration data" in answer.read().decode()
    finally:
        beside.close()
    assert beside.state == "closed"


def test_a_bare_number_of_the_first_piece_counts_in_millimetres(visitor: TestClient, empty: Studio) -> None:
    told = {"entry": "3", "name": "leaf", "technique": "sift_opaque", "metal": "fine_silver"}
    at = visitor.post("/first/piece", data=told | {"thickness": "0,8", "across": "1,25 in"})
    assert at.url.path.startswith("/pieces/"), at.text
    piece = piece_of(version_row(empty, "leaf"))
    assert piece.metal.thickness == pytest.approx(0.8e-3)
    assert piece.outline.diameter == pytest.approx(1.25 * 0.0254)  # the inch is 25.4 mm by definition


def test_a_metal_has_its_name_wherever_a_piece_is_shown(visitor: TestClient) -> None:
    told = {"entry": "3", "name": "leaf", "technique": "sift_opaque", "metal": "fine_silver", "thickness": "0.8"}
    number = visitor.post("/first/piece", data=told).url.path.rpartition("/")[2]
    paths = ("/pieces", "/kiln", *(f"/pieces/{number}{part}" for part in ("", "/coats", "/firings", "/price", "/tag")))
    for path in paths:
        page = visitor.get(path).text
        said = re.sub(r'<script.*?</script>|value="fine_silver"', "", page, flags=re.DOTALL).partition("<main")[2]
        assert "fine_silver" not in said, path
        assert "fine silver" in said, path
