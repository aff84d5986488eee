"""A firing that says two things is asked back on pages and by the door of devices; nothing that was typed is lost."""

from __future__ import annotations

import html
import re
from typing import TYPE_CHECKING, Any

import pytest

from enamelwright.craft.kiln import Kiln
from enamelwright.workshop.firings import load_row, looks_of
from enamelwright.workshop.kilns import keep_kiln
from enamelwright.workshop.loads import fired
from enamelwright.workshop.pieces import start_pieces
from kiln_browser import begun, nth_load, opened, passes, settle, tap, two_laid
from record_forms import words

if TYPE_CHECKING:
    from playwright.sync_api import Browser
    from starlette.testclient import TestClient

    from enamelwright.workshop.studio import Studio


@pytest.fixture
def load(studio: Studio) -> str:
    """A load that came out well: first gloss at 180 s, out after 199."""
    keep_kiln(studio, Kiln(name="small kiln"))
    piece = start_pieces(studio, 1, "harbour pendant")[0]
    return fired(studio, [piece.id], set_point="790 C", seconds="199 s", stage_seen="gloss", to_gloss="180 s").number


def form_of(page: str, action: str) -> dict[str, str]:
    """What a form of a page would send as it stands."""
    part = next(one for one in page.split("<form")[1:] if f'action="{action}"' in one).split("</form>")[0]
    told = {
        name: html.unescape(value)
        for name, value in re.findall(r'<input[^>]*?name="([^"]+)"[^>]*?value="([^"]*)"', part)
    }
    for name, inside in re.findall(r'<select name="([^"]+)"[^>]*>(.*?)</select>', part, re.DOTALL):
        chosen = re.search(r"<option(?: value=\"([^\"]*)\")? selected>([^<]*)", inside)
        told[name] = html.unescape((chosen[1] if chosen[1] is not None else chosen[2]) if chosen else "")
    return told


def test_a_correction_is_asked_back_with_everything_that_was_typed(
    client: TestClient, studio: Studio, load: str
) -> None:
    address = f"/record/load/{load_row(studio, load).of}"
    sent = form_of(client.get(f"{address}?back=/loads/{load}").text, address)
    sent |= {"to-to_gloss": "400 s", "why": "misread", "to-words": "a <note>", "do": "correct"}
    answer = client.post(address, data=sent)
    assert answer.status_code == 422
    assert "first gloss at 400 s, but out after 199 s" in words(answer.text)
    assert load_row(studio, load).to_gloss == 180
    again = form_of(answer.text, address)
    assert {name: again[name] for name in sent} == sent  # nothing is lost
    answer = client.post(address, data={**again, "really": "yes"})
    assert answer.status_code == 303
    assert load_row(studio, load).to_gloss == 400
    # It is said on its page, and on what we learned with its link, until it is put right.
    assert "This says two things: first gloss at 400 s" in words(client.get(f"/loads/{load}").text)
    learned = client.get("/learned?wait=1").text
    assert "1 left out: says two things" in words(learned)
    assert f'<a href="/loads/{load}">{load}</a>' in learned


def test_how_it_came_out_is_asked_back_without_scripts(client: TestClient, studio: Studio, load: str) -> None:
    sent = {"entry": "entry-0000001", "stage_seen": "orange peel", "cooled": "on the pad", "to_gloss": "180"}
    answer = client.post(f"/kiln/{load}/after", data=sent)
    assert answer.status_code == 422
    assert "first gloss at 180 s, but it came out at orange peel" in words(answer.text)
    assert load_row(studio, load).cooled is None
    again = form_of(answer.text, f"/kiln/{load}/after")
    assert again == sent
    assert client.post(f"/kiln/{load}/after", data={**again, "really": "yes"}).status_code == 303
    assert load_row(studio, load).stage_seen == "orange peel"


def test_a_device_is_asked_back_and_a_look_never(client: TestClient, studio: Studio) -> None:
    def send(entry: str, kind: str, **body: Any) -> Any:
        return client.post("/api/v1/entries", json={"entry": entry, "kind": kind, "body": body})

    piece = start_pieces(studio, 1, "harbour pendant")[0].number
    number = send("put-in-0001", "put in", pieces=[piece], set_point="790 °C").json()["load"]
    # With the door open nobody answers questions.
    for entry, seconds, stage in (("look-000001", 60, "gloss"), ("look-000002", 120, "powder")):
        assert send(entry, "look", load=number, seconds=seconds, stage_seen=stage).status_code == 200
    assert send("out-0000001", "out", load=number, seconds=150, stage_seen="powder", to_gloss=60).status_code == 200
    assert len(looks_of(studio, number)) == 2
    asked = send("after-00001", "after", load=number, whole={"stage_seen": "powder"})
    assert asked.status_code == 422
    assert asked.json()["really"] is True
    assert "came out at powder" in asked.json()["error"]
    assert send("after-00001", "after", load=number, whole={"stage_seen": "powder"}, really=True).status_code == 200
    assert "really" not in send("after-00002", "after", load="none", whole={}).json()


def test_the_clock_asks_once_everything_is_out(browser: Browser, app_url: str, studio: Studio) -> None:
    """What cannot both be is asked back when a load is described, and kept when the button is pressed again."""
    pieces = two_laid(studio)
    with opened(browser, app_url, viewport={"width": 1024, "height": 768}) as page:
        page.goto(f"{app_url}/kiln/ready?piece={pieces[0]}&piece={pieces[1]}")
        begun(page)
        tap(page, "[data-main=put-in]")
        passes(page, 130)
        tap(page, ".stage[value=cleared]")
        tap(page, "[data-main=out]")
        settle(page)
        page.check("#after-form input[name='stage_seen'][value='orange peel']")
        tap(page, "[data-main=after]")
        said = page.inner_text("#said")
        assert "both cannot be" in said
        assert page.get_attribute(".at-kiln", "data-step") == "after"  # nothing is sent, nothing is lost
        tap(page, "[data-main=after]")
        settle(page)
        assert page.get_attribute(".at-kiln", "data-step") == "done"
    assert load_row(studio, nth_load(studio, 1)).stage_seen == "orange peel"
