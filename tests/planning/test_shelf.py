"""Loads on a shelf: plain before close, spots kept free, pieces that are too large named, every load sound."""

from __future__ import annotations

import pytest

from enamelwright.craft.outline_shape import Shape
from enamelwright.errors import InputError
from enamelwright.planning.nesting.part import Part
from enamelwright.planning.shelf import discs
from enamelwright.planning.shelf.discs import Shelf
from enamelwright.planning.shelf.load import fill, room_of, too_large

RACK = Shelf(0.18, 0.18, 0.006, 0.008)


def disc(count: int, across: float = 0.025) -> Part:
    return Part("disc", Shape.circle(across), count)


def test_the_plainest_layout_that_holds_them_is_taken() -> None:
    kinds = [discs.plainest(RACK, 0.025, count, 0.002) for count in (9, 17, 27)]
    assert [one and one.kind for one in kinds] == ["grid", "rows", "rows"]
    assert all(one is not None and one.spare >= 0.006 - 1e-9 for one in kinds)


@pytest.mark.parametrize("count", [1, 2, 5, 16, 25, 27])
def test_what_is_laid_is_sound(count: int) -> None:
    done = fill([disc(count)], RACK, hand=0.002)
    assert len(done.loads) == 1
    assert len(done.loads[0].layout.placed) == count
    # outlines are laid a hair outside the true ones, so the check is held against the true clearance less that
    loose = room_of(Shelf(0.18, 0.18, 0.006 - 1e-4, 0.008 - 1e-4))
    assert not loose.faults(done.loads[0].layout)


@pytest.mark.parametrize("count", [1, 2, 4, 5, 9])
def test_a_load_with_room_stands_evenly_about_the_middle(count: int) -> None:
    """One piece stands in the middle; of several each is as far from the walls and the door as from the next."""
    shelf = Shelf(0.24, 0.19, 0.006, 0.008)
    for part in (disc(count), Part("bar", Shape.rounded_rectangle(0.03, 0.02), count)):
        (load,) = fill([part], shelf, hand=0.002).loads
        assert load.how == "even"
        assert not room_of(shelf).faults(load.layout)
        boxes = [one.outline.bounds for one in load.layout.placed]
        left, low = min(box[0] for box in boxes), min(box[1] for box in boxes)
        right, top = max(box[2] for box in boxes), max(box[3] for box in boxes)
        assert (left + right, low + top) == pytest.approx((0.24, 0.19), abs=1e-6)
        assert min(left, low) >= 0.02, "away from the walls and the door"


def test_one_piece_stands_as_near_the_middle_as_a_hot_spot_lets_it() -> None:
    spot = (0.09, 0.09, 0.03)
    (load,) = fill([disc(1)], RACK, [spot]).loads
    (one,) = load.layout.placed
    away = ((one.x - spot[0]) ** 2 + (one.y - spot[1]) ** 2) ** 0.5
    assert 0.0275 - 1e-6 <= away < 0.04


def test_more_than_fit_become_further_loads() -> None:
    done = fill([disc(60)], RACK)
    assert sum(len(load.layout.placed) for load in done.loads) == 60
    assert len(done.loads) <= 3
    assert not done.left


def test_a_spot_is_kept_free() -> None:
    spot = (0.09, 0.15, 0.04)
    done = fill([disc(30)], RACK, [spot])
    for load in done.loads:
        for one in load.layout.placed:
            assert ((one.x - spot[0]) ** 2 + (one.y - spot[1]) ** 2) ** 0.5 >= 0.0125 + 0.02 - 1e-6
    assert len(done.loads[0].layout.placed) < 30


def test_a_piece_larger_than_the_shelf_is_named_and_the_others_are_laid() -> None:
    done = fill([Part("plate", Shape.circle(0.2)), disc(3)], RACK)
    assert [name for name, _ in done.never] == ["plate"]
    assert done.never[0][1] == pytest.approx(0.2 - 0.164, abs=2e-4)
    assert len(done.loads[0].layout.placed) == 3


def test_a_long_piece_may_lie_across_the_corner() -> None:
    bar = Part("bar", Shape.rounded_rectangle(0.2, 0.005))
    assert too_large(bar, RACK) == 0.0
    assert len(fill([bar], RACK).loads[0].layout.placed) == 1


def test_its_support_takes_room_too() -> None:
    alone = fill([disc(25)], RACK)
    carried = fill([Part("disc", Shape.circle(0.025), 25, margin=0.005)], RACK)
    assert len(carried.loads) > len(alone.loads)


def test_counting_is_monotone() -> None:
    counts = [discs.capacity(RACK, across / 1000) for across in range(10, 165, 7)]
    assert counts == sorted(counts, reverse=True)
    assert counts[-1] == 1
    assert discs.capacity(RACK, 0.165) == 0


def test_what_cannot_be_is_refused_in_words() -> None:
    with pytest.raises(InputError, match="larger than nothing"):
        Shelf(0.0, 0.1, 0.006, 0.0)
    with pytest.raises(InputError, match="not negative"):
        Shelf(0.1, 0.1, -0.006, 0.0)
