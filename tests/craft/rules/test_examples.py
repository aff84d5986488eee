"""The examples are ordinary work: no rule stops them unless their maker says it is meant."""

from __future__ import annotations

from pathlib import Path

import pytest

from enamelwright.craft.planner import make_plan
from enamelwright.craft.rules import rules
from enamelwright.files.piece_file import read_piece

EXAMPLES = sorted((Path(__file__).parents[3] / "examples").glob("*.toml"))
#: Rule verdicts an ordinary piece may carry: more would drown the ones that matter.
FEW = 1


@pytest.mark.parametrize("path", EXAMPLES, ids=lambda path: path.stem)
def test_no_example_is_stopped(path: Path) -> None:
    read = read_piece(path)
    plan = make_plan(read.piece, drawn=read.shape, draws=8)
    spoken = [verdict for verdict in plan.verdicts if verdict.rule in rules() and verdict.counts]
    assert not [verdict.rule for verdict in spoken if verdict.level == "stop"]
    assert len(spoken) <= FEW


def test_there_are_examples() -> None:
    assert EXAMPLES
