"""Colours foretold in drawings: on screens only, marked when invented, the family's colour where nothing is known."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ElementTree

import pytest

import sample_plans
from enamelwright.craft.bench import Bench
from enamelwright.craft.jar import Jar, OpticsFacet
from enamelwright.craft.outline_shape import Cell, Shape
from enamelwright.pictures.colour_sheet import GROUNDS, invented_sheet_svg
from enamelwright.pictures.foretold import cell_colours, coat_colours, jar_colour
from enamelwright.pictures.lights import FAMILY_COLOURS
from enamelwright.pictures.plan_view import plan_view_svg
from enamelwright.pictures.section import colour_words, section_svg
from enamelwright.pictures.stack import looks
from enamelwright.pictures.swatch import Glass, jar_svg
from enamelwright.web.drawings import lit

COLOUR = re.compile(r'fill="(#[0-9A-Fa-f]{6})"')


def fills(drawing: str) -> set[str]:
    """Colours that areas of a drawing are filled with."""
    return {found.group(1) for found in COLOUR.finditer(drawing)}


@pytest.mark.parametrize("name", ["disc", "cloisonne", "many_coats"])
def test_a_screen_shows_the_colour_foretold_and_paper_none(name: str) -> None:
    plan = getattr(sample_plans, name)()
    told = coat_colours(plan, looks(plan))
    assert told
    shown = fills(section_svg(plan, light="daylight"))
    assert {one.colour for one in told.values()} <= shown
    assert not {one.colour for one in told.values()} & fills(section_svg(plan))


def test_what_is_invented_is_said_on_the_drawing() -> None:
    plan = sample_plans.disc()
    drawing = section_svg(plan, light="lamp")
    assert "invented where no tiles were fitted" in drawing
    assert "colour foretold from invented curves" in drawing
    assert "invented" in colour_words(plan)
    assert "invented" not in section_svg(plan, light="paper")


def test_a_coat_nobody_can_foretell_keeps_the_colour_of_its_family() -> None:
    plan = sample_plans.disc()
    jars = tuple(jar.model_copy(update={"optics": OpticsFacet(family="mixed")}) for jar in plan.piece.jars)
    odd = plan.model_copy(update={"piece": plan.piece.model_copy(update={"jars": jars})})
    if jars:
        assert FAMILY_COLOURS["mixed"] in fills(section_svg(odd, light="daylight"))
    assert all(one.colour != FAMILY_COLOURS["mixed"] for one in coat_colours(odd, looks(odd)).values())


def test_cells_have_their_own_colours() -> None:
    told = cell_colours(sample_plans.cloisonne())
    assert len({one.colour for one in told.values()}) >= 2
    assert "" in told


def test_a_jar_has_a_colour_of_its_own_only_when_something_was_measured() -> None:
    jar = Jar(id="j", name="j", kind="opaque", optics=OpticsFacet(family="red"))
    assert jar_colour(jar) is None
    assert jar_colour(Jar(id="m", name="m", kind="opaque")) is None
    measured = jar.model_copy(update={"optics": OpticsFacet(family="red", lab=(40.0, 50.0, 30.0))})
    colour = jar_colour(measured)
    assert colour is not None
    assert colour in jar_svg(Glass("red", "opaque", colour), "measured")
    assert FAMILY_COLOURS["red"] in jar_svg(Glass("red", "opaque"), "not measured")


def test_the_sheet_of_invented_curves_says_so_and_repeats() -> None:
    sheet = invented_sheet_svg()
    root = ElementTree.fromstring(sheet)
    words = " ".join("".join(node.itertext()) for node in root.iter())
    assert "INVENTED curves: no enamel was measured" in words
    assert all(ground.partition(" on ")[0] in words for ground, _, _ in GROUNDS)
    assert len(GROUNDS) == 6
    assert len(fills(sheet)) > 100
    assert sheet == invented_sheet_svg()


def test_a_bench_without_the_jar_leaves_the_drawing_whole() -> None:
    """A colour nobody can foretell takes no coat out of the drawing."""
    known = section_svg(sample_plans.hostile(), light="paper")
    unknown = section_svg(sample_plans.hostile(), light="daylight", bench=Bench())
    ElementTree.fromstring(unknown)
    coats = re.findall(r'data-coat="(\d+)"', known)
    assert coats
    assert re.findall(r'data-coat="(\d+)"', unknown) == coats


def test_a_plan_view_says_what_its_colours_are_worth_and_keeps_its_letters_in_every_light() -> None:
    plan = sample_plans.cloisonne()
    told = cell_colours(plan)
    name = next(cell for cell in told if cell)
    shape = Shape.circle(0.03).with_cells(Cell(name, ((-0.01, -0.01), (0.01, -0.01), (0.01, 0.01), (-0.01, 0.01))))
    drawing = plan_view_svg(shape, light="daylight", colours=told)
    assert drawing.count("invented where no tiles were fitted") == 2  # written below, and told to who cannot see it
    assert {told[name].colour, told[""].colour} <= fills(drawing)
    page = str(lit(drawing))
    assert re.search(r'fill="#(ffffff|15191c)"[^>]*>a<', page)
    plain = plan_view_svg(shape, light="paper", colours=told)
    assert plain == plan_view_svg(shape, light="paper")
