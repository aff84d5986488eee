"""The colour and the bow of the weekly tile: what is compared, when it alarms, and what it is put down to."""

from __future__ import annotations

import numpy as np
import pytest

from enamelwright.learning.control_chart import ControlChart, control_chart
from enamelwright.physics.colour.colour_difference import ciede2000
from enamelwright.reference.loader import facts_of
from enamelwright.workshop.control_looks import LAPSES, LooksRead, TileFired, Way, looks_of

#: Spot, light and observer a colour is read by; another one is not compared with it.
WAY: Way = ("1", "D50", 2)
OTHER: Way = ("1", "D65", 2)
WHITE = (88.0, 0.0, 4.0)


def tiles(count: int) -> list[TileFired]:
    return [
        TileFired(f"CT-{n:02d}", f"2026-{n:03d}", f"L{n}", f"2026-03-{n:02d}", 160.0, n) for n in range(1, count + 1)
    ]


def read(labs: list[tuple[float, float, float]], way: Way = WAY, bows: list[float] | None = None) -> LooksRead:
    return LooksRead({n: {way: lab} for n, lab in enumerate(labs, 1)}, dict(enumerate(bows or [], 1)))


def reddish(count: int, after: int, by: float, seed: int = 1) -> list[tuple[float, float, float]]:
    rng = np.random.default_rng(seed)
    return [(88.0, by * (n >= after) + float(rng.normal(0, 0.4)), 4.0) for n in range(count)]


def test_a_tile_that_turns_reddish_while_it_glosses_in_time_points_at_the_powder() -> None:
    (colour,) = looks_of(tiles(9), None, read(reddish(9, 6, 9.0)))
    assert colour.what == "colour"
    assert colour.alarm is not None
    assert colour.alarm.label == "CT-07"
    assert "powder first" in colour.words
    assert "though the tile glosses when it did" in colour.words


def test_where_the_seconds_alarm_too_the_kiln_is_the_likely_cause() -> None:
    seconds = control_chart([160, 161, 159, 160, 160, 161, 120, 119, 118], 3, known_sd=5.0, worth=3)
    (colour,) = looks_of(tiles(9), seconds, read(reddish(9, 6, 9.0)))
    assert colour.words.endswith("the kiln is the likely cause.")


def test_a_bow_that_changes_sends_to_the_scale() -> None:
    bows = [0.00010, 0.00012, 0.00009, 0.00011, 0.00010, 0.00062, 0.00060]
    (bow,) = looks_of(tiles(7), None, read([], bows=bows))
    assert bow.values[0] == pytest.approx(0.10)
    assert bow.alarm is not None
    assert bow.alarm.label == "CT-06"
    assert "each face" in bow.words


def test_each_value_is_the_published_difference_from_the_others_of_the_first_three() -> None:
    labs = [WHITE, (87.0, 0.5, 4.5), (88.5, -0.5, 3.0), (80.0, 3.0, 9.0)]
    (colour,) = looks_of(tiles(4), None, read(labs))
    first = np.array(labs[:3])
    assert colour.values[3] == pytest.approx(float(ciede2000(first.mean(axis=0), labs[3])))
    assert colour.values[0] == pytest.approx(float(ciede2000(first[1:].mean(axis=0), labs[0])))


def test_colours_read_in_another_way_are_not_compared() -> None:
    mixed = read(reddish(6, 6, 0.0))
    colours = {**mixed.colours, 2: {OTHER: (20.0, 50.0, 30.0)}}
    (colour,) = looks_of(tiles(6), None, LooksRead(colours, {}))
    assert [one.label for one in colour.tiles] == ["CT-01", "CT-03", "CT-04", "CT-05", "CT-06"]
    assert max(colour.values) < 5


def test_without_readings_nothing_is_said_and_with_few_only_how_many() -> None:
    assert looks_of(tiles(9), None, LooksRead({}, {})) == ()
    (colour,) = looks_of(tiles(2), None, read([WHITE, WHITE]))
    assert colour.chart is None
    assert colour.words.startswith("2 of 4 tiles")


#: Spreads a healthy workshop may have: of seconds, of each number of a colour, of a bow read [mm]; and of what tails.
HEALTHY = [
    (5.0, 0.5, 0.05, False),  # as is expected before anything is known
    (7.5, 1.2, 0.075, False),  # half as much again
    (3.0, 0.3, 0.02, False),
    (5.0, 0.5, 0.05, True),  # now and then one far off
]
YEARS = 40


@pytest.mark.parametrize(("seconds", "colour", "bow", "tailed"), HEALTHY)
def test_a_healthy_workshop_gets_at_most_one_false_alarm_a_year_of_all_three(
    seconds: float, colour: float, bow: float, tailed: bool
) -> None:
    """A year of weekly tiles whose first gloss, colour and bow are all charted; 150 years gave 0.05 to 0.9 a year."""
    rng, alarms = np.random.default_rng(12), 0
    facts = facts_of("heat/learning")
    usual, worth, base, limit = (facts[f"heat/learn_control_{name}"].value for name in ("sd", "worth", "base", "limit"))

    def scatter(sd: float, *size: int) -> np.ndarray:
        return sd * (rng.standard_t(5, size) * np.sqrt(3 / 5) if tailed else rng.normal(0, 1, size))

    for _ in range(YEARS):
        gloss = control_chart(
            160 + scatter(seconds, 52), int(base), known_sd=usual, worth=worth, limit=limit, grows=True
        )
        labs = [tuple(one) for one in np.array(WHITE) + scatter(colour, 52, 3)]
        bows = list(1e-3 * np.round(0.1 + scatter(bow, 52), 2))
        charts = [gloss, *(one.chart for one in looks_of(tiles(52), gloss, read(labs, bows=bows)))]
        assert len(charts) == 3
        alarms += sum(begun(one) for one in charts if one is not None)
    assert alarms / YEARS <= 1.2  # one a year, told from so few


def begun(chart: ControlChart) -> int:
    """How often trouble began that had not been there for three tiles."""
    trouble = chart.trouble
    return sum(bool(one) and not trouble[max(0, at - LAPSES) : at].any() for at, one in enumerate(trouble))


def test_a_step_is_judged_by_the_spread_before_it_and_stays_judged() -> None:
    values = [160, 161, 159, 160, 160, 161, 120, 119, 118]
    for count in (7, 8, 9):
        chart = control_chart(values[:count], 3, known_sd=5.0, worth=3, limit=3.6, grows=True)
        assert np.flatnonzero(chart.trouble)[0] == 6
        assert chart.lasting(LAPSES) == 6
