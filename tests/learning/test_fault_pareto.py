"""How often faults come: exact intervals, pieces of one load counted once as a load."""

from __future__ import annotations

import numpy as np
import pytest

from enamelwright.errors import InputError
from enamelwright.learning.fault_pareto import Seen, pareto, stands_out
from enamelwright.learning.proportions import exact, in_groups


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


def test_pieces_of_a_load_that_failed_together_are_hardly_more_than_one_try() -> None:
    """Twenty loads of three: six dull pieces in two loads say less of a firing than six in six loads."""
    sizes = dict.fromkeys(range(20), 3)
    together = pareto([Seen("dull", 3 * load + n, load) for load in (4, 9) for n in range(3)], 60, 20, sizes)[0]
    apart = pareto([Seen("dull", 3 * load, load) for load in range(6)], 60, 20, sizes)[0]
    assert apart.between == pytest.approx(exact(6, 60, 0.9))
    width = [high - low for low, high in (together.between, apart.between)]
    assert width[0] > 1.4 * width[1]
    assert together.between[0] == pytest.approx(together.by_load[0], abs=0.02)


def test_intervals_of_loads_that_go_wrong_together_hold_as_often_as_they_say() -> None:
    """Sixty loads of one to five pieces; a load is bad one time in ten, and then four of five pieces are."""
    rng = np.random.default_rng(4)
    held = plain = 0
    for _ in range(400):
        sizes = rng.integers(1, 6, 60)
        counts = np.where(rng.random(60) < 0.1, rng.binomial(sizes, 0.8), 0)
        if counts.sum() > 0:
            low, high = in_groups(counts.tolist(), sizes.tolist(), 0.9)
            held += low <= 0.08 <= high
            low, high = exact(int(counts.sum()), int(sizes.sum()), 0.9)
            plain += low <= 0.08 <= high
    assert held / 400 > 0.85
    assert plain / 400 < 0.80
