"""What may not share a container, pair by pair, and what a label or an entry names."""

from __future__ import annotations

import itertools

import pytest

from enamelwright.craft.baths.bath_made import KINDS, chemistry
from enamelwright.craft.baths.never_together import clash, named_in, refusal


@pytest.mark.parametrize(("one", "other"), list(itertools.combinations_with_replacement(KINDS, 2)))
def test_only_one_chemistry_a_container_but_rinse_and_grit_with_their_pickle(one: str, other: str) -> None:
    assert clash(one, other) == clash(other, one)
    uses = {chemistry(one).use, chemistry(other).use}
    may = one == other or (uses == {"pickle", "water"} and "other" not in {one, other})
    assert bool(clash(one, other)) is not may


@pytest.mark.parametrize("agent", ["bleach", "peroxide", "zinc", "cyanide", "fluoride"])
@pytest.mark.parametrize("bath", [kind for kind in KINDS if chemistry(kind).use != "water"])
def test_no_acid_meets_what_makes_gas_with_it(bath: str, agent: str) -> None:
    assert clash(bath, agent)
    assert clash(agent, bath)


def test_oil_and_alcohol_burn_with_nitric_acid_only() -> None:
    assert "fire" in clash("nitric acid", "nitric")
    assert not clash("vinegar and salt", "nitric")


@pytest.mark.parametrize(
    ("text", "names"),
    [
        ("spent vinegar, copper", {"vinegar and salt"}),
        ("Bleach from the sink", {"bleach"}),
        ("no bleach, never peroxide", set()),
        ("sludge", set()),
        ("boiled citric and a splash of nitric", {"citric acid", "nitric acid"}),
        ("foil", set()),
    ],
)
def test_a_label_names_what_it_says_and_not_what_it_denies(text: str, names: set[str]) -> None:
    assert named_in(text) == names


def test_a_refusal_names_both_and_what_comes_of_it() -> None:
    said = refusal({"vinegar and salt"}, {"bleach"})
    assert "vinegar" in said
    assert "bleach" in said
    assert "chlorine" in said
    assert refusal({"vinegar and salt"}, {"vinegar and salt"}) == ""
