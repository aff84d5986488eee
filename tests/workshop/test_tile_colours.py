"""Colours of tiles in the record: from a kept photo, a file or a display; fitted into jars; all of it or nothing."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest
import simulated_camera as camera

from enamelwright.craft.colour.fired_tile import TileCoat, TileStack
from enamelwright.craft.colour.jar_optics import of_jar
from enamelwright.craft.colour.tile_photo import Card
from enamelwright.errors import InputError
from enamelwright.files.colour_csv import Told
from enamelwright.files.errors import FileError
from enamelwright.learning.jar_optics import Alarm
from enamelwright.workshop.bench import bench
from enamelwright.workshop.jars import add_jar
from enamelwright.workshop.photos import add_photo
from enamelwright.workshop.tile_colours import (
    Marked,
    colours_in_photo,
    fit_from_tiles,
    keep_file_colours,
    keep_fit,
    keep_photo_colours,
    keep_typed_colour,
    nearest_own,
    own_tiles,
    readings_of_photo,
)
from enamelwright.workshop.tiles import make_tiles, readings_of, spot
from morning import enamel

if TYPE_CHECKING:
    from enamelwright.workshop.studio import Studio

LAMP = camera.light("D55")
TILES = camera.card()[[12, 2, 17, 7]]  # any four colours
SCENE = camera.scene(camera.raw(camera.card(), LAMP), camera.raw(TILES, LAMP), np.random.default_rng(0))
JPEG = camera.jpeg(SCENE, camera.screen_matrix(LAMP))
CARD = Card(edition="before November 2014")
CORNERS = [(float(x), float(y)) for x, y in camera.CORNERS]


@pytest.fixture
def tiled(studio: Studio) -> Studio:
    """A transparent on four spots of a silver tile and of a copper one."""
    add_jar(studio, enamel("J07", "blue, clear", "transparent", "blue"))
    add_jar(studio, enamel("J01", "flux", "flux", "clear"))
    for metal in ("fine silver", "copper"):
        (tile,) = make_tiles(studio, metal=metal)
        for n, (under, mm) in enumerate((("J04", 0.1), ("J04", 0.25), ("flux J01", 0.12), ("bare", 0.2)), 1):
            spot(studio, tile.id, str(n), under=under, coats=[{"jar": "J07", "thickness_mm": mm}])
    return studio


def marked(tile: str = "TL-01") -> list[Marked]:
    """Its four spots in the picture."""
    return [Marked(tile, str(n), x, y, 0.8 * r) for n, (x, y, r) in enumerate(camera.places(4), 1)]


def test_a_kept_photo_becomes_readings(tiled: Studio) -> None:
    photo = add_photo(tiled, JPEG, "IMG_1.jpg")
    rows = keep_photo_colours(tiled, photo, CARD, CORNERS, marked(), geometry="tent")
    assert len(rows) == 4
    found = readings_of(tiled, "TL-01")
    assert [row.spot for row in found] == ["1", "2", "3", "4"]
    off = camera.apart(np.array([(r.lightness, r.a, r.b) for r in found]), camera.lab(TILES))
    assert off.mean() < 2.5
    one = found[0]
    assert (one.light, one.observer, one.read_by) == ("D50", 2, "photo with chart")
    assert one.photo == photo
    assert one.error > 0.8
    assert one.spectrum == {"taken": "tent"}
    assert len(readings_of_photo(tiled, photo)) == 4


def test_a_photo_that_is_refused_leaves_nothing(tiled: Studio) -> None:
    photo = add_photo(tiled, JPEG, "IMG_1.jpg")
    wrong = [(40.0, 450.0), (500.0, 450.0), (500.0, 600.0), (40.0, 600.0)]
    with pytest.raises(InputError, match=rf"photo {photo}.*card"):
        keep_photo_colours(tiled, photo, CARD, wrong, marked())
    with pytest.raises(InputError, match="TL-77"):
        keep_photo_colours(
            tiled, photo, CARD, CORNERS, [*marked(), Marked("TL-77", "", *camera.places(4)[0][:2], 10.0)]
        )
    bright = SCENE.copy()
    x, y, _ = camera.places(1)[0]
    bright[int(y) - 25 : int(y) + 25, int(x) - 25 : int(x) + 25] = 1.2
    blown = add_photo(tiled, camera.jpeg(bright, camera.screen_matrix(LAMP)), "IMG_2.jpg")
    assert colours_in_photo(tiled, blown, CARD, CORNERS, marked()).colours.tiles[0].lab is None
    with pytest.raises(InputError, match=rf"photo {blown}, TL-01/1.*blown out"):
        keep_photo_colours(tiled, blown, CARD, CORNERS, marked())
    assert readings_of(tiled, "TL-01") == []


def test_a_grey_card_is_kept_as_what_it_is_and_fits_nothing(tiled: Studio) -> None:
    photo = add_photo(tiled, JPEG, "IMG_1.jpg")
    x, y = CORNERS[3]
    grey = [(x + 150, y - 12), (x + 170, y - 12), (x + 170, y + 4), (x + 150, y + 4)]
    keep_photo_colours(tiled, photo, Card(kind="grey", reflectance=0.36), grey, marked())
    assert {row.read_by for row in readings_of(tiled, "TL-01")} == {"photo with grey card"}
    found = own_tiles(tiled)
    assert found.tiles == ()
    assert "grey card" in found.left_out[0]


def test_a_file_is_kept_whole_or_not_at_all(tiled: Studio) -> None:
    head = "name;L;a;b\n"
    told = Told("D50", "2", "45/0")
    with pytest.raises(InputError, match=r"m\.csv.*TL-99"):
        keep_file_colours(tiled, f"{head}TL-01/1;30,5;10,2;-40,0\nTL-99;50;0;0\n".encode(), "m.csv", told)
    with pytest.raises(FileError, match=r"m\.csv, line 3"):
        keep_file_colours(tiled, f"{head}TL-01/1;30,5;10,2;-40,0\nTL-01/2;x;0;0\n".encode(), "m.csv", told)
    assert readings_of(tiled, "TL-01") == []
    keep_file_colours(tiled, f"{head}TL-01/1;30,5;10,2;-40,0\n".encode(), "m.csv", told)
    (one,) = readings_of(tiled, "TL-01")
    assert (one.lightness, one.spot, one.read_by) == (30.5, "1", "instrument")
    assert one.spectrum == {"taken": "lamps at 45 degrees"}


def test_a_spectrum_keeps_its_bands_and_gives_the_colour(tiled: Studio) -> None:
    bands = ",".join(str(nm) for nm in range(380, 731, 10))
    keep_file_colours(tiled, f"name,{bands}\nTL-01/2,{','.join(['0.5'] * 36)}\n".encode(), "s.csv", Told(taken="sci"))
    (one,) = readings_of(tiled, "TL-01")
    assert one.lightness == pytest.approx(76.07, abs=0.01)  # CIE 15: 116 * 0.5 ** (1/3) - 16
    assert one.a == pytest.approx(0, abs=1e-6)
    (tile,) = own_tiles(tiled).tiles
    assert tile.reflectance == (0.5,) * 36
    assert tile.taken == "sphere with gloss"


def test_what_is_typed_is_checked(tiled: Studio) -> None:
    keep_typed_colour(tiled, "TL-02", (41.0, 2.0, -20.0), spot="1", error=0.4)
    (one,) = readings_of(tiled, "TL-02")
    assert (one.read_by, one.error) == ("typed", 0.4)
    with pytest.raises(InputError, match="no L"):
        keep_typed_colour(tiled, "TL-02", (410.0, 2.0, -20.0))


def test_tiles_are_read_as_stacks_and_what_is_missing_is_said(tiled: Studio) -> None:
    for n in "1234":
        keep_typed_colour(tiled, "TL-01", (40.0, 5.0, -30.0), spot=n, taken="tent")
    keep_typed_colour(tiled, "TL-02", (40.0, 5.0, -30.0))
    keep_typed_colour(tiled, "TL-02", (40.0, 5.0, -30.0), spot="1", light="D65")
    found = own_tiles(tiled)
    stacks = {tile.name: tile for tile in found.tiles}
    assert [coat.jar for coat in stacks["TL-01/1"].coats] == ["J04", "J07"]
    assert [coat.jar for coat in stacks["TL-01/3"].coats] == ["J01", "J07"]
    assert [coat.jar for coat in stacks["TL-01/4"].coats] == ["J07"]
    assert stacks["TL-01/1"].metal == "fine silver"
    assert stacks["TL-01/1"].coats[0].weighed is False
    assert stacks["TL-01/1"].coats[1].thickness == pytest.approx(1e-4)
    assert any(words.startswith("TL-02: what lies on it") for words in found.left_out)
    assert any("D65" in words for words in found.left_out)


def _all_read(studio: Studio) -> None:
    blues = {
        "TL-01": ((66, 6, -42), (41, 20, -66), (62, 2, -48), (50, 12, -60)),
        "TL-02": ((66, 6, -42), (41, 20, -66), (50, 6, -26), (40, 10, -38)),
    }
    for tile, colours in blues.items():
        for n, lab in enumerate(colours, 1):
            keep_typed_colour(studio, tile, lab, spot=str(n), taken="tent", error=3.0)


def test_a_fit_becomes_the_optics_of_the_jar(tiled: Studio) -> None:
    _all_read(tiled)
    before = bench(tiled)
    fit = fit_from_tiles(tiled, ["blue, clear"])
    assert bench(tiled).revision == before.revision  # nothing kept yet
    keep_fit(tiled, fit, anyway=True)
    after = bench(tiled)
    assert after.revision != before.revision
    optics = of_jar(after.jar("J07"))
    assert optics.basis == "fitted"
    assert after.jar("J07").optics.fitted_from == fit.jars["J07"].tiles
    assert after.jar("J07").optics.family == "blue"
    np.testing.assert_allclose(optics.absorption, fit.jars["J07"].absorption, rtol=1e-4)
    assert {coupon.metal for coupon in after.coupons} == {"copper", "fine_silver"}


def test_a_fit_with_a_stop_is_not_kept_by_itself(tiled: Studio) -> None:
    _all_read(tiled)
    fit = fit_from_tiles(tiled, ["J07"])
    bad = type(fit)(**{**fit.__dict__, "alarms": (Alarm("stop", "the tiles are 9 off the fit"),)})
    revision = bench(tiled).revision
    with pytest.raises(InputError, match="9 off"):
        keep_fit(tiled, bad)
    assert bench(tiled).revision == revision


def test_no_tile_no_fit(tiled: Studio) -> None:
    with pytest.raises(InputError, match="no tile with a colour shows J07"):
        fit_from_tiles(tiled, ["J07"])


def test_the_nearest_own_tile_stands_beside_a_stack(tiled: Studio) -> None:
    _all_read(tiled)
    wanted = TileStack(
        name="wanted", metal="silver",
        coats=(TileCoat(jar="J01", thickness=1e-4), TileCoat(jar="J07", thickness=1.2e-4)),
    )  # fmt: skip
    found = nearest_own(tiled, wanted)
    assert found[0].tile.name == "TL-01/3"
    assert found[0].alike < found[1].alike
