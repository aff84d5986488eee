"""The section: to scale, bowed the right way, well-formed, repeatable, and readable without colour.

Contrast: W3C, Web Content Accessibility Guidelines 2.2, success criteria 1.4.6 (7:1 for text) and
1.4.11 (3:1 for what is not text).
"""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree
from itertools import pairwise

import pytest

import sample_plans
from enamelwright.craft.coat import STAGES
from enamelwright.craft.outline_shape import Cell, Hole, Shape
from enamelwright.craft.piece import Piece
from enamelwright.pictures import section
from enamelwright.pictures.lights import LIGHTS, contrast
from enamelwright.pictures.load_view import SUPPORT_WORDS, load_svg
from enamelwright.pictures.plan_view import plan_view_svg
from enamelwright.pictures.section import bow_words, finding, marked, scale_words, section_svg
from enamelwright.pictures.stack import stack_after
from enamelwright.pictures.stage_view import stage_svg

SVG = "{http://www.w3.org/2000/svg}"
PLANS = ["disc", "cloisonne", "hostile", "many_coats", "no_coats"]


def plan_of(name: str):
    return getattr(sample_plans, name)()


def paths(svg: str, coat: int) -> list[list[float]]:
    """Return the numbers of the outlines of one coat; -1 is the metal."""
    root = ElementTree.fromstring(svg)
    part = "metal" if coat < 0 else "coat"
    groups = [g for g in root.iter(f"{SVG}g") if g.get("data-part") == part and g.get("data-coat", "-1") == str(coat)]
    return [
        [float(n) for n in re.findall(r"-?\d+\.?\d*", path.get("d", ""))]
        for g in groups
        for path in g.iter(f"{SVG}path")
    ]


def height(path: list[float]) -> float:
    """Return the thickness at the rim: M x0 y0 Q .. x1 y1 L x2 y2 ..."""
    return path[7] - path[5]


@pytest.mark.parametrize("firing", [None, 1, 3])
def test_bands_are_as_thick_as_the_glass(firing):
    plan = sample_plans.disc()
    svg = section_svg(plan, firing)
    stack = stack_after(plan, firing)
    scale = height(paths(svg, -1)[0]) / stack.thickness
    assert stack.coats
    for coat in stack.coats:
        assert height(paths(svg, coat.number)[0]) == pytest.approx(coat.thickness * scale, abs=0.002)


def test_thickness_is_drawn_as_often_larger_as_the_words_say():
    plan = sample_plans.disc()
    metal = paths(section_svg(plan), -1)[0]
    times = float(re.search(r"×([\d.]+)", scale_words(plan)).group(1))
    wide, tall = metal[4] - metal[0], height(metal)
    assert tall / wide == pytest.approx(times * 0.9 / 38, rel=0.002)


def test_a_front_that_is_convex_is_drawn_middle_up():
    plan = sample_plans.disc()  # after firing 3 the bow is positive: front convex
    up = paths(section_svg(plan, 3), -1)[0]
    down = paths(section_svg(plan, 1), -1)[0]
    assert up[3] < up[1]  # SVG counts y downwards: the bend lies above the rim
    assert down[3] > down[1]


def test_the_bow_is_drawn_to_the_scale_of_the_thickness():
    plan = sample_plans.disc()
    metal = paths(section_svg(plan, 1), -1)[0]
    rise = (metal[1] - metal[3]) / 2  # the middle of a quadratic lies half way to its bend
    assert rise / height(metal) == pytest.approx(-0.31 / 0.9, rel=0.01)


def test_a_dome_is_drawn_with_the_bow():
    plan = sample_plans.cloisonne()
    metal = paths(section_svg(plan), -1)[0]
    assert (metal[1] - metal[3]) / 2 / height(metal) == pytest.approx(1.6 / 0.6, rel=0.01)


def test_a_high_dome_is_lowered_and_the_words_say_so():
    data = sample_plans.tomllib.loads(sample_plans.DISC)
    data["dome_mm"] = 12
    plan = sample_plans.disc().model_copy(update={"piece": Piece.from_outside(data)})
    assert "dome lower than it is" in scale_words(plan)
    assert "dome lower" not in scale_words(sample_plans.disc())
    assert height(paths(section_svg(plan), -1)[0]) > 1.5


def test_coats_stand_in_order_from_the_metal_outward():
    plan = sample_plans.disc()
    svg = section_svg(plan)
    metal, white, blue, back = (paths(svg, n)[0] for n in (-1, 1, 2, 0))
    assert white[7] == pytest.approx(metal[1])  # underside of the white on the metal
    assert blue[7] == pytest.approx(white[1])
    assert back[1] == pytest.approx(metal[7])


def test_only_coats_already_fired_are_drawn():
    plan = sample_plans.disc()
    assert [c.number for c in stack_after(plan, 0).coats] == []
    assert [c.number for c in stack_after(plan, 1).coats] == [0]
    assert [c.number for c in stack_after(plan, 2).coats] == [0, 1]


def test_a_fill_to_level_grows_with_its_rounds():
    plan = sample_plans.cloisonne(fills=4)
    depth = [next((c.thickness for c in stack_after(plan, n).coats if c.number == 2), 0.0) for n in (2, 3, 4, 6, 7)]
    assert depth == pytest.approx([0, 0.2e-3, 0.4e-3, 0.8e-3, 0.8e-3])


def test_a_coat_laid_twice_is_twice_as_thick():
    stack = stack_after(sample_plans.cloisonne())
    assert stack.coats[0].thickness == pytest.approx(0.5e-3)


def test_cells_lie_side_by_side_and_wires_between_them():
    stack = stack_after(sample_plans.cloisonne())
    fills = sorted((band for band in stack.bands if band.coat >= 2), key=lambda band: band.left)
    assert [band.coat for band in fills] == [2, 3, 4]
    assert fills[0].right == pytest.approx(fills[1].left)
    assert len({band.low for band in fills}) == 1
    assert [wire.at for wire in stack.wires] == pytest.approx([0.0, fills[0].right, fills[1].right, 1.0])
    assert 'data-part="wire"' in section_svg(sample_plans.cloisonne())


def test_a_recess_is_cut_into_the_metal_and_holds_the_glass():
    data = sample_plans.tomllib.loads(sample_plans.DISC)
    data |= {"technique": "champleve", "recess": {"depth_mm": 0.4}}
    data["coats"] = data["coats"][1:]
    piece = Piece.from_outside(data)
    weights = tuple(sample_plans.weight(piece, n, 0.2, 0.5, 1e-3) for n in (0, 1))
    stack = stack_after(sample_plans.disc().model_copy(update={"piece": piece, "weights": weights}))
    tops = {round(band.high * 1e3, 6) for band in stack.metal}
    assert tops == {0.9, 0.5}
    assert min(band.low for band in stack.bands) == pytest.approx(0.5e-3)
    assert max(band.high for band in stack.bands) == pytest.approx(0.9e-3)


def test_an_open_window_has_no_metal_behind_it():
    data = sample_plans.tomllib.loads(sample_plans.DISC)
    data["technique"] = "plique_open"
    data["coats"] = data["coats"][2:]
    piece = Piece.from_outside(data)
    plan = sample_plans.disc().model_copy(
        update={"piece": piece, "weights": (sample_plans.weight(piece, 0, 0.9, 0.5, 1e-3),)}
    )
    stack = stack_after(plan)
    for glass in stack.bands:
        assert all(metal.right <= glass.left + 1e-9 or metal.left >= glass.right - 1e-9 for metal in stack.metal)


def test_a_partial_coat_covers_its_share():
    data = sample_plans.tomllib.loads(sample_plans.DISC)
    data["coats"][2]["share"] = 0.4
    plan = sample_plans.disc().model_copy(update={"piece": Piece.from_outside(data)})
    band = next(band for band in stack_after(plan).bands if band.coat == 2)
    assert (band.left, band.right) == pytest.approx((0.3, 0.7))


@pytest.mark.parametrize("light", list(LIGHTS))
@pytest.mark.parametrize("name", PLANS)
def test_every_section_is_well_formed_named_and_repeatable(name, light):
    plan = plan_of(name)
    svg = section_svg(plan, None, 91.0, light)
    root = ElementTree.fromstring(svg)
    assert root.find(f"{SVG}title").text.startswith(plan.piece.name[:8])
    assert root.find(f"{SVG}desc").text == finding(plan)
    assert root.get("role") == "img"
    assert svg == section_svg(plan_of(name), None, 91.0, light)


@pytest.mark.parametrize("name", PLANS)
def test_nothing_is_drawn_outside_the_picture(name):
    root = ElementTree.fromstring(section_svg(plan_of(name), None, 91.0))
    _, _, width, tall = (float(n) for n in root.get("viewBox").split())
    for text in root.iter(f"{SVG}text"):
        assert 0 <= float(text.get("x")) <= width
        assert 0 < float(text.get("y")) <= tall
    for path in root.iter(f"{SVG}path"):
        numbers = [float(n) for n in re.findall(r"-?\d+\.?\d*", path.get("d", ""))]
        assert all(0 <= x <= width for x in numbers[::2])


def test_hostile_names_are_escaped():
    svg = section_svg(sample_plans.hostile())
    root = ElementTree.fromstring(svg)
    assert sample_plans.HOSTILE in root.find(f"{SVG}title").text
    assert {element.tag.removeprefix(SVG) for element in root.iter()} <= {
        "svg", "title", "desc", "defs", "pattern", "rect", "circle", "g", "path", "line", "polyline", "polygon", "text",
    }  # fmt: skip
    plan = sample_plans.disc()
    odd = plan.model_copy(update={"piece": plan.piece.model_copy(update={"name": "a\x0bb\ufffe]]>"})})
    ElementTree.fromstring(section_svg(odd))


def test_marks_stand_on_the_band_they_judge_with_a_word():
    plan = sample_plans.cloisonne()
    root = ElementTree.fromstring(section_svg(plan))
    marks = [g for g in root.iter(f"{SVG}g") if g.get("data-part") == "verdict"]
    assert [(g.get("data-level"), g.find(f"{SVG}text").text) for g in marks] == [("stop", "Stop"), ("watch", "Watch")]
    shapes = [len(g.find(f"{SVG}polygon").get("points").split()) for g in marks]
    assert shapes == [8, 3]
    # The leader ends in a dot on the band; the shape stands beside the piece, as in a list.
    x, y = (float(marks[1].findall(f"{SVG}circle")[-1].get(k)) for k in ("cx", "cy"))
    band = paths(section_svg(plan), 0)[0]
    assert band[0] <= x <= band[4]
    assert min(band[1], band[3]) <= y <= band[7]


@pytest.mark.parametrize("light", ["paper", "lamp"])
def test_a_mark_does_not_stand_on_the_name_of_a_coat_or_on_another_mark(light):
    """Names of coats inside the rim stand in a row that the leaders of the marks cross."""
    for plan in (sample_plans.cloisonne(), sample_plans.hostile(), sample_plans.disc()):
        root = ElementTree.fromstring(section_svg(plan, light=light))
        keys = [float(t.get("x")) for t in root.findall(f"{SVG}text") if t.get("text-anchor") == "middle"]
        marks = [g for g in root.iter(f"{SVG}g") if g.get("data-part") == "verdict"]
        above = []
        for mark in marks:
            x, y = (float(n) for n in mark.find(f"{SVG}polyline").get("points").split()[0].split(","))
            dot = float(mark.findall(f"{SVG}circle")[-1].get("cy"))
            if y < dot:
                above.append(x)
        assert all(abs(x - key) >= section.CLEAR - 1e-6 for x in above for key in keys)
        assert all(b - a >= section.MARK_STEP - 1e-6 for a, b in pairwise(sorted(above)))


def test_at_most_three_marks_one_a_place():
    plan = sample_plans.hostile()
    assert section_svg(plan).count('data-part="verdict"') == 3
    chosen = marked(plan, stack_after(plan))
    assert len({(v.place.face, v.place.coats) for v in chosen}) == len(chosen)


def test_the_bow_is_told_as_a_range():
    plan = sample_plans.disc()
    assert bow_words(plan, 1) == "Bow likely between 0.12 and 0.50 mm, middle low seen from the front."
    assert bow_words(plan, 3) == "Bow likely between 0.03 and 0.13 mm, middle high seen from the front."
    assert bow_words(sample_plans.cloisonne()).startswith("Bow not worked out: wires")
    assert bow_words(plan, 0) == "Bare metal."


def test_transparent_opal_and_opaque_differ_without_colour():
    svg = section_svg(sample_plans.cloisonne())
    assert "url(#section-transparent-dark)" in svg
    assert "url(#section-opalescent-dark)" in svg
    assert "url(#section-opaque-dark)" in section_svg(sample_plans.disc())
    colours = set(re.findall(r"#[0-9A-Fa-f]{6}\b", section_svg(sample_plans.disc())))
    assert colours == {"#000000", "#FFFFFF"}


@pytest.mark.parametrize("light", list(LIGHTS))
def test_text_has_seven_to_one_and_lines_three_to_one(light):
    tokens = LIGHTS[light]
    for under in (tokens.ground, tokens.panel):
        for ink in (tokens.text, tokens.quiet, tokens.action, *tokens.level.values()):
            assert contrast(ink, under) >= 7, (ink, under)
        assert contrast(tokens.rule, under) >= 3, (tokens.rule, under)


def test_contrast_agrees_with_the_standard():
    # WCAG 2.2: black on white is 21:1; #767676 on white is the well-known 4.54:1 (W3C, technique G18).
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21)
    assert contrast("#767676", "#FFFFFF") == pytest.approx(4.54, abs=0.01)


@pytest.mark.parametrize("stage", STAGES)
def test_stages_are_well_formed_and_all_different(stage):
    svg = stage_svg(stage)
    ElementTree.fromstring(svg)
    assert sum(stage_svg(other) == svg for other in STAGES) == 1


@pytest.mark.parametrize("support", list(SUPPORT_WORDS))
@pytest.mark.parametrize("loaded", ["front", "back", "both", "none"])
def test_loads_are_well_formed_and_say_which_face_is_up(support, loaded):
    firing = sample_plans.disc().firings[0].model_copy(update={"support": support, "loaded": loaded})
    root = ElementTree.fromstring(load_svg(firing))
    assert any(firing.face_up in (text.text or "") for text in root.iter(f"{SVG}text"))


def test_unfired_powder_lies_on_the_face_that_carries_it():
    firing = sample_plans.disc().firings[1]  # front up, front loaded

    def grains(loaded: str) -> list[float]:
        root = ElementTree.fromstring(load_svg(firing.model_copy(update={"loaded": loaded})))
        return [float(c.get("cy")) for c in root.iter(f"{SVG}circle")]

    assert grains("none") == []
    assert max(grains("front")) < min(grains("back"))
    assert len(grains("both")) == len(grains("front")) + len(grains("back"))


def test_the_plan_view_keeps_proportions_cells_and_holes():
    shape = Shape.rounded_rectangle(0.04, 0.02).with_holes(Hole.round(0.002, (0.0, 0.008)))
    shape = shape.with_cells(Cell("sky <&", ((-0.01, -0.005), (0.01, -0.005), (0.01, 0.005), (-0.01, 0.005))))
    svg = plan_view_svg(shape, 60, 60, name="<a> & b")
    root = ElementTree.fromstring(svg)
    outline = next(p for p in root.iter(f"{SVG}path") if p.get("data-part") == "outline")
    numbers = [float(n) for n in re.findall(r"-?\d+\.?\d*", outline.get("d"))]
    wide, tall = max(numbers[::2]) - min(numbers[::2]), max(numbers[1::2]) - min(numbers[1::2])
    assert wide / tall == pytest.approx(2, rel=1e-3)
    assert [p.get("data-cell") for p in root.iter(f"{SVG}path") if p.get("data-cell")] == ["sky <&"]
    assert sum(1 for p in root.iter(f"{SVG}path") if p.get("data-hole")) == 1
    hole = next(p for p in root.iter(f"{SVG}path") if p.get("data-hole"))
    heights = [float(n) for n in re.findall(r"-?\d+\.?\d*", hole.get("d"))][1::2]
    assert max(heights) < (max(numbers[1::2]) + min(numbers[1::2])) / 2  # y up in metres is up on paper
    assert "40 mm" in svg
    assert svg == plan_view_svg(shape, 60, 60, name="<a> & b")


def test_a_dome_is_drawn_domed_the_way_up_it_lies_and_a_bead_round():
    firing = sample_plans.disc().firings[1]

    def bend(face: str, dome: float) -> float:
        root = ElementTree.fromstring(load_svg(firing.model_copy(update={"face_up": face}), dome=dome))
        path = next(p for p in root.iter(f"{SVG}path") if p.get("data-part") == "domed")
        rim = float(re.search(r"M[\d.]+ [\d.]+V([\d.]+)", path.get("d")).group(1))
        return rim - float(re.search(r"Q[\d.]+ (-?[\d.]+)", path.get("d")).group(1))

    assert bend("front", 0.2) > 0 > bend("back", 0.2)
    assert bend("front", -0.2) < 0 < bend("back", -0.2)
    assert "domed" not in load_svg(firing)
    for form in ("bead", "ring"):
        for support in SUPPORT_WORDS:
            svg = load_svg(firing.model_copy(update={"support": support}), form=form)
            root = ElementTree.fromstring(svg)
            assert [c for c in root.iter(f"{SVG}circle") if c.get("data-part") == form]
            assert "front up" not in svg.lower()
