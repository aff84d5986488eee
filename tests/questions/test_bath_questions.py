"""The two questions about baths: bad input ends on the cautious side, and nothing is promised."""

from __future__ import annotations

import contextlib
import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from enamelwright.craft.baths.bath_made import KINDS, METALS
from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.questions.question import question

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


NUMBERS = st.one_of(st.sampled_from([0.0, -1.0, 1e-12, 1e9, float("nan")]), st.floats(1e-3, 50))
BATHS = st.fixed_dictionaries(
    {"kind": st.sampled_from(KINDS), "volume_l": NUMBERS},
    optional={
        "strength_g_per_l": NUMBERS.map(lambda one: 10 * one),
        "acid_g": NUMBERS,
        "salt_g": NUMBERS,
        "met": st.lists(st.sampled_from(METALS), max_size=2),
        "also": st.lists(st.sampled_from(KINDS), max_size=1),
        "ph": NUMBERS,
        "cleaned": st.lists(st.fixed_dictionaries({"oxide_g": NUMBERS, "area_cm2": NUMBERS}), max_size=3),
    },
)


@given(BATHS, st.sampled_from(["bath", "spent-bath"]))
@settings(max_examples=60, deadline=None)
def test_any_bath_is_answered_or_refused(told, name):
    asked = {**told, **({"local_rules_allow": True} if name == "spent-bath" else {})}
    with contextlib.suppress(EnamelwrightError):  # a refusal; anything else that is raised fails
        json.dumps(question(name).ask(asked).to_json(), allow_nan=False)
