"""At the kiln with forms alone: every step works in a browser without scripts, and twice is once."""

from __future__ import annotations

import html
import io
import re
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from PIL import Image

from enamelwright.craft.kiln import Kiln
from enamelwright.workshop.coats import lay_coat
from enamelwright.workshop.designs import keep_design
from enamelwright.workshop.faults import faults_of
from enamelwright.workshop.firings import load_row, looks_of, open_loads, pieces_in
from enamelwright.workshop.kilns import keep_kiln, kiln_row
from enamelwright.workshop.loads import fired
from enamelwright.workshop.photos import photos_of_load
from enamelwright.workshop.pieces import start_pieces

if TYPE_CHECKING:
    from starlette.testclient import TestClient

    from enamelwright.workshop.studio import Studio

EXAMPLES = Path(__file__).parents[2] / "examples"


def of_example(studio: Studio, name: str, count: int = 1) -> list[str]:
    version = keep_design(studio, EXAMPLES / f"{name}.toml").version
    return [row.number for row in start_pieces(studio, count, version)]


def ready(client: TestClient, pieces: list[str]) -> str:
    answer = client.get("/kiln/ready", params=[("piece", one) for one in pieces])
    assert answer.status_code == 200, answer.text
    return str(answer.text)


def hidden(page: str, form: str) -> dict[str, list[str]]:
    """Read the hidden lines of one form of a page."""
    part = page.split(f'id="{form}"')[1].split("</form>")[0]
    found: dict[str, list[str]] = {}
    for name, value in re.findall(r'type="hidden" name="([^"]+)" value="([^"]*)"', part):
        found.setdefault(name, []).append(value)
    return found


def put_in(client: TestClient, pieces: list[str], **more: str) -> str:
    form = hidden(ready(client, pieces), "ready-form")
    answers = [client.post("/kiln/put-in", data={**form, **more}) for _ in range(2)]
    assert [one.status_code for one in answers] == [303, 303]
    assert answers[0].headers["location"] == answers[1].headers["location"]
    return str(answers[0].headers["location"].split("/kiln/")[1].split("?")[0])


def test_a_whole_firing_without_scripts(client: TestClient, studio: Studio) -> None:
    pieces = of_example(studio, "sifted-pendant", 3)
    load = put_in(client, pieces, set_point="790 °C", support="mesh")
    assert [row.number for row in open_loads(studio)] == [load]
    assert [part.position for part in pieces_in(studio, load_row(studio, load).of)] == [
        "row 1 of 2 from the back, place 1", "row 1 of 2 from the back, place 2", "row 2 of 2 from the back, place 1",
    ]  # fmt: skip
    form = hidden(client.get(f"/kiln/{load}").text, "look-form")
    for _ in range(2):  # the same tap, twice
        assert client.post(f"/kiln/{load}/look", data={**form, "stage": "orange peel"}).status_code == 303
    assert [one.stage_seen for one in looks_of(studio, load)] == ["orange peel"]
    form = hidden(client.get(f"/kiln/{load}").text, "out-form")
    assert client.post(f"/kiln/{load}/out", data=form).headers["location"] == f"/kiln/{load}?said=out"
    row = load_row(studio, load)
    assert row.closed_at is not None
    assert row.stage_seen == "orange peel"
    page = client.get(f"/kiln/{load}").text
    assert all(f'data-piece="{number}"' in page for number in pieces)  # the load again, with numbers, at unloading
    told = {**hidden(page, "after-form"), "stage_seen": "gloss", "cooled": "on the pad", "seconds": "104",
            f"fault-{pieces[1]}": ["pits"], f"stage-{pieces[1]}": "over-fired"}  # fmt: skip
    assert client.post(f"/kiln/{load}/after", data=told).status_code == 303
    row = load_row(studio, load)
    assert (row.seconds, row.stage_seen, row.cooled) == (104, "gloss", "on the pad")
    assert [fault.fault for fault in faults_of(studio, pieces[1])] == ["pits"]
    assert "Written down" in client.get(f"/kiln/{load}").text


def test_back_up_to_heat_counts_from_there(client: TestClient, studio: Studio) -> None:
    load = put_in(client, of_example(studio, "sifted-pendant"), start="recovered")
    page = client.get(f"/kiln/{load}").text
    assert "from when it is back up to heat" in page
    client.post(f"/kiln/{load}/look", data={"entry": "up-entry-0001", "up": "1"})
    client.post(f"/kiln/{load}/out", data={"entry": "out-entry-001"})
    row = load_row(studio, load)
    assert row.start == "recovered"
    assert row.seconds is not None
    assert row.seconds < 60  # not from the door, however long the test took to get here


def test_a_kiln_without_degrees_shows_stages_only(client: TestClient, studio: Studio) -> None:
    page = ready(client, of_example(studio, "torch-disc"))
    assert "By eye, no degrees" in page
    assert not re.search(r"\d+ °C", page.split('data-on="ready"')[1].split("what-differs")[0])
    assert "No times are worked out" in page
    assert page.count('class="stage') >= 4


def test_a_piece_without_a_plan_goes_in_all_the_same(client: TestClient, studio: Studio) -> None:
    (row,) = start_pieces(studio, 1, labels=["thread try"])
    page = ready(client, [row.number])
    assert "it has no plan" in page
    assert 'value="cleared"' in page  # nobody knows whether it clears
    assert load_row(studio, put_in(client, [row.number])).closed_at is None


def test_cleared_has_a_button_only_where_glass_clears(client: TestClient, studio: Studio) -> None:
    opaque, clear = (
        ready(client, of_example(studio, "sifted-pendant")),
        ready(client, of_example(studio, "clear-over-flux")),
    )
    assert '<button name="stage" value="cleared"' not in opaque
    assert '<button name="stage" value="cleared"' in clear


def test_the_setting_is_told_in_the_degrees_of_this_kiln(client: TestClient, studio: Studio) -> None:
    keep_kiln(studio, Kiln.from_outside({"name": "small kiln", "preset": "fibre small"}, "kiln"))
    page = ready(client, of_example(studio, "sifted-pendant"))
    assert re.search(r"\d{3} °C · 1\d{3} °F", page)
    assert "small kiln" in page
    assert "First look at" in page


def test_pieces_that_are_not_alike_are_named(client: TestClient, studio: Studio) -> None:
    keep_kiln(studio, Kiln.from_outside({"name": "small kiln", "preset": "fibre small"}, "kiln"))
    page = ready(client, [*of_example(studio, "sifted-pendant"), *of_example(studio, "clear-over-flux")])
    assert "Not alike" in page


def test_kiln_cards_are_one_tap_away_of_what_is_foretold_alone(client: TestClient, studio: Studio) -> None:
    planned = of_example(studio, "sifted-pendant", 2)
    plain = str(start_pieces(studio, 1, metal="copper", labels=["plain"])[0].number)
    page = ready(client, [*planned, plain])
    link = re.search(r'href="(/paper/day\?[^"]+)">Kiln cards<', page)
    assert link is not None
    address = link.group(1).replace("&amp;", "&")
    assert [f"piece={one}" in address for one in (*planned, plain)] == [True, True, False]
    shown = client.get(address)
    assert shown.status_code == 200, shown.text
    assert "data:image/svg+xml" in shown.text
    assert "/paper/day" not in ready(client, [plain]).partition("<main")[2], "nothing foretold, no card"


def test_a_piece_that_is_still_in_is_said(client: TestClient, studio: Studio) -> None:
    pieces = of_example(studio, "sifted-pendant")
    load = put_in(client, pieces)
    assert f"{pieces[0]} is in load {load}" in ready(client, pieces)
    assert pieces[0] not in re.findall(r'name="piece" value="([^"]+)"', client.get("/kiln").text)


def test_laid_pieces_go_in_with_one_tap(client: TestClient, studio: Studio) -> None:
    pieces = of_example(studio, "sifted-pendant", 3)
    for number in pieces[:2]:
        lay_coat(studio, number, coat=2, face="front")
    page = client.get("/kiln/ready?all=laid").text
    assert hidden(page, "ready-form")["piece"] == pieces[:2]


def test_names_with_markup_are_only_words(client: TestClient, studio: Studio) -> None:
    nasty = "<script>alert(1)</script>"
    (row,) = start_pieces(studio, 1, labels=[nasty])
    for page in (client.get("/kiln").text, ready(client, [row.number])):
        assert nasty not in page
        assert "&lt;script&gt;" in page


@pytest.mark.parametrize("number", ["2026-F999", "..%2F..%2Fetc", "%3Cscript%3E"])
def test_a_load_nobody_knows_is_a_sentence(client: TestClient, number: str) -> None:
    answer = client.get(f"/kiln/{number}")
    assert answer.status_code in {404, 409, 422}
    assert "<script>alert" not in answer.text


def test_a_photo_is_kept_and_a_text_is_refused(client: TestClient, studio: Studio) -> None:
    load = put_in(client, of_example(studio, "sifted-pendant"))
    picture = io.BytesIO()
    Image.new("RGB", (64, 48), "orange").save(picture, "PNG")
    sent = client.post(f"/photos/of-load/{load}", files={"photo": ("out.png", picture.getvalue(), "image/png")})
    assert sent.status_code == 303
    script = b"<svg xmlns='http://www.w3.org/2000/svg'><script>alert(1)</script></svg>"
    refused = client.post(f"/photos/of-load/{load}", files={"photo": ("out.png", script, "image/png")})
    assert refused.status_code in {409, 422}
    assert client.post(f"/photos/of-load/{load}", data={"photo": "no file"}).status_code == 422
    assert len(photos_of_load(studio, load_row(studio, load).of)) == 1


def test_a_firing_that_was_done_is_said_to_come_once_more(client: TestClient, studio: Studio) -> None:
    """What is foretold is the firing of the last coat: a new coat nobody wrote down is asked after."""
    piece = of_example(studio, "sifted-pendant")[0]
    assert "once more" not in ready(client, [piece])
    lay_coat(studio, piece, coat=1, face="back")
    fired(studio, [piece], seconds="150 s", stage_seen="gloss")
    page = ready(client, [piece])
    assert f"{piece}: firing 1 once more" in page
    assert f'href="/weigh/{piece}"' in page
    lay_coat(studio, piece, coat=2, face="front")
    assert "once more" not in ready(client, [piece])


def test_of_two_kilns_the_one_described_first_is_meant_and_the_other_has_its_own_window(
    client: TestClient, studio: Studio
) -> None:
    keep_kiln(studio, Kiln.from_outside({"name": "the old one", "preset": "fibre small"}, "kiln"))
    keep_kiln(studio, Kiln.from_outside({"name": "a big one", "preset": "brick medium"}, "kiln"))
    pieces = of_example(studio, "sifted-pendant")
    page = ready(client, pieces)
    assert hidden(page, "ready-form")["kiln"] == ["the old one"]
    address = html.unescape(re.search(r'href="(/kiln/ready[^"]*)"[^>]*>a big one<', page)[1])  # type: ignore[index]
    other = client.get(address).text
    assert hidden(other, "ready-form")["kiln"] == ["a big one"]
    told = [re.search(r'<p class="span">[^<]*', each)[0] for each in (page, other)]  # type: ignore[index]
    assert told[0] != told[1], "a big kiln heats a piece up at another pace"
    done = client.post("/kiln/put-in", data=hidden(other, "ready-form"))
    load = load_row(studio, done.headers["location"].split("/kiln/")[1].split("?")[0])
    row = kiln_row(studio, "a big one")
    assert row is not None
    assert load.kiln == row.id
    assert told[1] in client.get(f"/kiln/{load.number}").text, "what was foretold is frozen as it was shown"


def test_an_unknown_kiln_is_refused_in_one_sentence(client: TestClient, studio: Studio) -> None:
    answer = client.get("/kiln/ready", params=[("piece", of_example(studio, "sifted-pendant")[0]), ("kiln", "nowhere")])
    assert answer.status_code == 422
    assert "nowhere" in answer.text
