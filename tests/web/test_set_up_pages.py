"""Bench set-up over HTTP: what is told holds from the next answer on, once, and can be undone."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pytest
from starlette.testclient import TestClient

from enamelwright.records import outside
from enamelwright.records.home import Home
from enamelwright.records.snapshots import taken, verify
from enamelwright.web.serve import DayEnd
from enamelwright.workshop.bench import bench
from enamelwright.workshop.jars import add_jar
from enamelwright.workshop.kilns import anchors, epoch_of, kiln_row, kilns, supports
from enamelwright.workshop.people import people
from enamelwright.workshop.settings import setting
from enamelwright.workshop.studio import Studio

PARTS = ("", "/kilns", "/supports", "/people", "/hands", "/house", "/money", "/keeping", "/sharing")


def told(client: TestClient, path: str, **fields: str) -> Any:
    """Send a form as a page does, follow it, and return the page after it."""
    answer = client.post(path, data={"entry": f"e-{path}-{sorted(fields.items())}", **fields})
    assert answer.status_code == 303, answer.text
    return client.get(answer.headers["location"])


def undo(client: TestClient, page: Any) -> None:
    what = re.search(r'name="what" value="([^"]+)"', page.text)
    assert what is not None, "everything can be undone"
    assert client.post("/take-back", data={"what": what[1], "back": "/set-up"}).status_code == 303


@pytest.mark.parametrize("part", PARTS)
def test_every_part_opens_on_an_empty_bench(client: TestClient, part: str) -> None:
    assert client.get(f"/set-up{part}").status_code == 200


def test_a_kiln_is_described_held_against_a_melt_and_moved(client: TestClient, studio: Studio) -> None:
    page = told(
        client,
        "/set-up/kilns",
        name="small",
        preset="fibre small",
        width="160 mm",
        time_to_set="40 min",
        time_to_set_point="800 C",
        power="1.2 kW",
        hold_duty="35 %",
    )
    row = kiln_row(studio, "small")
    assert row is not None
    kiln = bench(studio).kiln("small")
    assert kiln is not None
    assert (kiln.width, kiln.power, kiln.time_to_set) == (pytest.approx(0.16), pytest.approx(1200), pytest.approx(2400))
    assert kiln.hold_duty == pytest.approx(0.35)
    assert 'value="160 mm"' in page.text
    told(client, f"/set-up/kilns/{row.id}", do="held", against="silver-copper foil", outcome="melting", shown="770 C")
    assert len(anchors(studio, "small")) == 1
    assert bench(studio).kiln("small").anchored  # type: ignore[union-attr]
    told(client, f"/set-up/kilns/{row.id}", do="done", what="thermocouple moved")
    assert epoch_of(studio, row.id)
    assert not bench(studio).kiln("small").anchored, "a moved probe tells another story"  # type: ignore[union-attr]


def test_what_the_form_of_a_kiln_does_not_ask_for_stays(client: TestClient, studio: Studio) -> None:
    from enamelwright.craft.kiln import Kiln
    from enamelwright.workshop.kilns import keep_kiln

    row = keep_kiln(
        studio, Kiln.from_outside({"name": "old", "volts": 228.0, "reads_low_k": 12.0, "shelf_width_mm": 150.0}, "kiln")
    )
    told(client, f"/set-up/kilns/{row}", do="describe", kind="electric", width="200 mm")
    kiln = bench(studio).kiln("old")
    assert kiln is not None
    assert (kiln.volts, kiln.reads_low, kiln.shelf_width) == (228.0, pytest.approx(12.0), pytest.approx(0.15))


def test_a_new_kiln_can_be_undone_and_two_taps_are_one(client: TestClient, studio: Studio) -> None:
    form = {"entry": "one", "name": "twice"}
    first, second = (client.post("/set-up/kilns", data=form).headers["location"] for _ in range(2))
    assert first == second
    assert len(kilns(studio)) == 1
    undo(client, client.get(first))
    assert not kilns(studio)


def test_hands_and_house_rules_reach_the_bench_and_go_back(client: TestClient, studio: Studio) -> None:
    told(client, "/set-up/hands", packing="52", sifting_loss="18", balance_step="0.01 g", weighs="yes")
    hands = bench(studio).hands
    assert (hands.packing, hands.sifting_loss, hands.balance_step) == (
        pytest.approx(0.52),
        pytest.approx(0.18),
        pytest.approx(1e-5),
    )
    page = told(client, "/set-up/house", bow_limit="0.3 mm", hottest="1560 F", pickle="no", first_side="back")
    rules = bench(studio).house
    assert (rules.pickle, rules.first_side) == (False, "back")
    assert rules.bow_limit == pytest.approx(3e-4)
    assert rules.hottest == pytest.approx((1560 + 459.67) / 1.8, abs=0.01)  # definition of the Fahrenheit scale
    undo(client, page)
    assert bench(studio).house.pickle is None


@pytest.mark.parametrize(("field", "value"), [("packing", "520"), ("packing", "many"), ("balance_step", "3 mm")])
def test_hands_that_cannot_be_are_refused(client: TestClient, studio: Studio, field: str, value: str) -> None:
    answer = client.post("/set-up/hands", data={"entry": "x", "weighs": "yes", field: value})
    assert answer.status_code == 422
    assert bench(studio).hands.packing is None


def test_people_supports_and_money(client: TestClient, studio: Studio) -> None:
    told(client, "/set-up/people", label="M", role="maker")
    assert [row.label for row in people(studio)] == ["M"]
    told(client, "/set-up/people", away=str(people(studio)[0].id))
    assert not people(studio)
    told(client, "/set-up/people", label="M")
    assert [row.label for row in people(studio)] == ["M"], "somebody who comes back is the same"
    assert client.post("/set-up/people", data={"label": "a full name that is far too long"}).status_code == 422
    told(client, "/set-up/supports", name="mesh, small", kind="mesh", mass="38 g", owned="4")
    assert supports(studio)[0].mass == pytest.approx(0.038)
    page = told(client, "/set-up/money", name="Bench", currency="cr", decimals="0")
    assert (setting(studio, "studio name"), setting(studio, "coin decimals")) == ("Bench", 0)
    undo(client, page)
    assert not setting(studio, "studio name")


# ---- copies of the record ------------------------------------------------------------------------


def test_a_snapshot_asked_for_is_whole(client: TestClient, studio: Studio) -> None:
    told(client, "/set-up/keeping", do="snapshot")
    found = taken(studio.store.home.snapshots)
    assert len(found) == 1
    assert verify(found[0].path)["setting"] == 0
    assert found[0].path.name in client.get("/set-up/keeping").text


def test_an_outside_copy_is_made_told_and_asked_for(client: TestClient, studio: Studio, tmp_path: Path) -> None:
    assert outside.outside_state(studio.store).words in client.get("/set-up/keeping").text
    stick = tmp_path / "stick"
    stick.mkdir()
    page = told(client, "/set-up/keeping", do="outside", place=str(stick))
    assert taken(Home(stick).snapshots)
    assert "Last outside copy today." in page.text
    assert "on the disk the record is on" in page.text
    assert f'value="{stick}"' in page.text, "the place is remembered"
    for place in (str(tmp_path / "unplugged"), str(studio.store.home.folder)):
        assert client.post("/set-up/keeping", data={"do": "outside", "place": place}).status_code in {409, 422}
    assert not (tmp_path / "unplugged").exists()


def test_a_day_that_was_written_to_ends_with_a_snapshot(studio: Studio) -> None:
    from enamelwright.craft.jar import Jar

    day = DayEnd(studio)
    day.take()
    before = len(taken(studio.store.home.snapshots))
    day.take()
    assert len(taken(studio.store.home.snapshots)) == before, "nothing was written since"
    add_jar(studio, Jar.from_outside({"id": "J1", "name": "j", "kind": "opaque"}, "jar"))
    day.start()
    day.end()
    found = taken(studio.store.home.snapshots)
    assert found[0].reason == "close of day"
    assert verify(found[0].path)["jar"] == 1
