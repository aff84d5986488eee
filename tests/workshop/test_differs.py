"""What differs from the last good firing of the same design."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

from enamelwright.workshop.coats import lay_coat
from enamelwright.workshop.designs import keep_design
from enamelwright.workshop.differs import what_differs
from enamelwright.workshop.faults import see_fault
from enamelwright.workshop.kilns import kiln_event_happened
from enamelwright.workshop.loads import begin_load, close_load, mishap
from enamelwright.workshop.lots import open_lot
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.studio import Studio
from morning import MORNING


def fire(studio: Studio, piece: str, stage: str = "orange peel", **settings: str) -> None:
    """A first firing of a piece."""
    begun = begin_load(studio, [piece], set_point="785 C", start="load", target="orange peel", **settings)
    close_load(studio, begun.load, seconds="150 s", stage_seen=stage)


def begin(studio: Studio, disc: Path, count: int) -> None:
    """Some discs with counter-enamel, all alike."""
    keep_design(studio, disc)
    start_pieces(studio, design="Test disc", labels=[f"D-{n}" for n in range(1, count + 1)])
    for n in range(1, count + 1):
        lay_coat(studio, f"D-{n}", "J21", face="back", coat=1, on_piece="0.40 g", mesh=80, dried="8 min")


def test_with_no_good_one_it_says_so(studio: Studio, disc: Path) -> None:
    begin(studio, disc, 2)
    start_pieces(studio, labels=["loose"])
    assert "no design" in what_differs(studio, "loose").why_none
    assert "no firing 1" in what_differs(studio, "D-1").why_none
    fire(studio, "D-1", stage="sugar")  # did not reach what was aimed at
    assert "no firing 1" in what_differs(studio, "D-2").why_none


def test_everything_that_matters_is_compared(studio: Studio, disc: Path) -> None:
    begin(studio, disc, 1)
    fire(studio, "D-1", support="trivet")
    later = studio.at(MORNING + timedelta(days=3)).as_person("S1")
    kiln_event_happened(later, "thermocouple moved")
    open_lot(later, "J21", "B")
    start_pieces(later, design="Test disc", labels=["D-2"])
    lay_coat(later, "D-2", "J21", face="back", coat=1, on_piece="0.20 g", mesh=60, dried="2 min")
    fire(later.at(MORNING + timedelta(days=3, minutes=5)), "D-2", support="mesh")
    told = what_differs(later, "D-2", 1)
    assert (told.good_piece, told.good_load) == ("2026-001", "2026-F001")
    found = {one.what: (one.then, one.now) for one in told.differs}
    assert found["lot of J21 on the back"] == ("A", "B")
    assert found["weight of J21 on the back"] == ("0.40 g", "0.20 g")
    assert found["drying of J21 on the back"] == ("8 min", "2 min")
    assert found["sieve of J21 on the back"] == ("80", "60")
    assert found["support"] == ("trivet", "mesh")
    assert found["person"] == ("M", "S1")
    assert found["state of the kiln"][1] == "since 2026-03-05"
    assert {"kiln", "setting", "seconds", "counted from"} <= set(told.same)


def test_small_scatter_of_the_hand_is_no_difference(studio: Studio, disc: Path) -> None:
    begin(studio, disc, 1)
    fire(studio, "D-1")
    start_pieces(studio, design="Test disc", labels=["D-2"])
    lay_coat(studio, "D-2", "J21", face="back", coat=1, on_piece="0.41 g", mesh=80, dried="8 min")
    told = what_differs(studio.at(MORNING + timedelta(minutes=10)), "D-2")
    assert told.differs == ()
    assert "weight of J21 on the back" in told.same


def test_the_pause_before_is_told(studio: Studio, disc: Path) -> None:
    begin(studio, disc, 3)
    fire(studio, "D-1")
    fire(studio.at(MORNING + timedelta(minutes=62, seconds=30)), "D-2")  # an hour after the first came out
    told = what_differs(studio.at(MORNING + timedelta(minutes=67)), "D-3")
    pause = next(one for one in told.differs if one.what == "pause since the load before")
    assert (pause.then, pause.now) == ("60 min", "2 min")


def test_the_pause_of_a_firing_is_counted_to_it_and_not_to_today(studio: Studio, disc: Path) -> None:
    """A long while later, of the same piece: what it was fired after does not change; a cold kiln is no colder."""
    begin(studio, disc, 3)
    fire(studio, "D-1")
    fire(studio.at(MORNING + timedelta(minutes=62, seconds=30)), "D-2")
    fire(studio.at(MORNING + timedelta(days=3)), "D-3")
    year = studio.at(MORNING + timedelta(days=209))
    told = what_differs(year, "D-3", 1)
    assert [(one.then, one.now) for one in told.differs if one.what.startswith("pause")] == [("60 min", "3 days")]
    start_pieces(year, design="Test disc", labels=["D-4"])
    assert not [one for one in what_differs(year, "D-4").differs if one.what.startswith("pause")]


def test_a_firing_of_the_other_face_is_not_the_same_kind(studio: Studio, disc: Path) -> None:
    begin(studio, disc, 1)
    fire(studio, "D-1")
    start_pieces(studio, design="Test disc", labels=["D-2"])
    lay_coat(studio, "D-2", "J21", face="front")
    fire(studio.at(MORNING + timedelta(hours=1)), "D-2")
    assert "other face" in what_differs(studio, "D-2", 1).why_none


def test_a_firing_that_left_a_fault_or_went_wrong_is_not_good(studio: Studio, disc: Path) -> None:
    begin(studio, disc, 4)
    for n in (1, 2, 3):
        fire(studio.at(MORNING + timedelta(hours=n)), f"D-{n}")
    see_fault(studio, "D-3", "hairlines", when_seen="next days")
    mishap(studio, "slid off", piece="D-2", load="2026-F002")
    assert what_differs(studio.at(MORNING + timedelta(hours=5)), "D-4").good_piece == "2026-001"


def test_a_coat_nobody_wrote_down_is_told(studio: Studio, disc: Path) -> None:
    begin(studio, disc, 1)
    fire(studio, "D-1")
    start_pieces(studio, design="Test disc", labels=["D-2"])
    told = what_differs(studio, "D-2")
    assert ("coat of J21 on the back", "laid", "not written down") in {
        (one.what, one.then, one.now) for one in told.differs
    }
