"""Unlike pieces of one load for which one time was noted: one note, not as many as there are pieces."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from enamelwright.learning.kiln_fit import kiln_clock
from enamelwright.learning.kiln_parts import Spreads
from enamelwright.learning.stage_records import Foretold, Melting, StageRecord
from enamelwright.records.schema.loads import prediction
from enamelwright.records.writing import current
from enamelwright.workshop.coverage import GLOSS, compared, gloss_band
from enamelwright.workshop.designs import keep_design
from enamelwright.workshop.firing_records import stage_records
from enamelwright.workshop.loads import begin_load, close_load
from enamelwright.workshop.pieces import start_pieces

if TYPE_CHECKING:
    from pathlib import Path

    from enamelwright.workshop.studio import Studio

COURSE = Foretold((50.0, 69.0, 94.0, 304.0), (-2.2, -1.1, 0.0, 1.0), (-2.2, -1.1, 0.0, 1.0))
SPREADS = Spreads(kiln=0.28, drift=0.02, kind=0.08, repeat=0.08, eye=4.0, lapse=0.03, jump=0.13, haste=0.15, early=0.8)


@pytest.fixture
def load(studio: Studio, disc: Path) -> int:
    """A load of two unlike designs."""
    keep_design(studio, disc)
    other = disc.with_name("other.toml")
    other.write_text(
        disc.read_text("utf-8").replace("Test disc", "Other disc").replace("diameter_mm = 25", "diameter_mm = 40"),
        "utf-8",
    )
    keep_design(studio, other)
    start_pieces(studio, 2, "Test disc")
    start_pieces(studio, 1, "Other disc")
    return begin_load(studio, [1, 2, 3], set_point="790 C", start="load").load


def test_one_time_noted_of_a_load_is_one_record(studio: Studio, load: int) -> None:
    close_load(studio, load, seconds="199 s", stage_seen="gloss", to_gloss="180 s")
    (record,), left_out = stage_records(studio)
    assert not left_out
    assert len(record.melting) == 2
    assert len({coat.kind or record.kind for coat in record.melting}) == 2  # each with the kind of its own piece
    assert (record.to_gloss, record.load, record.of_load) == (180, load, True)


def test_times_noted_of_single_pieces_are_records_of_their_own(studio: Studio, load: int) -> None:
    close_load(
        studio, load, seconds="199 s", stage_seen="gloss", to_gloss="180 s", each={3: {"to_gloss": "190 s"}}
    )  # fmt: skip
    records, _ = stage_records(studio)
    assert sorted(one.to_gloss or 0 for one in records) == [180, 190]
    assert all(not one.beside and not one.of_load for one in records)


def test_the_first_gloss_of_a_load_is_held_against_the_piece_that_was_to_gloss_first(studio: Studio, load: int) -> None:
    close_load(studio, load, seconds="199 s", stage_seen="gloss", to_gloss="180 s")
    with studio.reading() as connection:
        told = [gloss_band(row.figures)["value"] for row in connection.execute(current(prediction))]
    (pair,) = [one for one in compared(studio) if one.what == GLOSS]
    assert len(set(told)) == 2
    assert pair.likely == min(told)


def test_a_kind_is_learned_of_by_its_own_coat() -> None:
    """A second piece in the load brings its own kind: what is not known of it stays open, of both less than alone."""
    records = [
        StageRecord(
            k, "small", 1, 0.0, "J1", "disc", COURSE, to_gloss=120.0, load=k + 1,
            beside=(Melting("J2", COURSE, kind="plaque"),),
        )
        for k in range(3)
    ]  # fmt: skip
    got = kiln_clock(records, {"J1": 0.15, "J2": 0.15}, SPREADS)
    for one in ("kind disc", "kind plaque"):
        assert 0.3 < got.part(one)[2] <= 1.0
    assert got.part("kind disc")[1] == pytest.approx(got.part("kind plaque")[1], rel=0.05)
