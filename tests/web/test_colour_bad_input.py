"""What goes wrong with photos, files and targets of colour, each walked through the page as a maker would meet it.

Every one is told in clear words with what helps, and nothing is stored half: no reading, and no photo where the file
itself is refused. The same cases as numbers go through the question ``tile-photo``.
"""

from __future__ import annotations

import io
import struct
import zlib
from typing import Any

import numpy as np
import pytest
import simulated_camera as camera
from PIL import Image
from sqlalchemy import func, select
from starlette.testclient import TestClient

from enamelwright.errors import InputError
from enamelwright.questions.question import question
from enamelwright.records.schema.photos import photo
from enamelwright.records.schema.tiles import colour_reading
from enamelwright.workshop.photos import add_photo
from enamelwright.workshop.studio import Studio
from record_forms import entry_of, words
from tile_forms import CORNERS, LAMP, form, jpeg, reflectances, tiled

#: A finger's colour, and light beyond what a camera holds.
FINGER, BLOWN = [0.5, 0.35, 0.28], 9.0


@pytest.fixture
def label(studio: Studio) -> str:
    """The tile."""
    return tiled(studio)


def stored(studio: Studio) -> tuple[int, int]:
    """How many readings and photos there are."""
    with studio.reading() as view:
        return tuple(
            view.execute(select(func.count()).select_from(one)).scalar_one() for one in (colour_reading, photo)
        )  # type: ignore[return-value]


def scene() -> np.ndarray:
    lamp = camera.light(LAMP)
    return camera.scene(camera.raw(camera.card(), lamp), camera.raw(reflectances(), lamp), np.random.default_rng(0))


def photo_of(seen: np.ndarray) -> bytes:
    return camera.jpeg(seen, camera.screen_matrix(camera.light(LAMP)))


def no_card() -> bytes:
    seen = scene()
    seen[:420] = 0.4
    return photo_of(seen)


def covered() -> bytes:
    seen = scene()
    seen[60:370, 60:330] = FINGER
    return photo_of(seen)


def blown() -> bytes:
    return photo_of(scene() * BLOWN)


@pytest.mark.parametrize(
    ("picture", "more", "said"),
    [
        (no_card, {}, "not this card"), (covered, {}, "card"), (blown, {}, "blown out"),
        (jpeg, {"card": "own", "rows": "4", "columns": "6", "values": "\n".join(f"{20 + 3 * n} 0 0" for n in range(24))},
         "not this card"),
    ],
    ids=["no card", "covered", "blown out", "wrong card"],
)  # fmt: skip
def test_a_photo_that_tells_no_colour_is_refused_with_what_helps(
    client: TestClient, studio: Studio, label: str, picture: Any, more: dict[str, str], said: str
) -> None:
    page = f"/tile-colours/photo/{add_photo(studio, picture(), 'IMG_1.jpg', piece=label)}"
    before = stored(studio)
    for do in ("look", "keep"):
        answer = client.post(page, data={"entry": entry_of(client, page), **form(label, **more), "do": do})
        assert answer.status_code == 422
        told = words(answer.text)
        assert said in told
        assert "again" in told or "Check" in told  # what helps
        assert f'value="{CORNERS[0][0]}"' in answer.text  # what was placed stays
    assert stored(studio) == before


def test_a_card_upside_down_is_put_right_and_a_finger_on_one_patch_is_said(
    client: TestClient, studio: Studio, label: str
) -> None:
    seen = scene()
    seen[60:160, 60:180] = FINGER
    page = f"/tile-colours/photo/{add_photo(studio, photo_of(seen), 'IMG_1.jpg', piece=label)}"
    turned = form(label)
    for n, (x, y) in enumerate([*CORNERS[2:], *CORNERS[:2]], 1):
        turned |= {f"c{n}x": str(x), f"c{n}y": str(y)}
    told = words(client.post(page, data={"entry": entry_of(client, page), **turned}).text)
    assert "upside down" in told
    assert "Not used, because they do not fit: dark brown" in told


def saved(mode: str, kind: str) -> bytes:
    out = io.BytesIO()
    Image.new(mode, (400, 300), None).save(out, kind)
    return out.getvalue()


def png_of_16_bits() -> bytes:
    """Written by hand (ISO/IEC 15948)."""

    def chunk(kind: bytes, body: bytes) -> bytes:
        return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", zlib.crc32(kind + body))

    head, lines = struct.pack(">IIBBBBB", 40, 30, 16, 2, 0, 0, 0), b"".join(b"\x00" + bytes(40 * 6) for _ in range(30))
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", zlib.compress(lines)) + chunk(b"IEND", b"")


@pytest.mark.parametrize(
    ("data", "said"),
    [(saved("CMYK", "JPEG"), "CMYK"), (png_of_16_bits(), "16 bits"), (saved("L", "JPEG"), "black and white"),
     (jpeg()[:3000], "damaged"), (b"no picture", "no JPEG")],
    ids=["for print", "sixteen bits", "grey", "cut off", "no picture"],
)  # fmt: skip
def test_a_file_that_is_no_photo_for_colours_is_never_taken(
    client: TestClient, studio: Studio, label: str, data: bytes, said: str
) -> None:
    before = stored(studio)
    answer = client.post(
        "/photos/of-tile", data={"entry": entry_of(client, "/tile-colours"), "tile": label},
        files={"photo": ("IMG_1.jpg", data)},
    )  # fmt: skip
    assert answer.status_code in {400, 422}
    assert said in words(answer.text)
    assert stored(studio) == before


BANDS = list(range(380, 740, 10))


def csv(label: str, bands: list[int], comma: bool = False) -> bytes:
    shares = [f"{0.2 + band / 2000:.4f}" for band in bands]
    if comma:
        shares = [one.replace(".", ",") for one in shares]
    head = ";".join(["name", *(str(one) for one in bands)])
    return f"{head}\n{label}/1;{';'.join(shares)}\n{label}/2;{';'.join(shares)}\n".encode()


def test_a_spectrum_with_decimal_commas_is_read_and_one_with_missing_bands_is_not(
    client: TestClient, studio: Studio, label: str
) -> None:
    for bands, comma, said in ((BANDS, True, ""), ([one for one in BANDS if not 450 < one < 480], False, "missing")):
        before = stored(studio)
        answer = client.post(
            "/tile-colours/file",
            data={"entry": entry_of(client, "/tile-colours"), "taken": "sphere without gloss"},
            files={"file": ("m.csv", csv(label, bands, comma))},
        )
        if said:
            assert answer.status_code == 422
            assert said in words(answer.text)
            assert "m.csv" in words(answer.text)
            assert stored(studio) == before
        else:
            assert answer.status_code == 303, words(answer.text)
            assert stored(studio)[0] == before[0] + 2


def test_a_target_no_stack_reaches_is_said_as_what_it_is(client: TestClient, label: str) -> None:
    told = words(client.get("/match?l=50&a=100&b=100").text)
    assert "No surface can have this colour; nothing you own gets within" in told
    assert "off as meant" in told


def answer_of(**more: Any) -> Any:
    return question("tile-photo").ask(question("tile-photo").example | more)


def test_the_same_as_numbers_through_the_question() -> None:
    """No card; upside down; a few patches covered, and many; blown out; another card; too few patches."""
    example: dict[str, Any] = question("tile-photo").example
    patches = example["patches"]
    rng = np.random.default_rng(3)
    noise = [{"seen": rng.uniform(0.1, 0.9, 3).tolist()} for _ in patches]
    many = [{"seen": FINGER} if n % 2 else one for n, one in enumerate(patches)]
    grey = [[20.0 + 3 * n, 0.0, 0.0] for n in range(24)]
    for more, said in (
        ({"patches": noise}, "not this card"), ({"patches": many}, "card|patches"),
        ({"patches": [one | {"clipped": 1.0} for one in patches]}, "blown out"),
        ({"card": {"kind": "own values", "values": grey}}, "not this card"), ({"patches": patches[:9]}, "9 patches were"),
    ):  # fmt: skip
        with pytest.raises(InputError, match=said) as caught:
            answer_of(**more)
        assert caught.value.remedy
    assert "upside down" in answer_of(patches=patches[::-1]).payload.card_lies
    one = [{"seen": FINGER}, *patches[1:]]
    assert "dark brown" in answer_of(patches=one).payload.dropped
