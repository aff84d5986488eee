"""Loads of tiles: temperature and time to the load, thickness and undercoat to the tile, one control tile a day."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest

from enamelwright.errors import InputError
from enamelwright.learning.next_tile import TileTried
from enamelwright.learning.tile_batch import batch, window_picture

CENTRE = (1063.0, 150.0)


def test_the_first_five_loads_are_the_middle_and_the_corners() -> None:
    """2^2 with a centre: effects of heat and time are free of each other (G. E. P. Box and others, 2005, ch. 5)."""
    loads = batch((), CENTRE, 5, 3)
    at = np.asarray([(one.temperature, one.seconds) for one in loads]) - CENTRE
    assert len({tuple(row) for row in at}) == 5
    assert np.allclose(at.sum(axis=0), 0)
    assert float(at[:, 0] @ at[:, 1]) == pytest.approx(0)


def test_every_load_carries_the_same_tiles_in_another_order() -> None:
    """Balanced blocks: what differs within a load does not depend on which load it was."""
    loads = batch((), CENTRE, 4, 7, (0.3e-3, 0.6e-3), ("flux", "white", "bare"))
    for n, load in enumerate(loads):
        tiles = Counter((tile.thickness, tile.undercoat) for tile in load.tiles if tile.what == "tile")
        assert set(tiles.values()) == {1}
        assert len(tiles) == 6
        assert sorted(tile.place for tile in load.tiles) == list(range(1, len(load.tiles) + 1))
        assert sum(tile.what == "control tile" for tile in load.tiles) == (n == 0)
    orders = {tuple((tile.thickness, tile.undercoat) for tile in load.tiles) for load in loads}
    assert len(orders) > 1


def test_places_are_even_over_many_loads() -> None:
    first = Counter(
        load.tiles[0].undercoat
        for seed in range(200)
        for load in batch((), CENTRE, 1, 2, (), ("flux", "white"), control=False, seed=seed)
    )
    assert 70 < first["flux"] < 130  # 100 of 200 with a deviation of 7


def test_heat_and_time_only_add() -> None:
    tried = [TileTried(1043, 120, "short"), TileTried(1083, 180, "burnt"), TileTried(1063, 150, "good"),
             TileTried(1043, 180, "good"), TileTried(1083, 120, "good")]  # fmt: skip
    for seed in range(20):
        for one in batch(tried, CENTRE, 3, 2, seed=seed):
            assert not (one.temperature >= 1083 and one.seconds >= 180)
            assert not (one.temperature <= 1043 and one.seconds <= 120)


def test_the_search_finds_the_window_and_fires_mostly_good_tiles() -> None:
    """The truth of a simulation: good within a ridge where hotter stands for longer (the law is the test's own)."""
    from scipy.special import expit

    good_shares = []
    for seed in range(8):
        rng, tried = np.random.default_rng(seed), list[TileTried]()
        for n in range(16):
            one = batch(tried, CENTRE, 1, 2, loads_fired=n, seed=seed)[0]
            x = (one.temperature - CENTRE[0]) / 20 + 0.8 * (one.seconds - CENTRE[1]) / 30
            short, burnt = expit(3 * (-x - 1.5)), expit(3 * (x - 1.5))
            drawn = rng.random()
            came = "short" if drawn < short else "burnt" if drawn < short + burnt else "good"
            tried.append(TileTried(one.temperature, one.seconds, came))
        good_shares.append(sum(one.came == "good" for one in tried[5:]) / len(tried[5:]))
    grid = np.asarray([(t, s) for t in np.linspace(-40, 40, 9) for s in np.linspace(-60, 60, 9)])
    at = grid[:, 0] / 20 + 0.8 * grid[:, 1] / 30
    by_chance = float(np.mean((1 - expit(3 * (-at - 1.5))) * (1 - expit(3 * (at - 1.5)))))
    assert np.mean(good_shares) > by_chance + 0.1


def test_the_picture_says_what_is_not_known() -> None:
    assert {one.standing for one in window_picture((), CENTRE)} == {"not known"}
    rng = np.random.default_rng(3)
    tried = []
    for _ in range(60):
        t, s = float(rng.uniform(1023, 1103)), float(rng.uniform(90, 210))
        x = (t - 1063) / 20 + (s - 150) / 30
        tried.append(TileTried(t, s, "short" if x < -1.5 else "burnt" if x > 1.5 else "good"))
    cells = window_picture(tried, CENTRE)
    told = {one.standing for one in cells}
    assert {"good", "bad"} <= told
    wrong = 0
    for one in cells:
        x = (one.temperature - 1063) / 20 + (one.seconds - 150) / 30
        wrong += (one.standing == "good" and abs(x) > 2.0) or (one.standing == "bad" and abs(x) < 1.0)
    assert wrong == 0


def test_more_tiles_than_the_shelf_holds_are_refused() -> None:
    with pytest.raises(InputError, match="do not fit 4 places"):
        batch((), CENTRE, 1, 4, (0.3e-3, 0.6e-3), ("flux", "white"))
    with pytest.raises(InputError, match="at least one load"):
        batch((), CENTRE, 0, 4)


def test_ten_identical_successes_are_said_to_teach_little() -> None:
    from enamelwright.questions.question import question

    tried = [{"temperature_c": 790, "time_s": 150, "came": "good"}] * 10
    answer = question("next-tile").ask({"tried": tried, "centre_c": 790, "centre_time_s": 150})
    assert any("teaches little" in line for line in answer.because)
    assert {(one.temperature.value, one.time.value) for one in answer.payload.loads}.isdisjoint({(1063.15, 150.0)})
