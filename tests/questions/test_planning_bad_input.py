"""What planning cannot do is told in words, with the best partial answer there is: each through its question."""

from __future__ import annotations

import copy
import re
from pathlib import Path
from typing import Any

import ezdxf
import pytest

from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.files.drawing import read_drawing
from enamelwright.questions.question import question

BOW_TIE = [[0, 0], [20, 20], [20, 0], [0, 20]]


def ask(name: str, **changes: Any) -> Any:
    told = question(name)
    return told.ask({**copy.deepcopy(dict(told.example)), **changes}).payload


def day(**changes: Any) -> Any:
    example = copy.deepcopy(dict(question("day").example))
    example["pieces"][0].update(changes.pop("piece", {}))
    return ask("day", **{**example, **changes})


def test_impossible_dates_are_named_with_how_much() -> None:
    told = day(piece={"due": "2026-03-02 09:30"})
    assert len(told.late) == 6
    assert all(one.by.value > 0 and one.whatever_is_done for one in told.late)
    assert next(one for one in told.promises if one.missing).missing.value > 0
    assert told.blocks, "the best plan there is stands beside it"
    assert told.chance is not None
    assert told.chance.kept.high < 1
    assert "every date is kept" not in told.words


def test_nobody_to_work_still_tells_the_work() -> None:
    told = day(people=[])
    assert "nobody" in told.words
    assert told.least_work.value > 0
    assert told.least_loads > 0


def test_a_cyclic_order_is_put_aside_and_the_rest_planned() -> None:
    example = copy.deepcopy(dict(question("day").example))
    first = example["pieces"][0]
    pieces = [
        {**copy.deepcopy(first), "label": a, "after": list(after)} for a, after in (("a", "b"), ("b", "a"), ("c", ""))
    ]
    for one in pieces:
        one["piece"]["copies"] = 1
    told = day(**{**example, "pieces": pieces})
    assert {name for name, _ in told.left_out} == {"a", "b"}
    assert {name for block in told.blocks for name in block.pieces} == {"c"}


def test_a_piece_larger_than_the_shelf_is_named_by_how_much() -> None:
    pieces = [
        {"name": "plate", "outline": {"shape": "circle", "diameter_mm": 200}},
        {"name": "disc", "outline": {"shape": "circle", "diameter_mm": 25}, "count": 3},
    ]
    told = ask("shelf", pieces=pieces)
    over = re.search(r"([\d.]+) mm larger", told.too_large[0])
    assert over is not None
    assert float(over[1]) == pytest.approx(200 - (180 - 2 * 8), abs=0.2)
    assert len(told.loads[0].pieces) == 3, "the others stand"


@pytest.mark.parametrize("name", ["shelf", "blanks"])
def test_an_outline_that_crosses_itself_is_refused(name: str) -> None:
    kinds = {"shelf": "pieces", "blanks": "blanks"}
    with pytest.raises(InputError, match="cross"):
        ask(name, **{kinds[name]: [{"name": "bow tie", "outline": {"shape": "polygon", "points_mm": BOW_TIE}}]})


def test_a_sheet_smaller_than_a_blank_is_named_and_the_rest_is_cut() -> None:
    blanks = [
        {"name": "plate", "outline": {"shape": "circle", "diameter_mm": 120}},
        {"name": "disc", "outline": {"shape": "circle", "diameter_mm": 25}, "count": 2},
    ]
    told = ask("blanks", blanks=blanks)
    assert any("plate" in line for line in told.too_large)
    assert sum(len(sheet.blanks) for sheet in told.sheets) == 2


def test_a_drawing_in_unknown_units_asks_for_its_width(tmp_path: Path) -> None:
    document = ezdxf.new("R2000", units=0)
    document.modelspace().add_circle((0, 0), 10)
    document.saveas(tmp_path / "disc.dxf")
    with pytest.raises(EnamelwrightError, match="no real units"):
        read_drawing(tmp_path / "disc.dxf")


def test_a_price_of_nothing_is_a_gift_and_one_below_cost_is_said_so() -> None:
    with pytest.raises(InputError, match="is a gift"):
        ask("price", asked=0)
    told = ask("price", asked=1)
    assert {one.level for one in told.channels} == {"below cost"}
    assert all(one.break_even is None for one in told.channels), "no number of pieces earns the fixed costs"
    with pytest.raises(InputError):
        ask("price", wage=-1)


@pytest.mark.parametrize("amount", [{"amount_g": -3}, {"amount": "-3 g"}])
def test_negative_stock_counts_as_nothing_and_is_named(amount: dict[str, Any]) -> None:
    lots = [{"jar": "counter", "label": "A", **amount}, {"jar": "blue", "label": "B", "amount_g": 99}]
    told = question("stock").ask({**dict(question("stock").example), "lots": lots})
    counter = next(one for one in told.payload.lines if one.jar == "counter")
    assert counter.short.value == pytest.approx(counter.need.value), "what is owed is no powder"
    assert told.payload.short == ("counter",)
    assert any("below nothing on record" in line for line in told.because)
