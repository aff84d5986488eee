"""What differs from the last good firing of the same design."""

from __future__ import annotations

from datetime import timedelta
from math import log10
from pathlib import Path

import pytest

from enamelwright.craft.window.facts import number
from enamelwright.workshop.coats import lay_coat
from enamelwright.workshop.designs import keep_design
from enamelwright.workshop.differs import what_differs
from enamelwright.workshop.faults import see_fault
from enamelwright.workshop.kilns import kiln_event_happened
from enamelwright.workshop.loads import begin_load, close_load, mishap
from enamelwright.workshop.lots import open_lot
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.relearning import relearn
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


def test_what_may_move_the_gloss_most_stands_first(studio: Studio, disc: Path) -> None:
    """Weight and sieve by the law of gloss, lot, person and a moved thermocouple by their spreads; drying by nothing."""
    begin(studio, disc, 1)
    fire(studio, "D-1", support="trivet")
    later = studio.at(MORNING + timedelta(days=3)).as_person("S1")
    kiln_event_happened(later, "thermocouple moved")
    open_lot(later, "J21", "B")
    start_pieces(later, design="Test disc", labels=["D-2"])
    lay_coat(later, "D-2", "J21", face="back", coat=1, on_piece="0.20 g", mesh=60, dried="2 min")
    fire(later.at(MORNING + timedelta(days=3, minutes=5)), "D-2", support="mesh")
    told = what_differs(later, "D-2", 1)
    rows = {one.what: one.matters for one in told.differs}
    sizes = [one.matters.size for one in told.differs]
    assert sizes == sorted(sizes, reverse=True)
    known = {"weight of J21 on the back", "sieve of J21 on the back", "lot of J21 on the back", "person", "support",
             "state of the kiln", "day"}  # fmt: skip
    assert all(rows[one].by for one in known)
    # Half the glass levels in four times the work by Orchard, of which windows take the share law_share.
    thinner = rows["weight of J21 on the back"]
    assert thinner.decades == pytest.approx(log10(4) * number("law_share"))
    assert thinner.words.endswith("later")
    assert rows["sieve of J21 on the back"].words.endswith("later")  # 60 mesh is coarser than 80
    assert rows["state of the kiln"].words.endswith("either way")
    assert rows["state of the kiln"].size > rows["lot of J21 on the back"].size > rows["person"].size > 0
    dried = next(one for one in told.differs if one.what.startswith("drying"))
    assert dried.matters.words == "no model tells"
    assert told.differs[-1].matters.size < 0 <= min(one.size for one in rows.values() if one.by)


def test_each_coat_is_told_once_beside_the_one_it_stands_for(studio: Studio, disc: Path) -> None:
    """One was written down with its number in the plan, the other without."""
    begin(studio, disc, 0)
    start_pieces(studio, design="Test disc", labels=["D-1", "D-2", "D-3"])
    lay_coat(studio, "D-1", "J21", face="back", on_piece="0.40 g")
    fire(studio, "D-1")
    lay_coat(studio, "D-2", "J21", face="back", coat=1, on_piece="0.25 g")
    told = what_differs(studio.at(MORNING + timedelta(minutes=10)), "D-2")
    assert [one.what for one in told.differs if "J21" in one.what] == ["weight of J21 on the back"]
    lay_coat(studio, "D-3", "J04", face="back", on_piece="0.40 g")
    other = what_differs(studio.at(MORNING + timedelta(minutes=10)), "D-3")
    jars = [(one.what, one.then, one.now) for one in other.differs if one.what.startswith(("jar", "coat"))]
    assert jars == [("jar of J21 on the back", "J21", "J04")]


def test_a_firing_that_happened_is_compared_with_one_before_it(studio: Studio, disc: Path) -> None:
    begin(studio, disc, 3)
    for n in (1, 2, 3):
        fire(studio.at(MORNING + timedelta(hours=n)), f"D-{n}")
    assert what_differs(studio, "D-2", 1).good_piece == "2026-001"
    assert "before it" in what_differs(studio, "D-1", 1).why_none


def test_a_piece_fired_again_is_compared_in_the_load_that_was_good(studio: Studio, disc: Path) -> None:
    """Its coat was laid anew: that of the spoiled firing is none of the good one."""
    begin(studio, disc, 1)
    fire(studio.at(MORNING + timedelta(hours=1)), "D-1")
    mishap(studio, "slid off", piece="D-1", load="2026-F001")
    again = studio.at(MORNING + timedelta(hours=2))
    lay_coat(again, "D-1", "J21", face="back", coat=1, on_piece="0.41 g", mesh=80, dried="8 min")
    begun = begin_load(again, ["D-1"], set_point="785 C", start="load", target="orange peel")
    close_load(again, begun.load, seconds="150 s", stage_seen="orange peel")
    start_pieces(studio, design="Test disc", labels=["D-2"])
    told = what_differs(studio.at(MORNING + timedelta(hours=2, minutes=10)), "D-2")
    assert (told.good_piece, told.good_load) == ("2026-001", "2026-F002")
    assert [one.what for one in told.differs if one.what.startswith("coat")] == ["coat of J21 on the back"]


def test_how_a_piece_to_come_is_planned_differs_too(studio: Studio, disc: Path) -> None:
    """Support and face of a firing to come are those of its plan; the last good one was fired on another support."""
    begin(studio, disc, 2)
    fire(studio, "D-1", support="plate")
    told = what_differs(studio.at(MORNING + timedelta(minutes=10)), "D-2")
    support = next(one for one in told.differs if one.what == "support")
    assert support.then == "plate"
    assert support.now.endswith(", as planned")
    assert "face up" in told.same


def test_a_new_lot_says_that_its_window_is_wider(studio: Studio, disc: Path) -> None:
    begin(studio, disc, 2)
    fire(studio, "D-1")
    relearn(studio)
    assert what_differs(studio.at(MORNING + timedelta(minutes=10)), "D-2").lots == ()
    later = studio.at(MORNING + timedelta(hours=1))
    open_lot(later, "J21", "B")
    start_pieces(later, design="Test disc", labels=["D-3"])
    lay_coat(later, "D-3", "J21", face="back", coat=1)
    told = what_differs(later, "D-3")
    assert told.lots == ("A new lot of J21: the window is wider until a tile of it is fired and timed",)
    assert "lot of J21 on the back" in {one.what for one in told.differs}
