"""What was tried of a jar: the middle by what was seen, what is left out and why, and tiles made from a plan."""

from __future__ import annotations

from datetime import timedelta
from types import SimpleNamespace
from typing import Any

import pytest

from enamelwright.craft.kiln import Kiln
from enamelwright.errors import InputError
from enamelwright.learning.fault_signs import FaultFacts
from enamelwright.questions.next_tile import NextTileInput
from enamelwright.questions.question import question
from enamelwright.records.schema.learned import posterior
from enamelwright.workshop import next_tiles
from enamelwright.workshop.bench import bench
from enamelwright.workshop.coats import lay_coat
from enamelwright.workshop.faults import see_fault
from enamelwright.workshop.firing_facts import FiringFacts, firing_facts
from enamelwright.workshop.gloss_foretold import _gloss_times, _melted
from enamelwright.workshop.jars import add_jar
from enamelwright.workshop.kept_learned import ODD_LOAD, kept_odd
from enamelwright.workshop.kilns import keep_kiln
from enamelwright.workshop.loads import fired
from enamelwright.workshop.next_tiles import limits, tiles_tried
from enamelwright.workshop.pieces import start_pieces
from enamelwright.workshop.relearning import _odd
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.tile_sets import make_ladder, make_loads
from enamelwright.workshop.tiles import make_tiles, spot, spots_of
from morning import MORNING, enamel

KELVIN = 273.15


@pytest.fixture
def studio(bare: Studio) -> Studio:
    """A kiln, another, and two jars."""
    keep_kiln(bare, Kiln(name="front-loader"))
    keep_kiln(bare, Kiln(name="old pot"))
    add_jar(bare, enamel("N04", "night blue"))
    add_jar(bare, enamel("N05", "red", family="red"))
    return bare


def goes(studio: Studio, after: float, made: Any = None, jar: str = "N04", **more: Any) -> Any:
    """Lay one coat and fire it so many minutes after the morning began."""
    made = made or start_pieces(studio, 1, metal="copper", thickness="0.9 mm")[0]
    at = MORNING + timedelta(minutes=after)
    lay_coat(studio.at(at - timedelta(minutes=5)), made.id, jar, face="front")
    told = {"set_point": "790 C", "stage_seen": "gloss", "target": "gloss", "kiln": "front-loader", **more}
    fired(studio.at(at + timedelta(seconds=300)), [made.id], at=at, **told)
    return made


def three(studio: Studio) -> None:
    for n, (first, out) in enumerate(((168, 195), (170, 200), (172, 197))):
        goes(studio, 60 * n + 60, to_gloss=f"{first} s", seconds=f"{out} s")


def test_the_middle_is_what_was_seen_and_nothing_is_proposed_before_the_first_gloss(studio: Studio) -> None:
    """Three pieces at 790 C: first gloss after 168 to 172 s, out at 195 to 200 s."""
    three(studio)
    found = tiles_tried(studio, "N04", loads=5)
    assert (found.asked.centre, found.asked.centre_time) == (pytest.approx(790 + KELVIN), 195)
    assert not found.foretold
    loads = question("next-tile").answer(found.asked, bench(studio)).payload.loads
    for one in loads:
        assert one.time.value % 5 == 0
        if one.temperature.value < 795 + KELVIN:
            assert one.time.value >= 172


def test_a_firing_to_orange_peel_does_not_move_the_middle(studio: Studio) -> None:
    three(studio)
    goes(studio, 300, seconds="95 s", target="orange peel", stage_seen="orange peel")
    goes(studio, 360, seconds="130 s", target="orange peel", stage_seen="gloss")
    assert tiles_tried(studio, "N04").asked.centre_time == 195


def test_a_jar_that_only_came_short_is_tried_longer(studio: Studio) -> None:
    goes(studio, 60, seconds="100 s", stage_seen="orange peel")
    goes(studio, 120, seconds="110 s", stage_seen="orange peel")
    found = tiles_tried(studio, "N04")
    assert found.asked.centre_time > 110
    for one in question("next-tile").answer(found.asked, bench(studio)).payload.loads:
        assert one.time.value > 110 or one.temperature.value > 790 + KELVIN


def test_the_newest_firings_count(studio: Studio) -> None:
    """A kiln that was mended glosses sooner now."""
    for n in range(4):
        goes(studio, 60 + 60 * n, seconds="260 s")
    for n in range(next_tiles.NEWEST):
        goes(studio, 500 + 60 * n, seconds="180 s")
    assert tiles_tried(studio, "N04").asked.centre_time == 180


def test_a_window_to_gloss_counts_by_what_the_kiln_teaches_now() -> None:
    """Ten seconds a tenth of a decade: half a tenth more is five seconds later."""
    own = {"jar": "N04", "clock": [[100, 0.0], [200, 1.0]], "marks": [0.1, 0.2, 0.5, 0.9], "hotter": 0, "law": 0}
    other = {**own, "jar": "N05", "marks": [0.1, 0.2, 0.9, 1.0], "learned": 0.0}
    window = {"coats": [other, {**own, "learned": 0.1}]}
    assert _gloss_times(window, "N04", None) == (pytest.approx(150), pytest.approx(150))
    moved = SimpleNamespace(at=lambda hotter, law: (0.15, 0.1))
    assert _gloss_times(window, "N04", moved) == (pytest.approx(150), pytest.approx(155))  # type: ignore[arg-type]
    assert _gloss_times({"stages": [{"stage": "gloss", "begins": {"value": 140}}]}, "N04", None) == (140, 140)
    assert _melted({"fuses": [1, 7]}, {"piece": {"coats": [{"jar": "N05"}, {"jar": "N04"}]}}) == {"N04"}


def test_a_gloss_nothing_can_reach_is_left_out_and_named(studio: Studio) -> None:
    three(studio)
    goes(studio, 300, seconds="30 s", to_gloss="20 s")
    found = tiles_tried(studio, "N04")
    assert len(found.loads) == 3
    (said,) = found.left_out
    assert "gloss after 20 s" in said
    cells = question("next-tile").answer(found.asked, bench(studio)).payload.window
    assert all(one.standing == "bad" for one in cells if one.time < 168 and one.temperature < 792 + KELVIN)


def test_a_load_far_off_the_others_of_its_kiln_is_left_out_and_named(studio: Studio) -> None:
    three(studio)
    goes(studio, 300, seconds="100 s", to_gloss="95 s")
    last = firing_facts(studio)[-1]
    assert len(tiles_tried(studio, "N04").loads) == 4
    records = [SimpleNamespace(record=7, load=last.load), SimpleNamespace(record=8, load=last.load - 1)]
    clock = SimpleNamespace(surprises=((7, -4.2), (8, 1.1)))
    rows = _odd(SimpleNamespace(records=records, clock=clock))  # type: ignore[arg-type]
    with studio.writing() as work:
        for quantity, table, row, figures, stands in rows:
            work.derive(posterior, "test", of_table=table, of_id=row, quantity=quantity, figures=figures,
                        from_records=stands)  # fmt: skip
    assert [row[0] for row in rows] == [ODD_LOAD]
    assert kept_odd(studio) == {last.load}
    found = tiles_tried(studio, "N04")
    assert len(found.loads) == 3
    assert found.left_out == (f"{last.number}: far off the others of the kiln",)


def test_another_kiln_and_firings_that_tell_nothing_are_left_out(studio: Studio) -> None:
    goes(studio, 60, seconds="400 s", kiln="old pot")
    goes(studio, 120, seconds="180 s", set_point=None)
    goes(studio, 180, seconds="180 s")
    found = tiles_tried(studio, "N04")
    assert found.kiln == "front-loader"
    assert len(found.loads) == 1
    assert any("1 in another kiln" in one for one in found.left_out)
    assert any("is not noted" in one for one in found.left_out)


def test_more_than_five_hundred_loads_of_a_jar_are_answered_by_the_newest(studio: Studio) -> None:
    count = 520
    used = [
        FiringFacts(n, n, f"F{n:03d}", "", ("N04",), "front", FaultFacts(stage="gloss", seconds=180.0))
        for n in range(count)
    ]
    loads: Any = {n: SimpleNamespace(set_point=1063.15, to_gloss=None, kiln=1) for n in range(count)}
    tries, left_out = next_tiles._tries(studio, used, loads, {}, {})
    assert tries[-1].number == "F519"
    assert len(NextTileInput(tried=tuple(one.tile for one in tries)).tried) == 500
    assert left_out == ["20 loads before the newest 500"]


@pytest.mark.parametrize("seconds", ["7300 s", "30000 s"])
def test_a_good_setting_longer_than_a_tile_is_fired_is_no_trouble(studio: Studio, seconds: str) -> None:
    goes(studio, 60, seconds=seconds)
    found = tiles_tried(studio, "N04")
    assert found.asked.tried == ()
    assert found.left_out
    assert question("next-tile").answer(found.asked, bench(studio)).payload.loads


@pytest.mark.parametrize(
    ("wanted", "words"),
    [
        ({"loads": 13}, "'13' is no number of loads. Write 1 to 12."),
        ({"shelf": 25}, "'25' is no number of places on the shelf. Write 1 to 24."),
        ({"thicknesses": (1e-4,) * 9}, "9 powder depths are too many at once. Give at most 6."),
        ({"undercoats": ("a" * 100,)}, "is too long a name. Use at most 60 letters."),
        ({"thicknesses": (9.0,)}, "Look whether the unit is right."),
    ],
)
def test_what_is_too_much_is_refused_in_one_sentence(studio: Studio, wanted: dict[str, Any], words: str) -> None:
    with pytest.raises(InputError) as caught:
        tiles_tried(studio, "N04", **wanted)
    assert words in str(caught.value)
    assert "\n" not in str(caught.value)


def test_limits_are_those_of_the_question() -> None:
    for field in ("loads", "shelf"):
        least, most = limits(field)
        assert NextTileInput(**{field: least})
        assert NextTileInput(**{field: most})
        with pytest.raises(ValueError, match=field):
            NextTileInput(**{field: most + 1})


def test_two_depths_are_asked_for_where_nothing_else_differs(studio: Studio) -> None:
    assert len(tiles_tried(studio, "N04").asked.thicknesses) == 2
    assert tiles_tried(studio, "N04", undercoats=("flux", "white")).asked.thicknesses == ()
    assert tiles_tried(studio, "N04", shelf=2).asked.thicknesses == ()


def test_a_tile_that_is_black_on_bare_metal_is_told_by_undercoat(studio: Studio) -> None:
    for n in range(2):
        (tile,) = make_tiles(studio, 1, metal="copper")
        for name, under in (("1", "bare"), ("2", "flux J01"), ("3", "white J04")):
            spot(studio, tile.id, name, under=under, coats=[{"jar": "N05"}])
        goes(studio, 60 * n + 60, tile, "N05", seconds="175 s")
        see_fault(studio.at(MORNING + timedelta(minutes=60 * n + 70)), tile.id, "redbrown", place="bare quarter")
    bare, others = tiles_tried(studio, "N05").undercoats
    assert bare.startswith("On bare metal: ")
    assert bare.endswith("in 2 of 2 loads.")
    assert others == "Over flux J01, white J04: no fault in 2 loads."


def test_a_ladder_becomes_tiles_with_setting_place_and_layout(studio: Studio) -> None:
    three(studio)
    answer = question("next-tile").answer(tiles_tried(studio, "N04").asked, bench(studio))
    for ladder in answer.payload.ladders:
        made = make_ladder(studio, "N04", ladder, metal="copper")
        assert len(made) == len(ladder.made)
        for row, tile in zip(made, ladder.made, strict=True):
            spots = spots_of(studio, row.id)
            assert [one.under for one in spots] == [one.undercoat for one in tile.spots]
            depths = [one.coats[0]["powder_depth_mm"] for one in spots]
            assert depths == pytest.approx([1e3 * one.thickness.value for one in tile.spots])
            assert {one.coats[0]["jar"] for one in spots} == {"N04"}
            assert all(one.layout is not None for one in spots)
            minutes, seconds = divmod(round(tile.time.value), 60)
            assert (
                f"{tile.temperature.value - KELVIN:.0f} °C for {minutes}:{seconds:02d}, place {tile.place}" in row.words
            )


def test_the_next_loads_become_tiles_without_the_control_tile(studio: Studio) -> None:
    loads = question("next-tile").answer(tiles_tried(studio, "N04").asked, bench(studio)).payload.loads
    made = make_loads(studio, "N04", loads, metal="copper")
    planned = [(n, tile) for n, load in enumerate(loads, 1) for tile in load.tiles if tile.what == "tile"]
    assert len(made) == len(planned)
    for row, (n, tile) in zip(made, planned, strict=True):
        assert f"load {n} of {len(loads)}" in row.words
        assert row.words.endswith(f"place {tile.place}")
        (one,) = spots_of(studio, row.id)
        assert one.coats == [{"jar": "N04", "powder_depth_mm": pytest.approx(1e3 * tile.thickness.value)}]
