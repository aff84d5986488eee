"""The page of an order says when it is ready by the plan, how late that is, and what is still in work once it is
over; the day says whose piece is late."""

from __future__ import annotations

from datetime import timedelta

from starlette.testclient import TestClient

from enamelwright.workshop import day, day_kept, day_ready
from enamelwright.workshop.designs import designs
from enamelwright.workshop.orders import add_line, keep_customer, take_order
from enamelwright.workshop.pieces import pieces_in_work, start_pieces
from enamelwright.workshop.studio import Studio
from record_forms import words


def test_an_order_tells_when_it_is_ready(client: TestClient, studio: Studio) -> None:
    pendant = next(str(one.name) for one in designs(studio) if "pendant" in str(one.name))
    due = studio.today() - timedelta(days=3)
    order = take_order(studio, "two", customer=keep_customer(studio, "Lea"), state="agreed", due_on=due)
    start_pieces(studio, 2, pendant, order_line=add_line(studio, order.id, design=pendant, count=2))
    assert "ready" not in words(client.get(f"/orders/{order.number}").text).split("How it stands")[0]
    day.plan_day(studio, 0)
    ready = day_ready.ready_of(studio, day_kept.the_plan(studio), str(order.number), due.isoformat())
    assert ready is not None
    assert ready.late.endswith("days")
    page = words(client.get(f"/orders/{order.number}").text)
    assert f"By the plan ready {ready.words} ({ready.late} late)" in page
    assert f"Late: {order.number} for Lea: 2 pieces by " in words(client.get("/day").text)
    told = {"entry": "c", "do": "state", "state": "collected", "version": str(order.version)}
    assert client.post(f"/orders/{order.number}", data=told).status_code == 303
    page = words(client.get(f"/orders/{order.number}").text).replace(" ,", ",").replace(" .", ".")
    numbers = ", ".join(str(one.number) for one in pieces_in_work(studio))
    assert f"Still in work: {numbers}. They stay in the plan of the day, without a date." in page
    assert "By the plan" not in page
