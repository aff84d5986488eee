"""Photos of a piece: sent from a file, shown small and whole, said what they show, taken out, and nothing else let in."""

from __future__ import annotations

import io
import re
from pathlib import Path
from typing import Any

import pytest
from PIL import Image
from starlette.testclient import TestClient

from enamelwright.workshop import loads, tiles
from enamelwright.workshop.photos import add_photo, photos_of_piece
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.studio import Studio
from everywhere import SMALL, TARGET, WIDE, axe, settled, watch
from record_forms import entry_of, send, undo

HEIC = Path(__file__).parents[1] / "files" / "data" / "upright.heic"


def picture(kind: str = "JPEG", size: tuple[int, int] = (90, 60), colour: str = "teal") -> bytes:
    """A plain picture, as a camera would send it."""
    out = io.BytesIO()
    Image.new("RGB", size, colour).save(out, kind)
    return out.getvalue()


@pytest.fixture
def number(studio: Studio) -> str:
    """A piece."""
    return str(start_pieces(studio, 1, labels=["first"])[0].number)


def upload(client: TestClient, number: str, *files: tuple[str, bytes], shows: str = "", entry: str = "") -> str:
    """Send photos as the form of the record page does, and return where it leads."""
    page = f"/pieces/{number}/record"
    answer = client.post(
        f"/photos/of-piece/{number}", data={"entry": entry or entry_of(client, page), "shows": shows},
        files=[("photo", one) for one in files],
    )  # fmt: skip
    assert answer.status_code == 303, answer.text
    return str(answer.headers["location"])


@pytest.mark.parametrize(
    "file",
    [("a.jpg", picture()), ("a.png", picture("PNG")), ("a.heic", HEIC.read_bytes())],
    ids=["jpeg", "png", "heic"],
)
def test_a_photo_is_kept_shown_small_and_whole(
    client: TestClient, studio: Studio, number: str, file: tuple[str, bytes]
) -> None:
    location = upload(client, number, file, shows="before firing 1")
    kept = photos_of_piece(studio, number)[0]
    page = client.get(location).text
    assert "The photo is kept." in page
    assert "Before firing 1" in page
    assert f'src="/photos/{kept.of}/small"' in page
    for which in ("small", "whole"):
        answer = client.get(f"/photos/{kept.of}/{which}")
        assert answer.headers["content-type"] in {"image/jpeg", "image/png"}
        shown = Image.open(io.BytesIO(answer.content))
        assert shown.width / shown.height == pytest.approx(kept.width / kept.height, rel=0.05)
    view = client.get(f"/photos/{kept.of}").text
    assert f'width="{kept.width}"' in view
    assert f"/pieces/{number}/record" in view


def test_several_photos_at_once_come_back_out_with_one_undo(client: TestClient, studio: Studio, number: str) -> None:
    location = upload(client, number, ("a.jpg", picture(colour="red")), ("b.jpg", picture(colour="blue")))
    kept = photos_of_piece(studio, number)
    assert len(kept) == 2
    undo(client, location)
    assert photos_of_piece(studio, number) == []
    assert client.get(f"/photos/{kept[0].of}").status_code == 409, "a photo that was taken back is shown no more"


def test_the_same_form_sent_twice_keeps_one_photo_and_another_photo_is_another(
    client: TestClient, studio: Studio, number: str
) -> None:
    entry = entry_of(client, f"/pieces/{number}/record")
    first = upload(client, number, ("a.jpg", picture()), entry=entry)
    assert upload(client, number, ("a.jpg", picture()), entry=entry) == first
    assert len(photos_of_piece(studio, number)) == 1
    upload(client, number, ("a.jpg", picture(colour="gold")), entry=entry)
    assert len(photos_of_piece(studio, number)) == 2


def test_what_it_shows_can_be_said_afterwards_and_it_can_be_taken_out(
    client: TestClient, studio: Studio, number: str
) -> None:
    upload(client, number, ("a.jpg", picture()))
    kept = photos_of_piece(studio, number)[0]
    page = f"/photos/{kept.of}"
    send(client, page, {"shows": "the rim", "words": "a chip <b>here</b>"})
    again = photos_of_piece(studio, number)[0]
    assert (again.of, again.shows, again.words) == (kept.of, "the rim", "a chip <b>here</b>")
    text = client.get(page).text
    assert "a chip &lt;b&gt;here&lt;/b&gt;" in text
    assert "<b>here" not in text
    assert send(client, page, {"do": "out", "back": "//elsewhere.example/"}).startswith("/?")
    assert photos_of_piece(studio, number) == []


@pytest.mark.parametrize(
    "data", [b"", b"%PDF-1.7", b"<svg xmlns='http://www.w3.org/2000/svg'><script>1</script></svg>", picture()[:60]]
)
def test_what_is_no_picture_is_refused_whole(client: TestClient, studio: Studio, number: str, data: bytes) -> None:
    files = [("photo", ("good.jpg", picture())), ("photo", ("bad.jpg", data))]
    answer = client.post(f"/photos/of-piece/{number}", data={"entry": "11"}, files=files)
    assert 400 <= answer.status_code < 500
    assert "bad.jpg" in answer.text
    assert photos_of_piece(studio, number) == []


def test_nothing_chosen_and_no_such_piece_are_said(client: TestClient, number: str) -> None:
    assert "no photo arrived" in client.post(f"/photos/of-piece/{number}", data={"entry": "12"}).text.casefold()
    answer = client.post("/photos/of-piece/2026-9999", files={"photo": ("a.jpg", picture())})
    assert 400 <= answer.status_code < 500
    assert client.get("/photos/999999").status_code == 409
    assert client.get("/photos/../studio.sqlite").status_code == 404


def test_the_place_it_was_taken_is_not_kept(client: TestClient, studio: Studio, number: str) -> None:
    """EXIF tag 0x8825 points to the place (CIPA DC-008, "Exif 2.32", section 4.6.3)."""
    exif = Image.Exif()
    exif[0x010F] = "a camera"
    exif.get_ifd(0x8825)[2] = (50.0, 30.0, 0.0)
    out = io.BytesIO()
    Image.new("RGB", (40, 30), "red").save(out, "JPEG", exif=exif)
    upload(client, number, ("a.jpg", out.getvalue()))
    kept = photos_of_piece(studio, number)[0]
    for which in ("small", "whole"):
        assert not Image.open(io.BytesIO(client.get(f"/photos/{kept.of}/{which}").content)).getexif()


def test_a_tile_is_opened_with_its_photos(client: TestClient, studio: Studio) -> None:
    tile = tiles.make_tiles(studio, 1, metal="copper")[0]
    assert "/small" not in client.get(f"/tiles/{tile.number}").text
    upload(client, tile.number, ("a.jpg", picture()), shows="in daylight")
    page = client.get(f"/tiles/{tile.number}").text
    assert "In daylight" in page
    assert "/small" in page


def test_a_photo_of_a_whole_load_stands_with_every_piece_that_was_in_it(client: TestClient, studio: Studio) -> None:
    made = start_pieces(studio, 2, labels=["left", "right"])
    other = start_pieces(studio, 1, labels=["at home"])[0]
    begun = loads.fired(studio, [row.id for row in made], set_point="790 C", seconds="150 s", stage_seen="gloss")
    add_photo(studio, picture(), load=begun.load, shows="the load")
    for row in made:
        assert "The load" in client.get(f"/pieces/{row.number}/record").text
    assert "The load" not in client.get(f"/pieces/{other.number}/record").text
    number = re.search(r"/loads/([^\"]+)", client.get(f"/pieces/{made[0].number}/firings").text)
    assert number is not None
    assert "/small" in client.get(f"/loads/{number.group(1)}").text


def test_a_photo_is_sent_from_a_tablet_and_its_pages_fit_every_window(
    browser: Any, app_url: str, number: str, tmp_path: Path
) -> None:
    """As a person does it: choose a file, keep it, open it, take it out, take that back; axe objects to nothing."""
    file = tmp_path / "from the camera.jpg"
    file.write_bytes(picture(size=(1200, 900)))
    watched = watch(browser, app_url, 1024, 768)
    page, found = watched.page, []

    def look() -> None:
        for width, light in ((1024, "light"), (320, "dark")):
            page.set_viewport_size({"width": width, "height": 768})
            page.emulate_media(color_scheme=light)
            wrong = page.evaluate(WIDE) + page.evaluate(SMALL, TARGET) + axe(page)
            found.extend(f"{page.url} at {width}: {one}" for one in wrong)
        page.set_viewport_size({"width": 1024, "height": 768})

    page.goto(f"{app_url}/pieces/{number}/record")
    settled(page)
    page.get_by_label("JPEG, PNG or HEIC").set_input_files(file)
    page.get_by_label("What they show").fill("after the first firing")
    page.get_by_role("button", name="Keep the photo").click()
    page.wait_for_url("**said=photo**")
    settled(page)
    page.wait_for_function("() => [...document.images].every((one) => one.complete && one.naturalWidth)")
    look()
    page.get_by_role("link", name="After the first firing").click()
    page.wait_for_url(re.compile(r"/photos/\d+"))
    page.wait_for_function("() => document.images[0].complete && document.images[0].naturalWidth === 1200")
    look()
    page.get_by_role("button", name="Take it out").click()
    page.wait_for_url("**said=withdrawn**")
    assert page.get_by_role("link", name="After the first firing").count() == 0
    page.context.close()
    assert not found + watched.complaints
