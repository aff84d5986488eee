"""The window of good tiles and the next tile, on an invented truth."""

import numpy as np
import pytest
from scipy.special import expit

from enamelwright.errors import InputError
from enamelwright.learning.next_tile import TileTried, first_glosses, good_window, mostly_good, too_long, too_short
from enamelwright.learning.rare_faults import weak_prior
from enamelwright.learning.tile_batch import drawn_settings

CENTRE = (790 + 273.15, 120.0)
TEMPERATURES = [t + 273.15 for t in range(740, 851, 10)]
SECONDS = [60.0 * t for t in np.arange(1, 3.51, 0.25)]


def truth(kelvin: float, seconds: float) -> tuple[float, float]:
    """Chance of short and of burnt in an invented world: a ridge in temperature and time."""
    x = (kelvin - CENTRE[0]) / 20 + 1.6 * (seconds / 60 - 2)
    return float(expit(2 * (-x - 2))), float(expit(2 * (x - 2)))


def fire(kelvin: float, seconds: float, rng: np.random.Generator) -> TileTried:
    short, burnt = truth(kelvin, seconds)
    u = rng.random()
    return TileTried(kelvin, seconds, "short" if u < short else "burnt" if u > 1 - burnt else "good")


def test_a_small_fit_worked_out_independently() -> None:
    """Five tiles, one law with squares about 790 C, 2 min (time in minutes): computed by an independent implementation."""
    a = (np.array([770, 810, 770, 810, 790]) - 790) / 40
    b = np.array([1.5, 2.5, 2.5, 1.5, 2.0]) - 2.0
    x = np.stack([np.ones(5), a, b, a * b, a * a, b * b], axis=1)
    got = weak_prior(x, [0, 0, 1, 1, 1], [2.5, 2.5, 2.5, 2.0, 2.5, 2.5])
    assert got.coefficients == pytest.approx([0.525731, 0, 0, -1.611116, -0.449056, -0.449056], abs=1e-5)
    assert got.deviations == pytest.approx([1.033747, 1.591332, 1.591332, 1.799862, 2.386061, 2.386061], abs=1e-5)


def test_learning_beats_ignorance_and_both_tails_are_told_apart() -> None:
    found, by_chance = [], []
    for seed in range(25):
        rng = np.random.default_rng(seed)
        tiles = [fire(t + 273.15, 60.0 * m, rng) for t, m in ((770, 1.5), (810, 2.5), (770, 2.5), (810, 1.5))]
        while len(tiles) < 16:
            window = good_window(tiles, CENTRE)
            for kelvin, seconds in drawn_settings(window, tiles, TEMPERATURES, SECONDS, 3, [seed, len(tiles)]):
                tiles.append(fire(kelvin, seconds, rng))
        window = good_window(tiles, CENTRE)
        t, s = np.meshgrid(TEMPERATURES, SECONDS, indexing="ij")
        best = int(np.argmax(window.good(t, s)))
        short, burnt = truth(t.ravel()[best], s.ravel()[best])
        found.append((1 - short) * (1 - burnt))
        by_chance.append(np.mean([(1 - p) * (1 - q) for p, q in map(truth, t.ravel(), s.ravel())]))
    assert np.mean(found) > 0.87  # the best setting of this world gives 0.964, a setting at random 0.45
    assert np.mean(found) > 1.5 * np.mean(by_chance)


def test_nothing_fired_expects_the_window_where_the_plan_does() -> None:
    window = good_window([], CENTRE)
    t, s = np.meshgrid(TEMPERATURES, SECONDS, indexing="ij")
    good = window.good(t, s)
    assert window.good(*CENTRE) > 0.6
    assert good[0, 0] < 0.5 > good[-1, -1]
    assert window.tiles == 0


def test_burnt_tiles_ask_for_less_heat_and_short_ones_for_more() -> None:
    burnt = good_window([TileTried(*CENTRE, "burnt")] * 8, CENTRE)
    short = good_window([TileTried(*CENTRE, "short")] * 8, CENTRE)
    t, s = np.meshgrid(TEMPERATURES, SECONDS, indexing="ij")
    heat = (t - CENTRE[0]) / 40 + (s - CENTRE[1]) / 60
    best = [heat.ravel()[int(np.argmax(window.good(t, s)))] for window in (burnt, short)]
    assert best[0] < -0.5 < 0.5 < best[1]
    for window, sign in ((burnt, -1), (short, 1)):
        batch = drawn_settings(window, (), TEMPERATURES, SECONDS, 6, [0, 8])
        lean = [(one[0] - CENTRE[0]) / 40 + (one[1] - CENTRE[1]) / 60 for one in batch]
        assert sign * float(np.mean(lean)) > 0.3


def test_tiles_that_contradict_each_other_are_counted() -> None:
    window = good_window([TileTried(CENTRE[0] - 20, 120, "burnt"), TileTried(CENTRE[0] + 20, 120, "short")], CENTRE)
    assert window.against == 1
    assert (
        good_window([TileTried(CENTRE[0] + 20, 120, "burnt"), TileTried(CENTRE[0] - 20, 120, "short")], CENTRE).against
        == 0
    )


def test_ten_good_tiles_at_one_setting_teach_little_elsewhere() -> None:
    window = good_window([TileTried(*CENTRE, "good")] * 10, CENTRE)
    assert window.good(*CENTRE) > 0.8
    law = window.laws[0]
    spread = [float(np.sqrt(x @ law.covariance @ x)) for x in (np.array([1, 0, 0]), np.array([1, 1.5, 1]))]
    assert spread[1] > 1.5 * spread[0]


def test_a_batch_is_repeatable_and_has_no_setting_twice() -> None:
    tiles = [TileTried(CENTRE[0] - 20, 90, "short"), TileTried(CENTRE[0] + 20, 150, "burnt")]
    window = good_window(tiles, CENTRE)
    batch = drawn_settings(window, tiles, TEMPERATURES, SECONDS, 6, [3])
    assert batch == drawn_settings(window, tiles, TEMPERATURES, SECONDS, 6, [3])
    assert len(set(batch)) == 6
    assert len(set(drawn_settings(window, tiles, TEMPERATURES[:1], SECONDS[:2], 5, [3]))) == 2


def test_a_first_gloss_says_what_is_too_short_there_and_cooler() -> None:
    tiles = [TileTried(1063, 195, "good", 168), TileTried(1063, 200, "good", 172)]
    assert first_glosses(tiles) == ((1063, 172),)
    assert too_short(tiles, [1063, 1043, 1083, 1063], [165, 165, 165, 175]).tolist() == [True, True, False, False]
    before, after = good_window(tiles, (1063, 195)).good([1063, 1063], [100, 195])
    assert before < 0.5 < after


def test_one_late_gloss_does_not_stand_for_its_heat() -> None:
    """A load into a cold kiln glossed after 300 s: that is no reason to try nothing shorter."""
    tiles = [TileTried(1063, 320, "good", 300)] + [TileTried(1063, 195, "good", 170 + n) for n in range(3)]
    assert first_glosses(tiles) == ((1063, 172),)


def test_what_is_contradicted_rules_nothing_out() -> None:
    at = (1063.0, 150.0)
    assert too_short([TileTried(*at, "short")], *at)
    assert not too_short([TileTried(*at, "short"), TileTried(*at, "good")], *at)
    assert too_long([TileTried(*at, "burnt")], *at)
    assert not too_long([TileTried(*at, "burnt"), TileTried(*at, "good")], *at)
    assert mostly_good([TileTried(*at, "burnt"), TileTried(*at, "good")]) == ()
    assert len(mostly_good([TileTried(*at, "burnt"), *[TileTried(*at, "good")] * 3])) == 3


def test_bad_input_is_refused() -> None:
    with pytest.raises(InputError):
        TileTried(1000.0, 60.0, "fine")
    with pytest.raises(InputError):
        TileTried(float("nan"), 60.0, "good")
    with pytest.raises(InputError):
        drawn_settings(good_window([], CENTRE), [], [], SECONDS, 1, [0])
    with pytest.raises(InputError):
        TileTried(1000.0, 60.0, "good", -1.0)
