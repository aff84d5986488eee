"""The `enamelwright` command: gathers the nouns and turns every error into one sentence and an exit code."""

from __future__ import annotations

import os
import sys
from typing import Annotated

import typer

from enamelwright.cli import (
    ask,
    bath,
    day,
    demo,
    design,
    firing,
    house,
    jar,
    keep_safe,
    kiln,
    learned,
    make,
    metal,
    notebook,
    order,
    outlet,
    piece,
    plan,
    quick,
    record,
    selling,
    serve,
)
from enamelwright.cli.one_thread import one_thread
from enamelwright.errors import EnamelwrightError, InputError

#: Exit codes: bad input, and anything else the product raises on purpose.
BAD_INPUT, TROUBLE = 2, 1

app = typer.Typer(
    name="enamelwright",
    help="Plan an enamelled piece: grams, flatness, firings, rules, and the cards for the bench.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)
app.command("plan")(plan.plan)
app.command("make")(make.make)
app.command("ask")(ask.ask)
app.command("grams")(quick.grams)
app.command("gauge")(quick.gauge)
app.command("degrees")(quick.degrees)
app.command("fills")(quick.fills)
app.command("schema")(ask.schema)
app.add_typer(jar.jar, name="jar")
app.add_typer(jar.lot, name="lot")
app.add_typer(jar.stock, name="stock")
app.add_typer(design.design, name="design")
app.add_typer(piece.piece, name="piece")
app.add_typer(piece.tile, name="tile")
app.command("coat")(firing.coat)
app.add_typer(firing.load, name="load")
app.command("fired")(firing.fired)
app.command("paper-day")(firing.paper_day)
app.command("open")(record.open_)
app.command("find")(record.find)
app.command("differs")(record.differs)
app.command("history")(record.history)
app.add_typer(learned.learned, name="learned")
app.command("fault")(learned.fault)
app.command("correct")(record.correct)
app.add_typer(kiln.kiln, name="kiln")
app.add_typer(bath.bath, name="bath")
app.add_typer(metal.sheet, name="sheet")
app.add_typer(house.support, name="support")
app.add_typer(house.rules, name="rules")
app.add_typer(house.hands, name="hands")
app.add_typer(house.exposure, name="exposure")
app.add_typer(order.order, name="order")
app.add_typer(day.day, name="day")
app.command("sold")(order.sold)
app.add_typer(selling.price, name="price")
app.add_typer(outlet.outlet, name="outlet")
app.command("move")(selling.move)
app.command("snapshot")(keep_safe.snapshot)
app.command("restore")(keep_safe.restore)
app.command("outside-copy")(keep_safe.outside_copy)
app.add_typer(keep_safe.archive, name="archive")
app.command("notebook")(notebook.notebook)
app.command("demo")(demo.demo)
app.command("serve")(serve.serve)


def _say_version(wanted: bool) -> None:
    if wanted:
        from enamelwright import __version__

        typer.echo(__version__)
        raise typer.Exit


@app.callback()
def _start(
    version: Annotated[
        bool, typer.Option("--version", help="Say which version this is.", callback=_say_version, is_eager=True)
    ] = False,
) -> None:
    """Plan an enamelled piece: grams, flatness, firings, rules, and the cards for the bench."""


def run() -> None:
    """Run the command line; every deliberate error becomes one sentence on stderr."""
    one_thread()
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    try:
        app()
    except InputError as error:
        print(f"enamelwright: {error}", file=sys.stderr)
        sys.exit(BAD_INPUT)
    except EnamelwrightError as error:
        print(f"enamelwright: {error}", file=sys.stderr)
        sys.exit(TROUBLE)
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(TROUBLE)
    except OSError as error:  # our own files are read and written through `files`; this is mostly the output
        place = str(error.filename or "the output")
        print(f"enamelwright: {place}: the system refused ({error.strerror or error}).", file=sys.stderr)
        os._exit(TROUBLE)  # an ordinary exit would try the same output again and complain a second time


if __name__ == "__main__":
    run()
