"""Every published limit is held against something, or says that it is only kept for reference."""

from __future__ import annotations

from pathlib import Path

import pytest

import enamelwright
from enamelwright.craft.health.limits import Limit, limits

ROOT = Path(enamelwright.__file__).parent
#: Names that are put together from parts, by how they begin.
FAMILIES = ("en171_scale_", "en407_contact_L", "cu_acute_fresh_", "cu_chronic_fresh_")


@pytest.fixture(scope="module")
def told() -> str:
    texts = [path.read_text("utf-8") for path in ROOT.rglob("*.py")]
    return "\n".join([*texts, (ROOT / "reference" / "health" / "sell_where.csv").read_text("utf-8")])


@pytest.mark.parametrize("one", limits().values(), ids=lambda one: one.name)
def test_a_limit_is_used_or_says_that_it_is_not(one: Limit, told: str) -> None:
    used = one.name.startswith(FAMILIES) or any(f"{a}{one.name}{b}" in told for a, b in ('""', "''", "{}"))
    assert used != ("kept for reference" in one.note)
