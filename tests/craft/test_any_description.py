"""Whatever is written in a piece file, the answer is a plan or one clear sentence, never a fault of the program.

The examples are changed at random in one to three places: amounts stretched, entries left out, doubled, exchanged with
others or replaced by nonsense. Seeds are fixed, so that what fails can be looked at again.
"""

from __future__ import annotations

import copy
import random
import tomllib
import warnings
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from enamelwright.craft.piece import Piece
from enamelwright.craft.planner import make_plan
from enamelwright.errors import EnamelwrightError

EXAMPLES = sorted((Path(__file__).parents[2] / "examples").glob("*.toml"))
NONSENSE: tuple[Any, ...] = (
    0, -1, 1e-12, 1e12, "", "x" * 500, "5 mm", "0 mm", "-3 g", "1e400 mm", "nan", "800 °C", "18 ga", "1,5 mm", "front",
    "copper", [], {}, None, True, [1, 2],
)  # fmt: skip
STRETCHES = (0.01, 0.1, 0.5, 0.9, 1.1, 2, 3, 10, -1)
#: Pieces tried from each seed, and the longest sentence that is still read.
TRIED, READ = 40, 600


def places(thing: Any, at: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    parts = thing.items() if isinstance(thing, dict) else enumerate(thing) if isinstance(thing, list) else ()
    for key, part in parts:
        yield (*at, key)
        yield from places(part, (*at, key))


def found(thing: Any, at: tuple[Any, ...]) -> Any:
    for key in at:
        thing = thing[key]
    return thing


def changed(described: dict[str, Any], chance: random.Random, nonsense: float) -> dict[str, Any]:
    described = copy.deepcopy(described)
    for _ in range(chance.randint(1, 3)):
        every = list(places(described))
        if not every:
            break
        *above, key = chance.choice(every)
        within = found(described, tuple(above))
        number = isinstance(within[key], int | float) and not isinstance(within[key], bool)
        if chance.random() < nonsense:
            within[key] = copy.deepcopy(chance.choice(NONSENSE))
        elif number:
            within[key] *= chance.choice(STRETCHES)
        elif isinstance(within, list):
            within.insert(key, copy.deepcopy(chance.choice(within)))
        elif chance.random() < nonsense:
            del within[key]
        else:
            within[key] = copy.deepcopy(found(described, chance.choice(every)))
    return described


@pytest.mark.parametrize(("seed", "nonsense"), [(1, 0.1), (2, 0.1), (3, 0.5)])
def test_a_changed_piece_gets_a_plan_or_one_sentence(seed: int, nonsense: float) -> None:
    chance = random.Random(seed)
    plans, said = 0, []
    for _ in range(TRIED):
        described = changed(tomllib.loads(chance.choice(EXAMPLES).read_text(encoding="utf-8")), chance, nonsense)
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("error", RuntimeWarning)
                plans += bool(make_plan(Piece.from_outside(described)).verdicts)
        except EnamelwrightError as error:
            said.append(str(error))
    assert max(map(len, said), default=0) <= READ
    assert plans or nonsense > 0.2, "too wild: nothing was planned at all"


def test_a_fill_deeper_than_any_colour_reaches_is_planned() -> None:
    described = tomllib.loads(next(one for one in EXAMPLES if "seal" in one.stem).read_text(encoding="utf-8"))
    described["recess"]["depth_mm"] = 6
    plan = make_plan(Piece.from_outside(described))
    assert any(verdict.level != "good" for verdict in plan.verdicts)
