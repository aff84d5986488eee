"""What was tried of a jar must be able to be: asked of the question itself."""

from __future__ import annotations

import pytest

from enamelwright.errors import InputError
from enamelwright.questions.question import question


def test_a_gloss_seen_after_the_tile_was_out_is_asked_back() -> None:
    tile = {"temperature_c": 770, "time_s": 170, "came": "good", "first_gloss_s": 300}
    with pytest.raises(InputError, match="gloss was first seen after the tile was out"):
        question("next-tile").ask({"tried": [tile], "loads_fired": 1})
    answer = question("next-tile").ask({"tried": [{**tile, "first_gloss_s": 150}], "loads_fired": 1})
    assert answer.to_json()["payload"]["loads"]
