"""What a device chooses for itself, and what a guest's device is not shown."""

from __future__ import annotations

import re
from typing import Any

import pytest
from starlette.testclient import TestClient

from enamelwright.craft.jar import Jar
from enamelwright.web.app import create_app
from enamelwright.web.guard import COOKIE
from enamelwright.web.sharing import Sharing
from enamelwright.web.viewer import _SCALE, told
from enamelwright.workshop import orders, selling
from enamelwright.workshop.devices import pair
from enamelwright.workshop.jars import add_jar, jar_row
from enamelwright.workshop.lots import open_lot
from enamelwright.workshop.pieces import finish_piece, start_pieces
from enamelwright.workshop.settings import sieves
from enamelwright.workshop.studio import Studio

ADDRESS = "10.0.0.7"
HOST = f"{ADDRESS}:8321"
#: Addresses a guest of the workshop is not answered at.
SHUT = ("/orders", "/orders/{order}", "/pieces/{piece}/price", "/pieces/{piece}/tag", "/record/payment/1")
#: Pages a guest reads, none of which may tell of money or of who bought.
READ = (
    "/", "/pieces", "/pieces?state=all", "/pieces/{piece}", "/pieces/{piece}/record", "/finished", "/finished?place=sold",
    "/jars/1", "/find?for=lighthouse", "/kiln", "/set-up", "/paper", "/designs",
)  # fmt: skip


@pytest.fixture
def shop(studio: Studio) -> dict[str, str]:
    """A piece sold for a sum, an order of somebody, a lot with its price."""
    order = orders.take_order(studio, "lighthouse pendant", customer=orders.keep_customer(studio, "Quillfeather"))
    orders.pay(studio, "deposit", "77.31 EUR", order=int(order.id))
    first, second = start_pieces(studio, 2, "harbour pendant")
    for one in (first, second):
        finish_piece(studio, one.id, "finished")
        selling.set_price(studio, "64.29 EUR", piece=one.id)
    selling.sold(studio, first.id, "64.29 EUR")
    row = add_jar(studio, Jar.from_outside({"id": "T1", "name": "sea", "kind": "opaque"}, "jar"))
    open_lot(studio, row, "lot", grams="100 g", price_minor=1847, currency="EUR")
    return {"order": order.number, "piece": first.number, "jar": str(jar_row(studio, row).id)}


@pytest.fixture
def app(studio: Studio) -> Any:
    return create_app(studio, Sharing(studio, shared=True, port=8321, addresses=(ADDRESS,)))


def device(app: Any, studio: Studio, may: str) -> TestClient:
    made = TestClient(
        app, base_url=f"http://{HOST}", headers={"Origin": f"http://{HOST}"}, client=("10.0.0.20", 40_000),
        follow_redirects=False,
    )  # fmt: skip
    made.cookies.set(COOKIE, pair(studio, may, may))
    return made


def test_a_guest_sees_neither_prices_nor_customers_nor_orders(app: Any, studio: Studio, shop: dict[str, str]) -> None:
    guest, own = device(app, studio, "read"), device(app, studio, "write")
    for path in SHUT:
        answer = guest.get(path.format(**shop))
        assert answer.status_code == 403, path
        assert "not shown to a guest" in answer.text
        assert own.get(path.format(**shop)).status_code == 200, path
    private = ("Quillfeather", "64.29", "77.31 EUR", "18.47", shop["order"], 'href="/orders', "/price", "/tag")
    for path in READ:
        answer = guest.get(path.format(**shop), follow_redirects=True)
        assert answer.status_code == 200, path
        assert not [one for one in private if one in answer.text], path
    assert "Quillfeather" in own.get("/").text + own.get("/orders").text
    assert "64.29" in own.get("/finished").text


def test_a_guest_is_told_so_and_still_chooses_its_light(app: Any, studio: Studio) -> None:
    guest = device(app, studio, "read")
    assert "as a guest" in guest.get("/pieces").text
    assert "as a guest" not in device(app, studio, "write").get("/pieces").text
    answer = guest.post("/light", data={"light": "lamp", "back": "/pieces"})
    assert answer.headers["location"] == "/pieces"
    assert 'data-light="lamp"' in guest.get("/pieces").text


# --- degrees --------------------------------------------------------------------------------------


def test_temperatures_are_shown_on_the_scale_this_device_chose(client: TestClient) -> None:
    def heats() -> str:
        return re.sub(r"<input[^>]*>", "", client.get("/designs/1/coats").text)

    assert re.search(r"\d+ °C · \d+ °F", heats())
    both = [int(one) for one in re.findall(r"(\d+) °C ·", heats())]
    client.post("/degrees", data={"degrees": "f", "back": "/set-up/device"})
    assert "°C" not in heats()
    # Fahrenheit is nine fifths of Celsius and 32 (ITS-90 leaves the definition alone).
    assert [int(one) for one in re.findall(r"fire-heat\">(\d+) °F", heats())] == [
        pytest.approx(one * 9 / 5 + 32, abs=1) for one in both
    ]
    client.post("/degrees", data={"degrees": "c"})
    assert "°F" not in heats()
    assert "°C" in heats()
    client.post("/degrees", data={"degrees": "anything else"})
    assert re.search(r"\d+ °C · \d+ °F", heats())


def test_other_devices_keep_their_own_scale_and_the_record_stays(client: TestClient, studio: Studio) -> None:
    client.post("/degrees", data={"degrees": "f"})
    client.post("/set-up/house", data={"hottest": "850 C", "entry": "a"})
    assert 'value="850 °C"' in client.get("/set-up/house").text, "a form says what the record says"
    with TestClient(client.app, base_url="http://localhost") as other:
        assert re.search(r"\d+ °C · \d+ °F", other.get("/set-up/device").text)


@pytest.mark.parametrize(
    ("words", "shown"),
    [
        ("Set 800 °C and look.", "Set 1472 °F and look."),
        ("between 780 to 820 °C", "between 1436 to 1508 °F"),
        ("780–820 °C (1436 °F)", "1436–1508 °F"),
        ("12 K warmer, at J12 no degrees", "12 K warmer, at J12 no degrees"),
    ],
)
def test_sentences_follow_the_scale(words: str, shown: str) -> None:
    before = _SCALE.set("f")
    try:
        assert told(words) == shown
    finally:
        _SCALE.reset(before)
    assert told(words) == words


# --- sieves ---------------------------------------------------------------------------------------


def test_sieves_are_told_once_and_offered_wherever_a_mesh_is_asked(client: TestClient, studio: Studio) -> None:
    answer = client.post("/set-up/sieves", data={"meshes": "150 mesh, 80,60", "entry": "s1"})
    assert answer.status_code == 303
    assert sieves(studio) == (60, 80, 150)
    # ASTM E11: No. 60 is 250 µm, No. 80 is 180 µm.
    page = client.get("/set-up/sieves").text
    assert "250 µm" in page
    assert "180 µm" in page
    for path in ("/jars/new", "/designs/1/coats"):
        assert '<option value="80">' in client.get(path).text
    assert client.post("/set-up/sieves", data={"meshes": "fine"}).status_code == 422
    assert client.post("/set-up/sieves", data={"meshes": "100000"}).status_code == 422
    assert "60, 80, 150 mesh" in client.get("/set-up").text
