"""Causes in order: what the trade says first, what the piece and this record say then; never a chance."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from enamelwright.errors import InputError, UnknownName
from enamelwright.learning.fault_atlas import WHENS, atlas, fault_of, near, nearest, places
from enamelwright.learning.fault_finder import Tally, rank, separating, signs_of, struck_out
from enamelwright.learning.fault_signs import FaultFacts, sign_names, signs
from enamelwright.reference.loader import rows

NOTHING = FaultFacts()


def first(fault: str, when: str = "", **facts: Any) -> str:
    return rank(fault, FaultFacts(**facts), when)[0].cause.words


# What a maker would answer: the expert answers and trade pages the atlas cites, one telling fact each.
TOLD = [
    ("bubbles", {"dried": 120.0}, "fired before dry"),
    ("bubbles", {"lot_condition": "many fines", "powder_depth": 0.9e-3, "metal_thickness": 0.9e-3, "dried": 900.0},
     "fines left in the powder, in a thick coat"),
    ("hairline", {"front_powder": 0.33e-3, "back_powder": 0.2e-3}, "uneven or too thick"),
    ("hairline", {"cooled": "quenched"}, "cooled too fast"),
    ("wirecrack", {"leaded_below": True}, "leaded and lead-free mixed"),
    ("chip", {"first_stage": "sugar"}, "under-fired first coat, no bond"),
    ("chip", {"back_powder": 0.0}, "no counter-enamel"),
    ("dull", {"pause": 30.0, "stage": "orange peel", "target": "gloss"}, "kiln cold after door"),
    ("overfired", {"start": "recovered", "window_start": "load"}, "timed from recovered instead of load"),
    ("overfired", {"kiln": "hotter"}, "too hot (kiln reads low, hot corner)"),
    ("redbrown", {"fired_again": 4, "stage": "gloss", "target": "gloss"}, "too many firings"),
    ("redbrown", {"warm_on_bare": True}, "no barrier under it"),
    ("cloudy", {"lot_condition": "damp", "stage": "gloss", "target": "gloss", "lot_washed": True}, "damp old powder"),
    ("pits", {"gum_ratio": 1.0}, "too much or too strong hold agent"),
    ("breakthrough", {"verdicts": ("ORD-HARD",)}, "soft base under hard top"),
]  # fmt: skip


@pytest.mark.parametrize(("fault", "facts", "cause"), TOLD)
def test_one_telling_fact_leads(fault: str, facts: dict[str, Any], cause: str) -> None:
    assert first(fault, **facts) == cause


@pytest.mark.parametrize("fault", sorted(atlas()))
def test_with_nothing_known_the_order_is_the_atlas(fault: str) -> None:
    assert [one.cause.number for one in rank(fault, NOTHING)] == [one.number for one in atlas()[fault]]


@pytest.mark.parametrize("fault", sorted(atlas()))
@pytest.mark.parametrize("when", ["", *WHENS])
def test_every_fault_at_every_moment_has_an_order_with_reasons(fault: str, when: str) -> None:
    for place in ("", *places(fault)):
        found = rank(fault, NOTHING, when, place)
        assert all(a.score >= b.score for a, b in pairwise(found))
        assert found[0].standing.startswith("first")
        assert {one.standing for one in found[1:]} <= {"close", "possible", "little speaks for it"}
        apart = separating(found)
        assert (apart is None) == (len(found) == 1)
        assert apart is None or apart.if_first != apart.if_second


def test_bubbles_seen_on_stoning_were_opened_by_it() -> None:
    assert first("pits", "on stoning") == "bubbles opened by stoning"
    assert first("pits", "in the kiln") != "bubbles opened by stoning"


def test_a_sign_that_is_absent_lowers_its_cause() -> None:
    dry, unknown = FaultFacts(dried=3600.0), NOTHING
    where = {name: [one.cause.words for one in rank("bubbles", facts)] for name, facts in
             (("dry", dry), ("unknown", unknown))}  # fmt: skip
    assert where["unknown"][0] == "fired before dry"
    assert where["dry"].index("fired before dry") > 0


def test_the_record_moves_the_order_and_says_its_loads() -> None:
    """Eight of nine loads on heavy furniture came dull, none of forty others: furniture leads the cold start."""
    facts = FaultFacts(pause=200.0, support="heavy trivet", stage="gloss", target="gloss")
    record = (Tally(sign="heavy furniture", with_loads=9, with_faults=8, without_loads=40, without_faults=0),)
    before, after = rank("dull", facts), rank("dull", facts, record=record)
    assert before[0].cause.words == "kiln cold after door"
    assert after[0].cause.words == "furniture or load too heavy"
    assert "8 of 9 such loads" in after[0].here[0]
    assert "in a hundred" in after[0].here[0]


def test_few_loads_move_little() -> None:
    def score(with_loads: int, with_faults: int, without_loads: int, without_faults: int) -> float:
        tally = Tally(sign="not dry", with_loads=with_loads, with_faults=with_faults, without_loads=without_loads,
                      without_faults=without_faults)  # fmt: skip
        found = rank("bubbles", FaultFacts(dried=60.0), record=(tally,))
        return next(one.score for one in found if one.cause.words == "fired before dry")

    none = score(0, 0, 0, 0)
    one, many = score(1, 1, 2, 0) - none, score(20, 20, 40, 0) - none
    assert 0 < one < many
    assert score(10, 1, 10, 8) - none == pytest.approx(0, abs=2.0)  # it came oftener without: no cause, and no flight


def test_the_record_never_says_a_chance_of_success() -> None:
    from enamelwright.questions.fault import QUESTION

    names = set(QUESTION.output.model_json_schema()["$defs"]["CauseAnswer"]["properties"])
    assert not {name for name in names if "chance" in name or "probab" in name or "success" in name}


def test_a_fault_and_a_sign_that_are_one_thing_are_not_weighed_by_each_other() -> None:
    record = (Tally(sign="short", with_loads=9, with_faults=9, without_loads=40, without_faults=0),)
    facts = FaultFacts(stage="orange peel", target="gloss")
    assert [one.score for one in rank("dull", facts, record=record)] == [one.score for one in rank("dull", facts)]


def test_every_sign_of_the_table_is_a_sign_and_every_cause_is_there() -> None:
    causes = {(fault, one.number) for fault, found in atlas().items() for one in found}
    for row in rows("trade/fault_signs"):
        assert row["sign"] in sign_names()
        assert (row["fault_id"], int(row["rank"])) in causes
        assert row["holds"] in {"weak", "plain", "strong"}
        assert row["lacks"] in {"", "weak", "plain", "strong", "never"}
    assert {sign for fault in atlas() for sign in signs_of(fault)} == set(sign_names())


def test_with_nothing_known_no_sign_holds() -> None:
    assert not [name for name, sign in signs(NOTHING).items() if sign.holds is not None]
    assert all(sign.words for sign in signs(NOTHING).values())


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(UnknownName, match="bubbles"):
        rank("bubles", NOTHING)
    with pytest.raises(InputError, match="more loads with the fault"):
        Tally.from_outside({"sign": "not dry", "with_loads": 1, "with_faults": 2})
    with pytest.raises(InputError, match="no sign"):
        Tally.from_outside({"sign": "moon"})
    assert fault_of("Bubbles") == "bubbles"


COUNTS = st.integers(0, 60)


@given(
    with_loads=COUNTS, without_loads=COUNTS, share_with=st.floats(0, 1), share_without=st.floats(0, 1),
    dried=st.none() | st.floats(0, 1e6), stage=st.sampled_from(["", "sugar", "gloss", "over-fired"]),
)  # fmt: skip
def test_any_record_gives_an_order(
    with_loads: int, without_loads: int, share_with: float, share_without: float, dried: float | None, stage: Any
) -> None:
    tally = Tally(
        sign="not dry", with_loads=with_loads, with_faults=round(share_with * with_loads),
        without_loads=without_loads, without_faults=round(share_without * without_loads),
    )  # fmt: skip
    found = rank("bubbles", FaultFacts(dried=dried, stage=stage), record=(tally,))
    assert sorted(one.cause.number for one in found) == list(range(1, len(found) + 1))


#: Enough facts for every sign that the record can deny to be denied, and the other way round.
BOTH_WAYS: list[dict[str, Any]] = [
    {"dried": 60.0, "gum_ratio": 1.0, "mesh": 60, "metal": "brass_c26000", "lot_condition": "many fines",
     "lot_washed": False, "lot_opened_days": 2000, "stage": "sugar", "target": "gloss", "first_stage": "sugar",
     "pause": 30.0, "cooled": "quenched", "support": "heavy trivet", "place": "rear left", "kiln": "hotter",
     "fired_again": 4, "foil": True, "solder": True, "formed": True, "stoned": True, "pickled": True, "cleaned": False,
     "rinsed": False, "wires": "fine silver"},
    {"dried": 1800.0, "gum_ratio": 0.0, "mesh": 200, "metal": "copper", "lot_condition": "good", "lot_washed": True,
     "lot_opened_days": 1, "stage": "gloss", "target": "gloss", "first_stage": "gloss", "pause": 3e7,
     "cooled": "on the pad", "support": "mesh", "place": "middle", "kiln": "as usual", "fired_again": 0, "foil": False,
     "solder": False, "formed": False, "torch": False, "stoned": False, "pickled": False, "cleaned": True,
     "rinsed": True, "wires": "none", "start": "load", "window_start": "load", "back_powder": 1e-3,
     "front_powder": 1e-3},
]  # fmt: skip


def test_a_sign_that_lacks_is_said_the_other_way_round() -> None:
    """No sentence stands both for and against, and nothing is counted nought times."""
    there, lacking = (signs(FaultFacts(**facts)) for facts in BOTH_WAYS)
    for name in sign_names():
        if there[name].holds and lacking[name].holds is False:
            assert there[name].words != lacking[name].words, name
    assert lacking["gassing metal"].words == "copper gives off no gas"
    assert there["gassing metal"].words == "brass gives off gas"
    assert "0 times" not in lacking["fired again often"].words
    assert "days" in lacking["cold start"].words


def test_orange_peel_of_a_first_coat_speaks_neither_way() -> None:
    told = signs(FaultFacts(first_stage="orange peel"))["first coat short"]
    assert (told.holds, told.words) == (None, "")


@pytest.mark.parametrize("fault", sorted(atlas()))
def test_what_cannot_be_is_struck_out_and_something_is_left(fault: str) -> None:
    for facts in (FaultFacts(**told) for told in BOTH_WAYS):
        left, out = rank(fault, facts), struck_out(fault, facts)
        assert left
        assert {one.cause.number for one in left}.isdisjoint({cause.number for cause, _ in out})
        assert len(left) + len(out) == len(atlas()[fault])
        for one in left:
            assert not set(one.speaks_for) & set(one.speaks_against)
            assert "" not in (*one.speaks_for, *one.speaks_against, *one.not_known)


def test_no_air_under_foil_where_there_is_no_foil() -> None:
    facts = FaultFacts(foil=False, metal="copper", dried=1800.0)
    assert [cause.words for cause, _ in struck_out("bubbles", facts)] == [
        "air under foil", "gas from sterling or zinc alloy"
    ]  # fmt: skip


def test_a_moment_that_fits_every_cause_is_not_said() -> None:
    assert not [one for one in rank("bubbles", NOTHING, "in the kiln") if one.speaks_for]
    assert rank("pits", NOTHING, "on stoning")[0].speaks_for == ("seen on stoning",)


def test_where_nothing_speaks_the_most_telling_answer_is_asked_for() -> None:
    """Common practice, no source: grease on the metal is what a maker thinks of when the coat was dry."""
    from enamelwright.questions.question import question

    told = question("fault").ask({"fault": "bubbles", "facts": {"dried_min": 30}}).payload
    assert "degreased" in told.nothing
    assert not question("fault").ask({"fault": "bubbles", "facts": {"dried_min": 1}}).payload.nothing


def test_a_covered_back_is_no_answer_where_the_faces_are_uneven() -> None:
    """0.51 g in front and 0.20 g behind bent it; that the back is covered at all says nothing against that."""
    found = rank("warp", FaultFacts(front_powder=0.51e-3, back_powder=0.2e-3))
    assert found[0].cause.words == "one-sided enamel"
    assert found[0].speaks_against == ()
    even = rank("warp", FaultFacts(front_powder=0.3e-3, back_powder=0.3e-3))
    assert even[0].cause.words != "one-sided enamel"
    assert "the back is covered" in next(one for one in even if one.cause.number == 1).speaks_against


FACTS = st.fixed_dictionaries(
    {},
    optional={
        "front_powder": st.sampled_from([0.2e-3, 0.5e-3]), "back_powder": st.sampled_from([0.0, 0.2e-3, 0.6e-3]),
        "metal_thickness": st.sampled_from([0.3e-3, 0.9e-3, 1.6e-3]), "stage": st.sampled_from(["gloss", "over-fired"]),
        "target": st.just("gloss"), "dried": st.sampled_from([60.0, 3600.0]), "stoned": st.booleans(),
        "lot_condition": st.sampled_from(["good", "damp", "many fines"]), "gum_ratio": st.sampled_from([0.0, 0.1, 0.8]),
        "verdicts": st.sampled_from([(), ("FLAT-BOW",), ("ORD-EXP",)]), "pickled": st.booleans(),
    },
)  # fmt: skip


@given(st.sampled_from(sorted(atlas())), st.sampled_from(["", *WHENS]), FACTS)
def test_no_cause_is_first_with_nothing_for_it_while_another_has_a_sign(
    fault: str, when: str, facts: dict[str, Any]
) -> None:
    found = rank(fault, FaultFacts(**facts), when)
    if any(one.speaks_for for one in found):
        assert found[0].speaks_for
        assert all(one.standing in {"possible", "little speaks for it"} for one in found if not one.speaks_for)
    assert all(a.score >= b.score for a, b in pairwise(found))


def test_a_name_nobody_knows_is_told_with_the_nearest_in_one_sentence() -> None:
    for asked, names in (
        ("specks", {"black specks", "specks or colour bleed", "breakthrough speckle"}), ("buble", {"bubbles"}),
        ("crack", {"hairline cracks", "cracks along cloison walls", "setting cracks"}), ("warped", {"warping"}),
    ):  # fmt: skip
        assert set(nearest(asked)) == names
        assert near(asked).count(".") == 1
        assert all(name in near(asked) for name in names)
        with pytest.raises(UnknownName, match=asked):
            fault_of(asked)
    assert nearest("ugly") == ()
    assert "none is near" in near("ugly")
    assert "bubbles" in near("ugly")
