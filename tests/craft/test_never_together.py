"""What may not share a container: what a label or an entry names, and that nothing unknown ever goes in.

Which pairs give gas, heat or fire is checked against a chart in ``tests/published/test_waste_compatibility.py``.
"""

from __future__ import annotations

import itertools

import pytest

from enamelwright.craft.baths.bath_made import KINDS
from enamelwright.craft.baths.never_together import UNKNOWN_WORDS, clash, named_in, refusal
from enamelwright.reference.loader import rows

NAMES = [row["key"] for row in rows("health/waste_named")]
#: Common practice, no source: grit and rinse water go the way of the pickle.
WITH_RINSE = {"vinegar and salt", "citric acid", "sodium bisulfate", "dilute sulfuric acid"}


@pytest.mark.parametrize(("one", "other"), list(itertools.combinations(NAMES, 2)))
def test_two_different_things_never_share_but_rinse_water_with_its_pickle(one: str, other: str) -> None:
    assert clash(one, other) == clash(other, one)
    may = "abrasive only" in {one, other} and bool(WITH_RINSE & {one, other})
    assert bool(clash(one, other)) is not may


def test_every_bath_is_known_and_two_of_unknown_make_are_kept_apart() -> None:
    assert set(KINDS) <= set(NAMES)
    assert clash("vinegar and salt", "vinegar and salt") == ""
    for unsaid in ("other", "acid", "oxidiser"):
        assert clash(unsaid, unsaid)


def test_oil_and_alcohol_burn_with_nitric_acid() -> None:
    assert "fire" in clash("nitric acid", "solvent")


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("spent vinegar, copper", {"vinegar and salt"}),
        ("sludge of the vinegar pickle", {"vinegar and salt"}),
        ("Bleach from the sink", {"bleach"}),
        ("bleaching powder", {"bleach"}),
        ("no bleach, never peroxide", set()),
        ("sludge", set()),
        ("boiled citric and a splash of nitric", {"citric acid", "nitric acid"}),
        ("citric acid and some other acid", {"citric acid", "acid"}),
        ("foil", set()),
        ("liver of sulphur", {"sulfide"}),
        ("sodium sulfides", {"sulfide"}),
        ("potassium polysulphide", {"sulfide"}),
        ("sulphuric", {"dilute sulfuric acid"}),
        ("sodium bisulphate", {"sodium bisulfate"}),
        ("cyanides", {"cyanide"}),
        ("galvanized bucket", {"zinc"}),
        ("galvanised bucket", {"zinc"}),
        ("ammonium bifluoride etching cream", {"fluoride"}),
        ("hydrochloric acid", {"hydrochloric acid"}),
        ("muriatic acid", {"hydrochloric acid"}),
        ("ammonia", {"ammonia"}),
        ("ammonium persulphate", {"oxidiser"}),
        ("spent pickle", {"other"}),
        ("rinse water", {"abrasive only"}),
    ],
)
def test_a_label_names_what_it_says_and_not_what_it_denies(text: str, names: set[str]) -> None:
    assert named_in(text) == names


@pytest.mark.parametrize("held", [{"vinegar and salt"}, {"bleach"}, {"unknown"}, {"no such thing"}])
def test_what_nobody_can_name_goes_into_an_empty_container_only(held: set[str]) -> None:
    assert refusal(held, named_in("what was under the sink")) == UNKNOWN_WORDS
    assert refusal({"unknown"}, held) == UNKNOWN_WORDS
    assert refusal(set(), named_in("what was under the sink")) == ""


def test_a_refusal_names_both_and_what_comes_of_it() -> None:
    said = refusal({"vinegar and salt"}, {"bleach"})
    assert "vinegar" in said
    assert "bleach" in said
    assert "chlorine" in said
    assert refusal({"vinegar and salt"}, {"vinegar and salt"}) == ""
