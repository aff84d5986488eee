"""Packs: enough, least over, fewest, against trying every choice; big amounts and odd sizes come at once."""

from __future__ import annotations

import random
from itertools import product

import pytest

from enamelwright.errors import InputError
from enamelwright.planning.packs import in_packs


def every_choice(amount: int, sizes: tuple[int, ...]) -> tuple[int, int]:
    """Return the least total that reaches an amount, and the fewest packs that make it up."""
    reach = [range(-(-amount // size) + 1) for size in sizes]
    totals = ((sum(n * size for n, size in zip(some, sizes, strict=True)), sum(some)) for some in product(*reach))
    return min(one for one in totals if one[0] >= amount)


@pytest.mark.parametrize("seed", range(60))
def test_as_good_as_the_best_of_every_choice(seed: int) -> None:
    chance = random.Random(seed)
    sizes = tuple(chance.sample(range(2, 60), chance.randint(1, 4)))
    amount = chance.randint(1, 4 * max(sizes))
    told = in_packs(amount / 1000, [size / 1000 for size in sizes])
    total, packs = every_choice(amount, sizes)
    assert (round(1000 * told.amount), sum(count for _, count in told.packs)) == (total, packs)


def test_three_of_the_smaller_are_better_than_two_of_the_larger() -> None:
    assert in_packs(0.210, (0.1, 0.07)).packs == ((0.07, 3),)


@pytest.mark.parametrize("sizes", [(1.0, 0.333), (0.25, 0.1, 0.05), (1.000003, 0.333337, 1e-6), (5.0, 1e-6)])
@pytest.mark.parametrize("amount", [1e-6, 0.5, 37.0, 12_345.6])
def test_a_big_amount_and_odd_sizes_come_out_enough(sizes: tuple[float, ...], amount: float) -> None:
    told = in_packs(amount, sizes)
    assert amount * (1 - 1e-6) <= told.amount <= amount + max(sizes)
    assert sum(size * count for size, count in told.packs) == pytest.approx(told.amount)


def test_nothing_to_buy_and_nothing_to_choose_from() -> None:
    assert in_packs(0.0, (0.1,)).packs == ()
    assert in_packs(0.3, ()).packs == ((0.3, 1),)


@pytest.mark.parametrize(("amount", "sizes"), [(0.1, (1e-15, 0.1)), (1e9, (1e-6,))])
def test_packs_nobody_sells_are_refused(amount: float, sizes: tuple[float, ...]) -> None:
    with pytest.raises(InputError, match="pack"):
        in_packs(amount, sizes)
