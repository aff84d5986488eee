"""How often faults come: exact intervals, pieces of one load counted once as a load."""

from __future__ import annotations

import pytest

from enamelwright.errors import InputError
from enamelwright.learning.fault_pareto import Seen, pareto, stands_out
from enamelwright.learning.proportions import exact


def test_the_most_frequent_comes_first_and_shares_add_up() -> None:
    seen = [Seen("dull", piece, 1) for piece in range(6)] + [Seen("pits", 9, 2), Seen("pits", 9, 3), Seen("chip", 1, 1)]
    lines = pareto(seen, 60, 20)
    assert [one.fault for one in lines] == ["dull", "pits", "chip"]
    assert [one.up_to_here for one in lines] == pytest.approx([6 / 9, 8 / 9, 1])
    assert (lines[0].pieces, lines[0].loads) == (6, 1)
    assert lines[0].between == exact(6, 60, 0.9)
    # six pieces of one load were one try: far less is known of loads than of pieces
    width = [high - low for low, high in (lines[0].between, lines[0].by_load)]
    assert width[1] > width[0]


def test_the_same_fault_told_twice_counts_once() -> None:
    assert pareto([Seen("dull", 1, 1)] * 3, 10, 5)[0].pieces == 1


def test_nothing_seen_is_an_empty_list_and_more_than_can_be_is_refused() -> None:
    assert pareto([], 10, 5) == ()
    with pytest.raises(InputError, match="cannot be"):
        pareto([Seen("dull", n, n) for n in range(5)], 4, 4)


def test_a_jar_stands_out_by_its_loads() -> None:
    few, many = stands_out("cloudy", "J", 1, 1, 30, 3), stands_out("cloudy", "J", 8, 7, 30, 1)
    alike = stands_out("cloudy", "J", 10, 3, 20, 6)
    assert alike.chance == pytest.approx(0.5, abs=0.15)
    assert few.chance < many.chance
    assert many.chance > 0.99
    with pytest.raises(InputError):
        stands_out("cloudy", "J", 1, 2, 3, 0)
