"""Photos come out upright and without their place; too large ones are refused before they are decoded."""

from __future__ import annotations

import io
import random
import struct
import sys
import time
import zlib
from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime
from pathlib import Path
from threading import Lock
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image, ImageCms

from enamelwright.files import photo as photo_module
from enamelwright.files.errors import FileError
from enamelwright.files.photo import AT_ONCE, MOST_BYTES, SMALL_SIDE, read_photo, small

#: Made for this test with a picture of our own: 64 x 48, red in the upper left quarter, a place in its EXIF.
HEIC = Path(__file__).parent / "data" / "upright.heic"
RED, BLUE = (230, 60, 40), (40, 80, 160)

#: EXIF "Orientation" (CIPA DC-008, table 4): value -> where the stored (row 0, column 0) corner is seen.
CORNERS = {
    1: "top left", 2: "top right", 3: "bottom right", 4: "bottom left", 5: "top left", 6: "top right",
    7: "bottom right", 8: "bottom left",
}  # fmt: skip


def sample(form: str, orientation: int = 1, **more: object) -> bytes:
    """A picture, 80 x 40, with a red patch at its stored upper left corner and a place."""
    picture = Image.new("RGB", (80, 40), BLUE)
    picture.paste(RED, (0, 0, 24, 16))
    exif = Image.Exif()
    exif[0x0112] = orientation
    exif[0x0110] = "Invented camera 4711"
    exif.get_ifd(0x8769)[0x9003] = "2026:03:02 10:15:00"
    exif.get_ifd(0x8769)[0x9011] = "+01:00"
    place = exif.get_ifd(0x8825)
    place[1], place[2], place[3], place[4] = "N", (47.0, 30.0, 0.0), "E", (8.0, 15.0, 0.0)
    out = io.BytesIO()
    picture.save(out, form, exif=exif.tobytes(), **more)
    return out.getvalue()


@pytest.mark.parametrize("form", ["JPEG", "PNG"])
@pytest.mark.parametrize("orientation", list(CORNERS))
def test_upright(form: str, orientation: int) -> None:
    photo = read_photo(sample(form, orientation))
    assert (photo.width, photo.height) == ((80, 40) if orientation < 5 else (40, 80))
    with Image.open(io.BytesIO(photo.content)) as picture:
        x = 4 if "left" in CORNERS[orientation] else photo.width - 5
        y = 4 if "top" in CORNERS[orientation] else photo.height - 5
        for at, colour in [((x, y), RED), ((photo.width - 1 - x, photo.height - 1 - y), BLUE)]:
            assert all(abs(a - b) < 40 for a, b in zip(picture.convert("RGB").getpixel(at), colour, strict=True))  # type: ignore[arg-type]


@pytest.mark.parametrize("data", [sample("JPEG"), sample("PNG"), HEIC.read_bytes()], ids=["jpeg", "png", "heic"])
def test_nothing_tells_of_the_place(data: bytes) -> None:
    assert b"Exif" in data or b"eXIf" in data
    photo = read_photo(data)
    with Image.open(io.BytesIO(photo.content)) as picture:
        assert not picture.getexif()
        assert not picture.getexif().get_ifd(0x8825)
    for trace in (b"Exif", b"eXIf", b"GPS", b"Invented camera", b"http://ns.adobe.com"):
        assert trace not in photo.content
    assert photo.taken_at is not None
    assert photo.taken_at.astimezone(UTC) == datetime(2026, 3, 2, 9, 15, tzinfo=UTC)


def test_comments_and_texts_are_gone_too() -> None:
    assert b"at home" not in read_photo(sample("JPEG", comment=b"at home")).content
    assert b"at home" not in read_photo(sample("JPEG", xmp=b"<x>at home</x>")).content


def test_heic_becomes_jpeg() -> None:
    photo = read_photo(HEIC.read_bytes())
    assert (photo.kind, photo.width, photo.height) == ("jpeg", 64, 48)
    with Image.open(io.BytesIO(photo.content)) as picture:
        assert picture.format == "JPEG"
        assert all(abs(a - b) < 40 for a, b in zip(picture.getpixel((5, 5)), RED, strict=True))  # type: ignore[arg-type]
        assert all(abs(a - b) < 40 for a, b in zip(picture.getpixel((60, 40)), BLUE, strict=True))  # type: ignore[arg-type]


def test_png_keeps_every_pixel_and_its_glass() -> None:
    clear = Image.new("RGBA", (9, 5), (10, 20, 30, 40))
    out = io.BytesIO()
    clear.save(out, "PNG")
    with Image.open(io.BytesIO(read_photo(out.getvalue()).content)) as picture:
        assert picture.tobytes() == clear.tobytes()


def test_the_colour_profile_stays() -> None:
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    with Image.open(io.BytesIO(read_photo(sample("JPEG", icc_profile=profile)).content)) as picture:
        assert picture.info["icc_profile"] == profile


@pytest.mark.parametrize("mode", ["1", "L", "LA", "P", "RGB", "RGBA", "I;16"])
def test_every_sort_of_png(mode: str) -> None:
    out = io.BytesIO()
    Image.new(mode, (8, 8)).save(out, "PNG")
    photo = read_photo(out.getvalue())
    with Image.open(io.BytesIO(small(photo.content))) as picture:
        assert picture.size == (8, 8)


def test_print_colours_become_screen_colours() -> None:
    out = io.BytesIO()
    Image.new("CMYK", (8, 8)).save(out, "JPEG")
    with Image.open(io.BytesIO(read_photo(out.getvalue()).content)) as picture:
        assert picture.mode == "RGB"


def png(width: int, height: int, data: bytes = b"") -> bytes:
    """A PNG head (W3C PNG, section 11.2) with any number of pixels and no picture behind it."""
    chunks = [(b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)), (b"IDAT", data), (b"IEND", b"")]
    body = b"".join(struct.pack(">I", len(c)) + n + c + struct.pack(">I", zlib.crc32(n + c)) for n, c in chunks)
    return b"\x89PNG\r\n\x1a\n" + body


@pytest.mark.parametrize("size", [(20_000, 10_000), (200_000_000, 1), (8_000, 8_000), (2**31 - 1, 2**31 - 1)])
def test_two_hundred_million_pixels_are_refused_from_the_head(size: tuple[int, int]) -> None:
    """What follows the head is no picture at all, so nothing can have been decoded."""
    with pytest.raises(FileError, match=r"million pixels|damaged"):
        read_photo(png(*size, data=b"nothing"))
    if size == (20_000, 10_000):
        with pytest.raises(FileError, match="million pixels"):
            read_photo(png(*size, data=b"nothing"))


def test_too_many_bytes() -> None:
    with pytest.raises(FileError, match="megabytes"):
        read_photo(b"\xff\xd8" + b"\x00" * MOST_BYTES)


@pytest.mark.parametrize(
    "data", [b"", b"GIF89a" + b"\x00" * 50, b"%PDF", b"<svg/>", png(4, 4, b"x"), HEIC.read_bytes()[:300]]
)
def test_what_is_no_picture(data: bytes) -> None:
    with pytest.raises(FileError):
        read_photo(data)


@pytest.mark.parametrize("form", ["JPEG", "PNG"])
def test_a_picture_cut_short(form: str) -> None:
    data = sample(form)
    with pytest.raises(FileError):
        read_photo(data[: len(data) // 2])


@given(st.booleans(), st.data())
def test_any_damage_is_one_sentence_or_a_picture(is_png: bool, data: st.DataObject) -> None:
    whole = bytearray(sample("PNG" if is_png else "JPEG"))
    for _ in range(3):
        whole[data.draw(st.integers(0, len(whole) - 1))] = data.draw(st.integers(0, 255))
    assert one_sentence_or_a_picture(bytes(whole))


@pytest.mark.parametrize("seed", range(12))
def test_a_damaged_heic_cannot_take_the_program_along(seed: int) -> None:
    """Its decoder was seen to end the whole process on bytes such as these."""
    dice = random.Random(seed)
    whole = bytearray(HEIC.read_bytes())
    for _ in range(4):
        whole[dice.randrange(12, len(whole))] = dice.randrange(256)
    assert one_sentence_or_a_picture(bytes(whole))


def test_a_decoder_that_dies_is_a_damaged_photo(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "executable", "/bin/false")
    with pytest.raises(FileError, match="damaged"):
        read_photo(HEIC.read_bytes())
    monkeypatch.setattr(sys, "executable", "/nowhere/python")
    with pytest.raises(FileError, match="Send it as JPEG"):
        read_photo(HEIC.read_bytes())


def one_sentence_or_a_picture(data: bytes) -> bool:
    """Whether reading ends in one of the two."""
    try:
        photo = read_photo(data)
    except FileError as error:
        return "\n" not in str(error)
    return photo.width * photo.height > 0


def test_small_ones_fit(tmp_path: Path) -> None:
    out = io.BytesIO()
    Image.new("RGB", (3000, 1000), RED).save(out, "JPEG")
    with Image.open(io.BytesIO(small(read_photo(out.getvalue()).content))) as picture:
        assert picture.size == (SMALL_SIDE, SMALL_SIDE // 3)


def test_few_are_decoded_at_once_however_many_arrive(monkeypatch: pytest.MonkeyPatch) -> None:
    usual, lock, inside, most = photo_module._open, Lock(), 0, 0

    def counted(data: bytes, where: str) -> Any:
        nonlocal inside, most
        with lock:
            inside += 1
            most = max(most, inside)
        time.sleep(0.02)  # long enough for every thread that is let in
        with lock:
            inside -= 1
        return usual(data, where)

    monkeypatch.setattr(photo_module, "_open", counted)
    kept = read_photo(sample("JPEG")).content
    with ThreadPoolExecutor(8) as pool:
        large = pool.map(read_photo, [sample("JPEG")] * 8)
        little = pool.map(small, [kept] * 8)
        assert {one.content for one in large} == {kept}
        assert len(set(little)) == 1
        with pytest.raises(FileError):
            read_photo(b"no picture")
        assert read_photo(sample("PNG")).kind == "png"  # what was refused has given its turn back
    assert 1 <= most <= AT_ONCE
