"""Metal for what is planned and ordered: blanks still to be cut, from which sheet, and what is left of it.

Areas and weights in closed form: a disc is pi d^2 / 4, copper weighs 8.93 g/cm3 (tables give 8.92 to 8.96).
"""

from __future__ import annotations

import math
from pathlib import Path

import pytest

from enamelwright.questions.question import question
from enamelwright.workshop import costing, designs, metal_needs, metals, orders, series_work
from enamelwright.workshop.bench import bench
from enamelwright.workshop.coats import lay_coat
from enamelwright.workshop.pieces import finish_piece, piece_row, start_pieces
from enamelwright.workshop.predictions import plan_of
from enamelwright.workshop.settings import CURRENCY, set_setting
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.taking_back import take_back

DENSITY, DISC = 8.93e-3, math.pi * 25**2 / 4  # g/mm3, mm2


@pytest.fixture
def design(studio: Studio, disc: Path) -> int:
    """A disc of 25 mm from copper of 1 mm."""
    return designs.keep_design(studio, disc).design


def test_what_is_planned_ordered_and_not_cut_needs_metal(studio: Studio, design: int) -> None:
    assert metal_needs.metal_needs(studio) == []
    name = designs.design_row(studio, design).name
    asked = orders.take_order(studio, "maybe")
    orders.add_line(studio, asked.id, design=design, count=50)
    assert metal_needs.metal_needs(studio) == [], "only asked for, it is not cut yet"
    agreed = orders.take_order(studio, "surely", state="agreed")
    line = orders.add_line(studio, agreed.id, design=design, count=5)
    made = start_pieces(studio, 3, name, order_line=line)
    spare = start_pieces(studio, 4, name)
    (need,) = metal_needs.metal_needs(studio)
    assert need.blanks == ((name, 5 + 4),)
    assert need.area * 1e6 == pytest.approx(9 * DISC, rel=1e-9)
    assert need.mass * 1e3 == pytest.approx(9 * DISC * DENSITY, rel=3e-3)
    assert (need.sheets, need.short) == ((), True)
    lay_coat(studio, made[0].id, jar="J04", weighed_out="0.3 g")
    finish_piece(studio, spare[0].id)
    (need,) = metal_needs.metal_needs(studio)
    assert need.blanks == ((name, 7),), "one has a coat and one is finished: both are cut"


def test_enough_by_area_is_no_promise_and_too_little_is_certain(studio: Studio, design: int) -> None:
    start_pieces(studio, 9, designs.design_row(studio, design).name)
    metals.add_sheet(studio, "small", "copper", "1 mm", width="60 mm", length="70 mm")
    metals.add_sheet(studio, "unsized", "copper", "1 mm")
    metals.add_sheet(studio, "thick", "copper", "2 mm", width="900 mm", length="900 mm")
    (need,) = metal_needs.metal_needs(studio)
    assert need.there * 1e6 == pytest.approx(4200)
    assert (need.sheets, need.unsized) == (("small",), 1)
    assert (need.short, need.perhaps) == (False, True), "9 discs are 4418 mm2; the unsized one may do"
    metals.change_sheet(studio, "unsized", state="used up")
    (need,) = metal_needs.metal_needs(studio)
    assert (need.short, need.perhaps) == (True, False)
    metals.add_sheet(studio, "strip", "copper", "1 mm", width="10 mm", length="900 mm")
    (need,) = metal_needs.metal_needs(studio)
    assert not need.short, "by area it might do; that a strip of 10 mm holds no disc is for the layout to tell"


def test_a_cut_sheet_is_told_to_the_pieces_and_weighed_to_the_last_gram(studio: Studio, design: int) -> None:
    name = designs.design_row(studio, design).name
    made = start_pieces(studio, 6, name)
    metals.add_sheet(studio, "A", "copper", "1 mm", width="100 mm", length="150 mm", lot="heat 7")
    asked = series_work.blanks_asked(studio, {design: 4})
    (sheet,) = question("blanks").ask(asked.to_outside()).to_json()["payload"]["sheets"]
    before = metals.sheet_row(studio, "A")
    rows = series_work.keep_what_is_left(studio, "A", sheet["kept"])
    cut = metal_needs.blanks_cut(studio, "A", {name: 4})
    after = metals.sheet_row(studio, "A")
    assert [one.id for one in cut] == [one.id for one in made[:4]], "the oldest first"
    assert all(one.sheet == after.id for one in cut)
    assert after.version == before.version + 1, "however many remnants, the sheet changed once"
    left = [metals.sheet_row(studio, row) for row in rows]
    assert all(one.lot == "heat 7" and one.cut_from == after.id for one in left)
    whole = 100 * 150 * DENSITY
    kept = sum(float(one.mass or 0) for one in left) * 1e3
    lost = float(sheet["scrap"]["value"]) * 1e3
    assert kept + 4 * DISC * DENSITY + lost == pytest.approx(whole, rel=3e-3)
    (need,) = metal_needs.metal_needs(studio)
    assert need.blanks == ((name, 2),)
    assert need.there_mass * 1e3 == pytest.approx(kept, rel=1e-3)
    (again,) = question("blanks").ask(series_work.blanks_asked(studio, {design: 2}).to_outside()).payload.sheets
    assert again.label == left[0].label, "the remnant is used before anything else"
    wrote = [("sheet", int(after.id), int(after.version)), *(("sheet", row, 1) for row in rows)]
    take_back(studio, [*wrote, *(("piece", int(one.id), int(one.version)) for one in cut)])
    assert [row.label for row in metals.sheets(studio)] == ["A"]
    assert piece_row(studio, made[0].id).sheet is None


def test_metal_costs_what_was_paid_for_it_cut_up_or_not(studio: Studio, design: int) -> None:
    """150 x 100 x 1 mm of copper for 30.00: 134 g, so a disc of 4.38 g is 0.98."""
    set_setting(studio, CURRENCY, "EUR")
    costing.set_costing(studio, {"wage": "20"})
    metals.add_sheet(studio, "A", "copper", "1 mm", width="100 mm", length="150 mm", price_minor=3000, currency="EUR")
    metals.add_sheet(studio, "abroad", "copper", "1 mm", mass="1 kg", price_minor=500, currency="JPY")
    version = designs.version_row(studio, designs.design_row(studio, design).name)
    plan = plan_of(studio, version, bench(studio)).payload
    powder = costing.price_asked(studio, design, plan).asked.gates[0].material
    assert powder == pytest.approx(30 * DISC / 15000, rel=2e-3)
    metals.cut_remnant(studio, "A", "A r1", width="50 mm", length="100 mm")
    assert costing.price_asked(studio, design, plan).asked.gates[0].material == pytest.approx(powder)


def test_what_was_cut_and_taken_back_can_be_cut_again(studio: Studio, design: int) -> None:
    """The remnants of the first cut are off the lists, and their labels stay theirs."""
    made = start_pieces(studio, 4, designs.design_row(studio, design).name)
    metals.add_sheet(studio, "A", "copper", "1 mm", width="100 mm", length="150 mm")
    asked = series_work.blanks_asked(studio, {design: 4})
    (sheet,) = question("blanks").ask(asked.to_outside()).to_json()["payload"]["sheets"]
    seen: set[str] = set()
    for _ in range(3):
        rows = series_work.keep_what_is_left(studio, "A", sheet["kept"])
        cut = metal_needs.blanks_cut(studio, "A", {"Test disc": 4})
        assert [one.id for one in cut] == [one.id for one in made]
        labels = {str(metals.sheet_row(studio, row).label) for row in rows}
        assert labels, "something is left"
        assert not labels & seen
        assert {str(one.label) for one in metals.sheets(studio)} == labels
        seen |= labels
        after = metals.sheet_row(studio, "A")
        wrote = [("sheet", int(after.id), int(after.version)), *(("sheet", row, 1) for row in rows)]
        take_back(studio, [*wrote, *(("piece", int(one.id), int(one.version)) for one in cut)])
        assert [row.label for row in metals.sheets(studio)] == ["A"]


def test_sheets_without_a_size_may_do(studio: Studio, design: int) -> None:
    start_pieces(studio, 9, designs.design_row(studio, design).name)
    metals.add_sheet(studio, "unsized", "copper", "1 mm")
    (need,) = metal_needs.metal_needs(studio)
    assert (need.sheets, need.unsized) == ((), 1)
    assert (need.short, need.perhaps) == (False, True), "nobody knows how large it is"
    metals.change_sheet(studio, "unsized", width="10 mm", length="10 mm")
    (need,) = metal_needs.metal_needs(studio)
    assert (need.short, need.perhaps) == (True, False)
    metals.change_sheet(studio, "unsized", width="300 mm", length="300 mm")
    (need,) = metal_needs.metal_needs(studio)
    assert (need.short, need.perhaps) == (False, False)
