"""What the pages of a series draw and print: blanks on a sheet, a load on its shelf, cutting lines at true size."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from markupsafe import Markup

from enamelwright.cards.true_size import TrueDrawing
from enamelwright.files.cut_lines import CutLine
from enamelwright.pictures.blanks import FOOT, SIDE, TOP, blanks_svg, extent
from enamelwright.pictures.laid_out import MM, LaidPiece
from enamelwright.planning.nesting.part import Part, Placed
from enamelwright.questions.blanks import BlanksInput, flat
from enamelwright.questions.shelf import ShelfInput
from enamelwright.web.drawings import lit
from enamelwright.workshop.day_shelf import load_svg, pieces_on

#: Width of the drawing of a sheet and of a shelf in a page [mm]: so that their words stay readable.
ACROSS, SHELF = 92.0, 92.0

Json = Mapping[str, Any]


def blanks_of(asked: BlanksInput, sheet: Json) -> list[LaidPiece]:
    """Return the blanks of one sheet of an answer."""
    return pieces_on(sheet["blanks"], {blank.name: flat(blank) for blank in asked.blanks}, {})


def sheet_drawing(asked: BlanksInput, sheet: Json, key: str, across: float | None = ACROSS, paper: bool = False) -> str:
    """Draw one sheet of an answer."""
    region = sheet["sheet"]
    return blanks_svg(
        (region["edge"], tuple(region["windows"])), blanks_of(asked, sheet),
        [(one["edge"], tuple(one["windows"])) for one in sheet["kept"]], grain=asked.turning == "along", across=across,
        light="paper" if paper else "daylight", key=key, name=sheet["label"],
    )  # fmt: skip


def sheet_picture(asked: BlanksInput, sheet: Json, key: str) -> Markup:
    """Draw one sheet of an answer for a page."""
    return lit(sheet_drawing(asked, sheet, key))


def sheet_true(asked: BlanksInput, sheet: Json, number: int) -> TrueDrawing:
    """Return one sheet of an answer at true size."""
    return TrueDrawing(
        sheet["label"], sheet_drawing(asked, sheet, f"true-{number}", None, paper=True),
        *extent(sheet["sheet"]["edge"], 1.0, asked.turning == "along"), (sheet["words"], *_told(sheet["blanks"])),
    )  # fmt: skip


def _told(laid: Sequence[Json]) -> tuple[str, ...]:
    """Say which numbers are of what."""
    return tuple(f"{numbers}: {name}" for name, numbers in numbers_of(laid).items())


def numbers_of(laid: Sequence[Json]) -> dict[str, str]:
    """Return which numbers of a drawing are of each name, like ``1-4, 7``.

    Parameters
    ----------
    laid : sequence of mapping
        Blanks or pieces in the order they are numbered.
    """
    numbers: dict[str, list[int]] = {}
    for n, one in enumerate(laid, 1):
        numbers.setdefault(one["name"], []).append(n)
    return {name: _runs(mine) for name, mine in numbers.items()}


def _runs(numbers: Sequence[int]) -> str:
    """Write numbers with runs drawn together: 1-4, 7."""
    found: list[list[int]] = []
    for number in numbers:
        if found and number == found[-1][1] + 1:
            found[-1][1] = number
        else:
            found.append([number, number])
    return ", ".join(str(a) if a == b else f"{a}-{b}" for a, b in found)


def cut_lines(asked: BlanksInput, sheet: Json) -> list[CutLine]:
    """Return the lines of one sheet of an answer, for a machine."""
    shapes = {blank.name: flat(blank) for blank in asked.blanks}
    lines = [CutLine("SHEET", tuple(sheet["sheet"]["edge"]))]
    lines += [CutLine("SHEET", tuple(window)) for window in sheet["sheet"]["windows"]]
    lines += [CutLine("KEPT", tuple(ring)) for one in sheet["kept"] for ring in (one["edge"], *one["windows"])]
    for number, place in enumerate(sheet["blanks"], 1):
        shape = shapes[place["name"]]
        placed = Placed(Part(place["name"], shape), place["x"], place["y"], place["turn"])
        if shape.kind == "circle":
            lines.append(CutLine("CUT", circle=(place["x"], place["y"], shape.chord / 2)))
        else:
            lines.append(CutLine("CUT", placed.line(shape.edge)))
        for hole in shape.holes:
            lines.append(CutLine("HOLE", placed.line(hole.boundary)))
        lines.append(CutLine("NOTE", note=str(number), at=(place["x"], place["y"])))
    return lines


def load_picture(asked: ShelfInput, payload: Json, number: int) -> Markup:
    """Draw one load of an answer for a page."""
    return lit(load_svg(asked, payload, number, SHELF, "daylight"))


def load_true(asked: ShelfInput, payload: Json, number: int) -> TrueDrawing:
    """Return one load of an answer at true size, to lay under the pieces."""
    load = payload["loads"][number]
    return TrueDrawing(
        f"Load {number + 1}", load_svg(asked, payload, number, None, "paper"), payload["width"] * MM + 2 * SIDE,
        payload["depth"] * MM + TOP + FOOT, (load["words"], *_told(load["pieces"])),
    )  # fmt: skip


def forgiven(name: str, value: float) -> str:
    """Write what the eye forgives of one measure: weights in grams, lengths in millimetres, colours as a distance."""
    if name == "colour":
        return f"colour {value:g} apart"
    return f"{name} {value * MM:.2f} {'g' if name == 'weight' else 'mm'} apart"
