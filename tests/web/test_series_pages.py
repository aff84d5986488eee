"""Series and blanks: from how many to start over the cutting sheet to what stands on the shelf; costs; lists."""

from __future__ import annotations

import io
import re

import ezdxf
import pytest
from starlette.testclient import TestClient

from enamelwright.craft.jar import Jar
from enamelwright.workshop import costing, cut_designs, lots, metals, selling, series_work
from enamelwright.workshop import jars as shelf
from enamelwright.workshop.finishing import spend_time
from enamelwright.workshop.listing import outlets, pieces_like
from enamelwright.workshop.measures import take_measure
from enamelwright.workshop.pieces import finish_piece, start_pieces
from enamelwright.workshop.settings import CURRENCY, set_setting
from enamelwright.workshop.studio import Studio
from record_forms import send, undo, words


@pytest.fixture
def pendant(studio: Studio) -> cut_designs.CutDesign:
    """A round design, with a sheet of its metal in stock."""
    found = cut_designs.cut_designs(studio)[0]
    metals.add_sheet(studio, "A", found.piece.metal.kind, found.thickness, width="120 mm", length="250 mm")
    return found


def test_how_many_to_start_comes_from_the_record(
    client: TestClient, studio: Studio, pendant: cut_designs.CutDesign
) -> None:
    made = start_pieces(studio, 20, pendant.version)
    for n, one in enumerate(made):
        finish_piece(studio, one.id, "finished" if n < 18 else "spoilt")
    assert series_work.record_of(studio, pendant.row) == (18, 20)
    page = words(client.get(f"/series?design={pendant.row}&wanted=12&sure=95").text)
    assert "Start 17" in page
    assert "18 of 20 good" in page
    asked = {"design": str(pendant.row), "count": "17", "batch": "spring"}
    location = send(client, f"/series?design={pendant.row}&wanted=12", asked, "/series")
    begun = ("planned", "in work")
    assert len(pieces_like(studio, states=begun, most=100)) == 17
    undo(client, location)
    assert pieces_like(studio, states=begun, most=100) == []


def test_a_slip_is_said_and_the_page_stays(client: TestClient, pendant: cut_designs.CutDesign) -> None:
    for query in ("wanted=0", "wanted=many", "wanted=9999", "wanted=12&per_load=x"):
        answer = client.get(f"/series?design={pendant.row}&{query}")
        assert answer.status_code == 422
        assert "no count" in answer.text
    assert client.post("/series", data={"design": str(pendant.row), "count": "0"}).status_code == 422


def test_blanks_are_laid_cut_and_the_rest_kept(
    client: TestClient, studio: Studio, pendant: cut_designs.CutDesign
) -> None:
    query = f"n{pendant.row}=5&turning=along"
    page = client.get(f"/series/blanks?{query}").text
    assert "1 sheet to cut" in words(page)
    assert "5 × " in words(page)
    assert 'data-part="kept"' in page
    assert " style=" not in page, "the page's policy forbids it"
    drawing = ezdxf.read(io.StringIO(client.get(f"/series/blanks.dxf?{query}").text))
    assert len(drawing.modelspace().query('CIRCLE[layer=="CUT"]')) == 5
    assert client.get(f"/series/blanks.svg?{query}").text.count("<circle") == 5
    assert client.get(f"/series/blanks.pdf?{query}").content.startswith(b"%PDF")
    send(client, f"/series/blanks?{query}", {"do": "cut", "sheet": "A"})
    left = metals.sheets(studio)
    assert left
    assert all(row.label.startswith("A r") and row.outline["edge_mm"] for row in left)
    told = client.get(f"/series/blanks?n{pendant.row}=1").text
    assert "A r" in told, "the remnant is laid out on next"


def test_what_does_not_fit_is_named_and_the_rest_is_laid(
    client: TestClient, studio: Studio, pendant: cut_designs.CutDesign
) -> None:
    page = words(client.get(f"/series/blanks?n{pendant.row}=60").text)
    assert "No place was found for" in page
    assert "1 sheet to cut" in page
    other = next(one for one in cut_designs.cut_designs(studio) if one.sheet != pendant.sheet)
    answer = client.get(f"/series/blanks?n{pendant.row}=1&n{other.row}=1")
    assert answer.status_code == 422
    assert "different sheet" in answer.text
    assert "in stock" in client.get(f"/series/blanks?n{other.row}=1").text
    assert client.get("/series/blanks.pdf?n1=0").status_code == 422
    assert client.get(f"/series/blanks.dxf?n{pendant.row}=1&sheet=7").status_code == 422
    assert client.post("/series/blanks", data={"do": "sheet", "label": "B"}).status_code == 422


def test_a_sheet_can_be_put_in_stock_from_the_page(client: TestClient, studio: Studio) -> None:
    send(
        client, "/series/blanks",
        {"do": "sheet", "label": "C", "metal": "copper", "thickness": "0.9 mm", "width": "100 mm", "length": "300 mm"},
    )  # fmt: skip
    assert [row.label for row in metals.sheets(studio)] == ["C"]


def test_a_closer_layout_is_a_job(client: TestClient, studio: Studio, pendant: cut_designs.CutDesign) -> None:
    class Asleep:
        woken = 0

        def wake(self) -> None:
            self.woken += 1

        def close(self) -> None:
            pass

    client.app.state.worker = asleep = Asleep()  # type: ignore[attr-defined]
    answer = client.post(f"/series/blanks?n{pendant.row}=5", data={"do": "closer"})
    assert answer.status_code == 303
    assert asleep.woken == 1
    address = answer.headers["location"].partition("#")[0]
    page = client.get(address).text
    assert "Looking for a closer layout" in page
    assert "<progress" in page
    job = re.search(r"job=(\d+)", address)
    assert job is not None
    told = client.get(f"/api/v1/jobs?row={job.group(1)}").json()
    assert (told["state"], told["result"]) == ("waiting", None)
    client.post(f"/series/blanks?n{pendant.row}=5", data={"do": "stop", "job": job.group(1)})
    assert "stopped on request" in client.get(address).text
    assert client.get(f"/series/blanks.pdf?n1=1&job={job.group(1)}").status_code == 422


def test_heavy_questions_become_jobs_over_http(client: TestClient, pendant: cut_designs.CutDesign) -> None:
    from enamelwright.questions.question import question

    asked = {**question("blanks").example, "seconds": 5}
    client.app.state.worker.wake = lambda: None  # type: ignore[attr-defined]
    answer = client.post("/api/v1/ask/blanks", json=asked)
    assert answer.status_code == 202
    assert answer.json()["state"] == "waiting"
    assert client.post(f"/api/v1/jobs/stop?row={answer.json()['job']}").json()["state"] == "stopped"
    assert client.get("/api/v1/jobs?row=999").status_code == 409


def test_the_shelf_keeps_its_spots(client: TestClient, studio: Studio, pendant: cut_designs.CutDesign) -> None:
    send(
        client,
        "/series/shelf?kiln=mine",
        {"kiln": "mine", "x0": "90", "y0": "150 mm", "size0": "40", "why0": "hot <corner>"},
    )
    assert series_work.spots_of(studio, "mine") == [{"x": 90.0, "y": 150.0, "size": 40.0, "why": "hot <corner>"}]
    answer = client.post("/series/shelf", data={"kiln": "mine", "x0": "here", "y0": "1", "size0": "2"})
    assert answer.status_code == 422
    query = f"n{pendant.row}=4&width=180mm&depth=180mm"
    page = client.get(f"/series/shelf?{query}").text
    assert "Load 1" in page
    assert "door side" in page
    assert client.get(f"/series/shelf.pdf?{query}").content.startswith(b"%PDF")
    large = client.get(f"/series/shelf?n{pendant.row}=1&width=40mm&depth=40mm").text
    assert "larger than the shelf" in large
    assert client.get(f"/series/shelf?n{pendant.row}=1").status_code == 422, "no kiln and no size is told"
    many = client.get(f"/series/shelf?n{pendant.row}=99999&width=180mm&depth=180mm")
    assert many.status_code == 422
    assert "more than 400 pieces are not laid out at once" in words(many.text)


def test_pairs_are_offered_and_the_odd_one_is_named(
    client: TestClient, studio: Studio, pendant: cut_designs.CutDesign
) -> None:
    page = f"/series/pairs?design={pendant.row}"
    assert "a set has 2" in words(client.get(page).text)
    made = start_pieces(studio, 6, pendant.name)
    widths = ("30.0", "31.0", "30.1", "31.4", "33.0")
    for one, width in zip(made, widths, strict=False):
        take_measure(studio, one.id, "width", f"{width} mm")
        finish_piece(studio, one.id)
    told = words(client.get(page).text)
    assert "2 pairs" in told
    a, b, c, d, e = (str(one.number) for one in made[:5])
    assert re.search(rf"{a} with {c} alike", told)
    assert re.search(rf"{b} with {d} .*1\.3 times what the eye forgives", told), "offered, and said to differ"
    assert re.search(rf"Left over: {e}", told)
    assert "Not measured" not in told
    told = words(client.get(f"{page}&begun=yes&width=0.5+mm").text)
    assert f"Not measured: {made[5].number}" in told
    assert "what the eye forgives" not in told, "half a millimetre is forgiven"
    assert "1 set " in words(client.get(f"{page}&size=3").text)
    for slip in ("size=1", "size=99", "size=7", "width=wide"):
        assert client.get(f"{page}&{slip}").status_code == 422


def test_what_is_short_before_the_day_starts(
    client: TestClient, studio: Studio, pendant: cut_designs.CutDesign
) -> None:
    assert "nothing is needed" in words(client.get("/series/stock").text)
    assert "Short" not in client.get("/series/short").text
    start_pieces(studio, 6, pendant.version)
    page = words(client.get("/series/stock").text)
    assert "will not last" in page
    line = client.get("/series/short").text
    assert "Short for what is planned" in line


def test_a_price_rests_on_a_wage_that_somebody_told(
    client: TestClient, studio: Studio, pendant: cut_designs.CutDesign
) -> None:
    one = start_pieces(studio, 1, pendant.version)[0]
    page = f"/pieces/{one.number}/price?wait=1"
    assert "which currency" in words(client.get(page).text)
    set_setting(studio, CURRENCY, "EUR")
    assert "hour of your own" in words(client.get(page).text)
    send(client, f"/pieces/{one.number}/price", {"do": "costing", "wage": "18", "overhead": "6", "per_kwh": "0.30"})
    told = words(client.get(page).text)
    assert "What it costs €" in told
    assert "on commission" in told
    assert "Not in it" in told
    refused = client.post(f"/pieces/{one.number}/price", data={"do": "costing", "wage": "-3"})
    assert refused.status_code == 422
    assert costing.costing(studio)["wage"] == 18


def test_hours_and_lists(client: TestClient, studio: Studio, pendant: cut_designs.CutDesign) -> None:
    set_setting(studio, CURRENCY, "EUR")
    made = start_pieces(studio, 3, pendant.version)
    for one in made:
        finish_piece(studio, one.id)
        spend_time(studio, "all of it", "30 min", piece=one.id)
    selling.keep_outlet(studio, "the gallery", "gallery", 0.4)
    selling.move_piece(studio, made[0].id, "gallery", outlet="the gallery", asked="58.00")
    selling.sold(studio, made[1].id, "60.00")
    assert costing.earned(studio)[0].per_hour == 12000
    assert "120.00 EUR" in client.get("/finished/hours").text
    outlet = outlets(studio)[0].id
    for what in ("packing", "commission", "return"):
        assert f"/paper/{what}?outlet={outlet}" in client.get("/finished").text
        assert client.get(f"/paper/{what}.pdf?outlet={outlet}").content.startswith(b"%PDF")
    assert client.get("/paper/commission?outlet=99").status_code == 422
    assert client.get("/paper/packing").status_code == 422
    from enamelwright.web import paper_lists

    rows = paper_lists.consignment(studio, str(outlet)).data["rows"]
    assert rows == [[made[0].number, pendant.name, "58.00 EUR", "34.80 EUR"]]


def test_powder_laid_already_is_not_needed_again(studio: Studio, pendant: cut_designs.CutDesign) -> None:
    from enamelwright.craft.jar import Jar
    from enamelwright.workshop import stock_plan
    from enamelwright.workshop.coats import lay_coat

    piece = start_pieces(studio, 1, pendant.version)[0]
    before = {use.jar: use.powder for use in stock_plan.needs(studio).uses}
    code = next(iter(before))
    shelf.add_jar(studio, Jar(id=code, name="a blue", kind="opaque"))
    lots.open_lot(studio, code, "L", grams="2 g")
    lay_coat(studio, piece.id, jar=code, weighed_out="0.5 g")
    after = {use.jar: use.powder for use in stock_plan.needs(studio).uses}
    assert (before[code] or 0) - (after[code] or 0) == pytest.approx(0.0005)


def test_what_planning_cannot_do_is_said_on_the_page(
    client: TestClient, studio: Studio, pendant: cut_designs.CutDesign
) -> None:
    """A piece larger than the shelf, a sheet smaller than a blank, a price of nothing, less than nothing in a jar."""
    page = client.get(f"/series/shelf?n{pendant.row}=2&width=20+mm&depth=20+mm")
    assert re.search(r"\d+\.\d mm larger than the shelf", words(page.text))
    for row in metals.sheets(studio):  # all is used up but a scrap
        metals.cut_remnant(studio, row.label, f"scrap of {row.label}", width="5 mm", length="5 mm")
    page = client.get(f"/series/blanks?n{pendant.row}=1")
    assert "larger than every sheet" in words(page.text) or "No place was found for" in words(page.text)
    set_setting(studio, CURRENCY, "EUR")
    one = start_pieces(studio, 1, pendant.name)[0]
    refused = client.post(f"/pieces/{one.number}/price", data={"money": "-4"})
    assert refused.status_code == 422
    shelf.add_jar(studio, Jar.from_outside({"id": "J90", "name": "white", "kind": "opaque"}))
    lot = lots.open_lot(studio, "J90", "count me", grams="5 g")
    refused = client.post("/jars/count", data={f"lot-{lot}": "-3 g"})
    assert refused.status_code == 422
    assert next(one for one in lots.levels(studio) if one.lot == lot).grams == pytest.approx(0.005)
