"""The table of thresholds: every row can be read, has a source, a status and a reason."""

from __future__ import annotations

import pytest

from enamelwright.craft.checks.judgement import judgement, spoken
from enamelwright.errors import HouseError
from enamelwright.reference import loader

KEYS = [row["key"].removeprefix("flatness/") for row in loader.rows("trade/judgement")]


@pytest.mark.parametrize("key", KEYS)
def test_rows_are_complete(key):
    found = judgement(key)
    assert found.low <= found.value <= found.high
    assert found.status in loader.STATUSES
    assert found.source
    assert all(source in loader.sources() for source in found.source)
    assert found.note
    assert found.key in spoken(key)


def test_an_unknown_threshold_is_a_damaged_house():
    with pytest.raises(HouseError):
        judgement("no such thing")
