"""The budget of a display nobody has checked, and what melt tests make of it."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from enamelwright.craft import kiln_anchor
from enamelwright.craft.kiln import Anchor, Kiln
from enamelwright.craft.kiln_anchor import MeltTest, foil_advice, offset_after, point
from enamelwright.craft.kiln_state import known_offset
from enamelwright.craft.thermocouple_budget import Couple, budget, reading_prior
from enamelwright.errors import InputError, OutOfReach
from enamelwright.figure import Normal
from enamelwright.physics.constants import ZERO_CELSIUS
from enamelwright.reference.loader import value

AT_800 = 800 + ZERO_CELSIUS
FOIL = point("melt/silver-copper foil").value
PRIOR = Normal(mean=0.0, sd=10.0)


def foil(shown: float, melted: bool) -> MeltTest:
    return MeltTest(shown + ZERO_CELSIUS, FOIL, "melted" if melted else "not melted", point("melt_sd").value)


def test_variances_add_and_limits_are_rectangular():
    """JCGM 100:2008, 4.3.7: a limit a without more knowledge has the standard deviation a / sqrt(3)."""
    found = budget(Couple(), AT_800)
    assert found.sd**2 == pytest.approx(sum(cause.sd**2 for cause in found.causes))
    for cause in found.causes:
        if cause.limit is not None:
            assert cause.sd == pytest.approx(cause.limit / np.sqrt(3))


def test_an_undescribed_kiln_has_the_doubt_the_other_checks_take():
    """The prior of the offset and the constant used for melting limits must tell one story."""
    assert budget(Couple(), AT_800).sd == pytest.approx(value("heat/kiln_reading_sd"), rel=0.02)
    assert reading_prior(Kiln(name="k"), AT_800).mean == 0.0


@pytest.mark.parametrize(
    ("better", "worse"),
    [
        (Couple("class 1"), Couple("class 2")),
        (Couple(hours=0.0), Couple()),
        (Couple(meter=0.5), Couple()),
        (Couple(position=2.0), Couple()),
        (Couple(), Couple(moved=True)),
    ],
)
def test_knowing_more_narrows(better, worse):
    assert budget(better, AT_800).sd < budget(worse, AT_800).sd


def test_hotter_wire_is_known_less_well():
    assert budget(Couple(), AT_800 + 200).sd > budget(Couple(), AT_800).sd


def test_a_meter_without_compensation_shows_too_little():
    """24.3 K at a true 800 °C with terminals at 25 °C (by a second program); a little more at a shown 800."""
    found = budget(Couple(junction=25 + ZERO_CELSIUS), AT_800)
    assert found.shift == pytest.approx(24.4, abs=0.3)
    assert found.sd < budget(Couple(), AT_800).sd


def test_an_owner_who_knows_the_reading_is_believed():
    kiln = Kiln(name="k", reads_low=8.0, reads_low_sd=3.0)
    assert reading_prior(kiln, AT_800) == Normal(mean=8.0, sd=3.0)
    told = reading_prior(Kiln(name="k", reads_low=8.0), AT_800)
    assert told.mean == 8.0
    assert told.sd == budget(Couple(), AT_800).sd


def test_type_k_has_an_end():
    with pytest.raises(OutOfReach):
        budget(Couple(), 1700 + ZERO_CELSIUS)


def test_without_tests_the_prior_stays():
    known = offset_after(PRIOR, ())
    assert (known.mean, known.sd, known.share_left) == pytest.approx((0, 10, 1), abs=1e-3)
    assert known.next_test() == pytest.approx(FOIL)
    assert known.learned == "not learned"


def test_a_seen_melt_is_a_gaussian_reading():
    """Conjugate normal: precisions add. The lapse of one in a hundred widens it by little."""
    sd = point("melting_seen_sd").value
    known = offset_after(PRIOR, [MeltTest(FOIL - 6, FOIL, "melting", sd)])
    weight = PRIOR.sd**2 / (PRIOR.sd**2 + sd**2)
    assert known.mean == pytest.approx(6 * weight, abs=0.1)
    assert known.sd == pytest.approx(PRIOR.sd * np.sqrt(1 - weight), rel=0.1)


def test_one_foil_cuts_a_normal_in_half():
    """Melted at the expected melt: the half-normal, mean sd sqrt(2/pi), blurred by the sharpness of the eye."""
    known = offset_after(PRIOR, [foil(779.1, True)])
    assert known.mean == pytest.approx(10 * np.sqrt(2 / np.pi) / np.sqrt(1 + 0.15**2), rel=0.02)
    assert known.mean == pytest.approx(-offset_after(PRIOR, [foil(779.1, False)]).mean)


def test_eight_foils_fix_the_offset():
    """Eight tests within 12 K of the melt: about 1.7 K (by a second program), and honest about it."""
    generator = np.random.default_rng(7)
    sds, errors, held = [], [], 0
    for true in generator.normal(0, 10, 150):
        tests = []
        # the maker's idea of where it melts is off by a few kelvin
        for away in np.linspace(-12, 12, 8) + generator.uniform(-3, 3):
            melted = generator.random() < stats.norm.cdf(away / 1.5)
            tests.append(MeltTest(FOIL - true + away, FOIL, "melted" if melted else "not melted", 1.5))
        known = offset_after(PRIOR, tests)
        sds.append(known.sd)
        errors.append(known.mean - true)
        held += known.low <= true <= known.high
    assert np.mean(sds) == pytest.approx(1.7, abs=0.15)
    assert np.std(errors) < 1.3 * np.mean(sds)
    assert 0.83 <= held / 150 <= 0.97


def test_going_to_the_middle_learns_faster_than_spreading():
    """The next foil is set where it melts as likely as not; six of those beat six spread ones."""
    true, tests, spread = 7.0, [], []
    generator = np.random.default_rng(3)
    for away in np.linspace(-12, 12, 6):
        shown = offset_after(PRIOR, tests).next_test()
        tests.append(MeltTest(shown, FOIL, "melted" if shown + true > FOIL else "not melted", 1.5))
        at = FOIL + away + generator.normal(0, 0.1)
        spread.append(MeltTest(at, FOIL, "melted" if at + true > FOIL else "not melted", 1.5))
    assert offset_after(PRIOR, tests).sd < offset_after(PRIOR, spread).sd
    assert offset_after(PRIOR, tests).mean == pytest.approx(true, abs=4)


def test_order_does_not_matter():
    tests = [foil(775, False), foil(790, True), foil(781, False)]
    one, other = offset_after(PRIOR, tests), offset_after(PRIOR, tests[::-1])
    assert (one.mean, one.sd) == pytest.approx((other.mean, other.sd))


def test_a_bracket_is_judged_as_one_however_far_out_it_lies():
    assert offset_after(PRIOR, [foil(795, False), foil(800, True)]).against == ()
    assert offset_after(PRIOR, [foil(795, False)]).against == ()


def test_tests_that_contradict_are_named_and_believed_less():
    known = offset_after(PRIOR, [foil(765, True), foil(795, False)])
    assert known.against == (1, 2)
    assert known.sd > offset_after(PRIOR, [foil(775, False), foil(785, True)]).sd
    good = [foil(s, s > 779) for s in (770, 774, 777, 781, 784, 788)]
    assert offset_after(PRIOR, good).against == ()
    assert offset_after(PRIOR, [*good, foil(765, True)]).against == (7,)
    # one wrong note among many moves the answer by less than the eye can tell
    assert abs(offset_after(PRIOR, [*good, foil(765, True)]).mean - offset_after(PRIOR, good).mean) < 1.5


def test_anchors_of_an_owner():
    anchors = (
        Anchor(what="silver-copper foil", shown=770 + ZERO_CELSIUS, outcome="melted"),
        Anchor(what="zinc", shown=415 + ZERO_CELSIUS),
        Anchor(what="other", shown=700 + ZERO_CELSIUS, outcome="not melted", true=705 + ZERO_CELSIUS, true_sd=4.0),
    )
    first, second, third = kiln_anchor.tests_of(anchors)
    assert first.melt == FOIL
    assert second.melt - ZERO_CELSIUS == pytest.approx(419.527)
    assert third.sd > first.sd
    with pytest.raises(InputError):
        kiln_anchor.tests_of((Anchor(what="other", shown=900.0),))


def test_an_offset_known_for_certain_is_refused():
    with pytest.raises(InputError):
        offset_after(Normal(mean=0, sd=0), ())


@pytest.mark.parametrize("sd", [1e-9, 1e-4, 0.3, 300.0])
def test_any_prior_is_resolved(sd):
    """Sharp or wide, near the tests or far from them: a grid fine enough, and never an endless one."""
    known = offset_after(Normal(mean=2.0, sd=sd), ())
    assert (known.mean, known.sd) == pytest.approx((2.0, sd), rel=1e-3)
    far = offset_after(Normal(mean=2.0, sd=sd), [MeltTest(300.0, FOIL, "melting", 3.0), foil(779.1, True)])
    assert np.isfinite([far.mean, far.sd, far.low, far.high]).all()
    assert far.low <= far.high


def test_advice_stands_about_the_expected_melt_in_the_kilns_own_degrees():
    words = " ".join(foil_advice(offset_after(Normal(mean=-20, sd=3), ())))
    assert "796 °C / 1465 °F and 802 °C / 1476 °F" in words
    assert "off copper" in words


def test_a_check_claimed_to_be_perfect_is_a_check():
    """A standard deviation of zero is a claim, not silence: it must not fall back to the budget of the wire."""
    perfect = Kiln(name="k", reads_low=12.0, reads_low_sd=0.0)
    prior = reading_prior(perfect, AT_800)
    assert prior.mean == 12.0
    assert prior.sd == pytest.approx(known_offset(perfect).sd)
    assert 0 < prior.sd < 1


@pytest.mark.parametrize(("mean", "words"), [(9.0, "reads 9 °C low"), (-4.0, "reads 4 °C high"), (0.2, "reads true")])
def test_which_way_a_display_is_off_is_said_in_words(mean, words):
    assert words in offset_after(Normal(mean=mean, sd=1.0), ()).reading
