"""Weighings of two people, told at the bench, and the grams each of them is asked to weigh out afterwards."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
import pytest

from enamelwright.workshop.bench import bench
from enamelwright.workshop.coats import coats_on
from enamelwright.workshop.designs import keep_design
from enamelwright.workshop.people import label_of, person
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.relearning import relearn
from enamelwright.workshop.weighing_out import waiting

if TYPE_CHECKING:
    from starlette.testclient import TestClient

    from enamelwright.workshop.studio import Studio

EXAMPLES = Path(__file__).parents[2] / "examples"
#: What of the powder misses the piece, by who sifts it (invented).
LOSSES = {"A": 0.10, "B": 0.25}
#: Weighings of each.
MANY = 12


@pytest.fixture
def pieces(client: TestClient, studio: Studio) -> list[str]:
    """Pieces in work of two owners and of nobody, after both people have weighed what they sifted."""
    version = keep_design(studio, EXAMPLES / "sifted-pendant.toml").version
    rng = np.random.default_rng(3)
    for who, loss in LOSSES.items():
        for n in range(MANY):
            start_pieces(studio, labels=[f"{who}{n}"], metal="copper", thickness="0.9 mm", metal_mass="3 g")
            missed = loss + float(rng.normal(0, 0.01))
            body = {"pieces": [f"{who}{n}"], "face": "front", "method": "sift", "mesh": 80, "on_piece": "0.3 g",
                    "weighed_out": f"{0.3 / (1 - missed):.4f} g", "who": who}  # fmt: skip
            told = client.post("/api/v1/entries", json={"entry": f"weighing-{who}-{n}", "kind": "coat", "body": body})
            assert told.status_code == 200, told.text
    relearn(studio)
    owners = [None, *(person(studio, who) for who in LOSSES)]
    return [start_pieces(studio, 1, version, owner=owner)[0].number for owner in owners]


def grams(page: str) -> float:
    found = re.search(r'class="digits">([\d.]+)<', page)
    assert found is not None
    return float(found.group(1))


def test_each_weighs_out_by_the_own_hand(client: TestClient, pieces: list[str]) -> None:
    """Powder weighed out is what is to lie there over the share that does not miss."""
    everybody = client.get(f"/weigh/{pieces[0]}").text
    mine, other = (client.get(f"/weigh/{pieces[0]}?who={who}").text for who in LOSSES)
    assert grams(mine) < grams(everybody) < grams(other)
    assert grams(other) / grams(mine) == pytest.approx((1 - LOSSES["A"]) / (1 - LOSSES["B"]), abs=0.03)
    assert f"{MANY} weighings of A through 80 mesh, leaning on {MANY} of others here" in mine
    assert f"{2 * MANY} weighings of everybody here through 80 mesh" in everybody


def test_the_owner_of_a_piece_lays_it(client: TestClient, studio: Studio, pieces: list[str]) -> None:
    mine, other = (client.get(f"/weigh/{number}").text for number in pieces[1:])
    assert grams(mine) < grams(other)
    assert [one.whose for one in waiting(studio)] == ["", "A", "B"]
    assert "laid by B" in client.get("/weigh").text


def test_the_device_remembers_who_lays_and_writes_it_down(
    client: TestClient, studio: Studio, pieces: list[str]
) -> None:
    chosen = grams(client.get(f"/weigh/{pieces[0]}?who=B").text)
    page = client.get(f"/weigh/{pieces[0]}").text
    assert grams(page) == chosen
    assert "Laid by B" in page
    entry = re.search(r'name="entry" value="([0-9a-f]+)"', page)
    assert entry is not None
    form = {"entry": entry.group(1), "coat": "1", "piece": pieces[:1], "grams": "0.5", "who": "B"}
    client.post(f"/weigh/{pieces[0]}", data=form)
    (laid,) = coats_on(studio, pieces[0])
    assert label_of(studio, laid.who) == "B"
    assert grams(client.get(f"/weigh/{pieces[0]}?coat=1&who=").text) < chosen  # anybody again
    assert "Laid by anybody" in client.get(f"/weigh/{pieces[0]}?coat=1").text


def test_one_who_has_never_weighed_lays_by_everybodys_hand(
    client: TestClient, studio: Studio, pieces: list[str]
) -> None:
    person(studio, "C")
    plain = bench(studio)
    assert plain.by_hand_of("C") is plain
    assert grams(client.get(f"/weigh/{pieces[0]}?who=C").text) == grams(client.get(f"/weigh/{pieces[0]}?who=").text)


def test_a_bench_card_is_set_for_the_owner(studio: Studio, pieces: list[str]) -> None:
    from enamelwright.web.papers import of_day

    def weighed(number: str) -> list[str]:
        (card,) = of_day(studio, [number], ["bench"]).data["cards"]
        return [row["weigh"] for row in (*card["data"]["front"], *card["data"]["back"])]

    assert weighed(pieces[1]) != weighed(pieces[2])
