"""Finished work and orders: where a piece is, a sale in two taps, an order from asked to collected."""

from __future__ import annotations

import re
from datetime import timedelta
from uuid import uuid4

import pytest
from starlette.testclient import TestClient

from enamelwright.workshop import costing, listing, orders, selling
from enamelwright.workshop.designs import design_row, designs
from enamelwright.workshop.finishing import spend_time
from enamelwright.workshop.pieces import finish_piece, piece_row, pieces_in_work, start_pieces
from enamelwright.workshop.settings import CURRENCY, set_setting
from enamelwright.workshop.studio import Studio
from record_forms import entry_of, send, undo, words


@pytest.fixture
def number(studio: Studio) -> str:
    """A finished piece of a design that costs 38 credits."""
    set_setting(studio, CURRENCY, "credits")
    name = designs(studio)[0].name
    made = start_pieces(studio, 1, name)[0]
    finish_piece(studio, made.id)
    selling.set_price(studio, "38.00", design=name)
    return str(made.number)


def test_a_sale_is_two_taps_the_second_says_the_sum(client: TestClient, studio: Studio, number: str) -> None:
    page = client.get("/finished").text
    assert "Sold for 38.00 credits?" in page, "the first tap opens the sums"
    assert '<button name="how" value="cash">38.00 credits, cash</button>' in page
    location = send(client, "/finished", {"do": "sold", "piece": number, "money": "38.00 credits", "how": "cash"})
    assert piece_row(studio, number).place == "sold"
    paid = listing.payments(studio, piece=int(piece_row(studio, number).id))
    assert [(one.kind, one.minor, one.how) for one in paid] == [("sale", 3800, "cash")]
    undo(client, location)
    assert piece_row(studio, number).place == "bench"
    assert listing.payments(studio, piece=int(piece_row(studio, number).id)) == []
    assert selling.where_is(studio, number) is None


def test_two_taps_on_the_same_button_sell_once(client: TestClient, studio: Studio, number: str) -> None:
    data = {
        "entry": entry_of(client, "/finished"),
        "do": "sold",
        "piece": number,
        "money": "38.00 credits",
        "how": "cash",
    }
    for _ in range(2):
        assert client.post("/finished", data=data).status_code == 303
    assert len(listing.payments(studio, piece=int(piece_row(studio, number).id))) == 1


def test_another_sum_wins_over_the_price(client: TestClient, studio: Studio, number: str) -> None:
    send(client, "/finished", {"do": "sold", "piece": number, "money": "38.00 credits", "other": "30"})
    assert listing.payments(studio, piece=int(piece_row(studio, number).id))[0].minor == 3000
    assert "for 30.00 credits" in words(client.get("/finished?place=sold").text)


def test_a_piece_goes_to_a_fair_and_comes_back(client: TestClient, studio: Studio, number: str) -> None:
    send(client, "/finished", {"do": "outlet", "name": "spring fair", "kind": "fair", "commission": "20 %"})
    assert listing.outlets(studio)[0].commission == pytest.approx(0.2)
    location = send(client, "/finished", {"piece": number, "place": "fair", "outlet": "spring fair"})
    page = words(client.get("/finished").text)
    assert "At a fair 1" in page
    assert "spring fair since" in page
    undo(client, location)
    assert "On the shelf here 1" in words(client.get("/finished").text)


@pytest.mark.parametrize("data", [{"do": "sold"}, {"place": "the moon"}, {"do": "sold", "money": "much"}])
def test_what_cannot_be_sold_or_moved_is_said_so(
    client: TestClient, studio: Studio, number: str, data: dict[str, str]
) -> None:
    assert client.post("/finished", data={"piece": number, **data}).status_code == 422
    assert piece_row(studio, number).place == "bench"


def test_an_order_is_taken_with_its_customer_and_deposit(client: TestClient, studio: Studio, number: str) -> None:
    due = (studio.today() + timedelta(days=3)).isoformat()
    location = send(
        client, "/orders",
        {"brief": "a pair of studs", "customer": "R., fair", "due_on": due, "agreed": "76.00", "deposit": "20.00"},
    )  # fmt: skip
    row = orders.open_orders(studio)[0]
    assert orders.paid(studio, int(row.id)) == 2000
    page = words(client.get("/orders").text)
    assert "20.00 credits of 76.00 credits paid" in page
    assert "in 3 days" in page
    assert "a pair of studs" in client.get("/").text
    undo(client, location)
    assert orders.open_orders(studio) == []
    assert orders.paid(studio, int(row.id)) == 0


def test_a_known_customer_is_not_kept_twice(client: TestClient, studio: Studio, number: str) -> None:
    for _ in range(2):
        send(client, "/orders", {"brief": "a brooch", "customer": "r., FAIR"})
    assert len(orders.customers(studio)) == 1
    assert len(orders.open_orders(studio)) == 2


def test_a_late_order_is_said_to_be_late(client: TestClient, studio: Studio) -> None:
    made = orders.take_order(studio, "a brooch", due_on=(studio.today() - timedelta(days=2)).isoformat())
    for page in ("/", "/orders", f"/orders/{made.number}"):
        told = words(client.get(page).text).casefold()
        assert "late" in told
        assert "2 days ago" in told


def test_pieces_are_started_for_a_line_and_the_order_is_collected(
    client: TestClient, studio: Studio, number: str
) -> None:
    made = orders.take_order(studio, "three studs", agreed="114.00")
    page = f"/orders/{made.number}"
    design = design_row(studio, designs(studio)[0].name).id
    location = send(client, page, {"do": "line", "design": str(design), "count": "3", "each": "38.00", "start": "yes"})
    started = [row for row in listing.pieces_like(studio) if row.order_line]
    assert len(started) == 3
    assert all(f"/pieces/{row.number}" in client.get(page).text for row in started)
    undo(client, location)
    assert [row for row in listing.pieces_like(studio) if row.order_line] == []
    send(client, page, {"do": "pay", "kind": "balance", "money": "114.00", "how": "card"})
    send(client, page, {"do": "state", "state": "collected"})
    row = orders.order_row(studio, made.number)
    assert (row.state, row.collected_on) == ("collected", studio.today().isoformat())
    assert made.number not in client.get("/orders").text
    assert made.number in client.get("/orders?show=all").text


def test_a_lost_piece_leaves_its_order_one_short(client: TestClient, studio: Studio, number: str) -> None:
    send(client, "/orders", {"brief": "one pendant", "state": "agreed"})
    (order,) = orders.open_orders(studio)
    page_of = f"/orders/{order.number}"
    send(client, page_of, {"do": "line", "design": str(designs(studio)[0].id), "count": "1", "start": "yes"})
    (line,) = orders.lines_of(studio, order.number)
    (made,) = [one for one in pieces_in_work(studio) if one.order_line == line.id]
    assert "short" not in words(client.get(page_of).text)
    send(client, "/day", {"do": "plan"})
    finish_piece(studio, made.id, "lost")
    assert f"One short: {made.number} is lost or spoilt" in words(client.get(page_of).text)
    page = words(client.get("/day").text)
    assert "Start this first" in page
    assert f"It takes the place of {made.number}" in page
    send(client, page_of, {"do": "another", "line": str(line.id)})
    (another,) = [one for one in pieces_in_work(studio) if one.order_line == line.id]
    assert another.words == f"in place of {made.number}"
    assert "short" not in words(client.get(page_of).text)
    assert "Start this first" not in client.get("/day").text
    again = {"entry": str(uuid4()), "do": "another", "line": str(line.id)}
    assert client.post(page_of, data=again).status_code == 422


@pytest.mark.parametrize("data", [{"do": "state", "state": "eaten"}, {"do": "pay", "money": "-"}, {"do": "line"}, {}])
def test_what_cannot_be_done_with_an_order_is_said_so(
    client: TestClient, studio: Studio, number: str, data: dict[str, str]
) -> None:
    made = orders.take_order(studio, "a brooch")
    answer = client.post(f"/orders/{made.number}", data=data)
    assert answer.status_code in {409, 422}, answer.text
    assert orders.order_row(studio, made.number).version == 1


def test_a_tag_carries_number_metal_and_price_and_no_promise(client: TestClient, studio: Studio, number: str) -> None:
    page = client.get(f"/pieces/{number}/tag").text
    tag = re.search(r'<article class="tag".*?</article>', page, re.DOTALL)
    assert tag is not None
    told = words(tag.group(0))
    assert number in told
    assert "38.00 credits" in told
    assert "safe" not in told.casefold()


def test_a_deposit_counts_in_what_a_piece_brought(client: TestClient, studio: Studio) -> None:
    """184 on account and 276 on the day are 460, on every page that speaks of money (plain adding up)."""
    set_setting(studio, CURRENCY, "credits")
    name = designs(studio)[0].name
    order = orders.take_order(studio, "a pendant", agreed="460")
    line = orders.add_line(studio, order.id, design=name, each="460")
    made, spare = start_pieces(studio, 2, name, order_line=line)
    finish_piece(studio, spare.id)
    orders.pay(studio, "deposit", "184", order=order.id)
    assert costing.earned(studio) == [], "a deposit alone is no sale"
    finish_piece(studio, made.id)
    spend_time(studio, "setting", "2 h", piece=made.id)
    orders.pay(studio, "balance", "276", order=order.id, piece=made.id)
    selling.move_piece(studio, made.id, "sold", order=order.id)
    orders.change_order(studio, order.id, state="collected")
    (row,) = costing.earned(studio)
    assert (row.sold, row.taken, row.per_hour) == (1, 46000, 23000)
    assert "for 460.00 credits" in words(client.get("/finished?place=sold").text)
    price = words(client.get(f"/pieces/{made.number}/price").text)
    assert "Taken: 460.00 credits" in price
    assert re.search(rf"deposit 184.00 credits\s?, on order {order.number}", price)


def test_a_deposit_on_a_set_is_shared_without_losing_a_coin(studio: Studio) -> None:
    set_setting(studio, CURRENCY, "credits")
    name = designs(studio)[0].name
    order = orders.take_order(studio, "three studs")
    line = orders.add_line(studio, order.id, design=name, count=3)
    made = start_pieces(studio, 3, name, order_line=line)
    orders.pay(studio, "deposit", "100", order=order.id)
    for one in made:
        finish_piece(studio, one.id)
    selling.move_piece(studio, made[0].id, "sold", order=order.id)
    assert costing.earned(studio)[0].taken == 3333, "one of three is gone, so a third of it is earned"
    orders.change_order(studio, order.id, state="collected")
    assert costing.earned(studio)[0].taken == 10000
    orders.pay(studio, "refund", "10", order=order.id)
    assert costing.earned(studio)[0].taken == 9000
