"""How long it took last time: firings of the same kind, and no others."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

from enamelwright.workshop.coats import lay_coat
from enamelwright.workshop.designs import keep_design
from enamelwright.workshop.last_time import LastTime, last_time
from enamelwright.workshop.loads import begin_load, close_load
from enamelwright.workshop.pieces import piece_row, start_pieces
from enamelwright.workshop.predictions import foretell
from enamelwright.workshop.studio import Studio
from morning import MORNING


def fire(studio: Studio, piece: str, seconds: str, stage: str, point: str = "785 C") -> None:
    begun = begin_load(studio, [piece], set_point=point, start="load")
    close_load(studio, begun.load, seconds=seconds, stage_seen=stage)


def begin(studio: Studio, disc: Path, count: int) -> None:
    keep_design(studio, disc)
    start_pieces(studio, design="Test disc", labels=[f"D-{n}" for n in range(1, count + 1)])
    for n in range(1, count + 1):
        lay_coat(studio, f"D-{n}", "J21", face="back", coat=1, on_piece="0.40 g", mesh=80, dried="8 min")


def asked(studio: Studio, piece: str, point: float | None = None) -> LastTime | None:
    told = foretell(studio, [piece_row(studio, piece)], {})[0]
    assert told.figures is not None
    return last_time(studio, told.asked["piece"], told.figures["firing"], set_point=point)


def test_a_sister_piece_tells_its_time_and_the_last_one_counts(studio: Studio, disc: Path) -> None:
    begin(studio, disc, 3)
    point = 785 + 273.15
    assert asked(studio, "D-3", point) is None
    target = str(foretell(studio, [piece_row(studio, "D-3")], {})[0].figures["firing"]["target"])  # type: ignore[index]
    fire(studio, "D-1", "150 s", target)
    found = asked(studio, "D-3", point)
    assert found is not None
    assert (found.seconds, found.piece, found.stage) == (150.0, "2026-001", target)
    fire(studio.at(MORNING + timedelta(hours=1)), "D-2", "140 s", target)
    later = asked(studio, "D-3", point)
    assert later is not None
    assert (later.seconds, later.piece) == (140.0, "2026-002")


def test_what_did_not_come_to_its_stage_or_was_set_otherwise_is_no_last_time(studio: Studio, disc: Path) -> None:
    begin(studio, disc, 3)
    target = str(foretell(studio, [piece_row(studio, "D-3")], {})[0].figures["firing"]["target"])  # type: ignore[index]
    fire(studio, "D-1", "400 s", "over-fired")
    fire(studio.at(MORNING + timedelta(hours=1)), "D-2", "90 s", target, "840 C")
    assert asked(studio, "D-3", 785 + 273.15) is None
    hot = asked(studio, "D-3", 840 + 273.15)
    assert hot is not None
    assert hot.seconds == 90.0
