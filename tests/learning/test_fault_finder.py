"""Causes in order: what the trade says first, what the piece and this record say then; never a chance."""

from __future__ import annotations

from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from enamelwright.errors import InputError, UnknownName
from enamelwright.learning.fault_atlas import WHENS, atlas, fault_of, places
from enamelwright.learning.fault_finder import Tally, rank, separating, signs_of
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
