"""The page that shows what grounds do to colours, how other eyes see them, and how near a photo and a fit come.

Run ``python tests/pictures/colour_page.py`` after the starting curves changed, or after benchmarks/colour_photo.py.
"""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from enamelwright.pictures.colour_sheet import invented_sheet_svg
from enamelwright.pictures.eyes_sheet import eyes_sheet_svg

ROOT = Path(__file__).parents[2]
PAGE = ROOT / "docs" / "look-up" / "colours.md"
STUDY = ROOT / "benchmarks" / "colour_photo.json"
AGAIN = "run: python tests/pictures/colour_page.py"

HEAD = """# Colours: grounds, eyes, and how near a fit comes

Generated from the starting curves and from a counted study: do not edit. Every curve here is **invented**; no spectrum of an
enamel was found in print.

## What grounds do

Each starting curve, 0.15 mm of it, over six grounds: thin, nominal and thick where it catches the light, and below them
turned away.

![Every starting curve over six grounds, invented](colour-sheet.svg)

## To other eyes

The same curves over flux on silver, as most eyes see them and as three other kinds do (Machado, Oliveira and Fernandes
2009, the severest degree). Below stand the pairs that are plainly apart to most and look alike to some.

![Every starting curve to four kinds of eyes, invented](eyes-sheet.svg)

## How near a photo and a fit come

{makers} invented makers for each line: tiles are rendered by another program than the one that foretells, with
curves, finishes and thicknesses partly outside what is fitted; photographed by a simulated camera of published
sensitivities beside a card; read, fitted, and asked for {stacks} stacks that no tile shows. In CIEDE2000; the same
stacks by the nearest tile alone for comparison. All of it is simulated: what your kiln adds is in none of it.

| light and card | tile read off by, mean (worst) | unseen stacks off by, mean | 95 in 100 within | worst | nearest tile alone, mean | fit nearer than the nearest tile | fits it warned against |
|---|---|---|---|---|---|---|---|
"""
FOOT = """
One core, one photo of twelve million pixels: {colours} from file to colours, {picture} to the corrected picture (a yardstick of
{yardstick} on the same machine).
"""


def rows(study: dict[str, Any]) -> str:
    """Return the rows of the table."""
    return "".join(
        f"| {name} | {one['photo error, mean']} ({one['photo error, worst']}) | {one['unseen, mean']} "
        f"| {one['unseen, 95 in 100 below']} | {one['unseen, worst']} | {one['nearest tile alone, mean']} "
        f"| {one['the fit was nearer than the nearest tile']} | {one['fits said not to be used']} of {one['makers']} |\n"
        for name, one in study["conditions"].items()
    )


def written() -> dict[str, str]:
    """Return the page and its drawings by name of the file."""
    study = json.loads(STUDY.read_text(encoding="utf-8"))
    first = next(iter(study["conditions"].values()))
    speed = study["speed"]
    page = HEAD.format(makers=first["makers"], stacks=first["unseen stacks"]) + rows(study)
    page += FOOT.format(
        colours=speed["12 million pixels, file to colours"],
        picture=speed["12 million pixels, file to corrected picture"], yardstick=speed["yardstick"],
    )  # fmt: skip
    return {"colours.md": page, "colour-sheet.svg": invented_sheet_svg(), "eyes-sheet.svg": eyes_sheet_svg()}


if __name__ == "__main__":
    for name, text in written().items():
        PAGE.with_name(name).write_text(text, encoding="utf-8")
