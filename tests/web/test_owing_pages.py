"""Money that is owed stays in sight when the work is handed over, and an order says what was paid as its bill does."""

from __future__ import annotations

import re

import pytest
from starlette.testclient import TestClient

from enamelwright.workshop import orders
from enamelwright.workshop.settings import CURRENCY, set_setting
from enamelwright.workshop.studio import Studio
from record_forms import send, words


@pytest.fixture
def order(client: TestClient, studio: Studio) -> str:
    """The number of an order for 240 credits with 140 paid, handed over."""
    set_setting(studio, CURRENCY, "credits")
    made = orders.take_order(studio, "a pendant for the hall", agreed="240.00", due_on=studio.today().isoformat())
    orders.pay(studio, "deposit", "140.00", order=made.id)
    send(client, f"/orders/{made.number}", {"do": "state", "state": "collected"})
    return str(made.number)


def sums_of(page: str) -> list[tuple[str, str]]:
    """What stands below the lines of the order: word and sum, without the currency."""
    rows = re.findall(r"<tr>(.*?)</tr>", page.partition("What it comes to</h2>")[2].partition("</table>")[0], re.DOTALL)
    cells = [[words(one) for one in re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row, re.DOTALL)] for row in rows]
    return [(one[0], one[-1]) for one in cells if one[0] in {"Together", "Paid", "Still to pay", "To pay"}]


def test_what_is_owed_stays_in_orders_and_on_today(client: TestClient, order: str) -> None:
    due = client.get("/").text.partition("<h2>Due</h2>")[2].partition("<h2>")[0]
    for page in (due, client.get("/orders").text.partition("Take an order")[0]):
        assert order in page
        assert "collected, 100.00 credits to pay" in words(page)
    assert "late" not in words(client.get("/orders").text.partition("Take an order")[0]), "it is handed over"
    everything = client.get("/orders?show=all").text
    assert everything.count(f'href="/orders/{order}"') == 1
    assert "collected, 100.00 credits to pay" in words(everything)


def test_it_is_gone_when_it_is_paid(client: TestClient, order: str) -> None:
    send(client, f"/orders/{order}", {"do": "pay", "kind": "balance", "money": "100.00"})
    assert order not in client.get("/orders").text
    assert order not in client.get("/").text
    assert "to pay" not in words(client.get("/orders?show=all").text)


def test_an_order_says_together_paid_and_still_to_pay(client: TestClient, order: str) -> None:
    page = f"/orders/{order}"
    told = [("Together", "240.00"), ("Paid", "140.00"), ("Still to pay", "100.00")]
    assert sums_of(client.get(page).text) == told
    send(client, page, {"do": "pay", "kind": "balance", "money": "100.00"})
    assert sums_of(client.get(page).text) == [("Together", "240.00"), ("Paid", "240.00"), ("Still to pay", "0.00")]
    send(client, page, {"do": "pay", "kind": "balance", "money": "10.00"})
    assert sums_of(client.get(page).text)[-1] == ("Still to pay", "0.00"), "as on the bill: never below nothing"
