"""Photos of tiles beside a card: read from every format, whichever way the card lies, refused with reason."""

from __future__ import annotations

import io
import zlib
from pathlib import Path

import numpy as np
import pytest
import rendered_tiles as truth
import simulated_camera as camera
from PIL import Image

from enamelwright.craft.colour.photo_colours import PhotoColours, colours_of
from enamelwright.craft.colour.tile_photo import Card
from enamelwright.errors import InputError
from enamelwright.files.errors import FileError
from enamelwright.files.tiff16 import read_head, read_pixels
from enamelwright.files.tile_photo import Picture, Spot, corrected, read_picture, read_tile_photo

LAMP = camera.light("D55")
CARD = Card(edition="before November 2014")


def _tiles() -> np.ndarray:
    glasses, sheets = truth.jars(0), truth.sheets(0)
    stacks = [("white", "copper"), ("flux", "silver"), ("flux", "copper")]
    return np.stack(
        [
            truth.render(truth.Tile(sheets[metal], ((glasses[under], 0.15), (glasses[jar], 0.16)), even=True))
            for under, metal in stacks
            for jar in ("blue", "ruby", "amber")
        ]
    )


TILES = _tiles()
REAL = camera.lab(TILES)
SPOTS = [Spot(f"TL-{n}", x, y, 0.8 * r) for n, (x, y, r) in enumerate(camera.places(len(TILES)))]
CORNERS = [(float(x), float(y)) for x, y in camera.CORNERS]
SCENE = camera.scene(camera.raw(camera.card(), LAMP), camera.raw(TILES, LAMP), np.random.default_rng(0))
TO_SCREEN = camera.screen_matrix(LAMP)


def _png() -> bytes:
    out = io.BytesIO()
    Image.fromarray(np.round(camera.developed(SCENE, TO_SCREEN) * 255).astype(np.uint8)).save(out, "PNG")
    return out.getvalue()


def _colours(picture: Picture, corners: list[tuple[float, float]] | None = None, card: Card = CARD) -> PhotoColours:
    return colours_of(read_tile_photo(picture, card, corners or CORNERS, SPOTS, geometry="tent", where="a photo"))


def _off(found: PhotoColours) -> np.ndarray:
    return camera.apart(np.array([tile.lab for tile in found.tiles]), REAL)


FILES = {"TIFF of 16 bits": camera.tiff16(SCENE), "JPEG": camera.jpeg(SCENE, TO_SCREEN), "PNG": _png()}


@pytest.mark.parametrize("form", FILES)
def test_tiles_get_their_colours(form: str) -> None:
    found = _colours(read_picture(FILES[form], form))
    off = _off(found)
    assert off.mean() < (1.5 if form.startswith("TIFF") else 2.5)
    assert off.mean() < found.tiles[0].error * 1.5
    assert found.absolute
    assert found.level == "good"
    assert not found.dropped


@pytest.mark.parametrize("first", range(4))
@pytest.mark.parametrize("back", [False, True])
def test_the_corners_may_begin_anywhere_and_go_either_way(first: int, back: bool) -> None:
    picture = read_picture(FILES["JPEG"])
    corners = CORNERS[first:] + CORNERS[:first]
    found = _colours(picture, corners[::-1] if back else corners)
    np.testing.assert_allclose(
        [tile.lab for tile in found.tiles], [tile.lab for tile in _colours(picture).tiles], atol=0.15
    )


def test_a_picture_upside_down_reads_the_same() -> None:
    picture = read_picture(FILES["JPEG"])
    height, width, _ = picture.pixels.shape
    turned = Picture(np.ascontiguousarray(picture.pixels[::-1, ::-1]), picture.coding)
    spots = [Spot(s.name, width - 1 - s.x, height - 1 - s.y, s.radius) for s in SPOTS]
    corners = [(width - 1 - x, height - 1 - y) for x, y in CORNERS]
    found = colours_of(read_tile_photo(turned, CARD, [*corners[2:], *corners[:2]], spots))
    assert "upside down" in found.placing
    np.testing.assert_allclose([t.lab for t in found.tiles], [t.lab for t in _colours(picture).tiles], atol=0.5)


def test_a_shadow_evened_out_by_paper() -> None:
    across = np.linspace(0.85, 1.1, camera.WIDTH)[None, :, None]
    picture = read_picture(camera.tiff16(SCENE * across * 0.8))
    paper = read_picture(camera.tiff16(np.full_like(SCENE, 0.85) * across * 0.8))
    bare = _off(colours_of(read_tile_photo(picture, CARD, CORNERS, SPOTS))).mean()
    evened = _off(colours_of(read_tile_photo(picture, CARD, CORNERS, SPOTS, paper=paper))).mean()
    assert evened < 1.5
    assert evened < 0.7 * bare


def test_a_hand_over_a_few_patches_is_seen_and_over_many_refused() -> None:
    few, many = SCENE.copy(), SCENE.copy()
    few[60:160, 60:180] = [0.5, 0.35, 0.28]  # a finger on one patch
    found = _colours(read_picture(camera.tiff16(few)))
    assert found.dropped == ("dark brown",)
    assert _off(found).mean() < 1.6
    many[60:370, 60:330] = [0.5, 0.35, 0.28]
    with pytest.raises(InputError, match=r"^a photo.*card"):
        _colours_at(camera.tiff16(many))


def _colours_at(data: bytes, card: Card = CARD) -> PhotoColours:
    try:
        return _colours(read_picture(data), card=card)
    except InputError as error:
        raise error.at("a photo") if "a photo" not in str(error) else error from error


def test_no_card_where_the_corners_are() -> None:
    elsewhere = [(40.0, 450.0), (500.0, 450.0), (500.0, 600.0), (40.0, 600.0)]
    with pytest.raises(InputError, match=r"not this card|patches"):
        _colours(read_picture(FILES["JPEG"]), elsewhere)


def test_the_wrong_card_is_refused() -> None:
    values = tuple(
        (float(row[0]), float(row[1]), float(row[2]))
        for row in np.random.default_rng(4).uniform((20, -60, -60), (95, 60, 60), (24, 3))
    )
    with pytest.raises(InputError, match="not this card"):
        _colours(read_picture(FILES["JPEG"]), card=Card(kind="own values", values=values))


def test_own_values_do_as_well_as_printed_ones() -> None:
    own = tuple(tuple(float(x) for x in row) for row in camera.lab(camera.card()))
    found = _colours(read_picture(FILES["TIFF of 16 bits"]), card=Card(kind="own values", values=own))
    assert _off(found).mean() < 1.5


def test_the_edition_is_found_by_its_fit() -> None:
    found = _colours(read_picture(FILES["TIFF of 16 bits"]), card=Card())
    assert found.edition == "before November 2014"
    assert any("how old" in words for words in found.words)


def test_blown_out_patches_are_left_off_and_a_blown_out_card_refused() -> None:
    found = _colours(read_picture(camera.tiff16(SCENE * 1.25)))
    assert "white" in found.left_off
    with pytest.raises(InputError, match=r"blown out|patches of the card"):
        _colours(read_picture(camera.tiff16(SCENE * 6)))


def test_a_blown_out_tile_has_no_colour_and_glare_is_said() -> None:
    bright, shiny = SCENE.copy(), SCENE.copy()
    x, y, _ = camera.places(1)[0]
    bright[int(y) - 25 : int(y) + 25, int(x) - 25 : int(x) + 25] = 1.2
    found = _colours(read_picture(camera.tiff16(bright)))
    assert found.tiles[0].lab is None
    assert "blown out" in found.tiles[0].words[0]
    assert found.tiles[1].lab is not None
    shiny[int(y) - 25 : int(y) - 8, int(x) - 25 : int(x) + 25] = 0.9
    found = _colours(read_picture(camera.tiff16(shiny)))
    assert any("glare" in words for words in found.tiles[0].words)


def test_a_grey_card_compares_tiles_of_one_photo_only() -> None:
    picture = read_picture(FILES["TIFF of 16 bits"])
    x, y = CORNERS[0][0] + 165, CORNERS[3][1]
    grey = [(x - 10, y - 22), (x + 10, y - 22), (x + 10, y - 2), (x - 10, y - 2)]
    found = colours_of(read_tile_photo(picture, Card(kind="grey", reflectance=0.36), grey, SPOTS))
    assert not found.absolute
    assert found.card_error is None
    assert any("no other photo" in words for words in found.words)
    assert _off(found).mean() > 3  # as the words say
    with pytest.raises(InputError, match="without a card"):
        corrected(picture, found)


def test_a_whole_photo_is_corrected_to_the_same_colours() -> None:
    picture = read_picture(FILES["JPEG"])
    found = _colours(picture)
    shown = corrected(picture, found)
    again = read_tile_photo(Picture(shown, "screen"), CARD, CORNERS, SPOTS)
    assert colours_of(again).fit is not None
    seen = np.array([region.seen for region in again.patches])[18:]
    assert np.ptp(seen, axis=1).max() < 0.03  # greys are grey on a screen


def test_heic_is_read_by_way_of_its_own_process() -> None:
    """Made for the tests of photos: red in the upper left quarter, blue elsewhere."""
    picture = read_picture((Path(__file__).parent / "data" / "upright.heic").read_bytes())
    assert picture.coding == "screen"
    assert picture.pixels.shape[2] == 3
    corner, other = picture.pixels[4, 4].astype(int), picture.pixels[-5, -5].astype(int)
    assert corner[0] > corner[2] + 100
    assert other[2] > other[0] + 50


# --- what is refused ---------------------------------------------------------------------------------------


def _saved(mode: str, form: str) -> bytes:
    out = io.BytesIO()
    Image.new(mode, (40, 30)).save(out, form)
    return out.getvalue()


def _png16() -> bytes:
    """A PNG of sixteen bits a channel, written by hand (ISO/IEC 15948)."""
    import struct

    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    head = struct.pack(">IIBBBBB", 4, 3, 16, 2, 0, 0, 0)
    rows = b"".join(b"\x00" + bytes(4 * 6) for _ in range(3))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(rows)) + chunk(b"IEND", b"")


@pytest.mark.parametrize(
    ("data", "words"),
    [
        (_saved("CMYK", "JPEG"), "CMYK"),
        (_saved("CMYK", "TIFF"), "CMYK"),
        (_png16(), "16 bits a channel"),
        (_saved("I;16", "PNG"), "16 bits"),
        (_saved("L", "JPEG"), "black and white"),
        (_saved("P", "PNG"), "few colours"),
        (b"GIF89a" + bytes(40), "no JPEG"),
        (b"", "no JPEG"),
        (FILES["JPEG"][:3000], "damaged"),
        (FILES["TIFF of 16 bits"][:3000], "damaged"),
        (b"II*\x00" + b"\xff" * 20, "damaged"),
    ],
)
def test_other_files_are_refused_by_name(data: bytes, words: str) -> None:
    with pytest.raises(FileError, match=words) as caught:
        read_picture(data, "IMG_1.x")
    assert str(caught.value).startswith("IMG_1.x")
    assert caught.value.remedy


def test_a_huge_picture_is_refused_before_it_is_decoded() -> None:
    data = bytearray(camera.tiff16(SCENE[:4, :4]))
    data[18:22] = (200_000).to_bytes(4, "little")  # its width
    data[30:34] = (200_000).to_bytes(4, "little")
    with pytest.raises(FileError, match="million pixels"):
        read_picture(bytes(data))


@pytest.mark.parametrize("turn", range(1, 9))
def test_tiff_is_turned_upright_as_the_usual_library_turns_it(turn: int) -> None:
    """TIFF 6.0 orientation; Pillow turns the same picture of eight bits."""
    from PIL import ImageOps

    small = np.arange(5 * 4 * 3, dtype=np.uint8).reshape(4, 5, 3)
    out = io.BytesIO()
    picture = Image.fromarray(small)
    exif = Image.Exif()
    exif[274] = turn
    picture.save(out, "TIFF", exif=exif)
    wanted = np.asarray(ImageOps.exif_transpose(Image.open(io.BytesIO(out.getvalue()))))
    data = camera.tiff16(small / 65535.0)
    head = read_head(data)
    got = read_pixels(data, type(head)(head.order, {**head.entries, 274: (turn,)}))
    np.testing.assert_array_equal(got, wanted)


def test_packed_tiff_reads_as_the_plain_one() -> None:
    """Deflate with differences of neighbours (TIFF 6.0 section 14, technical note 2)."""
    plain = camera.tiff16(SCENE)
    head = read_head(plain)
    pixels = read_pixels(plain, head)
    steps = np.diff(pixels, axis=1, prepend=np.zeros_like(pixels[:, :1])).astype("<u2")
    packed = zlib.compress(steps.tobytes())
    data = plain[:8] + packed
    entries = {**head.entries, 259: (8,), 317: (2,), 273: (8,), 279: (len(packed),)}
    np.testing.assert_array_equal(read_pixels(data, type(head)(head.order, entries)), pixels)


@pytest.mark.parametrize(
    ("corners", "spots", "words"),
    [
        (CORNERS[:3], SPOTS, "3 corners"),
        (CORNERS, [], "no tile"),
        ([(0, 0), (9999, 0), (500, 300), (0, 300)], SPOTS, "outside"),
        (CORNERS, [Spot("TL-1", 10, 10, 0.5)], "too small"),
        ([CORNERS[0], CORNERS[2], CORNERS[1], CORNERS[3]], SPOTS, "go round"),
        ([(100, 100), (106, 100), (106, 104), (100, 104)], SPOTS, "few pixels"),
    ],
)
def test_misplaced_points_are_refused(corners: list[tuple[float, float]], spots: list[Spot], words: str) -> None:
    with pytest.raises(InputError, match=words) as caught:
        read_tile_photo(read_picture(FILES["JPEG"]), CARD, corners, spots, where="IMG_1.jpg")
    assert "IMG_1.jpg" in str(caught.value)
