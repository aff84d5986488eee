"""A commission from brief to collected and a fair from packing list to return, as a maker walks them through the pages.

Sums are worked out by hand; what is customary between maker and seller is common practice, no source.
"""

from __future__ import annotations

import re

import pytest
from starlette.testclient import TestClient

from enamelwright.web import paper_lists
from enamelwright.workshop import costing, cut_designs, listing, orders, outlets, selling
from enamelwright.workshop.designs import designs
from enamelwright.workshop.finishing import spend_time
from enamelwright.workshop.pieces import finish_piece, piece_row, start_pieces
from enamelwright.workshop.settings import CURRENCY, set_setting
from enamelwright.workshop.studio import Studio
from record_forms import send, undo, words


@pytest.fixture
def shop(studio: Studio) -> Studio:
    """A studio that counts in euro, with a gallery that keeps 40 % and a fair that keeps 15 %."""
    set_setting(studio, CURRENCY, "EUR")
    selling.keep_outlet(studio, "hill gallery", "gallery", 0.4)
    selling.keep_outlet(studio, "winter fair", "fair", 0.15)
    return studio


@pytest.fixture
def made(shop: Studio) -> list[str]:
    """Three finished pieces at 58.00, the last one without a price of its own for the fair."""
    name = designs(shop)[0].name
    rows = start_pieces(shop, 3, name)
    for one in rows:
        finish_piece(shop, one.id)
        spend_time(shop, "all of it", "1 h", piece=one.id)
    selling.set_price(shop, "58", design=name)
    selling.set_price(shop, "60", piece=rows[0].id, channel="fair")
    return [str(one.number) for one in rows]


def page_of(studio: Studio, name: str) -> str:
    return f"/finished/at/{selling.outlet_row(studio, name).id}"


def test_a_commission_from_brief_to_collected(client: TestClient, shop: Studio) -> None:
    location = send(
        client, "/orders",
        {"brief": "a pendant, reeds in the rain", "customer": "T.", "state": "offered", "due_on": "2027-01-20",
         "change_by": "2026-12-20", "deposit_due_on": "2026-12-05", "options": "blue over silver\r\n\r\ngreen over flux"},
    )  # fmt: skip
    number = re.search(r"/orders/([\w-]+)", location)
    assert number is not None
    page = f"/orders/{number[1]}"
    told = words(client.get(page).text)
    assert "Offered to choose from: blue over silver; green over flux" in told
    assert "changes possible until 20 Dec 2026" in told
    design = str(designs(shop)[0].id)
    send(client, page, {"do": "line", "design": design, "count": "2", "each": "230", "start": "yes"})
    assert "460.00 EUR" in words(client.get(page).text), "2 x 230.00"
    send(client, page, {"do": "change", "agreed": "450", "approved_look": "tile 31", "change_by": ""})
    told = words(client.get(page).text)
    assert "Approved look: tile 31" in told
    assert "changes possible until" not in told.casefold().replace("changes possible until due on", "")
    assert "The lines come to 460.00; the sum agreed on is 450.00 EUR" in told
    assert "blue over silver" in told, "what the form did not have stays"
    send(client, page, {"do": "pay", "kind": "deposit", "money": "150"})
    told = client.get(page).text
    assert "300.00 EUR still to pay" in words(told)
    assert 'name="money" type="text" value="300.00"' in told, "the balance needs no reckoning"
    for what in ("offer", "bill"):
        assert client.get(f"/paper/{what}.pdf?order={number[1]}").content.startswith(b"%PDF")
        assert "still to pay" in str(paper_lists.order_paper(shop, number[1], what).data["sums"])
    (line,) = orders.lines_of(shop, number[1])
    pieces = orders.pieces_for(shop, [int(line.id)])[int(line.id)]
    finish_piece(shop, pieces[0].id)
    location = send(client, page, {"do": "state", "state": "collected"})
    assert [piece_row(shop, one.id).place for one in pieces] == ["sold", "bench"]
    assert str(pieces[0].number) not in client.get("/finished").text, "it is gone from the shelf"
    assert "300.00 EUR still to pay" in words(client.get(page).text), "and said to be unpaid"
    undo(client, location)
    assert orders.order_row(shop, number[1]).state == "offered"
    assert piece_row(shop, pieces[0].id).place == "bench"
    assert orders.order_row(shop, number[1]).collected_on is None
    send(client, page, {"do": "pay", "kind": "balance", "money": "310"})
    assert "10.00 EUR more than agreed was paid" in words(client.get(page).text)


def test_an_order_without_a_sum_is_not_printed(client: TestClient, shop: Studio) -> None:
    row = orders.take_order(shop, "a bowl")
    assert client.get(f"/paper/offer?order={row.number}").status_code == 422
    assert client.get("/paper/bill?order=nobody").status_code in {409, 422}
    assert "What it comes to" not in client.get(f"/orders/{row.number}").text


def test_an_order_shows_its_pieces_however_many_came_after(client: TestClient, shop: Studio) -> None:
    row = orders.take_order(shop, "one stud")
    line = orders.add_line(shop, row.id, design=designs(shop)[0].name)
    (first,) = start_pieces(shop, 1, designs(shop)[0].name, order_line=line)
    start_pieces(shop, 205, designs(shop)[0].name)
    assert f"/pieces/{first.number}" in client.get(f"/orders/{row.number}").text


def test_a_fair_from_packing_list_to_return(client: TestClient, shop: Studio, made: list[str]) -> None:
    page = page_of(shop, "winter fair")
    assert "Nothing of yours is there" in client.get(page).text
    location = send(client, page, {"do": "take", "piece": made})
    told = words(client.get(page).text)
    assert "There now 3" in told
    assert "60.00 EUR asked" in told, "the price for fairs goes before the one for anywhere"
    packing = paper_lists.packing(shop, [], page.rpartition("/")[2]).data
    assert [row[2] for row in packing["rows"]] == ["60.00 EUR", "58.00 EUR", "58.00 EUR"]
    assert packing["sums"] == [["3 pieces together", "176.00 EUR"]]
    undo(client, location)
    assert "Nothing of yours is there" in client.get(page).text
    send(client, page, {"do": "take", "piece": made})
    selling.set_price(shop, "99", piece=made[1])
    a, b, c = made
    location = send(
        client, page,
        {"do": "settle", f"became-{a}": "sold", f"became-{b}": "sold", f"sum-{b}": "50", f"became-{c}": "back"},
    )  # fmt: skip
    assert [piece_row(shop, one).place for one in made] == ["sold", "sold", "bench"]
    came = {one: [pay.minor for pay in listing.payments(shop, piece=int(piece_row(shop, one).id))] for one in made}
    assert came == {a: [6000], b: [5000], c: []}, "an empty sum is the one asked there, not the new price"
    sheet = paper_lists.returned(shop, page.rpartition("/")[2]).data
    assert sheet["crossed"] == [1, 1, 0]
    assert sheet["sums"][1:] == [["2 sold, prices together", "110.00 EUR"], ["for the maker", "110.00 EUR"]]
    assert client.get(f"/paper/return.pdf?outlet={page.rpartition('/')[2]}").content.startswith(b"%PDF")
    (earned,) = costing.earned(shop)
    assert (earned.taken, earned.per_hour) == (11000, (11000 - 900 - 750) // 2), "15 % of 60 and of 50 go to the fair"
    undo(client, location)
    assert [piece_row(shop, one).place for one in made] == ["fair"] * 3
    assert costing.earned(shop) == []


def test_what_is_shown_and_packed_is_what_is_written_down(client: TestClient, shop: Studio, made: list[str]) -> None:
    """The first has a price for fairs beside the one for anywhere."""
    page = page_of(shop, "winter fair")
    take = words(client.get(page).text).partition("Take there")[2]
    assert "60.00 EUR" in take
    row = page.rpartition("/")[2]
    before = paper_lists.packing(shop, made, row).data["rows"]
    assert [line[2] for line in before] == ["60.00 EUR", "58.00 EUR", "58.00 EUR"]
    assert [line[2] for line in paper_lists.packing(shop, made).data["rows"]] == ["58.00 EUR"] * 3, "for nowhere named"
    send(client, page, {"do": "take", "piece": made})
    selling.set_price(shop, "99", piece=made[0])
    assert paper_lists.packing(shop, made, row).data["rows"] == before, "as it was written down"


def test_more_than_one_undo_takes_back_is_said(client: TestClient, shop: Studio) -> None:
    name = designs(shop)[0].name
    rows = start_pieces(shop, 30, name)
    with shop.writing():
        for one in rows:
            finish_piece(shop, one.id)
    selling.set_price(shop, "58", design=name)
    page, many = page_of(shop, "winter fair"), [str(one.number) for one in rows]
    send(client, page, {"do": "take", "piece": many})
    location = send(client, page, {"do": "settle", **{f"became-{one}": "sold" for one in many}})
    told = client.get(location).text
    assert "too much for one Undo" in words(told)
    assert 'action="/take-back"' not in told
    again = send(client, "/finished", {"piece": many[0], "place": "given"})
    told = client.get(again).text
    assert "too much" not in told
    assert 'action="/take-back"' in told


def test_a_sum_typed_beside_a_price_is_in_its_currency(client: TestClient, shop: Studio, made: list[str]) -> None:
    send(client, "/finished", {"do": "sold", "piece": made[1], "money": "60.00 CHF", "other": "55", "how": "cash"})
    (paid,) = listing.payments(shop, piece=int(piece_row(shop, made[1]).id))
    assert (paid.minor, paid.currency) == (5500, "CHF")


def test_an_order_not_collected_after_all_has_its_pieces_again(client: TestClient, shop: Studio) -> None:
    row = orders.take_order(shop, "a pair", agreed="100", state="ready")
    line = orders.add_line(shop, row.id, "studs", count=2)
    made = start_pieces(shop, order_line=line, labels=["L", "R"])
    for one in made:
        finish_piece(shop, one.id)
    page = f"/orders/{row.number}"
    send(client, page, {"do": "state", "state": "collected"})
    location = send(client, page, {"do": "state", "state": "ready"})
    assert "on the bench again" in words(client.get(location).text)
    assert [piece_row(shop, one.id).place for one in made] == ["bench"] * 2
    undo(client, location)
    assert [piece_row(shop, one.id).place for one in made] == ["sold"] * 2
    assert orders.order_row(shop, row.id).state == "collected"
    send(client, page, {"do": "state", "state": "ready"})
    location = send(client, page, {"do": "state", "state": "collected"})
    assert "gone with it" in words(client.get(location).text)
    location = send(client, page, {"do": "state", "state": "collected"})
    assert "gone with it" not in words(client.get(location).text)


def test_a_gallery_and_what_is_for_the_maker(client: TestClient, shop: Studio, made: list[str]) -> None:
    page, row = page_of(shop, "hill gallery"), page_of(shop, "hill gallery").rpartition("/")[2]
    send(client, page, {"do": "take", "piece": made, "until": "2027-03-01"})
    out = paper_lists.consignment(shop, row).data
    assert [line[2:] for line in out["rows"]] == [["58.00 EUR", "34.80 EUR"]] * 3
    assert out["sums"] == [
        ["3 pieces, prices together", "174.00 EUR"],
        ["for the maker when all are sold", "104.40 EUR"],
    ]
    blank = paper_lists.returned(shop, row).data
    assert blank["crossed"] == [-1] * 3, "taken along, it has boxes to tick"
    assert "34.80 EUR of it for you" in words(client.get("/finished").text)
    a, b, _ = made
    send(client, page, {"do": "settle", f"became-{a}": "sold", f"became-{b}": "missing", "how": "transfer"})
    back = paper_lists.returned(shop, row).data
    assert back["crossed"] == [1, 2, -1]
    assert [line[4] for line in back["rows"]] == ["34.80 EUR", "-", "-"]
    assert back["sums"] == [
        ["0 came back, 1 still there, 1 missing", ""], ["1 sold, prices together", "58.00 EUR"], ["for the maker", "34.80 EUR"],
    ]  # fmt: skip
    assert piece_row(shop, b).place == "unknown"
    assert piece_row(shop, b).state == "finished", "lost on the road is no failure of the making"
    told = words(client.get(page).text)
    assert "sold for 58.00 EUR, 34.80 EUR for you" in told
    assert costing.earned(shop)[0].per_hour == 3480


def test_the_next_return_begins_after_the_last(shop: Studio, made: list[str]) -> None:
    from datetime import timedelta

    day = shop.clock()
    for n, one in enumerate(made):
        then = shop.at(day - timedelta(days=20 - n))
        outlets.take_there(then, "hill gallery", [one])
        outlets.settle(shop.at(day - timedelta(days=10 - 2 * n)), "hill gallery", {one: ("back", "")})
    told = outlets.left_since(shop, "hill gallery")
    assert [str(one.piece.number) for one in told] == made[2:]
    everything = outlets.left_since(shop, "hill gallery", "2000-01-01")
    assert [one.became for one in everything] == ["back"] * 3


@pytest.mark.parametrize(
    "data",
    [
        {"do": "take"},
        {"do": "take", "piece": "2026-999"},
        {"do": "settle"},
        {"do": "settle", "became-2026-999": "sold"},
        {"do": "settle", "became-here": "eaten"},
        {"do": "dance"},
    ],
)
def test_what_cannot_be_done_at_an_outlet_is_said_so(
    client: TestClient, shop: Studio, made: list[str], data: dict[str, str]
) -> None:
    page = page_of(shop, "winter fair")
    assert client.post(page, data=data).status_code in {409, 422}
    assert outlets.at_outlet(shop, "winter fair") == []
    outlets.take_there(shop, "winter fair", made[:1])
    selling.sold(shop, made[0], "58", outlet="winter fair")
    assert client.post(page, data={"do": "take", "piece": made[0]}).status_code in {409, 422}, "it is sold already"
    assert client.get("/finished/at/999").status_code in {404, 409, 422}


def test_prices_in_two_currencies_are_not_added_up(shop: Studio, made: list[str]) -> None:
    selling.set_price(shop, "9000 JPY", piece=made[1])
    sheet = paper_lists.packing(shop, made).data
    assert sheet["sums"] == [["3 pieces together", "116.00 EUR, 9000 JPY"]]
    bare = start_pieces(shop, labels=["bare"])[0]
    finish_piece(shop, bare.id)
    sheet = paper_lists.packing(shop, [*made, str(bare.number)]).data
    assert sheet["sums"][0][1] == "116.00 EUR, 9000 JPY (1 without a price)"


def test_the_stock_page_tells_metal_and_what_to_buy(client: TestClient, shop: Studio) -> None:
    from enamelwright.workshop import metals

    found = cut_designs.cut_designs(shop)[0]
    assert client.get("/paper/purchases").status_code == 422, "nothing is planned"
    row = orders.take_order(shop, "a dozen", state="agreed")
    orders.add_line(shop, row.id, design=found.name, count=12)
    told = words(client.get("/series/stock").text)
    assert f"12 × {found.name}" in told
    assert "Put one in stock" in told
    assert "will not last for what is planned, begun and ordered" in told
    sheet = paper_lists.purchases(shop, {}).data["rows"]
    assert sheet == [["", f"sheet of {found.sheet}", sheet[0][2], "and what is lost between the blanks"]]
    assert client.get("/paper/purchases.pdf").content.startswith(b"%PDF")
    send(
        client, "/series/blanks",
        {"do": "sheet", "label": "A", "metal": found.piece.metal.kind, "thickness": f"{found.thickness * 1000} mm",
         "width": "300 mm", "length": "400 mm", "price": "48.00", "lot": "7"},
    )  # fmt: skip
    (kept,) = metals.sheets(shop)
    assert (kept.price_minor, kept.currency, kept.lot) == (4800, "EUR", "7")
    page = client.get("/series/stock").text
    assert f"/series/blanks?n{found.row}=12" in page
    made = start_pieces(shop, 12, found.name, order_line=orders.lines_of(shop, row.id)[0].id)
    location = send(client, f"/series/blanks?n{found.row}=12", {"do": "cut", "sheet": "A"})
    assert all(piece_row(shop, one.id).sheet == kept.id for one in made)
    assert f"12 × {found.name}" not in words(client.get("/series/stock").text), "they are cut"
    undo(client, location)
    assert all(piece_row(shop, one.id).sheet is None for one in made)
    assert [one.label for one in metals.sheets(shop)] == ["A"]
    send(client, f"/series/blanks?n{found.row}=12", {"do": "cut", "sheet": "A"})
    assert all(piece_row(shop, one.id).sheet == kept.id for one in made), "taken back, it can be cut again"
    more = start_pieces(shop, 400, found.name)
    metals.add_sheet(shop, "B", found.piece.metal.kind, found.thickness)
    assert "perhaps: tell the size of what lies there" in words(client.get("/series/stock").text)
    assert "of which nobody told the size" in str(paper_lists.purchases(shop, {}).data["rows"])
    assert more


def test_a_lot_below_nothing_or_past_its_date_is_said(client: TestClient, shop: Studio) -> None:
    from datetime import timedelta

    from enamelwright.craft.jar import Jar
    from enamelwright.workshop import jars, lots, stock_plan

    start_pieces(shop, 6, cut_designs.cut_designs(shop)[0].version)
    code = next(iter(stock_plan.needs(shop).uses)).jar
    jars.add_jar(shop, Jar(id=code, name="a blue", kind="opaque"))
    old = shop.today() - timedelta(days=1)
    lots.open_lot(shop, code, "old", grams="50 g", use_by=old)
    told = words(client.get("/series/stock").text)
    assert "past its date and not counted: old" in told
    line = next(one for one in stock_plan.shortages(shop).payload.lines if one.jar == code)
    assert line.there.value == 0
    assert line.short.value == pytest.approx(line.need.value)
