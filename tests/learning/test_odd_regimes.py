"""Bands hold where nothing odd happens, and soon again after a step nobody noted; benchmarks/learning.py has them all."""

from __future__ import annotations

import pytest

from odd_regimes import REGIMES, holds

WORKSHOPS = 40


@pytest.mark.parametrize(
    ("name", "least"),
    [
        ("nothing", 31),  # nine in ten less than that once in a hundred
        ("only firings pulled before gloss", 30),
        ("the same, three seen since", 24),
        ("unlike pieces in each load, its first gloss noted once", 31),
        ("a hand that scatters twice as much as is usual", 28),
    ],
)
def test_bands_hold(name: str, least: int) -> None:
    assert sum(holds(REGIMES[name], seed) for seed in range(WORKSHOPS)) >= least
