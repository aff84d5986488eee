"""How long a kiln had rested is worked out in one way, and where only the day is known nobody knows it."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from enamelwright.files.notebook import preview, read_notebook
from enamelwright.files.sheet import parse_sheet
from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.writing import current
from enamelwright.workshop.bench import bench
from enamelwright.workshop.designs import keep_design
from enamelwright.workshop.differs import what_differs
from enamelwright.workshop.firing_facts import firing_facts
from enamelwright.workshop.firing_records import stage_records
from enamelwright.workshop.history import correct
from enamelwright.workshop.loads import fired
from enamelwright.workshop.notebook_in import bring_in
from enamelwright.workshop.pauses import known_by_day, pause_of, pauses
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.studio import Studio
from morning import MORNING


def test_three_ways_are_one(studio: Studio, disc: Path) -> None:
    keep_design(studio, disc)
    start_pieces(studio, 3, "Test disc")
    told = {"set_point": "790 C", "seconds": "180 s", "stage_seen": "gloss", "start": "load", "to_gloss": "170 s",
            "target": "gloss"}  # fmt: skip
    fired(studio, [1], at=MORNING, **told)
    fired(studio, [2], at=MORNING + timedelta(minutes=4), **told)
    # By the clock a minute, but the maker says that the kiln stood for an hour.
    fired(studio, [3], at=MORNING + timedelta(minutes=8), idle_before="60 min", **told)
    later = studio.at(MORNING + timedelta(hours=1))
    with later.reading() as connection:
        loads = {row.of: row for row in connection.execute(current(load_table))}
        rested = pauses(loads)
        one_by_one = {of: pause_of(connection, row.kiln, row.at, row.idle_before) for of, row in loads.items()}
    first, second, third = sorted(loads)
    assert rested == {second: 60.0, third: 3600.0}
    assert one_by_one == {first: None, **rested}
    assert {one.load: one.facts.pause for one in firing_facts(later, bench(later))} == {first: None, **rested}
    haste = {one.load: one.haste for one in stage_records(later)[0]}
    assert haste[first] == 0
    assert 0.3 < haste[second] < 1  # a minute after the other
    assert haste[third] == pytest.approx(0, abs=1e-6)
    differs = {one.what: one.now for one in what_differs(later, 3, 1).differs}
    assert "1 h" in differs["pause since the load before"] or "60 min" in differs["pause since the load before"]


def test_of_a_notebook_only_the_day_is_known(studio: Studio) -> None:
    text = "Date,Temp (°C),Time (s),First gloss (s),Stage,Metal,Thickness (mm),Enamel\n" + "".join(
        f"2025-03-01,800,{150 + n},{140 + n},gloss,copper,0.9,J04\n" for n in range(4)
    )
    sheet = parse_sheet(text.encode())
    bring_in(studio, read_notebook(sheet, preview(sheet)), "old.csv", text.encode())
    records, _ = stage_records(studio)
    assert [one.haste for one in records] == [0, 0, 0, 0]
    with studio.reading() as connection:
        assert len(known_by_day(connection)) == 4
    # Somebody remembers when one went in: then it is known.
    correct(studio, "load", 2, "it says so on the back", at="2025-03-01 12:01")
    with studio.reading() as connection:
        assert known_by_day(connection) == {1, 3, 4}


def test_a_load_that_went_in_while_another_was_in_tells_no_pause(studio: Studio) -> None:
    start_pieces(studio, labels=["A-01", "A-02"])
    fired(studio, ["A-01"], at=MORNING, seconds="5 min", stage_seen="gloss")
    fired(studio, ["A-02"], at=MORNING + timedelta(minutes=1), seconds="5 min", stage_seen="gloss")
    with studio.reading() as connection:
        assert pauses({row.of: row for row in connection.execute(current(load_table))}) == {}
