"""Baths: acid is counted, one's own weighings win, bad input ends on the cautious side, and waste is held when in doubt."""

from __future__ import annotations

import math
import threading

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from enamelwright.craft.baths import bath, counted, spent_bath
from enamelwright.craft.baths.bath_hazards import hazards
from enamelwright.craft.baths.bath_made import KINDS, METALS, BathMade, chemistry, never_mix, read_strength
from enamelwright.craft.baths.bath_words import about, acidity_words, between, rounded, state_words
from enamelwright.craft.baths.equilibrium import MOST, at_rest
from enamelwright.errors import InputError, OutOfReach
from enamelwright.figure import Figure, Origin

VINEGAR = {"volume_l": 0.5, "strength": "5 %", "salt_g": 15, "met": []}


def made(**more: object) -> BathMade:
    return BathMade.from_outside({**VINEGAR, **more})


def now(told: BathMade) -> bath.BathState:
    return bath.state_of(told, counted.ledger(told))


def oxide(*grams: float) -> list[dict[str, float]]:
    return [{"oxide_g": one} for one in grams]


@pytest.mark.parametrize(
    ("text", "grams"), [("5 %", 50), ("5% acidity", 50), ("50 g/L", 50), ("6,5 %", 65), ("120 g/l", 120)]
)
def test_strength_is_read_as_bottles_say_it(text, grams):
    assert read_strength(text) == pytest.approx(grams)


# share of the acid taken up: bounds of the table of states (assumptions)
@pytest.mark.parametrize(
    ("grams", "state"), [(0.0, "fresh"), (0.5, "fresh"), (1.2, "working"), (3.0, "slow"), (6.0, "exhausted")]
)
def test_states_follow_the_share_of_the_acid(grams, state):
    assert now(made(cleaned=oxide(grams) if grams else [])).state == state


def test_much_copper_ends_a_strong_bath_before_its_acid_does():
    strong = made(strength="20 %", cleaned=oxide(6.0))
    found = now(strong)
    assert found.taken_up.value < 0.30
    assert found.state == "exhausted"


@given(st.lists(st.floats(0.01, 2), min_size=1, max_size=8))
@settings(max_examples=25, deadline=None)
def test_more_scale_never_freshens_a_bath(grams):
    order = [*bath.STATES]
    less, more = now(made(cleaned=oxide(*grams[:-1]))), now(made(cleaned=oxide(*grams)))
    assert order.index(more.state) >= order.index(less.state)
    assert more.taken_up.value > less.taken_up.value
    assert more.ph.value >= less.ph.value - 1e-9
    assert order.index(more.at_worst) >= order.index(more.state)


def test_weighings_replace_the_usual_scale():
    area = {"area_cm2": 100}
    plain = counted.ledger(made(cleaned=[area]))
    weighed = counted.ledger(made(cleaned=[{**area, "oxide_g": 0.5}, area]))
    assert plain.rate.origin.kind == "reference"
    assert weighed.rate.origin.kind == "measured"
    assert weighed.oxide.value == pytest.approx(1.0e-3)
    assert "scale not weighed" in " ".join(plain.assumptions)
    assert "scale not weighed" not in " ".join(weighed.assumptions)


def test_pieces_known_by_weight_span_thick_and_thin_sheet():
    """100 g of copper of 8.93 g/cm3: two faces of 187 cm2 at 1.2 mm, 280 at 0.8 mm, 448 at 0.5 mm."""
    load = counted.Cleaned.from_outside({"mass_g": 100})
    area = counted.area_of(load)
    for found, millimetres in ((area.low, 1.2), (area.value, 0.8), (area.high, 0.5)):
        assert found == pytest.approx(2 * 0.1 / (8930 * millimetres * 1e-3), rel=1e-9)
    rate = counted.ledger(made()).rate
    scale = counted.scale_of(load, rate)
    assert scale.low == pytest.approx(rate.low * area.low)
    assert scale.high == pytest.approx(rate.high * area.high)


def test_equal_weighings_are_no_surer_than_the_balance():
    """Loads of 100 cm2 that lost 0.50 g each, read to 0.01 g: 5 mg/cm2, and 0.1 mg/cm2 either way at the least."""
    same = [{"area_cm2": 100, "oxide_g": 0.5}] * 3
    rate = counted.ledger(made(cleaned=same)).rate
    assert rate.value == pytest.approx(5e-2)
    assert rate.high - rate.value == pytest.approx(1e-3)
    assert rate.value - rate.low > 1.5 * (rate.high - rate.value)  # some of what was lost was metal


@pytest.mark.parametrize(("losses", "student"), [((0.4, 0.5, 0.6), 2.920), ((0.4, 0.5, 0.6, 0.5, 0.5), 2.132)])
def test_the_band_of_own_weighings_is_that_of_one_further_load(losses, student):
    """Student's t, one-sided 95 %: 2.920 for 2 and 2.132 for 4 degrees of freedom, in every table of it."""
    rate = counted.ledger(made(cleaned=[{"area_cm2": 100, "oxide_g": one} for one in losses])).rate
    number, mean = len(losses), sum(losses) / len(losses)
    spread = (sum((one - mean) ** 2 for one in losses) / (number - 1)) ** 0.5
    half = student * spread * (1 + 1 / number) ** 0.5 * 1e-3 / 1e-2  # g on 100 cm2 as kg/m2
    assert rate.high - rate.value == pytest.approx(half, rel=1e-3)


@pytest.mark.parametrize("losses", [(0.5,), (0.5, 0.5), (0.1, 0.9)])
def test_one_or_two_weighings_are_wide(losses):
    rate = counted.ledger(made(cleaned=[{"area_cm2": 100, "oxide_g": one} for one in losses])).rate
    assert rate.low < rate.value / 2
    assert rate.high > 1.5 * rate.value
    for one in losses:
        assert rate.low <= one * 0.1 <= rate.high


def test_a_hotter_or_longer_firing_brings_more_scale():
    usual = counted.ledger(made()).rate
    loads = [
        counted.scale_of(counted.Cleaned.from_outside({"area_cm2": 10, "temperature_c": c, "time_s": s}), usual).value
        for c, s in ((750, 90), (800, 90), (800, 300))
    ]
    assert loads == sorted(loads)
    assert loads[0] < loads[-1]


def test_the_default_scale_is_near_that_of_an_ordinary_firing():
    """2 to 8 mg/cm2 from memory; growth over two minutes at 800 °C lies within a factor of two of it."""
    usual, computed = counted.ledger(made()).rate, counted.scale_of_firing(1073.15, 120.0)
    assert 0.5 < computed.value / usual.value < 2
    assert computed.low < usual.value < computed.high


def test_an_unknown_strength_is_told_as_a_band_and_said():
    told = BathMade.from_outside({"volume_l": 0.5, "cleaned": oxide(1.0)})
    book = counted.ledger(told)
    assert book.acid.low < book.acid.value < book.acid.high
    assert not book.told
    assert any("read it off the bottle" in one for one in book.assumptions)
    assert now(told).taken_up.high > now(made(cleaned=oxide(1.0))).taken_up.high


def test_soda_is_not_weighed_for_an_unknown_strength():
    told = BathMade.from_outside({"volume_l": 0.5, "met": []})
    with pytest.raises(InputError, match="strength"):
        spent_bath.settle(counted.ledger(told))


@pytest.mark.parametrize(
    "bad",
    [
        {"salt_g": -1},
        {"cleaned": [{"oxide_g": -0.1}]},
        {"cleaned": [{}]},
        {"volume_l": 0},
        {"strength": "-5 %"},
        {"strength": "a lot"},
        {"acid_g": 25},
        {"poured_l": 0.7},
        {"ph": 40},
        {"clears_in_min": 5},
        {"met": ["gold"]},
        {"kind": "aqua regia"},
        {"topped": [{"volume_l": -0.1}]},
    ],
)
def test_impossible_baths_are_refused_in_one_sentence(bad):
    with pytest.raises(InputError) as caught:
        made(**bad)
    assert "\n" not in str(caught.value)


def test_a_bath_that_received_two_chemistries_is_treated_as_exhausted_and_held():
    told = made(also=["citric acid"])
    found, book = now(told), counted.ledger(told)
    assert found.state == found.at_worst == "exhausted"
    assert found.ph is None
    assert "two chemistries" in found.why[0]
    assert any("citric acid" in one for one in spent_bath.why_held(told, book))


def test_grit_in_water_dissolves_nothing_but_is_kept_as_waste():
    told = BathMade.from_outside({"kind": "abrasive only", "volume_l": 1, "met": [], "cleaned": oxide(2.0)})
    found = now(told)
    assert found.copper.high == 0
    assert found.copper_mass.value > 0
    assert "solids" in found.why[0]
    assert spent_bath.route(told, counted.ledger(told)) == "hold and hand in"


def test_dry_acid_needs_no_strength_and_counts_its_protons():
    citric = BathMade.from_outside({"kind": "citric acid", "volume_l": 1, "acid_g": 192.124, "met": []})
    book = counted.ledger(citric)
    assert book.acid.value == pytest.approx(2.0)
    assert book.protons.value == pytest.approx(3.0)
    assert book.told


def test_topping_up_brings_acid_and_water():
    book = counted.ledger(made(topped=[{"volume_l": 0.1}, {"acid_g": 5}, {"volume_l": 0.1, "strength": "10 %"}]))
    assert book.volume == pytest.approx(0.7e-3)
    assert book.acid.value * 60.052e-3 == pytest.approx(0.025 + 0.005 + 0.005 + 0.010)


def test_more_scale_than_the_acid_can_take_lies_as_sludge():
    found = now(made(cleaned=oxide(40.0)))
    assert found.taken_up.value > 1
    assert any("sludge" in one for one in found.why)
    assert found.acid_left.value == 0
    assert math.isfinite(found.ph.value)


def test_a_strip_far_from_the_count_is_said():
    assert any("missing" in one for one in now(made(ph=5.5)).why)
    assert now(made(ph=5.5)).at_worst == "exhausted"
    assert any("sourer" in one for one in now(made(ph=1.0)).why)
    assert not now(made(ph=2.4)).why


def test_a_slow_clock_ends_a_bath_that_looks_fresh():
    assert now(made(clears_in_min=20, cleared_in_min=5)).state == "exhausted"
    assert now(made(clears_in_min=10, cleared_in_min=5)).state == "fresh"


def test_loads_left_come_to_nothing_when_they_are_taken():
    told = made(cleaned=oxide(0.5, 0.5))
    book = counted.ledger(told)
    one = bath.usual_load(book, told.cleaned)
    left = bath.loads_left(book, one)
    assert left.low <= left.value < left.high
    after = bath.state_of(told, book, one.times(left.value * 1.001))
    assert after.state == "exhausted"
    assert bath.state_of(told, book, one.times(left.value * 0.99)).state == "slow"


@pytest.mark.parametrize("metal", METALS)
def test_whatever_it_has_met_is_held(metal):
    told = made(met=[metal])
    assert spent_bath.route(told, counted.ledger(told)) == "hold and hand in"


@pytest.mark.parametrize("kind", KINDS)
def test_only_a_vinegar_bath_is_ever_settled(kind):
    told = BathMade.from_outside({"kind": kind, "volume_l": 1, "met": []})
    held = bool(spent_bath.why_held(told, counted.ledger(told)))
    assert held is (kind != "vinegar and salt")
    assert now(told).copper.value == 0


def test_what_nobody_knows_is_held():
    told = BathMade.from_outside({"volume_l": 0.5, "strength": "5 %"})
    assert spent_bath.why_held(told, counted.ledger(told))


@pytest.mark.parametrize("factor", [0.5, 2.0, math.nan])
def test_a_useless_dose_is_refused(factor):
    with pytest.raises(InputError):
        spent_bath.settle(counted.ledger(made()), factor=factor)


@pytest.mark.parametrize("kind", ["abrasive only", "ferric chloride", "other"])
def test_no_soda_is_weighed_without_an_acid(kind):
    told = BathMade.from_outside({"kind": kind, "volume_l": 1, "met": []})
    with pytest.raises(OutOfReach):
        spent_bath.settle(counted.ledger(told))


def test_settling_leaves_a_range_that_holds_both_solids():
    book = counted.ledger(made(cleaned=oxide(2.0)))
    rushed, stood = spent_bath.settle(book, standing="fizzing"), spent_bath.settle(book, standing="open overnight")
    assert rushed.left.low > stood.left.low
    assert rushed.left.high > 100 * stood.left.high
    for found in (rushed, stood):
        assert found.left.low < found.left.value < found.left.high
        assert found.vessel == pytest.approx(4 * book.volume)
        assert found.dry.low < found.dry.high
        assert found.wet.low < found.wet.high
    assert stood.left.high * 1e3 == pytest.approx(
        3.0, rel=0.1
    )  # mg/L: twice fresh hydroxide, 1.51 (see published checks)


def test_more_soda_than_needed_dissolves_copper_again():
    found = spent_bath.doses(counted.ledger(made(cleaned=oxide(2.0))), "open overnight")
    middles = [left.value for _, left, _ in found]
    least = middles.index(min(middles))
    assert 0 < least < len(middles) - 1
    assert middles[-1] > middles[least]


def test_rinse_holds_a_four_hundredth_and_settles_with_a_pinch_of_soda():
    found = spent_bath.rinse_of(counted.ledger(made(cleaned=oxide(2.0))))
    assert 7e-3 < found.copper.value < 10e-3
    assert found.left.high < found.copper.low / 50
    citric = BathMade.from_outside({"kind": "citric acid", "volume_l": 1, "cleaned": oxide(2.0)})
    assert spent_bath.rinse_of(counted.ledger(citric)).left is None


def test_every_thread_has_its_own_engine():
    wrong: list[float] = []

    def work(grams: float) -> None:
        alone = at_rest(0.5, {"H1Acetate1": 0.4, "CuO": grams}).ph
        wrong.extend(one for _ in range(30) if (one := at_rest(0.5, {"H1Acetate1": 0.4, "CuO": grams}).ph) != alone)

    threads = [threading.Thread(target=work, args=(0.01 * n,)) for n in range(4)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert not wrong


@pytest.mark.parametrize(
    ("water", "parts"), [(0.0, {}), (math.nan, {}), (1.0, {"CuO": -1.0}), (1.0, {"CuO": math.inf}), (1.0, {"END": 1.0})]
)
def test_the_engine_is_asked_only_what_it_can_read(water, parts):
    with pytest.raises(InputError):
        at_rest(water, parts)


def test_beyond_the_reach_of_the_model_nothing_is_told():
    with pytest.raises(OutOfReach):
        at_rest(1.0, {"H1Acetate1": 1.01 * MOST})


def test_plain_water_is_neutral():
    assert at_rest(1.0, {}).ph == pytest.approx(7.0, abs=0.01)


def test_hazards_lean_to_the_unfavourable_side():
    signs = lambda *told, **more: {one.sign for one in hazards(*told, **more)}  # noqa: E731
    assert "health" in signs(0.1, (3.0, 3.4), None)
    assert "health" not in signs(0.1, (3.0, 3.4), ())
    assert "corrosion" in signs(0.1, (1.9, 2.4), ())
    assert "corrosion" in signs(0.1, (), (), strong=True)
    assert "corrosion" not in signs(0.1, (2.2, 2.6), ())
    assert signs(0.0, (2.4, 2.6), ()) == {"exclamation"}


def test_strong_baths_are_never_mixed_with_bleach():
    assert any("bleach" in one.other for one in never_mix("pickle"))
    assert any("hydrofluoric" in one.other for one in never_mix("etch"))
    assert len(never_mix()) > len(never_mix("water")) > 0


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_is_described(kind):
    found = chemistry(kind)
    assert found.use in {"pickle", "etch", "water"}
    assert (found.part is not None) == (found.molar_mass > 0)


@pytest.mark.parametrize(
    ("number", "text"), [(0.0, "0"), (0.0731, "0.073"), (3.0, "3"), (744.2, "740"), (12.34, "12"), (99.6, "100")]
)
def test_two_digits_and_no_sign_of_more(number, text):
    assert rounded(number) == text


def test_ranges_are_said_in_words():
    origin = Origin(kind="computed")
    one = Figure(value=1e-3, low=0.073e-3, high=3e-3, dimension="concentration", origin=origin)
    assert between(one, "mg/L") == "0.073 to 3 mg/L"
    assert about(one, "mg/L") == "1 mg/L"
    assert acidity_words(Figure(value=8.5, low=8.46, high=8.68, dimension="acidity", origin=origin)) == "pH 8.5 to 8.7"
    assert "may be exhausted" in state_words(now(made(ph=5.5)))
