"""The ends of a window: they do not contradict one another, and an end beyond the time worked out is open."""

from __future__ import annotations

import math
from itertools import pairwise

import numpy as np
import pytest
from craft.sequence_cases import data_of
from craft.window.asked import ask, bench

from enamelwright.craft.bench import Bench
from enamelwright.craft.kiln import Kiln
from enamelwright.craft.operation import StageBand
from enamelwright.craft.piece import Piece
from enamelwright.craft.planner import make_plan
from enamelwright.craft.window.facts import number
from enamelwright.craft.window.look_plan import ROUND
from enamelwright.craft.window.members import KilnDraws, dip_factor, overshoot_factor
from enamelwright.craft.window.responses import UNKNOWN, class_heat, response_by_heat
from enamelwright.craft.window.stage_bands import open_ended, time_figure
from enamelwright.errors import OutOfReach
from enamelwright.figure import Figure, Origin
from enamelwright.questions.window import WindowInput, answer

ORIGIN = Origin(kind="computed")
SETTINGS = (740, 770, 800, 830, 860)


def test_a_time_beyond_what_was_worked_out_is_cut_and_open() -> None:
    figure = time_figure(math.inf, 500.0, math.inf, 900.0, ORIGIN)
    assert figure is not None
    assert (figure.low, figure.value, figure.high) == (500.0, 900.0, 900.0)
    assert open_ended(math.inf, math.inf, 900.0)
    assert time_figure(math.inf, math.inf, math.inf, 900.0, ORIGIN) is None
    assert not open_ended(100.0, 300.0, 900.0)


def test_an_open_stage_is_neither_likely_nor_sure() -> None:
    cut = Figure(value=900.0, low=500.0, high=900.0, dimension="time", origin=ORIGIN)
    beyond = StageBand(stage="over-fired", begins=cut, open_ended=True)
    assert math.isinf(beyond.likely)
    assert math.isinf(beyond.latest)
    late = StageBand(stage="over-fired", begins=cut.model_copy(update={"value": 700.0}), open_ended=True)
    assert late.likely == 700.0
    assert math.isinf(late.latest)


@pytest.mark.parametrize("set_c", SETTINGS)
@pytest.mark.parametrize("mesh", [20, 80, 200])
@pytest.mark.parametrize("target", ["gloss", "orange peel", "sugar"])
def test_the_ends_do_not_contradict_one_another(set_c: int, mesh: int, target: str) -> None:
    window = ask(set_point_c=set_c, mesh=mesh, target=target)
    if window.seconds is None or window.looks is None:
        return
    assert window.seconds.high == window.looks.out_by
    if window.unwatched is not None and window.odds is not None:
        assert window.unwatched <= window.looks.out_by
        assert window.odds >= number("unwatched_least")
    gone = "over-fired" if target == "gloss" else "gloss"
    too_far = next(stage.likely for stage in window.stages if stage.stage == gone)
    assert window.looks.out_by <= max(too_far, window.seconds.value) + ROUND


@pytest.mark.parametrize("set_c", SETTINGS[1:])
def test_what_stops_before_gloss_is_out_before_gloss_is_likely(set_c: int) -> None:
    """A coat that is to stay bumpy under the next one must not be left until it has run smooth."""
    for target in ("orange peel", "sugar"):
        early = ask(set_point_c=set_c, target=target)
        assert early.looks is not None
        glossy = next(stage.likely for stage in early.stages if stage.stage == "gloss")
        assert early.looks.out_by <= glossy
        usual = early.practice
        assert usual is not None
        assert usual.set_point is not None
        assert usual.seconds is not None
        # Practice speaks of its own settings alone.
        if usual.set_point.low <= set_c + 273.15 <= usual.set_point.high and usual.seconds.high > glossy:
            assert target == "sugar" or any("gloss is likely" in line for line in early.because)


def test_a_long_dwell_is_followed_to_its_end() -> None:
    """An hour at 800 C: a medium enamel is beyond gloss (common practice, no source: some minutes are its limit)."""
    given = {"jar": "medium", "set_point_c": 800, "mesh": 80, "seconds_s": 3600}
    told = answer(WindowInput.from_outside(given), bench()).payload
    assert told.stage_then.startswith("likely over-fired")
    over = next(stage for stage in told.window.stages if stage.stage == "over-fired")
    assert over.begins is not None
    assert over.likely < 3600


def test_the_nominal_kiln_lies_amid_its_draws() -> None:
    draws = KilnDraws.of(UNKNOWN, 400)
    for row in (draws.offset, draws.transfer, draws.scale, draws.lift):
        below = float(np.mean(row[1:] < row[0]))
        assert 0.45 < below < 0.55


def test_a_measured_overshoot_is_known_better_and_leaves_the_dip_alone() -> None:
    told = Kiln(name="told", overshoot=12.0)
    low, likely, high = overshoot_factor(told)
    assert likely == 1.0
    assert 0.5 < low < 1.0 < high < 1.5
    wide = overshoot_factor(UNKNOWN)
    assert wide[2] / wide[1] > high / likely
    assert np.array_equal(KilnDraws.of(told).scale, KilnDraws.of(UNKNOWN).scale)
    assert dip_factor()[1] == 1.0


def test_a_higher_overshoot_makes_a_hotter_peak() -> None:
    peaks = [
        ask(kiln={"name": "k", "reads_low_k": 0, "reads_low_sd_k": 3, "overshoot_k": over}, set_point_c=790).peak
        for over in (0, 10, 30)
    ]
    values = [peak.value for peak in peaks if peak is not None]
    assert values[0] < values[1] < values[2]
    assert values[0] <= 790 + 273.15 + 1.0


def test_more_pieces_than_the_heaviest_class_still_cool_the_kiln_more() -> None:
    heavy = class_heat("shelf")
    lowest = [response_by_heat(UNKNOWN, share * heavy, 1073).radiant.min() for share in (0.5, 1.0, 1.5, 3.0)]
    assert all(after < before for before, after in pairwise(lowest))


def test_more_pieces_take_longer_and_more_electricity() -> None:
    one, many = (ask(set_point_c=800, pieces=count) for count in (1, 12))
    assert one.seconds
    assert many.seconds
    assert one.energy
    assert many.energy
    assert many.seconds.value > one.seconds.value
    assert many.energy.value > one.energy.value


@pytest.mark.parametrize("asked", [{"pieces": 100}, {"diameter_mm": 300}, {"diameter_mm": 500}])
def test_a_load_larger_than_the_shelf_is_refused_in_words(asked: dict[str, float]) -> None:
    with pytest.raises(OutOfReach, match="shelf"):
        ask(set_point_c=800, **asked)


@pytest.mark.parametrize("support", ["mesh", "trivet", "plate"])
def test_a_torch_has_neither_degrees_nor_seconds_on_any_support(support: str) -> None:
    flame = Bench.from_outside({"name": "test", "kilns": [{"name": "flame", "kind": "torch"}]})
    studio = flame.model_copy(update={"jars": Bench.starter().jars})
    piece = Piece.from_outside({**data_of("sifted-pendant"), "firing": {"support": support}})
    for firing in make_plan(piece, studio, draws=32).firings:
        window = firing.window
        assert window is not None
        assert window.set_point is None
        assert window.seconds is None
        assert window.looks is None
        assert window.first_look is None
        assert window.look_every is None
        assert any("stage" in line for line in window.because)
