"""Whom offer and bill name: the lines typed, else the label of who asked, else a line to write on; never required."""

from __future__ import annotations

import io
import json

import pytest
from pdf_words import badly_set
from pypdf import PdfReader
from sqlalchemy import select
from starlette.testclient import TestClient
from typer.testing import CliRunner

from enamelwright.cards.press import press
from enamelwright.cli.main import app
from enamelwright.errors import InputError
from enamelwright.records.schema.house import past_version
from enamelwright.records.schema.people import customer as customer_table
from enamelwright.web import paper_lists
from enamelwright.workshop.orders import customers, keep_customer, open_orders, remove_customer, take_order
from enamelwright.workshop.recipients import MOST_LINES, make_out_to, recipient_of
from enamelwright.workshop.studio import Studio
from record_forms import words

ADDRESS = ("Invented Customer", "Long Lane 12", "12345 Nowhere")


def set_paper(studio: Studio, number: str, what: str) -> tuple[str, list[str]]:
    """Words of a paper, and what is badly set on it."""
    sheet = paper_lists.order_paper(studio, number, what)
    reader = PdfReader(io.BytesIO(press(sheet.template, sheet.data)))
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split()), badly_set(reader)


@pytest.mark.parametrize("what", ["offer", "bill"])
def test_the_paper_names_lines_then_label_then_nobody(studio: Studio, what: str) -> None:
    nobody = take_order(studio, "two bowls", agreed="90 EUR")
    named = take_order(studio, "six discs", agreed="260 EUR", customer=keep_customer(studio, "R., spring fair"))
    blank = paper_lists.order_paper(studio, nobody.number, what).data
    assert (blank["named"], blank["recipient"]) == (True, []), "a line to write on"
    assert "For R., spring fair" in set_paper(studio, named.number, what)[0]
    make_out_to(studio, named.number, "\r\n".join(ADDRESS))
    told, wrong = set_paper(studio, named.number, what)
    assert "For " + " ".join(ADDRESS) in told
    assert "R., spring fair" not in told
    assert wrong == set_paper(studio, nobody.number, what)[1] == []


def test_as_many_lines_as_fit_are_taken_and_set_whole(studio: Studio) -> None:
    order = take_order(studio, "discs", agreed="90 EUR")
    lines = [f"W{n} " + "wide " * 15 for n in range(MOST_LINES)]
    make_out_to(studio, order.number, "\n".join(lines))
    told, wrong = set_paper(studio, order.number, "bill")
    assert all(line.strip() in told for line in lines)
    assert wrong == []
    with pytest.raises(InputError, match="more than fit"):
        make_out_to(studio, order.number, "\n".join([*lines, "one more"]))
    with pytest.raises(InputError, match="too long"):
        make_out_to(studio, order.number, "x" * 200)


def test_the_lines_are_the_customer_s_and_go_with_them(studio: Studio) -> None:
    """One customer of two orders; forgotten, neither the label nor a line is left, in no earlier version either."""
    orders = [take_order(studio, "discs", agreed="90 EUR", customer=who) for who in (None, None)]
    make_out_to(studio, orders[0].number, "\n".join(ADDRESS))
    make_out_to(studio, orders[1].number, "\n".join(ADDRESS))
    assert [one.label for one in customers(studio)] == [ADDRESS[0]]
    with pytest.raises(InputError, match="another address"):
        make_out_to(studio, take_order(studio, "a bowl").number, f"{ADDRESS[0]}\nElsewhere 3")
    make_out_to(studio, orders[1].number, "")
    assert [recipient_of(studio, one.number) for one in orders] == [(ADDRESS[0],)] * 2
    make_out_to(studio, orders[1].number, "\n".join(ADDRESS))
    remove_customer(studio, ADDRESS[0])
    assert [recipient_of(studio, one.number) for one in orders] == [()] * 2
    with studio.reading() as connection:
        kept = [dict(row._mapping) for row in connection.execute(select(customer_table))]
        kept += [row.fields for row in connection.execute(select(past_version))]
    assert ADDRESS[1] not in json.dumps(kept, default=str)


def test_the_form_asks_for_it_and_may_stay_empty(client: TestClient, studio: Studio) -> None:
    assert client.post("/orders", data={"entry": "a", "brief": "a bowl", "to": ""}).status_code == 303
    told = {"entry": "b", "brief": "discs", "customer": "R.", "to": "\r\n".join(ADDRESS), "agreed": "90 EUR"}
    assert client.post("/orders", data=told).status_code == 303
    bare, made = sorted(open_orders(studio), key=lambda one: one.number)[-2:]
    assert recipient_of(studio, bare.number) == ()
    assert recipient_of(studio, made.number) == ADDRESS
    assert "leave a line to write on" in words(client.get(f"/orders/{bare.number}").text)
    page = client.get(f"/orders/{made.number}").text
    assert f"Offer and bill name: {', '.join(ADDRESS)}" in words(page)
    version = next(str(one.version) for one in customers(studio) if one.label == "R.")
    sent = {"entry": "c", "do": "to", "version": version, "to": "Somebody Else"}
    done = client.post(f"/orders/{made.number}", data=sent)
    assert "undo=customer" in done.headers["location"]
    assert recipient_of(studio, made.number) == ("Somebody Else",)
    late = client.post(f"/orders/{made.number}", data={**sent, "entry": "d", "to": "Too late"})
    assert late.status_code != 303 or recipient_of(studio, made.number) == ("Somebody Else",)


def test_from_the_terminal(tmp_path_factory: pytest.TempPathFactory) -> None:
    home = str(tmp_path_factory.mktemp("orders"))

    def run(*asked: str) -> str:
        done = CliRunner().invoke(app, ["order", *asked, "--home", home])
        assert done.exit_code == 0, done.output
        return done.output

    number = next(word.rstrip(".,") for word in run("take", "discs", "--agreed", "9 EUR").split() if "-C" in word)
    assert "leave a line to write on" in run("recipient", number)
    assert f"name: {', '.join(ADDRESS)}." in run("recipient", number, *ADDRESS)
    assert ADDRESS[0] in run("recipient", number, "--none"), "the label stays until the customer is forgotten"
    run("forget", ADDRESS[0])
    assert "leave a line to write on" in run("recipient", number)
    other = run("take", "more", "--for", "R.", "--to", ADDRESS[0], "--to", ADDRESS[1], "--agreed", "9 EUR")
    number = next(word.rstrip(".,") for word in other.split() if "-C" in word)
    assert f"{ADDRESS[0]}, {ADDRESS[1]}" in run("recipient", number)
