"""Ladders of tiles: one thing varies step by step, everything else is alike."""

from __future__ import annotations

import pytest

from enamelwright.learning.next_tile import TileTried
from enamelwright.learning.tile_ladders import TileLadder, ladders

DEPTHS, STEPS, GROUNDS = (0.25e-3, 0.5e-3), (0.25e-3, 0.5e-3, 1e-3), ("bare", "flux", "white")


def made(tried: tuple[TileTried, ...] = (), shelf: int = 4) -> dict[str, TileLadder]:
    return {one.name: one for one in ladders(tried, (1063, 197), 0.017, DEPTHS, STEPS, GROUNDS, "flux", shelf)}


def test_one_thing_varies_and_the_rest_is_alike() -> None:
    told = made()
    heat, time = told["heat ladder"].tiles, told["time ladder"].tiles
    assert [one.temperature - heat[0].temperature for one in heat] == [0, 10, 20, 30]
    assert len({(one.seconds, one.place, one.spots) for one in heat}) == 1
    assert [one.seconds - time[0].seconds for one in time] == [0, 20, 40, 60]
    assert len({(one.temperature, one.place, one.spots) for one in time}) == 1
    (thick,) = told["thickness ladder"].tiles
    assert [spot.thickness for spot in thick.spots] == list(STEPS)
    assert {spot.undercoat for spot in thick.spots} == {"flux"}
    grounds = told["undercoat ladder"].tiles
    assert [[spot.undercoat for spot in one.spots] for one in grounds] == [list(GROUNDS)] * 2
    assert [{spot.thickness for spot in one.spots} for one in grounds] == [{DEPTHS[0]}, {DEPTHS[1]}]
    assert told["again ladder"].firings == 4


def test_every_tile_carries_the_two_depths() -> None:
    for name in ("heat ladder", "time ladder", "again ladder"):
        assert {tuple(spot.thickness for spot in one.spots) for one in made()[name].tiles} == {DEPTHS}


@pytest.mark.parametrize("shelf", [1, 2, 4, 24])
def test_places_are_on_the_shelf(shelf: int) -> None:
    for ladder in made(shelf=shelf).values():
        assert all(1 <= one.place <= shelf for one in ladder.tiles)
        assert len({(one.load, one.place) for one in ladder.tiles}) == len(ladder.tiles)


def test_a_step_before_the_first_gloss_says_it_is_too_short_on_purpose() -> None:
    tried = (TileTried(1063, 197, "good", 185),)
    assert [one.too_short for one in made(tried)["time ladder"].tiles] == [True, False, False, False]
    assert made(tried)["heat ladder"].tiles[0].too_short  # gloss comes later 10 K cooler
    assert not any(one.too_short for one in made()["time ladder"].tiles)
