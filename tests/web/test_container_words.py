"""What a waste container is said to hold when a spent bath is drawn off into it: written for the maker, never too little.

The copper is bounded by hand: what a weighed dip took off is the most that can be in the bath, and a share of the
liquor takes that share of it.
"""

from __future__ import annotations

import re

import pytest
from starlette.testclient import TestClient

from enamelwright.workshop import baths
from enamelwright.workshop.studio import Studio
from record_forms import send, undo, words
from test_pickle_pages import VINEGAR


@pytest.fixture
def bath(client: TestClient, studio: Studio) -> int:
    """Half a litre of vinegar and salt in which a weighed dip took 2 g off copper."""
    send(client, "/pickle", {**VINEGAR, "name": "June"})
    row = int(baths.bath_row(studio, "June").id)
    send(client, f"/pickle/{row}", {"what": "dip", "before": "42 g", "after": "40 g", "copper_area": "500 cm2"})
    return row


def drum(client: TestClient, studio: Studio, label: str = "drum 2", contents: str = "") -> int:
    data = {"do": "container", "label": label, **({"contents": contents} if contents else {})}
    send(client, "/pickle", data)
    return int(baths.container_row(studio, label).id)


def copper(studio: Studio, row: int) -> float:
    """Grams of copper a container is said to hold at most."""
    found = re.search(r"up to ([\d.]+) g of copper", str(baths.container_row(studio, row).contents))
    return float(found[1]) if found else 0.0


def test_a_new_container_is_filled_in_with_what_the_whole_bath_may_hold(client: TestClient, bath: int) -> None:
    told = words(client.get(f"/pickle/{bath}/spent").text)
    page = client.get(f"/pickle/{bath}/spent").text
    found = re.search(r"spent [^;<\"]+; up to ([\d.]+) g of copper; nobody said what it has met", page)
    assert found is not None, told
    assert 1.0 < float(found[1]) <= 2.1, "2 g of scale are at most 2 g of copper"


def test_a_share_of_the_bath_takes_its_share_of_copper_and_more_adds_to_it(
    client: TestClient, studio: Studio, bath: int
) -> None:
    whole = re.search(r"up to ([\d.]+) g of copper", client.get(f"/pickle/{bath}/spent").text)
    assert whole is not None
    row = drum(client, studio)
    location = send(client, f"/pickle/{bath}", {"what": "drawn off", "volume": "0.1 l", "container": str(row)})
    assert copper(studio, row) == pytest.approx(0.1 / 0.5 * float(whole[1]), rel=0.03)
    undo(client, location)
    assert not baths.container_row(studio, row).contents, "Undo empties it and its words"
    for volume in ("0.1 l", "0.2 l"):
        send(client, f"/pickle/{bath}", {"what": "drawn off", "volume": volume, "container": str(row)})
    assert copper(studio, row) == pytest.approx(0.3 / 0.5 * float(whole[1]), rel=0.05)
    assert str(baths.container_row(studio, row).contents).count("of copper") == 1


def test_without_a_volume_all_of_the_copper_may_have_gone(client: TestClient, studio: Studio, bath: int) -> None:
    whole = re.search(r"up to ([\d.]+) g of copper", client.get(f"/pickle/{bath}/spent").text)
    assert whole is not None
    row = drum(client, studio)
    send(client, f"/pickle/{bath}", {"what": "drawn off", "container": str(row)})
    assert copper(studio, row) == pytest.approx(float(whole[1]), rel=0.01)


def test_words_somebody_typed_stay(client: TestClient, studio: Studio, bath: int) -> None:
    row = drum(client, studio, contents="spent pickle of the class")
    send(client, f"/pickle/{bath}", {"what": "drawn off", "volume": "0.4 l", "container": str(row)})
    assert baths.container_row(studio, row).contents == "spent pickle of the class"


def test_what_it_has_met_is_in_the_words(client: TestClient, studio: Studio, bath: int) -> None:
    send(client, f"/pickle/{bath}", {"do": "met", "met": ["met_silver"]})
    row = drum(client, studio)
    send(client, f"/pickle/{bath}", {"what": "drawn off", "volume": "0.5 l", "container": str(row)})
    assert str(baths.container_row(studio, row).contents).endswith("has met silver")
