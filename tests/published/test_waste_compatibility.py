"""What may not share a container, against two published lists of incompatible wastes.

EPA-600/2-80-076 (1980), the chart of reactivity groups: cells whose letters are gas, heat, fire or explosion.
40 CFR 264, appendix V, examples of potentially incompatible waste: groups 1, 2, 4, 5 and 6.
The words are those of a label, and which group a thing belongs to is written here, not read from the package.
"""

from __future__ import annotations

import itertools

import pytest

from enamelwright.craft.baths.never_together import named_in, refusal

#: Group of the chart -> what a label in a studio may say of it.
LABELS = {
    1: ("hydrochloric acid", "muriatic acid", "dilute sulphuric acid"),
    2: ("nitric acid", "nitric etch"),
    3: ("vinegar", "acetic acid", "citric acid, spent"),
    4: ("alcohol", "isopropyl alcohol", "methylated spirit, alcohol"),
    10: ("lye", "caustic soda", "ammonia"),
    11: ("potassium cyanide", "cyanides", "silver cyanide bath"),
    15: ("ammonium bifluoride etching cream", "sodium fluoride"),
    19: ("acetone",),
    22: ("zinc dust", "aluminium powder"),
    23: ("galvanised wire", "galvanized sheet", "aluminum foil"),
    33: ("liver of sulphur", "liver of sulfur", "sodium sulfides", "ammonium sulphide"),
    101: ("oily rags", "wax"),
    104: ("bleaching powder", "bleach", "calcium hypochlorite", "peroxide", "potassium permanganate", "chromic acid"),
}
#: Cells of the chart that are not blank, of these groups.
CELLS = [
    (1, 4), (1, 10), (1, 11), (1, 15), (1, 19), (1, 22), (1, 23), (1, 33), (1, 101), (1, 104),
    (2, 3), (2, 4), (2, 10), (2, 11), (2, 15), (2, 19), (2, 22), (2, 23), (2, 33), (2, 101),
    (3, 4), (3, 10), (3, 11), (3, 15), (3, 22), (3, 33), (3, 104),
    (4, 104), (10, 19), (10, 22), (11, 19), (11, 104), (19, 104), (22, 104), (23, 104), (33, 104), (101, 104),
]  # fmt: skip
#: Cells of toxic gas (GT), which the chart prints for an acid with each of these, and what the gas is.
TOXIC = {11: "hydrogen cyanide", 15: "hydrogen fluoride", 33: "hydrogen sulfide"}
#: 40 CFR 264, appendix V: one list, the other, what comes of it.
APPENDIX_V = [
    (("alkaline cleaner, caustic", "lime water", "spent caustic"), ("spent acid", "pickling liquor", "battery acid")),
    (("aluminium", "zinc powder", "magnesium"), ("spent caustic", "spent sulfuric acid", "pickling liquor")),
    (("alcohols", "solvents"), ("zinc powder", "nitric acid")),
    (("spent cyanide solution", "spent sulfide solution"), ("spent acid", "pickling liquor", "battery acid")),
    (
        ("chlorates", "chlorine", "chromic acid", "hypochlorites", "nitrates", "perchlorates", "permanganates", "peroxides"),
        ("acetic acid", "hydrochloric acid", "zinc powder", "alcohols", "oil"),
    ),
]  # fmt: skip


def said(one: str, other: str) -> str:
    """What is said when one is poured onto the other, both ways alike."""
    first, second = named_in(one), named_in(other)
    assert first, one
    assert second, other
    there, back = refusal(first, second), refusal(second, first)
    assert bool(there) == bool(back)
    return there


@pytest.mark.parametrize("cell", CELLS)
def test_no_cell_of_the_chart_shares_a_container(cell: tuple[int, int]) -> None:
    for one, other in itertools.product(LABELS[cell[0]], LABELS[cell[1]]):
        assert said(one, other), (one, other)


@pytest.mark.parametrize("group", TOXIC)
@pytest.mark.parametrize("acid", [1, 2, 3])
def test_the_gas_of_an_acid_with_a_salt_that_kills_is_named(group: int, acid: int) -> None:
    for one, other in itertools.product(LABELS[group], LABELS[acid]):
        assert TOXIC[group] in said(one, other), (one, other)


@pytest.mark.parametrize("lists", APPENDIX_V)
def test_no_pair_of_the_appendix_shares_a_container(lists: tuple[tuple[str, ...], tuple[str, ...]]) -> None:
    for one, other in itertools.product(*lists):
        assert said(one, other), (one, other)


def test_rinse_water_counts_as_the_acid_that_was_rinsed() -> None:
    """Group 106, water and mixtures with it: of a pickle it carries that acid, groups 1 to 3."""
    for group in (11, 15, 33, 104, 22, 23, 10):
        for thing in LABELS[group]:
            assert said("rinse water", thing), thing
