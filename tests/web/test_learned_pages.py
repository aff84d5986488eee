"""What we learned, and what went wrong: said in words without scripts, and honest on an empty record."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from enamelwright.craft.kiln import Kiln
from enamelwright.craft.learned_clock import LearnedClock
from enamelwright.learning.kiln_fit import kiln_clock
from enamelwright.learning.stage_records import Foretold, StageRecord
from enamelwright.records.home import Home
from enamelwright.web import learned_view
from enamelwright.web.app import create_app
from enamelwright.web.pages.learned import PARTS
from enamelwright.workshop.coats import lay_coat
from enamelwright.workshop.faults import see_fault
from enamelwright.workshop.kilns import keep_kiln
from enamelwright.workshop.learning import Learned, spreads
from enamelwright.workshop.loads import fired
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.studio import Studio
from record_forms import words


@pytest.fixture(scope="module")
def demo(demo_folder: Path) -> Iterator[TestClient]:
    opened = Studio.open(Home(demo_folder))
    with TestClient(create_app(opened), base_url="http://localhost", follow_redirects=False) as made:
        yield made
    opened.close()


@pytest.mark.parametrize("path", [path for path, _ in PARTS])
def test_an_empty_record_says_what_to_do(client: TestClient, path: str) -> None:
    page = client.get(f"{path}?wait=1")
    assert page.status_code == 200
    said = words(page.text.partition("<main")[2])
    assert any(word in said for word in ("yet", "never", "None seen", "no jar", "written down"))
    assert "%" not in said.replace("100 %", "")


def test_the_navigation_leads_there(client: TestClient) -> None:
    assert '<a href="/learned">What we learned</a>' in client.get("/").text


def test_a_kiln_is_told_in_time_and_not_in_decades(demo: TestClient) -> None:
    said = words(demo.get("/learned?wait=1").text)
    assert "more time" in said
    assert "than a window without your record says" in said
    assert "never checked" in said
    assert "A coat of J" in said
    assert "decade" not in said.casefold()
    assert "would teach most" in said


def test_the_parts_that_take_a_breath_come_later_and_without_scripts_too(demo: TestClient) -> None:
    demo.get("/learned?wait=1")
    page = demo.get("/learned").text
    assert "/learned/window?wait=1" in page
    window = words(demo.get("/learned/window?wait=1").text)
    assert "Without your record" in window or "no window to compare" in window


def test_the_control_tile_alarms_with_its_reason_and_values(demo: TestClient) -> None:
    page = demo.get("/learned/control").text
    said = words(page)
    assert "Since CT-06 the tile glosses sooner" in said
    assert "thermocouple" in said
    assert "133 s" in said
    assert "The colour is as it was." in said  # read off every tile, and compared with the first three
    assert "data-chart" in page
    assert "<table" in page


def test_ten_firings_that_came_out_alike_are_said_to_teach_little(
    client: TestClient, studio: Studio, monkeypatch: pytest.MonkeyPatch
) -> None:
    keep_kiln(studio, Kiln(name="small"))
    course = Foretold((50.0, 69.0, 94.0, 304.0), (-2.2, -1.1, 0.0, 1.0), (-2.2, -1.1, 0.0, 1.0))

    def page(**tenth: float) -> str:
        records = tuple(
            StageRecord(n, "small", 0, 740000.0 + n, "J1", "disc", course, "gloss", 200.0, **(tenth if n == 9 else {}))
            for n in range(10)
        )
        known = kiln_clock(records, {"J1": 0.15}, spreads())
        open_still = LearnedClock(kiln="small", jar="J1", decades=0.0, sd=0.2, firings=10)
        monkeypatch.setattr(learned_view, "learn", lambda _: Learned(known, (open_still,), records, {}))
        monkeypatch.setattr(learned_view, "_kept", {})
        return words(client.get("/learned?wait=1").text)

    said = page()
    assert "All 10 firings of J1 came out alike" in said
    assert "They teach little: only that it was done by then, not when" in said
    assert "teach little" not in page(to_gloss=110.0)


def test_what_weighings_and_refirings_taught_is_told_with_a_plan_before_and_after(demo: TestClient) -> None:
    said = words(demo.get("/learned/work").text)
    assert "of what is sifted misses the piece" in said
    assert "hands at large 15 %" in said
    assert "A plan, before and after" in said
    assert "without your record" in said
    assert "J12 good after 2 more; of 1 piece fired 3 more times, 1 turned" in said
    assert "Fire two strips" in said  # no strip was measured
    assert "glass on both faces" in said


def test_foretold_beside_happened_with_an_interval_and_the_newest_first(demo: TestClient) -> None:
    page = demo.get("/learned/foretold").text
    said = words(page)
    assert "in a hundred, and they ought to hold 90" in said
    table = page.partition("The newest")[2]
    assert table.index("Apr 2026") < table.index("</table>")


def test_faults_are_told_with_loads_and_no_promise(demo: TestClient) -> None:
    said = words(demo.get("/learned/faults").text)
    assert "108 loads" in said
    assert "half of all that went wrong" in said
    assert "J12" in said
    assert "Going with a jar is not coming from it" in said


def test_the_next_tile_is_asked_for_a_jar(demo: TestClient) -> None:
    said = words(demo.get("/learned/tiles?jar=J02&loads=2&shelf=5&undercoats=flux,+white").text)
    assert "5 loads of tiles" in said
    assert "control tile" in said
    assert "over white" in said
    assert "undercoat ladder" in said.casefold()


@pytest.mark.parametrize(
    "asked",
    ["jar=J02&loads=99", "jar=J02&shelf=x", "jar=NONE", "jar=J02&depths=moon", "jar=J02&shelf=2&undercoats=a,b,c",
     "jar=J02&depths=99+m"],
)  # fmt: skip
def test_what_cannot_be_is_told_on_the_page(demo: TestClient, asked: str) -> None:
    page = demo.get(f"/learned/tiles?{asked}")
    assert page.status_code == 200
    assert 'role="alert"' in page.text


def test_a_fault_of_a_piece_leads_to_causes_and_ways(client: TestClient, studio: Studio) -> None:
    made = start_pieces(studio, 1, metal="copper", thickness="0.9 mm")[0]
    lay_coat(
        studio, made.id, face="front", powder_depth="0.4 mm", dried="2 min", at=studio.clock() - timedelta(minutes=10)
    )
    fired(studio, [made.id], set_point="790 C", seconds="150 s", stage_seen="gloss")
    see_fault(studio, made.number, "bubbles", when_seen="in the kiln", place="all over")
    assert f'href="/pieces/{made.number}/wrong"' in client.get(f"/pieces/{made.number}").text
    said = words(client.get(f"/pieces/{made.number}/wrong").text)
    assert said.index("What now?") < said.index("Why bubbles?") < said.index("What tells the first two apart")
    assert "1. " not in said  # numbers of the list are drawn, not read out
    assert "Fired before dry" in said
    assert "it dried for 2 min" in said
    assert "most speaks for this one" in said.casefold()


def test_the_finder_can_be_asked_of_any_fault_and_of_own_words(client: TestClient, studio: Studio) -> None:
    made = start_pieces(studio, 1, metal="copper")[0]
    page = f"/pieces/{made.number}/wrong"
    assert "Choose the fault" in words(client.get(page).text)
    assert "Why warping?" in words(client.get(f"{page}?fault=warp&when=nonsense&place=<b>").text)
    own = words(client.get(f"{page}?fault=<script>odd</script>").text)
    assert "in no table here" in own
    assert "Look at it cold" in own
    assert "<script>odd" not in client.get(f"{page}?fault=<script>odd</script>").text
    assert client.get("/pieces/none/wrong").status_code == client.get("/pieces/none").status_code >= 400
