"""The `enamelwright` command: gathers the nouns and turns every error into one sentence and an exit code."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from enamelwright.cli import ask, make, plan, quick
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


@app.callback()
def _start(version: Annotated[bool, typer.Option("--version", help="Say which version this is.")] = False) -> None:
    """Plan an enamelled piece: grams, flatness, firings, rules, and the cards for the bench."""
    if version:
        from enamelwright import __version__

        typer.echo(__version__)
        raise typer.Exit


def run() -> None:
    """Run the command line; every deliberate error becomes one sentence on stderr."""
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


if __name__ == "__main__":
    run()
