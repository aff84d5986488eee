"""The questions of tile photographs and jar fits: what they tell, and what they refuse in one sentence."""

from __future__ import annotations

import json
import random
from copy import deepcopy
from typing import Any

import pytest

from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.questions.question import question

PHOTO, FIT = question("tile-photo"), question("jar-fit")


def photo(**changes: Any) -> dict[str, Any]:
    """The example with changes."""
    return deepcopy(dict(PHOTO.example)) | changes


def fit(**changes: Any) -> dict[str, Any]:
    """The example with changes."""
    return deepcopy(dict(FIT.example)) | changes


def test_the_invented_camera_is_seen_through() -> None:
    """Its sensitivities are those of the eye mixed, so the colours come back exactly."""
    payload = PHOTO.ask(photo()).payload
    assert payload.tiles[0].lab == (52.0, 12.0, -38.0)
    assert payload.tiles[1].lab == (61.0, 30.0, 42.0)
    assert payload.card_off.value == 0
    assert payload.tiles[1].from_first.value == pytest.approx(42.0)  # CIEDE2000 of the two, colour-science
    assert payload.between_photos


def test_readings_of_a_card_upside_down_give_the_same() -> None:
    turned = photo()
    turned["patches"] = turned["patches"][::-1]
    payload = PHOTO.ask(turned).payload
    assert payload.card_lies == "upside down"
    assert payload.tiles[0].lab == (52.0, 12.0, -38.0)


def test_a_covered_patch_is_named() -> None:
    covered = photo()
    covered["patches"][9]["seen"] = [0.7, 0.6, 0.5]
    payload = PHOTO.ask(covered).payload
    assert payload.dropped == ("purple",)
    assert payload.tiles[0].lab == pytest.approx((52.0, 12.0, -38.0), abs=0.2)


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"patches": [{"seen": [0.5, 0.5, 0.5]}] * 24}, "not this card"),
        ({"patches": [{"seen": [0.5, 0.5, 0.5]}] * 9}, "9 patches were read of a card that has 24"),
        ({"patches": [{"seen": [1.0, 1.0, 1.0], "clipped": 1.0}] * 24}, "24 patches of the card are blown out"),
        ({"card": {"rows": 3}}, "4 rows and 6 columns"),
        ({"card": {"kind": "own values", "values": [[50, 0, 0]]}}, "1 values are told"),
        ({"tiles": []}, "tiles"),
        ({"tiles": [{"seen": [0.5, 0.5, 1.5]}]}, "outside"),
    ],
)
def test_photos_that_tell_nothing_are_refused(changes: dict[str, Any], words: str) -> None:
    with pytest.raises(InputError, match=words) as caught:
        PHOTO.ask(photo(**changes))
    assert "\n" not in str(caught.value)


def test_a_jar_comes_out_of_its_tiles_with_the_next_tile_named() -> None:
    payload = FIT.ask(fit()).payload
    (jar,) = payload.jars
    assert payload.level == "good"
    assert payload.off.value < 1.0
    assert len(jar.optics.absorption) == 36
    assert jar.tiles == tuple(f"TL-{n:02d}" for n in range(1, 7))
    assert "turquoise over" in jar.next_tiles[0]
    # turquoise lets blue through and not red
    assert jar.optics.absorption[30] > 3 * jar.optics.absorption[8]


def test_what_was_not_fitted_is_said_to_be_invented() -> None:
    words = " ".join(FIT.ask(fit()).assumptions)
    assert "white is not fitted" in words
    assert "invented" in words


def test_two_tiles_of_one_name_and_a_jar_without_tiles_are_refused() -> None:
    twice = fit()
    twice["tiles"][1]["name"] = "TL-01"
    with pytest.raises(InputError, match="two tiles are called 'TL-01'"):
        FIT.ask(twice)
    with pytest.raises(InputError, match="no tile of 'leaded_opaque'"):
        FIT.ask(fit(jars=["turquoise", "leaded_opaque"]))


def _spoilt(rng: random.Random) -> tuple[Any, dict[str, Any]]:
    if rng.random() < 0.5:
        data = photo()
        for patch in rng.sample(data["patches"], rng.randrange(1, 6)):
            patch["seen"] = [rng.choice([0, 1, rng.random(), 1e-300]) for _ in range(3)]
            patch["clipped"] = rng.choice([0, rng.random()])
        return PHOTO, data
    data = fit()
    for tile in rng.sample(data["tiles"], rng.randrange(1, 6)):
        tile["lab"] = [rng.uniform(0, 110), rng.choice([0, 150, -150]), rng.choice([0, 150, -150])]
        tile["coats"][1]["thickness_mm"] = rng.choice([1e-9, 5, 0.01])
        tile["error"] = rng.choice([1e-9, 2, 50])
    return FIT, data


@pytest.mark.parametrize("seed", range(40))
@pytest.mark.filterwarnings("error")
def test_spoilt_readings_are_answered_or_refused(seed: int) -> None:
    asked, data = _spoilt(random.Random(seed))
    try:
        text = json.dumps(asked.ask(data).to_json(), allow_nan=False)
    except EnamelwrightError as error:
        text = str(error)
    assert text
    assert "\n" not in text
