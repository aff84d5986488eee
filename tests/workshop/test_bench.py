"""The record becomes the bench: what wins, what stays shown, what changes its revision."""

from __future__ import annotations

from datetime import timedelta
from pathlib import Path

import pytest

from enamelwright.craft.bench import Bench, Hands, HouseRules
from enamelwright.craft.kiln import Kiln
from enamelwright.errors import InputError, UnknownName
from enamelwright.files.piece_file import read_piece
from enamelwright.workshop.bench import bench, known_of
from enamelwright.workshop.coats import lay_coat
from enamelwright.workshop.designs import (
    compare,
    designs,
    keep_design,
    piece_of,
    save_plan,
    shape_of,
    version_row,
    versions,
)
from enamelwright.workshop.jars import add_jar, fact_dimension, jar_row, put_away, tell_fact
from enamelwright.workshop.kilns import anchor, anchors, epoch_of, keep_kiln, kiln_event_happened, kiln_row
from enamelwright.workshop.lots import work_powder
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.predictions import plan_of
from enamelwright.workshop.settings import set_hands, set_house_rules, set_setting, setting
from enamelwright.workshop.studio import Studio
from morning import EXAMPLES, MORNING, enamel


def test_a_second_kiln_does_not_take_the_place_of_the_first(bare: Studio) -> None:
    first = keep_kiln(bare, Kiln.from_outside({"name": "the small one", "preset": "fibre small"}, "kiln"))
    keep_kiln(bare, Kiln.from_outside({"name": "A big one", "preset": "brick medium"}, "kiln"))
    assert bench(bare).kiln().name == kiln_row(bare, first).name == "the small one"


def test_own_jars_stand_before_the_generic_ones(studio: Studio, disc: Path) -> None:
    known = bench(studio)
    assert known.jar("j04").name == "white, base"
    assert {jar.id for jar in Bench.starter().jars} <= {jar.id for jar in known.jars}
    kept = keep_design(studio, disc)
    put_away(studio, "J04")
    assert "J04" not in {jar.id for jar in bench(studio).jars}
    with pytest.raises(UnknownName):
        bench(studio).jar("white, base")  # nobody comes upon it any more
    planned = plan_of(studio, version_row(studio, kept.version)).payload
    assert "J04" in {coat.jar for coat in planned.piece.coats}, "what it is laid on keeps its plan"


def test_used_grams_do_not_change_the_bench_and_facts_do(studio: Studio) -> None:
    before = bench(studio).revision
    made = start_pieces(studio)[0]
    lay_coat(studio, made.id, "J04", on_piece="0.2 g")
    assert bench(studio).revision == before
    set_hands(studio, Hands(packing=0.48))
    second = bench(studio).revision
    set_house_rules(studio, HouseRules(pickle=False))
    third = bench(studio).revision
    work_powder(studio, "", "washed", jar="J04")
    assert len({before, second, third, bench(studio).revision}) == 4
    assert bench(studio).jar("J04").stock.washed is True
    assert bench(studio).hands.packing == 0.48


def test_measured_beats_the_sheet_and_the_loser_stays_shown(studio: Studio) -> None:
    add_jar(studio, enamel("J30", "green", fusing={"maturity_c": 790}))
    assert fact_dimension("fusing.maturity") == "temperature"
    tell_fact(studio, "J30", "fusing.maturity", "760 C", origin="told", dimension="temperature")
    assert bench(studio).jar("J30").fusing.maturity == pytest.approx(790 + 273.15)
    tell_fact(studio, "J30", "fusing.maturity", "781 C", origin="measured", dimension="temperature")
    tell_fact(studio, "J30", "fusing.maturity", "783 C", origin="measured", dimension="temperature")
    tell_fact(studio, "J30", "hazards.lead", origin="safety data sheet", answer="no")
    tell_fact(studio, "J30", "glass.expansion.value", "103 e-7/K", origin="told", dimension="expansion")
    tell_fact(studio, "J30", "smell", origin="told", answer="of nothing")
    jar = bench(studio).jar("J30")
    assert jar.fusing.maturity == pytest.approx(783 + 273.15)  # the newest of equals
    assert jar.hazards.lead == "no"
    assert jar.glass.expansion is not None
    assert jar.glass.expansion.value == pytest.approx(103e-7)
    known = [one for one in known_of(studio, jar_row(studio, "J30")) if one.fact == "fusing.maturity"]
    assert [(one.origin, one.wins) for one in known] == [
        ("measured", True), ("described", False), ("measured", False), ("told", False),
    ]  # fmt: skip


def test_a_moved_thermocouple_begins_anew(studio: Studio) -> None:
    kiln = kiln_row(studio)
    assert kiln is not None
    anchor(studio, "silver-copper foil", shown="771 C", melted=True)
    anchor(studio, "a wire of our own", shown="790 C")  # not known where it melts: kept, of no use to the bench
    assert [one.what for one in bench(studio).kilns[0].anchors] == ["silver-copper foil"]
    later = studio.at(MORNING + timedelta(days=5))
    kiln_event_happened(later, "kiln wash")
    assert epoch_of(later, kiln.id) == ""
    kiln_event_happened(later, "thermocouple moved")
    assert epoch_of(later, kiln.id) == later.now()
    assert epoch_of(later, kiln.id, studio.now()) == ""
    assert bench(later).kilns[0].anchors == ()
    assert len(anchors(later)) == 0
    assert len(anchors(later, this_epoch=False)) == 2


def test_versions_of_a_design_are_only_added_to(studio: Studio, disc: Path) -> None:
    first = keep_design(studio, disc)
    assert keep_design(studio, disc).new is False
    disc.write_text(disc.read_text().replace("powder_depth_mm = 0.4", "powder_depth_mm = 0.5"))
    second = keep_design(studio, disc, words="thicker front")
    assert (first.number, second.number, second.new) == (1, 2, True)
    assert [(one.place, one.before, one.after) for one in compare(studio, "test disc", 1, 2)] == [
        ("coats[2].powder_depth_mm", 0.4, 0.5)
    ]
    assert [row.number for row in versions(studio, "Test disc")] == [1, 2]
    assert piece_of(version_row(studio, "Test disc")) == read_piece(disc).piece
    assert [row.versions for row in designs(studio)] == [2]
    with pytest.raises(InputError):
        version_row(studio, "Test disc", 7)


def test_a_drawing_is_kept_with_its_design(studio: Studio) -> None:
    drawn = next(
        path for path in sorted(EXAMPLES.glob("*.toml")) if 'shape = "drawing"' in path.read_text(encoding="utf-8")
    )
    read = read_piece(drawn)
    kept = keep_design(studio, drawn)
    shape = shape_of(version_row(studio, kept.version))
    assert shape is not None
    assert read.shape is not None
    assert shape.area == pytest.approx(read.shape.area, rel=1e-12)


def test_a_plan_is_worked_out_once_and_kept_as_printed(studio: Studio, disc: Path) -> None:
    kept = keep_design(studio, disc)
    version = version_row(studio, kept.version)
    answer = plan_of(studio, version)
    assert plan_of(studio, version) is answer
    row = save_plan(studio, kept.version, answer.to_json())
    assert row == 1


def test_settings_keep_what_they_were(studio: Studio) -> None:
    row = set_setting(studio, "degrees", "°F")
    assert set_setting(studio, "degrees", "°C") == row
    assert setting(studio, "degrees") == "°C"
    assert setting(studio, "nothing of the kind", 3) == 3


def test_the_bench_is_gathered_anew_only_after_something_was_written(studio: Studio) -> None:
    """A bench nobody wrote to is the very same object; every kind of writing is seen at once."""
    first = bench(studio)
    assert bench(studio) is first
    set_setting(studio, "name of the cat", "Lye")
    assert bench(studio) is first, "nothing the bench goes by was written"
    set_hands(studio, Hands(packing=0.47))
    second = bench(studio)
    assert second is not first
    assert second.hands.packing == 0.47
    tell_fact(studio, "J04", "fusing.maturity", "812 C", origin="measured", dimension="temperature")
    assert bench(studio).jar("J04").fusing.maturity == pytest.approx(812 + 273.15)


def test_what_is_not_finished_being_written_is_seen_inside_and_forgotten_when_undone(studio: Studio) -> None:
    before = bench(studio)

    def undone() -> None:
        with studio.writing():
            set_hands(studio, Hands(packing=0.44))
            assert bench(studio).hands.packing == 0.44
            raise InputError("undone.")

    with pytest.raises(InputError, match="undone"):
        undone()
    assert bench(studio).hands == before.hands
    set_setting(studio, "name of the cat", "Lye")  # the entry that was undone and this one count alike
    assert bench(studio).hands == before.hands


def test_two_records_have_two_benches(studio: Studio, tmp_path: Path) -> None:
    from enamelwright.records.home import Home

    other = Studio.open(Home(tmp_path / "other"))
    try:
        set_setting(other, "studio name", "the other one")
        assert bench(other).name != bench(studio).name
        assert bench(other).kilns == ()
    finally:
        other.close()
