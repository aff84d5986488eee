"""What must hold whatever the numbers are: balance, mirror, shared draws, repeatability, reach."""

from __future__ import annotations

import numpy as np
import pytest
from craft.checks.named_piece import MM, back, firings_of, front, layup_of, model_of, weights_of
from hypothesis import given, settings
from hypothesis import strategies as st

from enamelwright.craft.bench import Bench
from enamelwright.craft.checks.flatness import judge_flatness
from enamelwright.craft.checks.flatness_states import solve_all, states_of

COATS = [back(0.25), front(0.2), front(0.15)]
FIRES = ([0], [1], [2])


def judged(layup, *fires, bench=None, draws=64, needs_flat=False):
    return judge_flatness(
        layup, weights_of(layup), firings_of(layup, *fires, needs_flat=needs_flat), bench or Bench(), draws
    )


def test_force_and_moment_balance_through_the_whole_history():
    solved = solve_all(model_of(layup_of(COATS), *FIRES), 64)
    stress, thickness = 1e8, 1e-3  # a usual coat stress and piece thickness: the scale of what must cancel
    for result in (solved.answer, solved.band):
        assert result.unbalanced[:, 0].max() < 1e-4 * stress * thickness
        assert result.unbalanced[:, 1].max() < 1e-4 * stress * thickness**2


def test_the_mirrored_piece_is_the_mirror_image():
    one = states_of(solve_all(model_of(layup_of(COATS), *FIRES), 64))
    turned = [{**coat, "face": "front" if coat["face"] == "back" else "back"} for coat in COATS]
    other = states_of(solve_all(model_of(layup_of(turned), *FIRES), 64))
    for here, there in zip(one, other, strict=True):
        assert here.bow.value == pytest.approx(-there.bow.value, rel=1e-6, abs=1e-9)
        assert here.bow.low == pytest.approx(-there.bow.high, rel=1e-6, abs=1e-9)
        mine = {coat.coat: coat for coat in here.coats}
        for coat in there.coats:
            assert mine[coat.coat].outer.value == pytest.approx(coat.outer.value, rel=1e-6)
            assert mine[coat.coat].outer.high == pytest.approx(coat.outer.high, rel=1e-5)


def test_two_plans_share_their_draws():
    """A thicker last coat changes nothing else: sheet, jar and the other coats are drawn alike."""
    one = model_of(layup_of(COATS), *FIRES).draws(64)
    other = model_of(layup_of([*COATS[:2], front(0.3)]), *FIRES).draws(64)
    more = model_of(layup_of([*COATS, front(0.1)]), *FIRES, [3]).draws(64)
    for name in ("factor", "metal", "yield_scale", "metal_strain", "coat_strain", "group"):
        assert np.array_equal(getattr(one, name), getattr(other, name))
        assert np.array_equal(
            getattr(one, name),
            getattr(more, name)[..., :3] if name in {"factor", "coat_strain", "group"} else getattr(more, name),
        )


def test_the_same_question_has_the_same_answer():
    one, other = (judged(layup_of(COATS), *FIRES) for _ in range(2))
    assert one[0].model_dump_json() == other[0].model_dump_json()
    assert [v.model_dump_json() for v in one[1]] == [v.model_dump_json() for v in other[1]]


def test_one_jar_in_two_coats_is_one_draw():
    draws = model_of(layup_of(COATS), *FIRES).draws(64)
    assert np.array_equal(draws.coat_strain[:, 0], draws.coat_strain[:, 2])
    assert np.array_equal(draws.group[:, 0], draws.group[:, 1])
    assert not np.array_equal(draws.factor[:, 0], draws.factor[:, 1])
    assert np.bincount(draws.group[:, 0]).max() - np.bincount(draws.group[:, 0]).min() <= 1


def test_a_coat_laid_twice_is_two_coats():
    twice = states_of(solve_all(model_of(layup_of([back(0.2), front(0.1, times=2)]), [0], [1], [1]), 32))
    two = states_of(solve_all(model_of(layup_of([back(0.2), front(0.1), front(0.1)]), [0], [1], [2]), 32))
    for here, there in zip(twice, two, strict=True):
        assert here.bow.value == pytest.approx(there.bow.value, rel=1e-9)
    assert twice[-1].coats[-1].outer.value == pytest.approx(two[-1].coats[-1].outer.value, rel=1e-9)


def test_a_piece_already_fired_goes_on_from_there():
    whole = states_of(solve_all(model_of(layup_of([back(0.2), front(0.2)]), [0], [1]), 32))
    layup = layup_of([back(0.2, fired=True), front(0.2)], so_far={"firings": 1})
    resumed = states_of(solve_all(model_of(layup, [1]), 32))
    assert len(resumed) == 1
    assert resumed[0].bow.value == pytest.approx(whole[1].bow.value, rel=1e-6)
    measured = layup_of([back(0.2, fired=True), front(0.2)], so_far={"firings": 1, "bow_mm": -0.5})
    moved = states_of(solve_all(model_of(measured, [1]), 32))[0].bow.value
    assert moved < resumed[0].bow.value


def test_pressing_flat_takes_out_the_bend_of_the_first_firing():
    plain = states_of(solve_all(model_of(layup_of([back(0.2), front(0.2)]), [0], [1]), 32))[-1]
    habit = {"press_flat": True}
    pressed = states_of(solve_all(model_of(layup_of([back(0.2), front(0.2)], firing=habit), [0], [1]), 32))[-1]
    assert abs(pressed.bow.value) < 0.2 * abs(plain.bow.value)


def test_more_draws_only_settle_the_band():
    few = judged(layup_of(COATS), *FIRES, draws=256)[0].states[-1]
    many = judged(layup_of(COATS), *FIRES, draws=2000)[0].states[-1]
    assert few.bow.value == many.bow.value
    width = many.bow.high - many.bow.low
    assert few.bow.low == pytest.approx(many.bow.low, abs=0.15 * width)
    assert few.bow.high == pytest.approx(many.bow.high, abs=0.15 * width)


def test_the_house_may_be_stricter():
    layup = layup_of([back(0.15), front(0.3)])
    usual = judged(layup, [0, 1])[1][0]
    strict = judged(layup, [0, 1], bench=Bench.from_outside({"house": {"bow_limit_mm": 0.01}}))[1][0]
    assert (usual.level, strict.level) == ("good", "watch")
    assert strict.remedy


def test_a_stop_for_bow_only_where_flatness_is_needed():
    layup = layup_of([front(0.3)], thickness=0.4)
    assert judged(layup, [0])[1][0].level == "watch"
    assert judged(layup, [0], needs_flat=True)[1][0].level == "stop"


def test_an_early_bow_is_judged_only_where_the_next_step_needs_flatness():
    layup = layup_of([back(0.3), front(0.3)], thickness=0.4, diameter=40.0)
    assert "FLAT-STEP" not in [v.rule for v in judged(layup, [0], [1])[1]]
    assert "FLAT-STEP" in [v.rule for v in judged(layup, [0], [1], needs_flat=True)[1]]


@pytest.mark.parametrize(
    ("more", "word"),
    [
        ({"form": "bead"}, "bead"),
        ({"technique": "plique_open"}, "no sheet"),
        ({"recess": {"depth_mm": 0.3}}, "recess"),
    ],
)
def test_what_it_cannot_answer_it_says(more, word):
    flatness, verdicts, advice = judged(layup_of(COATS, **more), *FIRES)
    assert flatness.reach == "not applicable"
    assert word in flatness.why
    assert (flatness.states, verdicts, advice) == ((), (), ())


def test_slow_cooling_lowers_the_bow():
    """About 7 % of bow for each tenfold slower cooling (independent computation: .321 -> .282 at 3000 s)."""
    quick = states_of(solve_all(model_of(layup_of([front(0.2)]), [0]), 32))[0].bow.value
    slow = layup_of([front(0.2)], firing={"cooling": "in the kiln"})
    assert states_of(solve_all(model_of(slow, [0]), 32))[0].bow.value == pytest.approx(0.282 / 0.321 * quick, rel=0.02)


def test_bow_is_told_over_the_chord():
    """Twice the diameter of a stiff piece: four times the bow."""
    small = states_of(solve_all(model_of(layup_of([front(0.1)], thickness=3.0, diameter=20.0), [0]), 32))[0]
    large = states_of(solve_all(model_of(layup_of([front(0.1)], thickness=3.0, diameter=40.0), [0]), 32))[0]
    assert large.bow.value == pytest.approx(4 * small.bow.value, rel=0.01)
    assert 0 < small.bow.value < 0.1 * MM


def test_firings_that_melt_nothing_new_are_followed_too():
    """A bare firing before and a last flash: one state each, the first without glass."""
    found = judged(layup_of([back(0.2), front(0.2)]), [], [0], [1], [])[0].states
    assert [len(state.coats) for state in found] == [0, 1, 2, 2]
    assert found[0].bow.value == 0
    assert found[0].heating_tension is None
    assert found[3].heating_tension is not None


def test_a_cold_slab_is_judged_only_under_a_hot_counter_enamel():
    """Watch when laid down hot on its counter; nothing when bare, when it cooled first, or on a pad."""
    slab = {"cooling": "cold slab"}

    def level(coats, firing):
        layup = layup_of(coats, firing=firing)
        return [v.level for v in judged(layup, range(len(coats)))[1] if v.rule == "FLAT-SLAB"]

    both = [back(0.2), front(0.2)]
    assert level(both, slab) == ["watch"]
    assert level([front(0.2)], slab) == []
    assert level(both, {**slab, "lift_after_s": 120}) == []
    assert level(both, {"cooling": "still air"}) == []


@settings(max_examples=25)
@given(
    sheet=st.floats(0.06, 10.0),
    across=st.floats(5.0, 900.0),
    coats=st.lists(st.tuples(st.sampled_from([back, front]), st.floats(0.005, 4.9)), min_size=1, max_size=5),
    dome=st.sampled_from([0.0, 1.0, -1.0]),
)
def test_any_sheet_and_coats_give_an_answer_in_words(sheet, across, coats, dome):
    layup = layup_of([make(glass) for make, glass in coats], thickness=sheet, diameter=across, dome_mm=dome)
    flatness, verdicts, _ = judged(layup, *([n] for n in range(len(coats))), draws=32)
    assert flatness.reach in {"full", "rough"}
    assert verdicts[0].rule == "FLAT-BOW"
    for verdict in verdicts:
        assert "nan" not in " ".join((verdict.words, verdict.remedy, *verdict.because)).split()
        assert verdict.level == "good" or verdict.remedy or "Makers" in verdict.words
