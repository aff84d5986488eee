"""Every table can be written by a use case and read back by one."""

from __future__ import annotations

from pathlib import Path

import pytest
from sqlalchemy import func, select

from enamelwright.errors import InputError
from enamelwright.records.kinds import tables
from enamelwright.records.schema.pieces import measure
from enamelwright.workshop.baths import (
    bath_entries,
    baths,
    change_bath,
    containers,
    hand_in,
    into_waste,
    keep_container,
    note_bath,
    open_bath,
)
from enamelwright.workshop.coats import lay_coat
from enamelwright.workshop.designs import keep_design, save_plan
from enamelwright.workshop.exposure import expose
from enamelwright.workshop.faults import faults_of, see_fault
from enamelwright.workshop.finishing import batch_row, finish_work, finishes_of, spend_time, time_on
from enamelwright.workshop.history import correct, noun_table, states, story, value_words
from enamelwright.workshop.jars import facts, tell_fact
from enamelwright.workshop.kilns import anchor, keep_support, kiln_event_happened, kiln_events, supports
from enamelwright.workshop.loads import begin_load, close_load, look_in, mishap
from enamelwright.workshop.lots import work_powder
from enamelwright.workshop.measures import measures_of, take_measure
from enamelwright.workshop.metals import add_sheet
from enamelwright.workshop.orders import add_line, keep_customer, pay, take_order
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.selling import keep_outlet, set_price, sold
from enamelwright.workshop.settings import CURRENCY, set_setting
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.tiles import keep_layout, make_tiles, read_colour, readings_of, spots_of, tiles
from morning import MORNING

#: Written by others: pictures, tablets, copies of the record, what is learned, and the house's own.
ELSEWHERE = {"photo", "device", "posterior", "snapshot_taken", "draft", "job", "past_version"}


def test_every_table_is_written(studio: Studio, disc: Path) -> None:
    kept = keep_design(studio, disc)
    save_plan(studio, kept.version, {"engine": "test", "bench": "test"})
    sheet = add_sheet(studio, "copper 1", "copper", "1 mm")
    made = start_pieces(studio, 2, "Test disc", batch="pair", sheet=sheet)[0].number
    lay_coat(studio, made, "J21", on_piece="0.4 g", method="sift")
    tell_fact(studio, "J21", "fusing.maturity", "785 C", origin="measured", dimension="temperature")
    work_powder(studio, "", "washed", jar="J21", before="200 g", after="190 g")
    keep_support(studio, "trivet", "trivet", owned=3)
    begun = begin_load(studio, [made], set_point="785 C")
    look_in(studio, begun.load, seconds="60 s")
    close_load(studio, begun.load, seconds="150 s", stage_seen="orange peel")
    mishap(studio, "touched", piece=made)
    take_measure(studio, made, "bow", "0.1 mm", over="25 mm")
    take_measure(studio, made, "weight after", "4.9 g")
    see_fault(studio, made, "pits")
    finish_work(studio, "stone", batch=batch_row(studio, "pair").id, grit="400", wet=True, duration="10 min")
    spend_time(studio, "stoning", "10 min", batch=batch_row(studio, "pair").id, pieces=2)
    keep_layout(studio, "halves", [{"spot": "1", "under": "bare"}, {"spot": "2", "under": "flux"}])
    tile = make_tiles(studio, layout="halves", jar="J04", metal="copper")[0]
    read_colour(studio, tile.id, spot="1", lightness=71.0, a=-3.0, b=4.0, read_by="instrument")
    anchor(studio, "silver-copper foil", shown="771 C", melted=True)
    kiln_event_happened(studio, "kiln wash")
    open_bath(studio, "citric", volume="1 L", made_of={"citric acid": "10 %"})
    note_bath(studio, "citric", piece=made, pieces=1)
    keep_container(studio, "drum 1")
    into_waste(studio, "drum 1", "spent pickle", bath="citric", volume="1 L")
    expose(studio, "dry sanding", duration="2 min", mask="half mask")
    set_setting(studio, CURRENCY, "cr")
    keep_outlet(studio, "spring fair", "fair")
    order = take_order(studio, "a pair", customer=keep_customer(studio, "somebody"))
    add_line(studio, order.number, design="Test disc", count=2)
    pay(studio, "deposit", "10", order=order.number)
    set_price(studio, "38", design="Test disc")
    sold(studio, made, "38")
    with studio.reading() as connection:
        empty = {t.name for t in tables() if not connection.execute(select(func.count()).select_from(t)).scalar()}
    assert empty <= ELSEWHERE
    assert [one.what for one in story(studio, made)].count("measure") == 2
    assert time_on(studio, made) == 300  # ten minutes on two pieces
    assert finishes_of(studio, made)[0].wet is True
    assert faults_of(studio, made)[0].fault == "pits"
    assert [row.what for row in measures_of(studio, made, "bow")] == ["bow"]
    assert facts(studio, "J21")[0].typed == {"value": "785 C"}
    assert kiln_events(studio)[0].what == "kiln wash"
    assert supports(studio)[0].owned == 3


def test_tiles_are_numbered_on_and_carry_their_spots(studio: Studio) -> None:
    keep_layout(studio, "quarters", [{"spot": str(n), "under": under} for n, under in enumerate(("bare", "flux"), 1)])
    first = make_tiles(studio, 2, layout="quarters", jar="J04")
    assert [row.label for row in first] == ["TL-01", "TL-02"]
    assert [row.label for row in make_tiles(studio, kind="control tile")] == ["CT-01"]
    assert make_tiles(studio)[0].label == "TL-03"
    assert [(row.spot, row.under, row.coats) for row in spots_of(studio, "TL-01")] == [
        ("1", "bare", [{"jar": "J04"}]), ("2", "flux", [{"jar": "J04"}]),
    ]  # fmt: skip
    assert len(tiles(studio)) == 4
    assert readings_of(studio, "TL-01") == []
    with pytest.raises(InputError):
        keep_layout(studio, "bad", [{"spot": "1"}, {"spot": "1"}])


def test_a_bath_from_making_up_to_handing_in(studio: Studio) -> None:
    open_bath(studio, "citric", volume="1 L")
    for _ in range(3):
        note_bath(studio, "citric")
    note_bath(studio, "citric", "acidity", ph=2.1)
    assert [(row.name, row.dips) for row in baths(studio)] == [("citric", 3)]
    assert bath_entries(studio, "citric")[-1].ph == 2.1
    keep_container(studio, "drum 1", hazards=["copper"])
    into_waste(studio, "drum 1", "spent pickle", bath="citric", volume="0.9 L", mass="6 g")
    change_bath(studio, "citric", closed_on=studio.today(), met_lead=False)
    assert baths(studio) == []
    assert containers(studio)[0].volume == pytest.approx(0.9e-3)
    hand_in(studio, "drum 1", "the town's collection point")
    assert containers(studio) == []


def test_a_correction_names_its_reason_and_the_old_state_is_shown(studio: Studio) -> None:
    start_pieces(studio, labels=["A-01"])
    row = take_measure(studio, "A-01", "bow", "0.10 mm")
    with pytest.raises(InputError, match="reason"):
        correct(studio, "measure", row, "", length="0.12 mm")
    with pytest.raises(InputError, match="differs"):
        correct(studio, "measure", row, "why not")
    later = studio.at(MORNING.replace(hour=12)).as_person("S1")
    correct(later, "measure", row, "read from the wrong side", length="-0.10 mm")
    first, second = states(studio, "measure", row)
    assert (first.who, second.who, second.why) == ("M", "S1", "read from the wrong side")
    assert {name: [value_words("measure", name, v) for v in both] for name, both in second.changed.items()} == {
        "length": ["0.1 mm", "-0.1 mm"]
    }
    assert story(studio, "A-01")[0].corrected
    assert noun_table("measure") is measure
