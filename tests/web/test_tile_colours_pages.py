"""Colours of tiles through the pages, without scripts: photo, file, display; fit of a jar; metals; two side by side."""

from __future__ import annotations

import base64
import io
import re
from urllib.parse import parse_qs, urlsplit

import numpy as np
import pytest
import simulated_camera as camera
from PIL import Image
from starlette.testclient import TestClient

from enamelwright.craft.colour.jar_optics import of_jar
from enamelwright.workshop.bench import bench
from enamelwright.workshop.jars import jar_row
from enamelwright.workshop.photos import add_photo
from enamelwright.workshop.settings import coupons
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.tiles import readings_of
from record_forms import entry_of, send, undo, words
from tile_forms import form, jpeg, reflectances, tiled


@pytest.fixture
def label(studio: Studio) -> str:
    """The tile."""
    return tiled(studio)


@pytest.fixture
def page(studio: Studio, label: str) -> str:
    """The page of its photo."""
    return f"/tile-colours/photo/{add_photo(studio, jpeg(), 'IMG_1.jpg', piece=label, shows='tiles and card')}"


def look(client: TestClient, page: str, told: dict[str, str]) -> tuple[int, str]:
    """Send the form of the photo and return what it says."""
    answer = client.post(page, data={"entry": entry_of(client, page), **told})
    return answer.status_code, answer.text


def test_a_photo_is_sent_and_opened(client: TestClient, studio: Studio, label: str) -> None:
    answer = client.post(
        "/photos/of-tile", data={"entry": entry_of(client, "/tile-colours"), "tile": f"{label}/1"},
        files={"photo": ("IMG_1.jpg", jpeg())},
    )  # fmt: skip
    assert answer.status_code == 303, answer.text
    opened = client.get(answer.headers["location"])
    assert opened.status_code == 200
    assert f'value="{label}/5"' in opened.text  # its spots are offered
    assert "The photo is kept." in opened.text
    assert client.get("/tile-colours").text.count('href="/tile-colours/photo/') == 1


def test_the_colours_are_shown_before_anything_is_kept(
    client: TestClient, studio: Studio, label: str, page: str
) -> None:
    status, text = look(client, page, form(label))
    assert status == 200, words(text)
    told = words(text)
    found = re.search(r"foretold from the others, is ([\d.]+) off on average", told)
    assert found is not None
    assert 0.1 < float(found[1]) < 3
    assert "the way its corners were placed" in told
    assert "D50" in told
    assert text.count('href="/match?lab=') == 5
    assert readings_of(studio, label) == []


def test_an_upside_down_card_is_put_right_and_said(client: TestClient, label: str, page: str) -> None:
    turned = form(label)
    for n in range(1, 5):
        other = (n + 1) % 4 + 1
        for axis in "xy":
            turned[f"c{n}{axis}"] = form(label)[f"c{other}{axis}"]
    assert "upside down" in words(look(client, page, turned)[1])


def test_all_colours_are_kept_in_one_step_and_taken_back_in_one(
    client: TestClient, studio: Studio, label: str, page: str
) -> None:
    location = send(client, page, {**form(label), "do": "keep"})
    found = readings_of(studio, label)
    assert [row.spot for row in found] == ["1", "2", "3", "4", "5"]
    assert {(row.light, row.observer, row.read_by) for row in found} == {("D50", 2, "photo with chart")}
    off = camera.apart(np.array([(r.lightness, r.a, r.b) for r in found]), camera.lab(reflectances()))
    assert off.mean() < 3
    assert "all together" in client.get(location).text
    undo(client, location)
    assert readings_of(studio, label) == []


def test_the_corrected_photo_stands_beside_the_original_with_what_the_card_says(
    client: TestClient, label: str, page: str
) -> None:
    """Each of its 24 patches carries the colour of the card, and the worst is named with how far it is off."""
    text = look(client, page, form(label))[1]
    view = text.partition('class="two-photos"')[2].partition("</figure></div>")[0]
    assert 'src="/photos/1/whole"' in view
    picture = re.search(r'href="data:image/jpeg;base64,([^"]+)"', view)
    assert picture is not None
    with Image.open(io.BytesIO(base64.b64decode(picture[1]))) as corrected:
        pixels, scale = np.asarray(corrected.convert("RGB")), corrected.width / camera.WIDTH
    marks = re.findall(
        r'<title>([^:<]+): ([^<]+)</title>.*?fill="#(\w{6})" x="([\d.]+)" y="([\d.]+)" width="([\d.]+)"', view
    )
    assert len(marks) == 24
    apart = []
    for _, _, screen, x, y, side in marks:
        place = [int((float(one) + float(side) / 2) * scale) for one in (x, y)]
        told = [int(screen[n : n + 2], 16) for n in (0, 2, 4)]
        apart.append(np.abs(pixels[place[1], place[0]].astype(int) - told).max())
    assert np.median(apart) < 12  # of 255: the squares vanish in their patches
    worst = re.search(r"most at ([a-z .0-9]+), by (\d+\.\d)", words(view))
    assert worst is not None
    assert float(worst[2]) == max(float(off) for _, off, *_ in marks if off != "not used")


def test_a_point_of_no_tile_is_a_colour_to_match_and_is_not_kept(
    client: TestClient, studio: Studio, label: str, page: str
) -> None:
    """Placed by the form alone; the match it leads to aims at that colour."""
    asked = form(label) | {"tile1": ""}
    text = look(client, page, asked)[1]
    link = re.search(r'point 1</span>.*?href="(/match\?lab=[^"]+)"', text, re.DOTALL)
    assert link is not None
    assert "Keep these 4 colours" in words(text)
    real = camera.lab(reflectances()[:1], "D65")
    found = np.array([[float(part) for part in parse_qs(urlsplit(link[1]).query)["lab"][0].split(",")]])
    assert camera.apart(found, real).max() < 4
    matched = client.get(f"{link[1]}&metal=copper")
    assert matched.status_code == 200
    assert "aimed at" in words(matched.text)
    send(client, page, asked | {"do": "keep"})
    assert [row.spot for row in readings_of(studio, label)] == ["2", "3", "4", "5"]
    assert '<a class="tall" href="/tile-colours">a point in a photo</a>' in client.get("/match").text


def test_a_tile_lit_from_the_sides_is_matched_turned_away(
    client: TestClient, studio: Studio, label: str, page: str
) -> None:
    """Over metal a colour without its mirror is compared with stacks without theirs."""
    text = look(client, page, form(label) | {"lit": "lamps at 45 degrees"})[1]
    assert text.count("&amp;view=turned+away") == 5
    send(client, page, form(label) | {"lit": "lamps at 45 degrees", "do": "keep"})
    code = re.search(r'<option value="([^"]+ 1)"', client.get("/match").text)
    assert code is not None
    by_itself = words(client.get("/match", params={"tile": code[1]}).text)
    assert "Compared turned away from the light" in by_itself
    otherwise = words(client.get("/match", params={"tile": code[1], "view": "catching the light"}).text)
    assert "Compared catching the light" in otherwise


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ({"c2x": ""}, "corner 2 of the card is not placed"), ({"c2x": "left"}, "'left' is no number"),
        ({"x1": ""}, "half of its place"), ({f"tile{n}": "" for n in range(1, 10)}, "belongs to a tile"),
        ({"tile2": "TL-01/1"}, "marked twice"),
        ({"card": "own", "values": "1 2"}, "three numbers"), ({"card": "own", "values": "50 0 0"}, "1 values are told"),
        ({"card": "none"}, "which card"), ({"c1x": "600", "c1y": "600"}, "card"), ({"radius": "0"}, "too small"),
        ({"tile1": "TL-77"}, "TL-77"), ({"x1": "5000"}, "outside"),
        ({f"c{n}y": str(450 + 30 * (n > 2)) for n in range(1, 5)}, "card"),
    ],
)  # fmt: skip
def test_what_cannot_be_read_is_said_and_nothing_is_kept(
    client: TestClient, studio: Studio, label: str, page: str, more: dict[str, str], said: str
) -> None:
    status, text = look(client, page, form(label, **more, do="keep"))
    assert status == 422
    assert said.casefold() in words(text).casefold()
    assert f'value="{more.get("tile3", f"{label}/3")}"' in text  # what was typed is still there
    assert readings_of(studio, label) == []


def test_a_photo_without_a_card_is_refused(client: TestClient, studio: Studio, label: str) -> None:
    from test_photos_pages import picture

    plain = add_photo(studio, picture(size=(640, 620)), "plain.jpg", piece=label)
    status, text = look(client, f"/tile-colours/photo/{plain}", form(label))
    assert status == 422
    assert "card" in words(text)


def test_a_grey_card_is_for_comparing_only(client: TestClient, studio: Studio, label: str, page: str) -> None:
    grey = {
        "c1x": "245",
        "c1y": "333",
        "c2x": "265",
        "c2y": "333",
        "c3x": "265",
        "c3y": "349",
        "c4x": "245",
        "c4y": "349",
    }
    status, text = look(client, page, form(label, card="grey", reflectance="36", **grey))
    assert status == 200, words(text)
    assert "Only the tiles of this photo" in words(text)
    assert "/match?lab=" not in text
    assert 'value="keep"' not in text
    assert "no colours for the record" in words(text)


def _file(client: TestClient, data: bytes, **told: str) -> tuple[int, str, str]:
    answer = client.post(
        "/tile-colours/file", data={"entry": entry_of(client, "/tile-colours"), **told}, files={"file": ("m.csv", data)}
    )
    return answer.status_code, answer.headers.get("location", ""), words(answer.text)


def test_a_file_is_kept_whole_or_refused_whole(client: TestClient, studio: Studio, label: str) -> None:
    head = "name;L;a;b\n"
    good = f"{head}{label}/1;30,5;10,2;-40,0\n{label}/2;25;10;-30\n".encode()
    assert _file(client, good)[0] == 422  # nobody says for which light
    status, _, said = _file(client, good + b"TL-99;1;1;1\n", light="D50", observer="2", taken="lamps at 45 degrees")
    assert (status, "TL-99" in said) == (422, True)
    assert readings_of(studio, label) == []
    status, location, said = _file(client, good, light="D50", observer="2", taken="lamps at 45 degrees")
    assert status == 303, said
    assert len(readings_of(studio, label)) == 2
    undo(client, location)
    assert readings_of(studio, label) == []
    cgats = (
        "CGATS.17\nNUMBER_OF_FIELDS 4\nBEGIN_DATA_FORMAT\nSAMPLE_NAME LAB_L LAB_A LAB_B\nEND_DATA_FORMAT\n"
        f"NUMBER_OF_SETS 1\nBEGIN_DATA\n{label}/3 40.0 1.0 -20.0\nEND_DATA\n"
    ).encode()
    assert _file(client, cgats, light="D65", observer="10", taken="sphere with gloss")[0] == 303
    (one,) = readings_of(studio, label)
    assert (one.light, one.observer, one.spot) == ("D65", 10, "3")


def test_a_display_is_typed_with_its_light(client: TestClient, studio: Studio, label: str) -> None:
    told = {"tile": f"{label}/1", "l": "41,2", "a": "2", "b": "-20.5", "light": "D65", "observer": "10"}
    status, text = look_typed(client, told)
    assert status == 422
    assert "light, observer and geometry" in text
    assert readings_of(studio, label) == []
    location = send(client, "/tile-colours", {**told, "taken": "sphere without gloss"}, "/tile-colours/typed")
    (one,) = readings_of(studio, label)
    assert (one.lightness, one.light, one.observer) == (41.2, "D65", 10)
    assert one.spectrum == {"taken": "sphere without gloss"}
    assert f"/tiles/{readings_page(location)}" in location


def look_typed(client: TestClient, told: dict[str, str]) -> tuple[int, str]:
    answer = client.post("/tile-colours/typed", data={"entry": entry_of(client, "/tile-colours"), **told})
    return answer.status_code, words(answer.text)


def readings_page(location: str) -> str:
    return urlsplit(location).path.rpartition("/")[2]


def test_a_jar_is_fitted_from_the_photo_and_the_fit_kept(
    client: TestClient, studio: Studio, label: str, page: str
) -> None:
    send(client, page, {**form(label), "do": "keep"})
    jar = f"/jars/{jar_row(studio, 'J7').id}/colour"
    before = words(client.get(jar).text)
    assert "Invented." in before
    fitted = client.get(f"{jar}?fit=yes&with=J4")
    told = words(fitted.text)
    assert fitted.status_code == 200
    assert "The next tile that would help most" in told
    assert "Off the others" in told
    assert "off the fit on average" in told
    assert bench(studio).jar("J7").optics.fitted_from == ()
    location = send(client, f"{jar}?fit=yes&with=J4", {"with": "J4", "anyway": "yes"}, jar)
    optics = of_jar(bench(studio).jar("J7"))
    assert optics.basis == "fitted"
    after = words(client.get(location).text)
    assert "Invented." not in after
    assert "fitted from 4 tiles" in after
    assert {one.metal for one in coupons(studio)} == {"copper"}
    undo(client, location)
    assert of_jar(bench(studio).jar("J7")).basis == "invented"
    assert coupons(studio) == ()


def test_a_metal_is_kept_from_one_fluxed_reading(client: TestClient, studio: Studio, label: str, page: str) -> None:
    refused = client.post("/tile-colours/metal", data={"metal": "copper"})
    assert refused.status_code == 422
    send(client, page, {**form(label), "do": "keep"})
    shown = words(client.get("/tile-colours").text)
    assert f"Copper : as its tables say. Fluxed: {label}/5" in shown
    location = send(client, "/tile-colours", {"metal": "copper"}, "/tile-colours/metal")
    (one,) = coupons(studio)
    assert one.fitted_from == (f"{label}/5",)
    assert "beside its tables" in words(client.get("/tile-colours").text)
    undo(client, location)
    assert coupons(studio) == ()


def test_two_tiles_stand_side_by_side_under_one_light(
    client: TestClient, studio: Studio, label: str, page: str
) -> None:
    send(client, page, {**form(label), "do": "keep"})
    shown = client.get("/tile-colours/compare", params={"one": f"{label}/1", "other": f"{label}/2"})
    told = words(shown.text)
    assert re.search(rf"{label}/2 is .*darker by \d+", told)
    # numbers of both in daylight, by colour-science on the spectra that were photographed, gloss taken off
    gloss = (0.52 / 2.52) ** 2
    real = camera.lab(np.maximum(reflectances()[:2] - gloss, 0), "D65")
    aims = [parse_qs(urlsplit(one).query)["lab"][0] for one in re.findall(r'href="(/match\?lab=[^"]+)"', shown.text)]
    found = np.array([[float(part) for part in aim.split(",")] for aim in aims])
    assert camera.apart(found, real).max() < 4
    apart = re.search(r"([\d.]+) apart", told)
    assert apart is not None
    assert float(apart[1]) == pytest.approx(float(camera.apart(found[0], found[1])), abs=0.1)


def test_readings_lit_otherwise_are_not_taken_for_alike(client: TestClient, studio: Studio, label: str) -> None:
    for spot, taken in (("1", "tent"), ("2", "lamps at 45 degrees")):
        told = {
            "tile": f"{label}/{spot}",
            "l": "40",
            "a": "1",
            "b": "-20",
            "light": "D50",
            "observer": "2",
            "taken": taken,
        }
        send(client, "/tile-colours", told, "/tile-colours/typed")
    told_ = words(client.get("/tile-colours/compare", params={"one": f"{label}/1", "other": f"{label}/2"}).text)
    assert "mirrored" in told_


def test_the_rack_shows_the_colour_that_was_read(client: TestClient, studio: Studio, label: str, page: str) -> None:
    before = client.get("/tiles").text
    send(client, page, {**form(label), "do": "keep"})
    after = client.get("/tiles").text
    strips = [set(re.findall(r'fill="(#[0-9A-Fa-f]{6})"', text.partition("<main")[2])) for text in (before, after)]
    assert len(strips[1] - strips[0]) >= 4


def test_pages_of_an_empty_studio_say_what_to_do(client: TestClient, studio: Studio) -> None:
    assert client.get("/tile-colours").status_code == 200
    assert "No tile has a colour" in words(client.get("/tile-colours/compare").text)
    assert client.get("/tile-colours/photo/999").status_code == 409
    assert client.get("/tile-colours/compare?one=%3Cscript%3E&other=x").status_code == 200


def test_no_file_and_no_photo_are_said(client: TestClient, label: str) -> None:
    assert client.post("/photos/of-tile", data={"entry": "aa"}).status_code == 422
    assert client.post("/tile-colours/file", data={"entry": "ab"}).status_code == 422
