"""A piece on its support against door, shelf and roof: each limit from both sides."""

from __future__ import annotations

from typing import Any

import pytest

from enamelwright.craft.bench import Bench
from enamelwright.craft.checks.clearance import RULE, clearance, standing
from enamelwright.craft.kiln import Kiln
from enamelwright.craft.laying import lay_up
from enamelwright.craft.layup import Layup
from enamelwright.craft.piece import Piece

#: 220 x 200 x 150 mm inside.
KILN = Kiln.from_outside({"name": "little one", "width_mm": 220, "depth_mm": 200, "height_mm": 150})


def piece(outline: dict[str, Any] | None = None, **more: Any) -> Layup:
    return lay_up(
        Piece.from_outside(
            {
                "name": "piece",
                "metal": {"kind": "copper", "thickness_mm": 0.9},
                "outline": outline or {"shape": "circle", "diameter_mm": 60},
                "coats": [{"face": "front", "jar": "lead_free_opaque_titania_medium"}],
                **more,
            }
        ),
        Bench.starter(),
    )


def levels(layup: Layup, support: str = "mesh", kiln: Kiln | None = KILN) -> list[str]:
    return [verdict.level for verdict in clearance(layup, support, kiln, 2)]  # type: ignore[arg-type]


def plate(width: float, height: float) -> dict[str, Any]:
    return {"shape": "rounded rectangle", "width_mm": width, "height_mm": height}


def test_a_small_piece_clears() -> None:
    assert levels(piece()) == []


@pytest.mark.parametrize(("side", "expected"), [(150, []), (175, ["watch"]), (195, ["stop"])])
def test_the_shelf(side: float, expected: list[str]) -> None:
    """5 mm of mesh all round; 200 mm of depth of which 10 mm at front and back are wanted."""
    said = [v.level for v in clearance(piece(plate(side, side)), "mesh", KILN) if "shelf" in " ".join(v.because)]
    assert said == expected


def test_a_shelf_smaller_than_the_kiln_counts() -> None:
    small = KILN.model_copy(update={"shelf_width": 0.08, "shelf_depth": 0.08})
    assert levels(piece(), kiln=small) == []
    assert levels(piece({"shape": "circle", "diameter_mm": 75}), kiln=small) == ["stop"]


def test_a_long_piece_may_go_in_either_way_round() -> None:
    assert levels(piece(plate(205, 60))) == levels(piece(plate(60, 205)))
    assert "stop" not in levels(piece(plate(205, 60)), kiln=KILN.model_copy(update={"width": 0.2, "depth": 0.22}))


@pytest.mark.parametrize(("door", "expected"), [(90, []), (80, ["watch"]), (65, ["stop"])])
def test_the_width_of_the_door(door: float, expected: list[str]) -> None:
    """70 mm with its mesh; 8 mm wanted on each side."""
    assert levels(piece(), kiln=KILN.model_copy(update={"door_width": door / 1000})) == expected


@pytest.mark.parametrize(("door", "expected"), [(60, []), (30, ["watch"]), (20, ["stop"])])
def test_the_height_of_the_door(door: float, expected: list[str]) -> None:
    """20.9 mm on its mesh; 15 mm to lift it in."""
    assert levels(piece(), kiln=KILN.model_copy(update={"door_height": door / 1000})) == expected


@pytest.mark.parametrize(("height", "roof"), [(90, []), (65, ["watch"]), (50, ["stop"])])
def test_the_roof(height: float, roof: list[str]) -> None:
    """A bowl of 30 mm on a mesh of 20 mm stands 51 mm high; 20 mm are wanted free above it."""
    bowl = piece({"shape": "circle", "diameter_mm": 100}, dome_mm=30)
    found = clearance(bowl, "mesh", KILN.model_copy(update={"height": height / 1000}))
    said = [verdict.level for verdict in found if "inside height" in " ".join(verdict.because)]
    assert said == roof


def test_hung_upright_it_is_as_high_as_its_short_side() -> None:
    flat, hung = standing(piece(plate(100, 60)), "mesh"), standing(piece(plate(100, 60)), "hung")
    assert hung.top > flat.top + 0.03
    assert hung.short < flat.short


def test_higher_supports_stand_higher() -> None:
    assert standing(piece(), "trivet").top > standing(piece(), "mesh").top


def test_nothing_is_said_of_a_kiln_nobody_measured() -> None:
    huge = piece(plate(600, 600))
    assert levels(huge, kiln=None) == []
    assert levels(huge, kiln=Kiln(name="unknown")) == []
    assert levels(huge, kiln=Kiln(name="burner", kind="torch")) == []
    assert "stop" in levels(huge, kiln=Kiln(name="by class", preset="fibre large"))


def test_the_verdict_names_kiln_firing_measures_and_remedy() -> None:
    found = clearance(piece(plate(195, 195)), "mesh", KILN, 2)[0]
    assert found.rule == RULE
    assert found.place.firing == 2
    assert "little one" in found.words
    assert found.remedy
    assert any("205 mm" in line for line in found.because)
