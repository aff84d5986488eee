"""Every example is planned, with the customary number of firings; the name of the technique decides none of it."""

import typing

import pytest
from craft.sequence_cases import CUSTOM, EXAMPLES, Custom, data_of, plan, table

from enamelwright.craft.piece import OPEN_BACKED, Technique
from enamelwright.craft.technique import custom, customs

ALL = sorted(path.stem for path in EXAMPLES.glob("*.toml"))


@pytest.mark.parametrize("row", CUSTOM, ids=lambda row: row.example)
def test_firings_planned_against_the_customary_number(row: Custom):
    # Range: reference table trade/techniques, with its sources; count: by hand, see the table.
    low, high = custom(row.technique).firings
    assert plan(data_of(row.example)).count == row.planned
    assert low <= row.planned <= high


def test_the_table_names_every_technique_once_and_its_source():
    assert {row.technique for row in CUSTOM} == set(typing.get_args(Technique)) == set(customs())
    assert all(row["source"] or row["status"] for row in table())


@pytest.mark.parametrize("example", ALL)
def test_order_and_count_do_not_come_from_the_name_of_the_technique(example: str):
    data = data_of(example)
    named = plan(data)
    if data["technique"] in OPEN_BACKED:
        return  # open cells are said by the technique: the file has no other word for a missing back
    data.pop("technique")
    bare = plan(data)
    assert [f.fuses for f in bare.sequence.firings] == [f.fuses for f in named.sequence.firings]
    assert bare.targets == named.targets
    assert [f.support for f in bare.sequence.firings] == [f.support for f in named.sequence.firings]


@pytest.mark.parametrize("example", ALL)
def test_every_step_says_what_and_firings_say_why(example: str):
    sequence = plan(data_of(example)).sequence
    for operation in sequence.operations:
        assert operation.words[0].isupper()
        assert operation.words.endswith(".")
        assert "0000" not in operation.words
        if operation.work not in {"dry", "cool"}:
            assert operation.hand is not None or operation.work == "lift stencil", operation.words
        else:
            assert operation.wait is not None
    given = [operation.why for operation in sequence.operations if operation.why]
    assert len(given) == len(set(given)), "a reason is given once, where it first comes up"
    first_of_work = {operation.work: operation for operation in reversed(sequence.operations)}
    assert all(op.why for op in first_of_work.values())
    assert all(firing.why and firing.words and firing.rests_on for firing in sequence.firings)
    assert all(advice.words for advice in sequence.advice)


@pytest.mark.parametrize("example", ALL)
def test_examples_are_marked_as_invented_and_name_their_basis(example: str):
    text = (EXAMPLES / f"{example}.toml").read_text()
    head = [line for line in text.splitlines() if line.startswith("#")]
    assert any(
        "common practice, no source" in line or "published" in line or "handbook" in line or "Guild" in line
        for line in head
    )
    data = data_of(example)
    assert data["invented"] is True
    assert all(jar["synthetic"] for jar in data["jars"])
