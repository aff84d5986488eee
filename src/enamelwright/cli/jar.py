"""`enamelwright jar`, `lot`, `stock`: what stands on the shelf, what is known of it, and how much is left."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

import typer

from enamelwright.cli.at_bench import at_bench, day_of, grams, listing, local, say, with_unit
from enamelwright.cli.options import AtOption, HomeOption, JsonOption, WhoOption, WordsOption
from enamelwright.errors import InputError, UnknownName

jar = typer.Typer(help="Jars: one enamel as bought.", no_args_is_help=True)
lot = typer.Typer(help="Lots: what a jar was filled from.", no_args_is_help=True)
stock = typer.Typer(help="What is left, and counting it.", invoke_without_command=True)

JarArgument = Annotated[str, typer.Argument(help="Code or name of the jar.")]


@jar.command("add")
def add(
    code: Annotated[str, typer.Argument(help="What it is called by, e.g. J22.")] = "",
    name: Annotated[str, typer.Argument(help="What stands on the label.")] = "",
    kind: Annotated[str, typer.Option("--kind", help="opaque, transparent, opal, flux, counter, liquid ...")] = "",
    family: Annotated[str, typer.Option("--family", help="Colour family.")] = "",
    mesh: Annotated[int | None, typer.Option("--mesh", help="Sieve it is sold through.")] = None,
    expansion: Annotated[str, typer.Option("--expansion", help='As printed, e.g. "103 e-7/K".')] = "",
    maturity: Annotated[str, typer.Option("--maturity", help="Where it comes to gloss, e.g. 790C.")] = "",
    density: Annotated[str, typer.Option("--density", help='For example "2.6 g/cm3".')] = "",
    lead: Annotated[str, typer.Option("--lead", help="yes, no, mixed or unknown, as the sheet says.")] = "unknown",
    cadmium: Annotated[
        str, typer.Option("--cadmium", help="yes, no, mixed or unknown, as the sheet says.")
    ] = "unknown",
    grams_: Annotated[str, typer.Option("--grams", help="What was bought: opens a lot.")] = "",
    lot_: Annotated[str, typer.Option("--lot", help="Label of that lot.")] = "",
    reorder: Annotated[str, typer.Option("--reorder", help="Buy again below this, in grams.")] = "",
    file: Annotated[Path | None, typer.Option("--file", help="A bench file: every jar in it is added.")] = None,
    note: WordsOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Put a jar on the shelf, or every jar of a bench file."""
    from enamelwright.craft.jar import Jar
    from enamelwright.workshop.jars import add_jar
    from enamelwright.workshop.lots import open_lot

    if file is not None:
        from enamelwright.craft.bench import Bench
        from enamelwright.files.piece_file import LARGEST_BENCH, read_toml

        found = Bench.from_outside(read_toml(file, LARGEST_BENCH), str(file))
        with at_bench(home, who) as studio, studio.writing():
            for one in found.jars:
                add_jar(studio, one)
                if one.stock.grams is not None:
                    open_lot(studio, one.id, one.stock.lot, grams=one.stock.grams)
        say(f"{len(found.jars)} jars are on the shelf.")
        return
    if not code or not name or not kind:
        raise InputError(
            "a jar needs a code, a name and its kind.", 'For example: jar add J22 "leaf green" --kind opaque.'
        )
    glass: dict[str, Any] = {}
    if expansion:
        glass["expansion"] = {"value": expansion}
    if density:
        glass["density"] = density
    described = Jar.from_outside(
        {
            "id": code, "name": name, "kind": kind, "glass": glass,
            **({"mesh": mesh} if mesh is not None else {}),
            "fusing": {"maturity": maturity} if maturity else {},
            "optics": {"family": family} if family else {},
            "hazards": {"lead": lead, "cadmium": cadmium},
        },
        f"jar {code}",
    )  # fmt: skip
    with at_bench(home, who) as studio, studio.writing():
        add_jar(studio, described, reorder_below=with_unit(reorder, "g"), words=note or None)
        if grams_ or lot_:
            open_lot(studio, code, lot_, grams=with_unit(grams_, "g"))
    say(f"{code} {name} is on the shelf.")
    open_ = [metal for metal, said in (("lead", lead), ("cadmium", cadmium)) if said == "unknown"]
    if open_:
        take = "both" if len(open_) > 1 else open_[0]
        say(
            f"{' and '.join(open_).capitalize()} not known of it: see its safety data sheet; until then take it to "
            f"hold {take}."
        )


@jar.command("list")
def list_(
    everything: Annotated[bool, typer.Option("--all", help="Also what was put away.")] = False,
    json_: JsonOption = False,
    home: HomeOption = None,
) -> None:
    """List the jars."""
    from enamelwright.workshop.jars import jars

    with at_bench(home) as studio:
        rows = [(row.code, row.name, row.kind, row.family) for row in jars(studio, everything=everything)]
    listing(("code", "name", "kind", "family"), rows, json_, "No jar is on the shelf yet.")


@jar.command("show")
def show(code: JarArgument, home: HomeOption = None) -> None:
    """Show what is known of a jar, and what each fact goes by."""
    from enamelwright.workshop.bench import known_of
    from enamelwright.workshop.jars import described, fact_words, jar_row
    from enamelwright.workshop.lots import levels

    with at_bench(home) as studio:
        row = jar_row(studio, code)
        known = known_of(studio, row)
        left = levels(studio, row.id, finished=True)
    one = described(row)
    say(f"{one.id} {one.name}: {one.kind}, {one.optics.family or 'colour family not told'}")
    if one.synthetic:
        say("Invented demonstration data: every value of it is synthetic.")
    best = {k.fact: fact_words(k.fact, k.value) for k in known if k.wins}
    lead, cadmium = best.get("hazards.lead", one.hazards.lead), best.get("hazards.cadmium", one.hazards.cadmium)
    say(f"lead {lead}, cadmium {cadmium}, by what it goes by now")
    listing(
        ("lot", "left", "used up"),
        ((level.label, grams(level.grams), "yes" if level.finished else "no") for level in left),
    )
    if known:
        listing(
            ("fact", "value", "from", "told", "goes by it"),
            ((k.fact, fact_words(k.fact, k.value), k.origin, k.said_at[:10], "yes" if k.wins else "no") for k in known),
        )


@jar.command("fact")
def fact(
    code: JarArgument,
    name: Annotated[str, typer.Argument(help="For example fusing.maturity, glass.expansion.value, hazards.lead.")],
    value: Annotated[str, typer.Argument(help='With its unit, or a word: "785 C", "yes".')],
    origin: Annotated[
        str, typer.Option("--from", help="measured, data sheet, safety data sheet, label, told ...")
    ] = "told",
    source: Annotated[str, typer.Option("--source", help="Where it stands.")] = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Tell a fact about a jar; earlier ones stay, and the strongest is gone by."""
    from enamelwright.workshop.jars import fact_choices, fact_dimension, fact_names, tell_fact

    if name not in fact_names():
        raise UnknownName.among("fact of a jar", name, fact_names())
    dimension, choices = fact_dimension(name), fact_choices(name)
    if choices and not dimension and value not in choices:
        raise InputError(f"'{value[:40]}' is no answer to {name}.", f"Say one of: {', '.join(choices)}.")
    with at_bench(home, who) as studio:
        tell_fact(
            studio, code, name, value if dimension else None, origin=origin, dimension=dimension,
            answer=None if dimension else value, source=source or None,
        )  # fmt: skip
    say(f"{code}: {name} is {value}, {origin}.")


@jar.command("away")
def away(code: JarArgument, home: HomeOption = None, who: WhoOption = "") -> None:
    """Take a jar off the lists without forgetting it."""
    from enamelwright.workshop.jars import put_away

    with at_bench(home, who) as studio:
        put_away(studio, code)
    say(f"{code} is put away; its history stays.")


@lot.command("open")
def open_(
    code: JarArgument,
    label: Annotated[str, typer.Argument(help="As the supplier or you call it; the day when left out.")] = "",
    grams_: Annotated[str, typer.Option("--grams", help="What was bought.")] = "",
    bought: Annotated[str, typer.Option("--bought", help="Day, e.g. 2026-03-02.")] = "",
    mesh: Annotated[int | None, typer.Option("--mesh", help="Sieve it is sold through.")] = None,
    condition: Annotated[str, typer.Option("--condition", help="good, damp, many fines, mixed, doubtful.")] = "",
    note: WordsOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Open a lot of a jar; from now on coats are laid from it."""
    from enamelwright.workshop.lots import lot_row, open_lot

    with at_bench(home, who) as studio:
        row = open_lot(
            studio, code, label, grams=with_unit(grams_, "g"), bought_on=day_of(bought, "--bought"), mesh=mesh,
            condition=condition or None, words=note or None,
        )  # fmt: skip
        named = lot_row(studio, row).label
    say(f"Lot {named} of {code} is open; coats are laid from it now.")


@lot.command("list")
def lots(code: JarArgument, json_: JsonOption = False, home: HomeOption = None) -> None:
    """List the lots of a jar."""
    from enamelwright.workshop.lots import lots_of

    with at_bench(home) as studio:
        rows = [
            (row.label, row.opened_on, row.washed_on, row.condition, "yes" if row.finished else "no")
            for row in lots_of(studio, code)
        ]
    listing(("lot", "opened", "washed", "condition", "used up"), rows, json_, "No lot yet.")


@lot.command("work")
def work(
    code: JarArgument,
    what: Annotated[str, typer.Argument(help="washed, ground, sieved, dried or tested.")],
    label: Annotated[str, typer.Option("--lot", help="Which lot; the one in use when left out.")] = "",
    before: Annotated[str, typer.Option("--before", help="Dry grams before.")] = "",
    after: Annotated[str, typer.Option("--after", help="Dry grams after.")] = "",
    mesh: Annotated[int | None, typer.Option("--mesh", help="Sieve it passed.")] = None,
    note: WordsOption = "",
    at: AtOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Record that powder was washed, ground or sieved; what that took away leaves the stock."""
    from enamelwright.workshop.lots import work_powder

    with at_bench(home, who, at) as studio:
        work_powder(
            studio, label, what, jar=code, before=with_unit(before, "g"), after=with_unit(after, "g"), mesh=mesh,
            words=note or None,
        )  # fmt: skip
    say(f"{code}: {what}.")


@lot.command("finish")
def finish(
    code: JarArgument,
    label: Annotated[str, typer.Option("--lot", help="Which lot; the one in use when left out.")] = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Say that a lot is used up."""
    from enamelwright.workshop.lots import change_lot, lot_row

    with at_bench(home, who) as studio:
        row = lot_row(studio, label, code)
        change_lot(studio, row.id, finished=True)
    say(f"Lot {row.label} of {code} is used up.")


@lot.command("trace")
def trace(
    code: JarArgument,
    label: Annotated[str, typer.Option("--lot", help="Which lot; the one in use when left out.")] = "",
    json_: JsonOption = False,
    home: HomeOption = None,
) -> None:
    """List every piece that carries powder of a lot."""
    from enamelwright.workshop.lots import lot_row
    from enamelwright.workshop.tracing import pieces_touched

    with at_bench(home) as studio:
        row = lot_row(studio, label, code)
        touched = [
            (one.number, one.label, one.state, one.place, one.coats, grams(one.on_piece), local(one.first_at))
            for one in pieces_touched(studio, row.id)
        ]
    if not json_:
        say(f"Lot {row.label} of {code}:")
    listing(("piece", "label", "state", "place", "coats", "on it", "first"), touched, json_, "It is on no piece.")


@stock.callback()
def levels_(context: typer.Context, json_: JsonOption = False, home: HomeOption = None) -> None:
    """Say what is left of every lot, and what to buy."""
    if context.invoked_subcommand is not None:
        return
    from enamelwright.workshop.lots import levels, to_buy

    with at_bench(home) as studio:
        rows = [(level.code, level.name, level.label, grams(level.grams)) for level in levels(studio)]
        buy = to_buy(studio)
    listing(("code", "name", "lot", "left"), rows, json_, "No lot is open.")
    for code, name, left in buy if not json_ else ():
        say(f"Buy {code} {name}: {grams(left)} left.")


@stock.command("count")
def count(
    counts: Annotated[list[str], typer.Argument(help='Each "CODE=grams", or "CODE/lot=grams".')],
    at: AtOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Set levels to what the balance says: all of them, or none."""
    from enamelwright.workshop.lots import lot_row, take_stock

    with at_bench(home, who, at) as studio:
        found: dict[int, str | float | None] = {}
        for text in counts:
            what, sign, amount = text.rpartition("=")
            if not sign:
                raise InputError(f"'{text}' says no grams.", "Write it like J04=95.")
            code, _, label = what.partition("/")
            found[lot_row(studio, label, code).id] = with_unit(amount, "g")
        take_stock(studio, found)
    say(f"{len(found)} {'lot' if len(found) == 1 else 'lots'} counted.")
