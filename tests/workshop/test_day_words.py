"""Names of pieces on the day's papers: short, in order, and none left out."""

from __future__ import annotations

import pytest

from enamelwright.workshop.day_kept import KeptPlan
from enamelwright.workshop.day_late import over_words
from enamelwright.workshop.day_names import piece_names

PLAN = KeptPlan(1, {"pieces": {"2026-001": {"owner": "A"}, "2026-002": {"owner": "B"}, "2026-003": {"owner": ""}}})


@pytest.mark.parametrize(
    ("names", "told"),
    [
        ((), ""),
        (("2026-012",), "2026-012"),
        (("2026-012", "2026-011"), "2026-011, 012"),
        (("2026-012", "2026-011", "2026-013", "2026-020"), "2026-011 to 013, 020"),
        (("2026-012 moon", "2026-013", "2026-014"), "2026-012 moon, 013, 014"),
        (("2025-999", "2026-001", "2026-002", "2026-003"), "2025-999, 2026-001 to 003"),
        (("2026-1000", "2026-999", "2026-1001", "2026-10"), "2026-10, 999 to 1001"),
        (("2026-C001 disc 10", "2026-C001 disc 9"), "2026-C001 disc 9, C001 disc 10"),
        (("2026-C001 disc 10", "2026-C001 disc 9", "2026-C001 disc 11"), "2026-C001 disc 9 to 11"),
        (("2026-C001 disc 1", "2026-C002 disc 2", "2026-C002 disc 3"), "2026-C001 disc 1, C002 disc 2, C002 disc 3"),
        (("wash the blue",), "wash the blue"),
        (("2026-C001 disc 1", "2026-007"), "2026-007, C001 disc 1"),
        (("tile of J04, lot B", "2026-001"), "2026-001, tile of J04, lot B"),
    ],
)
def test_names_are_short_and_whole(names: tuple[str, ...], told: str) -> None:
    assert piece_names(names) == told


def test_of_a_class_each_says_whose_it_is() -> None:
    assert piece_names(("2026-001", "2026-002", "2026-003"), PLAN) == "2026-001 (A), 002 (B), 003"


@pytest.mark.parametrize(
    ("days", "told"), [(0.02, "29 min"), (1.5, "36 h"), (2.5, "2.5 days"), (9.96, "10.0 days"), (195.04, "195 days")]
)
def test_lateness_has_no_more_digits_than_anybody_needs(days: float, told: str) -> None:
    assert over_words(days * 86400) == told
