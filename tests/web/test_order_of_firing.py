"""One order everywhere: the page of a piece, its firings, the balance and the kiln say the same firing is next."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest

from enamelwright.workshop import faults, loads, measures
from enamelwright.workshop.bench import bench
from enamelwright.workshop.coats import lay_coat
from enamelwright.workshop.designs import keep_design, version_row
from enamelwright.workshop.firings import firings_of
from enamelwright.workshop.history import story
from enamelwright.workshop.lay_order import order_of_version
from enamelwright.workshop.listing import pieces_like
from enamelwright.workshop.pieces import finish_piece, piece_row, start_pieces
from enamelwright.workshop.plan_firings import next_firings, order_of
from enamelwright.workshop.predictions import foretell, plan_of
from enamelwright.workshop.weighing_out import waiting, weighing

if TYPE_CHECKING:
    from starlette.testclient import TestClient

    from enamelwright.craft.plan import Plan
    from enamelwright.workshop.studio import Studio

EXAMPLES = Path(__file__).parents[2] / "examples"


@pytest.fixture
def number(studio: Studio) -> str:
    """A piece whose back is first in the file and second in the kiln: transparents over flux, on copper."""
    version = keep_design(studio, EXAMPLES / "clear-over-flux.toml").version
    return str(start_pieces(studio, 1, version)[0].number)


def plan(studio: Studio, number: str) -> Plan:
    return plan_of(studio, version_row(studio, piece_row(studio, number).design_version)).payload


def lay(studio: Studio, number: str, coat: int) -> None:
    """Lay a coat of the plan, by its number from 0."""
    face = plan(studio, number).piece.coats[coat].face
    lay_coat(studio, number, coat=coat + 1, face=face)


def fire(studio: Studio, number: str) -> None:
    loads.fired(studio, [number], set_point="780 C", seconds="90 s", stage_seen="orange peel")


def test_the_quick_order_is_the_plans(studio: Studio, number: str) -> None:
    version = version_row(studio, piece_row(studio, number).design_version)
    assert order_of_version(version, bench(studio)) == order_of(plan(studio, number))


def test_the_balance_follows_the_kiln(client: TestClient, studio: Studio, number: str) -> None:
    first = plan(studio, number).firings[0]
    (coat,) = first.lays
    assert coat != 0, "the file begins with another coat than the kiln"
    assert waiting(studio)[0].coat == coat + 1
    assert weighing(studio, number).coat == coat
    assert "Firing 1 comes next" in client.get(f"/pieces/{number}?wait=1").text
    lay(studio, number, coat)
    assert foretell(studio, [piece_row(studio, number)], {})[0].firing == first.number
    assert "Firing 1 comes next" in client.get(f"/pieces/{number}?wait=1").text


def test_the_page_says_the_firing_of_what_was_laid_all_the_same(
    client: TestClient, studio: Studio, number: str
) -> None:
    second = plan(studio, number).firings[1]
    lay(studio, number, second.lays[0])
    assert foretell(studio, [piece_row(studio, number)], {})[0].firing == second.number
    assert f"Firing {second.number} comes next" in client.get(f"/pieces/{number}?wait=1").text


def test_a_firing_out_of_order_is_one_firing(client: TestClient, studio: Studio, number: str) -> None:
    first, second, third, *_ = plan(studio, number).firings
    lay(studio, number, second.lays[0])
    fire(studio, number)
    row = piece_row(studio, number)
    standing = next_firings(studio, [row.id])[row.id]
    through = standing.past.through(order_of(plan(studio, number)))
    assert (set(through.done), set(through.coats), standing.past.times) == ({second.number}, set(second.lays), 1)
    assert standing.to_do(order_of(plan(studio, number))) == first.number
    page = client.get(f"/pieces/{number}?wait=1").text
    assert "fired once" in page
    assert f"Firing {first.number} comes next" in page
    drawn = page.partition('<figure class="edge-on">')[2].partition("</figure>")[0]
    assert {n for n in range(4) if f'data-coat="{n}"' in drawn} == set(second.lays), "only what was laid and fired"
    assert "not in the order of the plan" in drawn
    assert waiting(studio)[0].coat == first.lays[0] + 1
    assert [one.fired for one in pieces_like(studio) if one.number == number] == [1]
    told = next(one.words for one in story(studio, row.id) if one.what == "load")
    assert told.startswith(f"firing {second.number} of the plan in ")
    lay(studio, number, first.lays[0])
    assert foretell(studio, [row], {})[0].firing == first.number
    fire(studio, number)
    after = next_firings(studio, [row.id])[row.id]
    assert after.to_do(order_of(plan(studio, number))) == third.number
    assert f"As it is after firing {second.number}." in client.get(f"/pieces/{number}?wait=1").text


def test_still_in_the_kiln_is_not_fired(client: TestClient, studio: Studio, number: str) -> None:
    lay(studio, number, plan(studio, number).firings[0].lays[0])
    loads.begin_load(studio, [number], set_point="812 C")
    for page in (f"/pieces/{number}?wait=1", "/pieces"):
        text = client.get(page).text
        assert "not fired yet" in text
        assert "fired once" not in text
    assert "Firing 1 is in the kiln" in client.get(f"/pieces/{number}?wait=1").text


def test_a_finished_piece_shows_what_its_record_has(client: TestClient, studio: Studio, number: str) -> None:
    second = plan(studio, number).firings[1]
    lay(studio, number, second.lays[0])
    fire(studio, number)
    row = piece_row(studio, number)
    faults.see_fault(studio, row.id, "cloudy")
    measures.take_measure(studio, row.id, "bow", "0.07 mm", over="30 mm")
    finish_piece(studio, row.id, "finished")
    page = client.get(f"/pieces/{number}?wait=1").text
    drawn = page.partition('<figure class="edge-on">')[2].partition("</figure>")[0]
    assert {n for n in range(4) if f'data-coat="{n}"' in drawn} == set(second.lays)
    assert "With everything on it" not in page
    assert "Coats F1–F3 were never laid, by its record." in page
    assert "What the plan says" not in page
    assert "Nothing speaks against it" not in page
    assert "comes next" not in page
    assert "not healed" in page
    assert "0.07 mm" in page
    firings = client.get(f"/pieces/{number}/firings?wait=1").text
    assert "To come" not in firings


def test_the_firings_to_come_stand_first_and_the_next_of_them_on_top(
    client: TestClient, studio: Studio, number: str
) -> None:
    first, second, *rest = plan(studio, number).firings
    for _ in range(2):
        lay(studio, number, first.lays[0])
        fire(studio, number)
    page = client.get(f"/pieces/{number}/firings?wait=1").text.partition('<ol class="firings">')[2]
    heads = re.findall(r"<h2>Firing (\d+)(, again)?[^/]*</?", page)
    assert [n for n, _ in heads[:3]] == [str(one.number) for one in (second, *rest)], "to come, the next first"
    assert heads[3:5] == [("1", ", again"), ("1", "")], "then what happened, the last first"
    assert not re.search(r"<h2>[^\n]*, to (?:cleared|gloss|orange peel)", page), "one aim, beside its window"
    assert "was out" in page
    assert 'width="-' not in page
    assert "780 °C" in client.get(f"/loads/{firings_of(studio, number)[0].number}").text
