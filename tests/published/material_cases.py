"""Cases of data/materials.json by the check they belong to."""

from __future__ import annotations

import json
from functools import cache
from pathlib import Path
from typing import Any

import pytest

ZERO_C = 273.15
Case = dict[str, Any]


@cache
def _all() -> tuple[Case, ...]:
    path = Path(__file__).parent / "data" / "materials.json"
    return tuple(json.loads(path.read_text(encoding="utf-8"))["cases"])


def cases(check: str) -> list[Any]:
    """Parameters of one check: quantity, inputs, value, unit, tolerance and source of each case."""
    found = [case for case in _all() if case["check"] == check]
    assert found, check
    return [pytest.param(case, id=f"{case['quantity']}-{i}") for i, case in enumerate(found)]


def checks() -> set[str]:
    """Every kind of check in the file."""
    return {case["check"] for case in _all()}


def composition(case: Case) -> tuple[dict[str, float], bool]:
    """Composition of a case, and whether it is in mole per cent."""
    inputs = case["inputs"]
    moles = "composition_mol_percent" in inputs
    return inputs["composition_mol_percent" if moles else "composition_wt_percent"], moles
