"""`enamelwright sheet`: metal in stock, and what is left of it."""

from __future__ import annotations

from typing import Annotated

import typer

from enamelwright.cli.at_bench import at_bench, day_of, grams, listing, say, with_unit
from enamelwright.cli.options import HomeOption, JsonOption, WhoOption, WordsOption

sheet = typer.Typer(help="Sheets of metal and their remnants.", no_args_is_help=True)

LabelArgument = Annotated[str, typer.Argument(help="What it is called at the bench.")]
WidthOption = Annotated[str, typer.Option("--width", help="Millimetres, or with a unit.")]
LengthOption = Annotated[str, typer.Option("--length", help="Millimetres, or with a unit.")]


@sheet.command("add")
def add(
    label: LabelArgument,
    metal: Annotated[str, typer.Argument(help="For example copper, or fine silver.")],
    thickness: Annotated[str, typer.Argument(help='For example 0.8mm, or "18 gauge (B&S)".')] = "",
    width: WidthOption = "",
    length: LengthOption = "",
    mass: Annotated[str, typer.Option("--grams", help="What it weighs.")] = "",
    grain: Annotated[str, typer.Option("--grain", help="Which way it was rolled.")] = "",
    lot: Annotated[str, typer.Option("--lot", help="Lot or heat, as the dealer writes it.")] = "",
    price: Annotated[str, typer.Option("--price", help='What was paid for it, e.g. "24 EUR".')] = "",
    dealer: Annotated[str, typer.Option("--from", help="Who it was bought from.")] = "",
    bought: Annotated[str, typer.Option("--bought", help="Day it was bought.")] = "",
    note: WordsOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Put a sheet in stock."""
    from enamelwright.workshop.metals import add_sheet
    from enamelwright.workshop.money import read_money

    with at_bench(home, who) as studio:
        minor, currency = read_money(studio, price) if price else (None, None)
        add_sheet(
            studio, label, metal, thickness or None, width=with_unit(width, "mm"), length=with_unit(length, "mm"),
            mass=with_unit(mass, "g"), grain=grain or None, lot=lot or None, bought_from=dealer or None,
            bought_on=day_of(bought, "--bought"), words=note or None, price_minor=minor, currency=currency,
        )  # fmt: skip
    say(f"{label}: {metal}, in stock.")


@sheet.command("cut")
def cut(
    label: LabelArgument,
    remnant: Annotated[str, typer.Argument(help="What the piece that is left is called; nothing when none is.")] = "",
    width: WidthOption = "",
    length: LengthOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Say that a sheet was cut up, and keep what is left of it as a remnant."""
    from enamelwright.errors import InputError
    from enamelwright.workshop.metals import change_sheet, cut_remnant

    if not remnant and (width or length):
        raise InputError("what is left has sizes and no name.", "For example: sheet cut C-1 C-1b --width 80.")
    with at_bench(home, who) as studio:
        if remnant:
            cut_remnant(studio, label, remnant, width=with_unit(width, "mm"), length=with_unit(length, "mm"))
        else:
            change_sheet(studio, label, state="used up")
    say(f"{label} is used up{f'; {remnant} is left of it' if remnant else ''}.")


@sheet.command("list")
def list_(
    metal: Annotated[str, typer.Option("--metal", help="Only of this metal.")] = "",
    json_: JsonOption = False,
    home: HomeOption = None,
) -> None:
    """List the sheets in stock."""
    from enamelwright.workshop.metals import sheets
    from enamelwright.workshop.typed import as_typed

    with at_bench(home) as studio:
        rows = [
            (
                row.label, row.metal, as_typed(row, "thickness", "mm"), as_typed(row, "width", "mm"),
                as_typed(row, "length", "mm"), grams(row.mass), row.bought_on,
            )
            for row in sheets(studio, metal)
        ]  # fmt: skip
    listing(("sheet", "metal", "thickness", "width", "length", "grams", "bought"), rows, json_, "No metal in stock.")
