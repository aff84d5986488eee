"""How many to start, from records of every size, against the distributions of an independent library.

Sources
-------
* Binomial and beta-binomial tails as scipy.stats has them; sums over lots drawn with numpy's generator.
* Jeffreys' prior Beta(1/2, 1/2): H. Jeffreys, Theory of Probability, 3rd ed. (1961), section 3.10.
"""

from __future__ import annotations

import itertools
from typing import Any

import numpy as np
import pytest
from scipy import stats

from enamelwright.planning import matching, series
from enamelwright.planning.series import Yield
from enamelwright.questions.question import question

RECORDS = [(1, 1), (9, 10), (18, 20), (3, 10), (50, 50), (200, 220)]
#: Two libraries differ by so much in a chance.
HAIR = 1e-9


@pytest.mark.parametrize(("good", "fired"), RECORDS)
@pytest.mark.parametrize("sure", [0.5, 0.8, 0.95, 0.99])
@pytest.mark.parametrize("wanted", [1, 12, 36])
def test_the_fewest_that_suffice_by_the_record(wanted: int, sure: float, good: int, fired: int) -> None:
    belief = stats.betabinom
    a, b = good + 0.5, fired - good + 0.5
    count = series.to_start(wanted, Yield.record(good, fired), sure)
    assert belief.sf(wanted - 1, count, a, b) >= sure - HAIR
    assert count == wanted or belief.sf(wanted - 1, count - 1, a, b) < sure + HAIR
    for number in (wanted, count, count + 7):
        assert series.chance_of(wanted, (number,), Yield.record(good, fired)) == pytest.approx(
            belief.sf(wanted - 1, number, a, b), abs=HAIR
        )


def test_an_even_chance_is_reached_when_it_is_reached() -> None:
    """Knowing nothing, half of any odd number are good with a chance of exactly a half: 36 of 71, 1 of 1."""
    assert [series.to_start(n, Yield.record(0, 0), 0.5) for n in (1, 2, 36)] == [1, 3, 71]


@pytest.mark.parametrize("sizes", [(8, 8), (5, 4, 4), (14,), (1, 1, 1, 9)])
def test_loads_that_may_be_lost_against_lots_drawn(sizes: tuple[int, ...]) -> None:
    rng, many, chance, lost = np.random.default_rng(7), 200_000, 0.9, 0.06
    total = sum(rng.binomial(size, chance, many) * (rng.random(many) > lost) for size in sizes)
    for wanted in (sum(sizes) - 3, sum(sizes) - 1):
        told = series.chance_of(wanted, sizes, Yield.known(chance), lost)
        spread = (told * (1 - told) / many) ** 0.5
        assert float(np.mean(total >= wanted)) == pytest.approx(told, abs=5 * spread)


@pytest.mark.parametrize("kinds", [2, 3])
def test_left_and_right_suffice_together(kinds: int) -> None:
    """Two kinds of twelve at nine in ten: both suffice only when each does, so the chance is squared."""
    count = matching.to_start_of_each(12, kinds, Yield.known(0.9), 0.95)
    assert stats.binom.sf(11, count, 0.9) ** kinds >= 0.95 > stats.binom.sf(11, count - 1, 0.9) ** kinds
    told = question("series").ask({"wanted": 12, "kinds": kinds, "part_yield_percent": 90}).payload
    assert told.each_kind == count


def ask(**told: Any) -> Any:
    return question("series").ask({"wanted": 5, **told}).payload


def test_a_piece_fired_alone_that_failed_is_a_failure() -> None:
    """Six fired alone and lost, twelve good in three loads: 12 of 18, and no load of several was lost."""
    loads = [*[{"good": 0, "fired": 1}] * 6, *[{"good": 4, "fired": 4}] * 3]
    told = ask(per_load=4, loads=loads)
    assert told.part_yield.value == pytest.approx(12.5 / 19)
    assert told.load_loss.value == pytest.approx(0.5 / 4)
    assert told.load_loss.origin.source == "0 of 3 loads lost"


def test_a_load_lost_as_a_whole_is_counted_once() -> None:
    loads = [{"good": 0, "fired": 6}, {"good": 5, "fired": 6}, {"good": 6, "fired": 6}]
    told = ask(per_load=6, loads=loads)
    assert told.part_yield.value == pytest.approx(11.5 / 13), "11 of 12 in the loads that were not lost"
    assert told.load_loss.value == pytest.approx(1.5 / 4)
    assert ask(loads=loads).part_yield.value == pytest.approx(11.5 / 19), "without loads, all of them count"


def pairings(names: list[str]) -> Any:
    """Every way to pair names, one left over when they are odd."""
    if len(names) < 2:
        yield [], tuple(names)
        return
    first, *rest = names
    for other in rest:
        left = [one for one in rest if one != other]
        for pairs, odd in pairings(left):
            yield [(first, other), *pairs], odd
    if len(names) % 2:
        for pairs, odd in pairings(rest):
            if not odd:
                yield pairs, (first,)


@pytest.mark.parametrize("count", [2, 3, 6, 7, 8])
def test_the_best_pairs_are_found_and_the_odd_one_named(count: int) -> None:
    rng = np.random.default_rng(count)
    pieces = {f"p{n}": tuple(rng.normal(30, 1, 2)) for n in range(count)}
    told = matching.match(pieces, (0.5, 0.5))

    def apart(one: str, other: str) -> float:
        return float(np.hypot(*(np.array(pieces[one]) - np.array(pieces[other])))) / 0.5

    best = min(sum(apart(*pair) for pair in pairs) for pairs, _ in pairings(sorted(pieces)))
    assert sum(told.apart) == pytest.approx(best)
    assert len(told.odd) == count % 2
    assert sorted([*itertools.chain(*told.sets), *told.odd]) == sorted(pieces)
