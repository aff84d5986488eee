"""The two questions about baths: bad input ends on the cautious side, and nothing is promised."""

from __future__ import annotations

import json
import re

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from enamelwright.craft.baths import counted
from enamelwright.craft.baths.bath_made import KINDS, METALS, BathMade
from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.physics import bath_chemistry as law
from enamelwright.questions.question import question
from enamelwright.reference.loader import value

BATH = {"volume_l": 0.5, "strength": "5 %", "salt_g": 15, "met": [], "cleaned": [{"oxide_g": 2}]}


def spent(**more):
    return question("spent-bath").ask({**BATH, **more})


def test_one_more_load_moves_the_bath_on():
    payload = question("bath").ask({**BATH, "next_load": {"oxide_g": 1.5}}).payload
    assert payload.now.state == "working"
    assert payload.after.state == "slow"
    assert payload.after.ph.value > payload.now.ph.value
    assert payload.loads_left.value > 0


def test_without_any_load_nothing_is_foretold():
    payload = question("bath").ask({"volume_l": 0.5, "strength": "5 %"}).payload
    assert payload.now.state == "fresh"
    assert payload.after is None
    with pytest.raises(InputError, match="next load"):
        question("bath").ask({"volume_l": 0.5, "loads_to_come": 3})


def test_soda_is_told_only_where_local_rules_allow():
    assert spent().payload.settling is None
    assert "waste officer" in spent().payload.next_step
    assert spent(local_rules_allow=False).payload.settling is None
    allowed = spent(local_rules_allow=True).payload
    assert allowed.settling.soda.value == pytest.approx(23.16e-3, rel=0.005)  # see the published checks
    assert allowed.settling.left_words.endswith("mg/L")


@pytest.mark.parametrize(
    "held",
    [
        {"met": ["cadmium"]}, {"met": ["lead"]}, {"met": ["unknown enamel"]}, {"met": ["silver"]}, {"met": None},
        {"kind": "citric acid"}, {"kind": "sodium bisulfate"}, {"kind": "dilute sulfuric acid"},
        {"kind": "ferric chloride", "strength": None}, {"kind": "other", "strength": None},
        {"also": ["citric acid"]}, {"also": ["nitric acid"]},
    ],
)  # fmt: skip
def test_in_doubt_it_is_held_whatever_local_rules_say(held):
    payload = spent(local_rules_allow=True, **held).payload
    assert payload.route == "hold and hand in"
    assert payload.settling is None
    assert payload.held_because
    assert "hand it in" in payload.next_step


def test_an_unknown_strength_says_what_to_measure():
    asked = {key: told for key, told in BATH.items() if key != "strength"}
    payload = question("spent-bath").ask({**asked, "local_rules_allow": True}).payload
    assert payload.settling is None
    assert "read it off the bottle" in payload.next_step


def test_yardsticks_stand_beside_it_with_place_and_status():
    payload = spent(local_rules_allow=True).payload
    assert payload.yardsticks[0].times > 1e4
    assert all("(" in one.cite for one in payload.yardsticks)


def test_a_sour_bath_is_flagged_as_corrosive_waste():
    because = question("spent-bath").ask({"kind": "sodium bisulfate", "volume_l": 1, "met": []}).because
    assert any("261.22" in one for one in because)


@pytest.mark.parametrize("name", ["bath", "spent-bath"])
def test_no_answer_promises_anything(name):
    asked = question(name)
    text = json.dumps(asked.ask(asked.example).to_json()).casefold()
    for word in ("safe ", "safely", "legal", "harmless", "guarantee", "good"):
        assert word not in text
    assert "screening estimate" in text


@pytest.mark.parametrize("ph", [0.5, 9.0])
def test_a_strip_that_contradicts_the_record_holds_the_bath(ph):
    payload = spent(local_rules_allow=True, ph=ph).payload
    assert payload.route == "hold and hand in"
    assert payload.settling is None
    assert any("strip" in one for one in payload.held_because)
    assert spent(local_rules_allow=True, ph=question("bath").ask(BATH).payload.now.ph.value).payload.settling


@pytest.mark.parametrize("ph", [0.5, 9.0])
def test_a_strip_that_contradicts_leaves_the_state_open(ph):
    now = question("bath").ask({**BATH, "cleaned": [], "ph": ph}).payload.now
    assert now.state == "not known"
    assert now.at_worst == "exhausted"


def test_scale_the_acid_cannot_dissolve_is_counted_into_the_sludge():
    """20 g of scale hold 18 g of copper, and the acid of half a litre dissolves 13 g at most."""
    found = question("spent-bath").ask({**BATH, "cleaned": [{"oxide_g": 20}], "local_rules_allow": True})
    less = spent(cleaned=[{"oxide_g": 14}], local_rules_allow=True).payload.settling
    settling = found.payload.settling
    assert settling.scale.value > 0
    # what is dissolved is the same, so all that is more is scale as it was
    assert settling.sludge_dry.value - less.sludge_dry.value >= 5e-3
    assert any("scale" in one and "undissolved" in one for one in found.because)
    assert spent(local_rules_allow=True).payload.settling.scale.value == 0


def test_a_strength_far_below_the_usual_is_said():
    weak = question("bath").ask({**BATH, "strength": "0.5 %"})
    assert any("vinegar" in one and "40 g/L" in one for one in weak.because)
    assert not any("40 g/L" in one for one in question("bath").ask(BATH).because)
    thin = question("bath").ask({**BATH, "kind": "citric acid", "strength": "5 g/L"})
    assert any("far below" in one for one in thin.because)


# --- any bath ---------------------------------------------------------------------------------------

#: What no bath can be told by: nothing, less than nothing, a crumb, an ocean, no number.
BROKEN = st.sampled_from([0.0, -1.0, 1e-12, 1e9, float("nan")])
#: A reason or a remedy says what to look at, to say or to measure.
_REMEDY = re.compile(
    r"\b(measure|weigh|read|say|tell|give|write|check|keep|use|choose|is it|between|must|larger|at least|at most|above)\b",
    re.IGNORECASE,
)
LOADS = st.lists(
    st.fixed_dictionaries({}, optional={"area_cm2": st.floats(0.1, 2000), "mass_g": st.floats(0.1, 500)}).flatmap(
        lambda one: st.just(one) if one else st.floats(0.001, 5).map(lambda grams: {"oxide_g": grams})
    ),
    max_size=8,
)
SOUND = st.fixed_dictionaries(
    {"kind": st.sampled_from(KINDS), "volume_l": st.floats(0.05, 5), "cleaned": LOADS},
    optional={
        "strength_g_per_l": st.floats(5, 150),
        "salt_g": st.floats(0, 2.5),
        "met": st.lists(st.sampled_from(METALS), max_size=2),
        "also": st.lists(st.sampled_from(KINDS), max_size=1),
        "ph": st.floats(0, 14),
    },
)


@given(SOUND)
@settings(max_examples=60, deadline=None)
def test_every_bath_that_can_be_is_answered_and_conserves_copper_and_acid(told):
    """Sound input is never refused; what went in is dissolved or lies there, and no more acid left than was put in."""
    made = BathMade.from_outside(told)
    book = counted.ledger(made)
    answer = question("bath").ask(told)
    json.dumps(answer.to_json(), allow_nan=False)
    now, molar = answer.payload.now, value("health/molar/copper")
    assert now.copper_mass.value == pytest.approx(book.copper.value * molar, abs=1e-15)
    held = book.dissolved()
    for end in ("low", "value", "high"):
        assert getattr(held, end) <= getattr(book.copper, end) + 1e-15
    if book.chemistry.use == "pickle" and book.acid is not None and not book.mixed:
        share = value("health/bath/copper_share")
        lying = book.undissolved().value * share / molar
        assert held.value + lying == pytest.approx(book.copper.value, rel=1e-9, abs=1e-15)
        acid = now.acid_left.value * book.chemistry.usable / book.chemistry.molar_mass
        taken = min(now.taken_up.value, 1.0) * book.acid.value
        assert acid + taken == pytest.approx(book.acid.value, rel=1e-9)
        assert taken == pytest.approx(law.ACID_PER_COPPER * held.value, rel=1e-6, abs=1e-15)


@given(SOUND, st.booleans())
@settings(max_examples=40, deadline=None)
def test_every_spent_bath_is_held_or_settled_and_its_copper_stays_the_same(told, allowed):
    answer = question("spent-bath").ask({**told, "local_rules_allow": allowed})
    json.dumps(answer.to_json(), allow_nan=False)
    payload = answer.payload
    assert payload.next_step
    if not allowed or payload.held_because:
        assert payload.settling is None
    if payload.settling is not None:
        book = counted.ledger(BathMade.from_outside(told))
        assert payload.settling.left.high <= payload.copper.high * (1 + 1e-9)
        whole = book.copper.high * value("health/molar/copper")
        assert payload.settling.sludge_dry.high >= whole - book.volume * payload.settling.left.high - 1e-12


def refusal(name, asked):
    """Return why a question is refused; None when it is answered. Whatever else is raised fails."""
    try:
        question(name).ask(asked)
    except EnamelwrightError as error:
        return error
    return None


@pytest.mark.parametrize("field", ["volume_l", "strength_g_per_l", "acid_g", "oxide_g", "area_cm2", "mass_g", "ph"])
@pytest.mark.parametrize("name", ["bath", "spent-bath"])
@given(BROKEN)
@settings(max_examples=12, deadline=None)
def test_a_broken_number_is_refused_with_its_field_and_a_remedy_or_answered_with_care(name, field, broken):
    asked = {key: one for key, one in BATH.items() if key != "strength" or field != "acid_g"}
    if field in {"oxide_g", "area_cm2", "mass_g"}:
        asked["cleaned"] = [{field: broken}]
    else:
        asked = {**asked, field: broken}
        if field == "strength_g_per_l":
            del asked["strength"]
    told = refusal(name, asked)
    if told is None:  # nothing below nothing and no unnumber is ever answered, but a pH may be
        assert broken >= 0 or field == "ph"
        json.dumps(question(name).ask(asked).to_json(), allow_nan=False)
        return
    assert field.split("_")[0] in str(told)
    assert told.remedy
    assert _REMEDY.search(f"{told} {told.remedy}"), str(told)


# --- bad input of the list, one line each -----------------------------------------------------------


def test_unknown_strength_is_counted_with_a_wide_band_and_says_what_to_read():
    asked = {key: told for key, told in BATH.items() if key != "strength"}
    unknown, told = question("bath").ask(asked), question("bath").ask(BATH)
    assert unknown.payload.now.taken_up.high > told.payload.now.taken_up.high
    assert unknown.payload.now.taken_up.low < told.payload.now.taken_up.low
    assert any("read it off the bottle" in one for one in unknown.assumptions)


def test_negative_mass_is_refused_by_name():
    for field in ("oxide_g", "mass_g"):
        with pytest.raises(InputError, match=field.split("_")[0]):
            question("bath").ask({**BATH, "cleaned": [{field: -1}]})


def test_two_chemistries_count_as_exhausted_and_are_held():
    found = question("bath").ask({**BATH, "also": ["citric acid"]}).payload
    assert found.now.state == "exhausted"
    assert found.now.acid_left is None
    assert found.route == "hold and hand in"


@pytest.mark.parametrize("warm", [-5, 0, 100, 140])
def test_a_boiling_or_impossible_bath_is_refused_and_says_to_measure(warm):
    with pytest.raises(InputError, match="boiling") as caught:
        question("bath").ask({**BATH, "warm_c": warm})
    assert "thermometer" in caught.value.remedy


def test_a_hot_bath_is_answered_with_care():
    assert any("it is hot" in one for one in question("bath").ask({**BATH, "warm_c": 80}).because)
    assert not any("it is hot" in one for one in question("bath").ask({**BATH, "warm_c": 45}).because)


def test_how_little_glass_is_much_goes_by_the_jar_where_it_tells():
    """1 mg/L of cadmium, 40 CFR 261.24, in a litre is 1 mg: 50 mg of a glass with 2 % of it."""
    (own,) = spent(met=["cadmium"], cadmium_percent=2).payload.held_because
    assert "50 mg of glass with 2 % of it" in own
    assert "as its jars tell" in own
    (unknown,) = spent(met=["cadmium"]).payload.held_because
    assert "25 mg of glass with 4 % of it" in unknown
    assert "since no jar tells" in unknown
