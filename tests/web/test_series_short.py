"""What is short: when it is first needed, and a list of what to buy only when there is something to buy."""

from __future__ import annotations

from datetime import datetime, time

from enamelwright.craft.jar import Jar
from enamelwright.workshop import cut_designs, day_habits, lots, metals, stock_plan
from enamelwright.workshop import jars as shelf
from enamelwright.workshop.coats import lay_coat
from enamelwright.workshop.day_kept import the_plan
from enamelwright.workshop.day_lots import needed_first
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.studio import Studio
from record_forms import send, words
from test_day_pages import client_of

MORNING = datetime.combine(datetime.now().astimezone().date(), time(9)).astimezone()
LIST = "/paper/purchases"


def test_nothing_to_buy_offers_no_list(studio: Studio) -> None:
    client = client_of(studio)
    assert LIST not in client.get("/series/stock").text
    pendant = cut_designs.cut_designs(studio)[0]
    start_pieces(studio, 2, pendant.version)
    assert LIST in client.get("/series/stock").text, "powder and sheet are short"
    for use in stock_plan.needs(studio).uses:
        shelf.add_jar(studio, Jar.from_outside({"id": use.jar, "name": "enamel", "kind": "opaque"}))
        lots.open_lot(studio, use.jar, "L", grams="500 g")
    assert LIST in client.get("/series/stock").text, "sheet is short"
    metals.add_sheet(studio, "A", pendant.piece.metal.kind, pendant.thickness, width="120 mm", length="250 mm")
    page = client.get("/series/stock").text
    assert "suffices" in words(page)
    assert LIST not in page
    assert client.get(f"{LIST}.pdf").status_code == 422
    marked = Jar.from_outside({"id": "J90", "name": "enamel", "kind": "opaque"})
    shelf.add_jar(studio, marked, reorder_below="100 g")
    lots.open_lot(studio, "J90", "L", grams="20 g")
    assert LIST in client.get("/series/stock").text, "below its mark"
    assert client.get(f"{LIST}.pdf").status_code == 200


def test_the_plan_says_when_a_jar_is_first_needed(studio: Studio) -> None:
    day_habits.set_habits(studio, day_habits.DayHabits(rest=(), hours=("09:00-12:30", "13:00-21:00")))
    there = studio.at(MORNING)
    client = client_of(there)
    pendant = cut_designs.cut_designs(there)[0]
    made = start_pieces(there, 2, pendant.version)
    assert "first needed" not in client.get("/series/stock").text, "no plan says when"
    send(client, "/day", {"do": "plan"})
    laid = needed_first(there)
    lays = sorted(block.start for block in the_plan(there).blocks if not block.kiln)
    jars = {use.jar.casefold() for use in stock_plan.needs(there).uses}
    assert set(laid) == jars
    assert min(laid.values()) in lays
    page = words(client.get("/series/stock").text)
    assert "first needed" in page
    soonest = sorted(jars, key=lambda jar: laid[jar])
    places = [page.index(f"{jar.upper()} ") for jar in soonest]
    assert places == sorted(places), "the soonest needed first"
    assert f"today, {laid[soonest[0]][11:16]}" in page
    first = soonest[0].upper()
    shelf.add_jar(there, Jar.from_outside({"id": first, "name": "enamel", "kind": "opaque"}))
    lots.open_lot(there, first, "L", grams="50 g")
    for one in made:
        lay_coat(there, one.id, jar=first, weighed_out="0.5 g")
    assert needed_first(there).get(soonest[0], "9") > laid[soonest[0]], "what is laid is not needed again"
