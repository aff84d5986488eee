"""What every sequence must hold, whatever the stack."""

import copy
from typing import Any

import pytest
from craft.sequence_cases import EXAMPLES, Planned, data_of, plan
from hypothesis import given, settings
from hypothesis import strategies as st

from enamelwright.craft.bench import Bench, HouseRules

JARS = {
    "opaque": "lead_free_opaque_titania_medium",
    "clear": "lead_free_transparent_medium",
    "flux": "leaded_flux_clear",
}
ALL = sorted(path.stem for path in EXAMPLES.glob("*.toml"))


def piece(*coats: dict[str, Any], metal: str = "copper", thickness: float = 0.9, **more: Any) -> dict[str, Any]:
    """Describe a plain disc."""
    return {
        "format": 1,
        "name": "disc",
        "metal": {"kind": metal, "thickness_mm": thickness},
        "outline": {"shape": "circle", "diameter_mm": 30},
        "coats": list(coats),
        **more,
    }


def coat(face: str, what: str = "opaque", depth: float = 0.4, **more: Any) -> dict[str, Any]:
    return {"face": face, "jar": JARS[what], "powder_depth_mm": depth, **more}


def holds(planned: Planned) -> None:
    """Assert what is true of every sequence."""
    layup, sequence = planned.layup, planned.sequence
    firings = sequence.firings
    assert [f.number for f in firings] == list(range(firings[0].number, firings[0].number + len(firings)))
    on = {layer.number for layer in layup.layers if layer.coat.fired}
    glassed = {layer.coat.face for layer in layup.layers if layer.coat.fired}
    for firing in firings:
        assert set(firing.reheats) == on - set(firing.fuses)
        assert not on & set(firing.fuses), "a coat melts for the first time only once"
        under = "back" if firing.face_up == "front" else "front"
        if firing.loaded in {under, "both"}:
            assert "rim only" in firing.rests_on or "frame only" in firing.rests_on or firing.support == "torch ring"
        if firing.support in {"mesh", "plate"} and layup.piece.form == "sheet":
            assert under not in glassed, "fired glass is not laid on a mesh unless the maker asks for it"
        if firing.loaded in {"front", "back"}:
            assert firing.face_up == firing.loaded
        on |= set(firing.fuses)
        glassed |= {layup.layers[n].coat.face for n in firing.fuses}
    assert on == {layer.number for layer in layup.layers}, "every coat is fired"
    for face in ("front", "back"):
        melted = [n for f in firings for n in f.fuses if layup.layers[n].coat.face == face]
        places = [layup.layers[n].place for n in melted if not layup.layers[n].coat.cells]
        assert places == sorted(places), "coats of a face keep the order of the file"
    fires = [operation for operation in sequence.operations if operation.work == "fire"]
    assert [operation.firing for operation in fires] == [firing.number for firing in firings]
    for firing in firings:
        own = [op.work for op in sequence.operations if op.firing == firing.number]
        hot = layup.piece.form == "bead" and firing.support == "torch ring"
        if "lay" in own and not hot:
            assert "dry" in own[own.index("lay") : own.index("fire")]
        assert "cool" in own[own.index("fire") :]


@pytest.mark.parametrize("example", ALL)
def test_examples_hold(example: str):
    holds(plan(data_of(example)))


_COAT = st.fixed_dictionaries(
    {"face": st.sampled_from(["front", "back"]), "what": st.sampled_from(sorted(JARS)), "depth": st.floats(0.05, 0.8)},
    optional={
        "times": st.integers(1, 4),
        "with_previous": st.booleans(),
        "stone_after": st.booleans(),
        "scratched": st.booleans(),
        "stencil": st.booleans(),
        "method": st.sampled_from(["sift", "wet-pack", "slip", "paint", "place"]),
        "cells": st.sampled_from([[], ["a"], ["b"], ["a", "b"]]),
    },
)


@settings(max_examples=120, deadline=None)
@given(
    coats=st.lists(_COAT, min_size=1, max_size=7),
    metal=st.sampled_from(["copper", "fine silver", "sterling silver", "enamelling steel"]),
    thickness=st.floats(0.25, 3),
    both=st.sampled_from([None, True, False]),
    dome=st.sampled_from([0.0, 2.0]),
    fired=st.integers(0, 3),
    finish=st.sampled_from(["gloss", "matt", "as fired"]),
)
def test_any_stack_holds(coats, metal, thickness, both, dome, fired, finish):
    listed = [coat(**one) for one in coats]
    listed[0].pop("with_previous", None)  # the first coat has none before it
    for one in listed[: min(fired, len(listed) - 1)]:
        one["fired"] = True
    data = piece(*listed, metal=metal, thickness=thickness, dome_mm=dome, finish=finish)
    data["cells"] = [{"name": "a", "share": 0.3}, {"name": "b", "share": 0.4}]
    if both is not None:
        data["firing"] = {"both_at_once": both}
    planned = plan(data)
    holds(planned)
    laid = {layer.number: 0 for layer in planned.layup.layers if not layer.coat.fired}
    for operation in planned.sequence.operations:
        if operation.work == "lay":
            laid[operation.coats[0]] += 1
    assert laid == {n: planned.layup.layers[n].coat.times for n in laid}, "each coat is laid as often as the file says"
    if not any(layer.coat.fired for layer in planned.layup.layers):
        front = [f for f in planned.sequence.firings if "front" in (f.loaded, f.face_up) and f.loaded != "back"]
        if front and finish == "gloss":
            assert front[-1].target in {"gloss", "cleared"}


@pytest.mark.parametrize("example", ALL)
def test_the_same_piece_gives_the_same_sequence(example: str):
    assert plan(data_of(example)).sequence == plan(data_of(example)).sequence


# --- which side first: order of the rules 3, 1, 4, 5, 2 --------------------------------------------------

BACK, FRONT, CLEAR = coat("back"), coat("front"), coat("front", "flux")
PAINT = coat("front", depth=0.05, method="paint")


@pytest.mark.parametrize(
    ("data", "rule", "first"),
    [
        (piece(BACK, FRONT), "SIDE-2", "back"),
        (piece(BACK, CLEAR), "SIDE-1", "front"),
        (piece(BACK, CLEAR, thickness=0.4), "SIDE-1", "front"),  # 1 before 4
        (piece(BACK, CLEAR, metal="fine silver"), "SIDE-2", "back"),  # no scale to keep from the flux
        (piece(BACK, FRONT, thickness=0.4), "SIDE-4", "both"),
        (piece(BACK, FRONT, PAINT, thickness=0.4), "SIDE-3", "back"),  # 3 before 4
        (piece(BACK, CLEAR, PAINT), "SIDE-3", "back"),  # 3 before 1
        (piece(coat("front", depth=0.3), thickness=1.6), "SIDE-5", "front"),
        (piece(coat("front", depth=0.3)), "SIDE-FRONT", "front"),
        (piece(BACK, FRONT, firing={"both_at_once": True}), "SIDE-OWN", "both"),
        (piece(BACK, FRONT, thickness=0.4, firing={"both_at_once": False}), "SIDE-OWN", "back"),
    ],
)  # fmt: skip
def test_which_side_first(data, rule, first):
    planned = plan(data)
    assert planned.side == rule
    assert planned.sequence.firings[0].loaded == first
    assert planned.sequence.advice[0].words


@pytest.mark.parametrize("side", ["front", "back", "both"])
def test_the_house_comes_before_the_rules(side):
    bench = Bench.starter().model_copy(update={"house": HouseRules(first_side=side)})
    for data in (piece(BACK, FRONT), piece(BACK, CLEAR), piece(BACK, FRONT, thickness=0.3)):
        planned = plan(data, bench)
        assert planned.side == "SIDE-HOUSE"
        assert planned.sequence.firings[0].loaded == side


# --- stages, supports, counters ---------------------------------------------------------------------------


def test_a_second_counter_coat_comes_near_half_way():
    fronts = [coat("front", depth=0.1) for _ in range(6)]
    planned = plan(piece(BACK, BACK, *fronts))
    loaded = [firing.loaded for firing in planned.sequence.firings]
    assert loaded == ["back", "front", "front", "front", "back", "front", "front", "front"]


def test_coats_with_previous_share_a_firing_on_one_face_and_across():
    one = plan(piece(BACK, FRONT, coat("front", with_previous=True)))
    assert [firing.fuses for firing in one.sequence.firings] == [(0,), (1, 2)]
    across = plan(piece(BACK, coat("front", with_previous=True), FRONT))
    assert [firing.fuses for firing in across.sequence.firings] == [(0, 1), (2,)]
    assert across.sequence.firings[0].loaded == "both"
    assert "turn" in across.works


def test_a_maker_s_mesh_under_wet_glass_is_not_followed_and_said():
    planned = plan(piece(BACK, FRONT, firing={"both_at_once": True, "support": "mesh"}))
    assert planned.sequence.firings[0].support == "trivet"
    assert any(advice.rule == "SUPPORT-WET" for advice in planned.sequence.advice)


def test_flatness_matters_only_where_a_later_step_needs_it():
    plain = plan(piece(BACK, FRONT, FRONT))
    assert [firing.needs_flat for firing in plain.sequence.firings] == [False, False, True]
    stoned = plan(piece(BACK, coat("front", stone_after=True), FRONT))
    assert [firing.needs_flat for firing in stoned.sequence.firings] == [False, True, True]
    domed = plan(piece(BACK, FRONT, dome_mm=3))
    assert not any(firing.needs_flat for firing in domed.sequence.firings)
    held = plan(piece(BACK, FRONT, dome_mm=3, use={"set_in": "bezel"}))
    assert [firing.needs_flat for firing in held.sequence.firings] == [False, True]


def test_a_stoned_last_coat_is_flashed_unless_it_stays_matt():
    gloss = plan(piece(BACK, FRONT, coat("front", stone_after=True)))
    assert gloss.sequence.firings[-1].flash
    assert gloss.works.index("stone") < len(gloss.works) - 1 - gloss.works[::-1].index("fire")
    matt = plan(piece(BACK, FRONT, coat("front", stone_after=True), finish="matt"))
    assert not any(firing.flash for firing in matt.sequence.firings)
    assert "stone" in matt.works


def test_pressed_flat_after_each_one_sided_firing_only():
    planned = plan(piece(BACK, FRONT, FRONT, firing={"press_flat": True}))
    pressed = [op.firing for op in planned.sequence.operations if op.work == "press flat"]
    assert pressed == [1]


def test_oxide_is_rubbed_or_pickled_by_habit():
    rubbed = plan(piece(BACK, FRONT))
    pickled = plan(piece(BACK, FRONT, firing={"pickle": True}))
    words = [op.words for op in rubbed.sequence.operations if op.work == "clean oxide"]
    assert any("abrasive" in line for line in words)
    assert not any("ickle" in line for line in words)
    assert any("Pickle" in op.words for op in pickled.sequence.operations if op.work == "clean oxide")


def test_sterling_gets_its_fine_silver_skin_and_what_was_done_counts():
    none = plan(piece(BACK, FRONT, metal="sterling silver"))
    some = piece(BACK, FRONT, metal="sterling silver")
    some["metal"]["depletion_cycles"] = 6
    raised = [op for op in none.sequence.operations if "fine-silver skin" in op.words]
    assert len(raised) == 1
    assert not [op for op in plan(some).sequence.operations if "fine-silver skin" in op.words]


def test_large_pieces_are_held_in_the_middle():
    big = piece(BACK, FRONT)
    big["outline"] = {"shape": "circle", "diameter_mm": 200}
    assert any("middle" in firing.rests_on for firing in plan(big).sequence.firings)
    assert not any("middle" in firing.rests_on for firing in plan(piece(BACK, FRONT)).sequence.firings)


# --- starting in the middle -------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "example", ["sifted-pendant", "ripple-stud", "clear-over-flux", "orchard-miniature", "thread-tile"]
)
def test_a_plan_restarts_from_the_piece_as_it_is(example: str):
    data = data_of(example)
    whole = plan(data).sequence
    done = whole.firings[0].fuses
    later = copy.deepcopy(data)
    for number in done:
        later["coats"][number]["fired"] = True
    rest = plan(later).sequence
    assert [f.model_dump(exclude={"number"}) for f in rest.firings] == [
        f.model_dump(exclude={"number"}) for f in whole.firings[1:]
    ]
    assert rest.firings[0].number == 2
    assert "prepare" not in [op.work for op in rest.operations]


@pytest.mark.parametrize(
    ("fault", "work", "firings"),
    [
        ("hairline crack near the rim", "fire", 1),
        ("dull all over", "fire", 1),
        ("warped like a saucer", "press flat", 1),
        ("pinholes", "lay", 1),
        ("red turned brown", "prepare", 0),
        ("flaked off to metal", "prepare", 0),
        ("trivet mark", "check", 0),
    ],
)
def test_a_fault_is_mended_first(fault, work, firings):
    done = [dict(BACK, fired=True), dict(FRONT, fired=True)]
    planned = plan(piece(*done, so_far={"firings": 2, "fault": fault}))
    assert planned.count == firings
    assert work in planned.works
    if firings:
        assert planned.sequence.firings[0].number == 3
        assert planned.sequence.firings[0].reheats == (0, 1)


def test_wires_on_bare_metal_are_not_embedded_and_those_laid_with_a_fill_share_its_firing():
    fill = {"face": "front", "jar": JARS["clear"], "fill": "to level", "cells": ["a"], "method": "wet-pack"}
    cells = [{"name": "a", "share": 0.8}]
    wires = {"metal": "copper", "height_mm": 0.8, "thickness_mm": 0.2}
    bare = plan(piece(BACK, fill, cells=cells, wires=[dict(wires, after_coat=0)]))
    assert not any(firing.embeds for firing in bare.sequence.firings)
    assert "place" in bare.works
    own = plan(piece(BACK, CLEAR, fill, cells=cells, wires=[dict(wires, after_coat=1)]))
    shared = plan(piece(BACK, CLEAR, dict(fill, with_previous=True), cells=cells, wires=[dict(wires, after_coat=1)]))
    assert [firing.embeds for firing in own.sequence.firings].count(True) == 1
    assert own.count - shared.count == 1
    held = next(firing for firing in shared.sequence.firings if firing.embeds)
    assert held.fuses == (2,)
    assert held.fill_round == 1


def test_warm_cells_wait_for_the_last_rounds():
    red = {"id": "red", "name": "red", "kind": "opaque", "optics": {"family": "red"}}
    blue = {"id": "blue", "name": "blue", "kind": "opaque", "optics": {"family": "blue"}}
    cells = [{"name": "a", "share": 0.4}, {"name": "b", "share": 0.4}]
    coats = [
        {"face": "front", "jar": "red", "cells": ["a"], "powder_depth_mm": 0.2, "times": 2},
        {"face": "front", "jar": "blue", "cells": ["b"], "powder_depth_mm": 0.2, "times": 5},
    ]
    planned = plan(piece(*coats, cells=cells, jars=[red, blue], thickness=2))
    assert [firing.fuses for firing in planned.sequence.firings] == [(1,), (), (), (0,), ()]
