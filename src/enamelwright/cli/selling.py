"""`enamelwright price`, `move`: what a piece costs, and where it is."""

from __future__ import annotations

from typing import Annotated

import typer

from enamelwright.cli.at_bench import at_bench, day_of, listing, say
from enamelwright.cli.options import AtOption, HomeOption, JsonOption, WhoOption, WordsOption

price = typer.Typer(help="Prices of pieces and designs.", no_args_is_help=True)

PieceOption = Annotated[str, typer.Option("--piece", help="Number or label of a piece.")]
DesignOption = Annotated[str, typer.Option("--design", help="Name of a design: every piece of it.")]


@price.command("set")
def set_(
    money: Annotated[str, typer.Argument(help='The sum, e.g. "38 EUR".')],
    piece: PieceOption = "",
    design: DesignOption = "",
    channel: Annotated[str, typer.Option("--channel", help="studio, fair, gallery, wholesale or commission.")] = "",
    since: Annotated[str, typer.Option("--from", help="Day since which it holds; today when left out.")] = "",
    note: WordsOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Set the price of a piece or of a design; earlier ones stay."""
    from enamelwright.workshop.money import read_money, show_money
    from enamelwright.workshop.selling import set_price

    with at_bench(home, who) as studio:
        set_price(
            studio, money, piece=piece or None, design=design or None, channel=channel or None,
            valid_from=day_of(since, "--from"), words=note or None,
        )  # fmt: skip
        told = show_money(studio, *read_money(studio, money))
    say(f"{piece or design}: {told}{f', {channel}' if channel else ''}.")


@price.command("list")
def list_(
    piece: PieceOption = "", design: DesignOption = "", json_: JsonOption = False, home: HomeOption = None
) -> None:
    """List prices, the newest first."""
    from enamelwright.workshop.money import show_money
    from enamelwright.workshop.selling import prices

    with at_bench(home) as studio:
        rows = [
            (row.valid_from, row.channel, show_money(studio, row.minor, row.currency), row.words)
            for row in prices(studio, piece=piece or None, design=design or None)
        ]
    listing(("since", "channel", "price", "note"), rows, json_, "No price is set.")


def move(
    piece: Annotated[str, typer.Argument(help="Number or label.")],
    place: Annotated[str, typer.Argument(help="bench, fair, gallery, lent, given, kept or unknown.")],
    outlet_: Annotated[str, typer.Option("--outlet", help="Which gallery, fair or shelf.")] = "",
    asked: Annotated[str, typer.Option("--asked", help="The sum asked there.")] = "",
    until: Annotated[str, typer.Option("--until", help="Day it comes back.")] = "",
    note: WordsOption = "",
    at: AtOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Say where a piece has gone; a sale is told with `sold`."""
    from enamelwright.workshop.pieces import piece_row
    from enamelwright.workshop.selling import move_piece

    with at_bench(home, who, at) as studio:
        move_piece(
            studio, piece, place, outlet=outlet_ or None, asked=asked or None, until=day_of(until, "--until"),
            words=note or None,
        )  # fmt: skip
        number = piece_row(studio, piece).number
    say(f"{number}: {place}{f', {outlet_}' if outlet_ else ''}.")
