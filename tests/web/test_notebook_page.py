"""The page that takes an old notebook: looked at first, told once for all rows, brought in once."""

from __future__ import annotations

import html
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from starlette.testclient import TestClient

from enamelwright.craft.jar import Jar
from enamelwright.craft.kiln import Kiln
from enamelwright.records.home import Home
from enamelwright.workshop.jars import add_jar
from enamelwright.workshop.kilns import keep_kiln
from enamelwright.workshop.learned_clocks import learn
from enamelwright.workshop.studio import Studio
from record_forms import words

TABLE = "Date,Piece,Temp,Time,First gloss,Result,Notes,Enamel\n" + "".join(
    f"2025-03-{day:02d},P{day},800,2:4{day},2:3{day},glossy,nice,J04\n" for day in range(1, 7)
)


@pytest.fixture
def studio(tmp_path: Path) -> Iterator[Studio]:
    opened = Studio.open(Home(tmp_path / "home"))
    keep_kiln(opened, Kiln(name="small kiln"))
    white = {"id": "J04", "name": "white, base", "kind": "opaque", "fusing": {"hardness": "medium"}}
    add_jar(opened, Jar.from_outside(white))
    yield opened
    opened.close()


def fields(page: str) -> dict[str, str]:
    """What the form of the look would send."""
    told = dict(re.findall(r'<input (?:type="hidden" )?name="([^"]+)"[^>]*?value="([^"]*)"', page))
    for name, inside in re.findall(r'<select name="([^"]+)"[^>]*>(.*?)</select>', page, re.DOTALL):
        chosen = re.search(r'<option(?: value="([^"]*)")? selected>([^<]*)', inside)
        told[name] = (chosen[1] if chosen[1] is not None else chosen[2]) if chosen else ""
    return {name: html.unescape(value) for name, value in told.items()}


def test_an_old_notebook_is_looked_at_and_then_brought_in(client: TestClient, studio: Studio) -> None:
    assert 'href="/notebook"' in client.get("/learned?wait=1").text  # found from the empty page
    page = client.post("/notebook", files={"table": ("old.csv", TABLE, "text/csv")}).text
    said = words(page)
    assert "6 of 6 rows can be read" in said
    assert "6 rows teach nothing: no metal, no gauge" in said
    assert learn(studio).records == ()
    sent = fields(page)
    column = next(name for name, value in sent.items() if value == "set_point" and name.startswith("field-"))
    sent |= {"metal": "copper", "thickness": "0.9 mm", column.replace("field", "unit"): "°C", "do": "look"}
    said = words(client.post("/notebook/read", data=sent).text)
    assert "teach nothing" not in said
    assert "6 of them would teach" in said
    done = words(client.post("/notebook/read", data={**sent, "do": "write"}).text)
    assert "6 firings, 6 new pieces" in done
    assert "small kiln, from 6 firings" in done
    assert len(learn(studio).records) == 6
    again = words(client.post("/notebook/read", data={**sent, "do": "write"}).text)
    assert "in the record already" in again
    assert len(learn(studio).records) == 6


def test_what_cannot_be_read_is_said_and_nothing_is_lost(client: TestClient) -> None:
    page = client.post("/notebook", files={"table": ("old.csv", TABLE, "text/csv")}).text
    sent = fields(page) | {"thickness": "thick", "do": "write"}
    told = client.post("/notebook/read", data=sent)
    assert "thick" in words(told.text)
    assert fields(told.text)["content"] == sent["content"]
    assert client.post("/notebook", data={"table": "no file"}).status_code == 422
    assert client.post("/notebook/read", data={"content": "%%%"}).status_code == 422
    assert client.post("/notebook", files={"table": ("a.csv", b"\x00\x01", "text/csv")}).status_code == 422
