"""`enamelwright outlet`: fairs and sellers, what is taken there, and what became of it."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from enamelwright.cli.at_bench import at_bench, day_of, listing, local, say
from enamelwright.cli.options import AtOption, HomeOption, JsonOption, WhoOption
from enamelwright.errors import InputError

outlet = typer.Typer(help="Galleries, fairs, shelves.", no_args_is_help=True)

#: Papers of an outlet.
PAPERS = ("packing", "commission", "return")

NameArgument = Annotated[str, typer.Argument(help="What the outlet is called.")]


@outlet.command("keep")
def keep(
    name: Annotated[str, typer.Argument(help="What it is called.")],
    kind: Annotated[str, typer.Option("--kind", help="bench, fair, gallery, shop or online.")] = "",
    commission: Annotated[
        str, typer.Option("--commission", help='What it keeps of the price: "40 %"; 40 alone means per cent too.')
    ] = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Keep a gallery, a fair or a shelf."""
    from enamelwright.workshop.selling import keep_outlet

    with at_bench(home, who) as studio:
        keep_outlet(studio, name, kind or None, _share(commission))
    say(f"Kept: {name}.")


@outlet.command("list")
def outlets_(json_: JsonOption = False, home: HomeOption = None) -> None:
    """List the galleries, fairs and shelves."""
    from enamelwright.workshop.listing import outlets

    with at_bench(home) as studio:
        rows = [
            (row.name, row.kind, None if row.commission is None else f"{row.commission:.0%}") for row in outlets(studio)
        ]
    listing(("outlet", "kind", "keeps"), rows, json_, "No outlet is kept yet.")


@outlet.command("take")
def take(
    name: NameArgument,
    pieces: Annotated[list[str], typer.Argument(help="Numbers or labels of finished pieces.")],
    until: Annotated[str, typer.Option("--until", help="Day they come back.")] = "",
    at: AtOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Take finished pieces there; what is asked for each is written down as it stands."""
    from enamelwright.workshop.outlets import at_outlet, take_there

    with at_bench(home, who, at) as studio:
        take_there(studio, name, pieces, day_of(until, "--until"))
        there = len(at_outlet(studio, name))
    say(f"Taken to {name}: {len(dict.fromkeys(pieces))}. There now: {there}.")


@outlet.command("show")
def show(name: NameArgument, json_: JsonOption = False, home: HomeOption = None) -> None:
    """Show what is there, and what became of the rest since the return before."""
    from enamelwright.workshop.money import show_money
    from enamelwright.workshop.outlets import at_outlet, left_since

    with at_bench(home) as studio:
        rows = []
        for one in (*left_since(studio, name), *at_outlet(studio, name)):
            what = one.piece.design_name or one.piece.words or one.piece.kind
            mine = None if one.mine is None else show_money(studio, one.mine, one.currency)
            price = None if one.minor is None else show_money(studio, one.minor, one.currency)
            since = local(one.on)[: len("2026-03-02")] if one.on else None
            rows.append((one.piece.number, one.piece.label, what, one.became or "there", since, price, mine))
    heads = ("piece", "label", "what", "now", "since", "price", "came in")
    listing(heads, rows, json_, f"Nothing of yours is at {name}.")


@outlet.command("settle")
def settle_(
    name: NameArgument,
    back: Annotated[list[str] | None, typer.Option("--back", help="A piece that came back; may be told again.")] = None,
    sold: Annotated[
        list[str] | None,
        typer.Option("--sold", help='A piece that was sold, for the sum asked or for "W-01=45 EUR"; again.'),
    ] = None,
    missing: Annotated[list[str] | None, typer.Option("--missing", help="A piece that is not found; again.")] = None,
    how: Annotated[str, typer.Option("--how", help="Cash, card ...")] = "",
    at: AtOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Write down what came back from there, was sold or is missing: all of it, or nothing."""
    from enamelwright.workshop.money import added, show_sums
    from enamelwright.workshop.outlets import BACK, MISSING, SOLD, at_outlet, left_since, settle
    from enamelwright.workshop.pieces import piece_row

    told: dict[str, tuple[str, str]] = {}
    with at_bench(home, who, at) as studio:
        for became, pieces in ((BACK, back), (SOLD, sold), (MISSING, missing)):
            for piece in pieces or ():
                which, _, money = piece.partition("=") if became == SOLD else (piece, "", "")
                number = str(piece_row(studio, which.strip()).number)
                if number in told:
                    raise InputError(f"{number} is told twice.", "Say one thing of each piece.", "piece")
                told[number] = (became, money)
        settle(studio, name, told, how or None)
        gone = {str(one.piece.number): one for one in left_since(studio, name)}
        mine = [gone[number] for number in told if number in gone]
        came = show_sums(studio, added((one.mine, one.currency) for one in mine if one.mine is not None))
        there = len(at_outlet(studio, name))
    counts = (len(back or ()), "came back"), (len(sold or ()), "sold"), (len(missing or ()), "missing")
    say(f"{name}: {', '.join(f'{count} {what}' for count, what in counts if count)}; {there} still there.")
    if sold:
        say(f"{came} has come in.")


@outlet.command("paper")
def paper(
    name: NameArgument,
    what: Annotated[str, typer.Argument(help=f"{', '.join(PAPERS[:-1])} or {PAPERS[-1]}.")],
    out: Annotated[Path, typer.Argument(help="Where the PDF goes.")],
    since: Annotated[str, typer.Option("--since", help="Of a return: the day to count from.")] = "",
    home: HomeOption = None,
) -> None:
    """Write the packing list, what is left on commission, or the return, as a PDF."""
    from enamelwright.cards.press import press
    from enamelwright.files.atomic import write_bytes
    from enamelwright.web import paper_lists
    from enamelwright.workshop.selling import outlet_row

    if what not in PAPERS:
        raise InputError(f"'{what[:40]}' is no paper of an outlet.", f"One of {', '.join(PAPERS)}.", "what")
    first = day_of(since, "--since")
    with at_bench(home) as studio:
        row = str(outlet_row(studio, name).id)
        if what == "packing":
            sheet = paper_lists.packing(studio, (), row)
        elif what == "commission":
            sheet = paper_lists.consignment(studio, row)
        else:
            sheet = paper_lists.returned(studio, row, first.isoformat() if first else "")
        made = press(sheet.template, sheet.data)
    write_bytes(out, made)
    say(f"Written: {out}")


def _share(text: str) -> float | None:
    """Read a share of the price, told in per cent or as part of one."""
    from enamelwright import units

    if not text.strip():
        return None
    return units.parse(text.strip() if text.strip().endswith("%") or _is_part(text) else f"{text.strip()} %", "ratio")


def _is_part(text: str) -> bool:
    """Tell whether a bare number is a part of one; nobody keeps less than one per cent."""
    try:
        return float(text.replace(",", ".")) <= 1
    except ValueError:
        return True  # what it is instead is told when it is read
