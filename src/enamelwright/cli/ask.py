"""`enamelwright ask NAME < in.json`: any question, JSON in and JSON out; and the schemas."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Annotated, Any

import typer

#: Longest JSON read from standard input.
LARGEST_INPUT = 1024 * 1024


def ask(
    name: Annotated[str, typer.Argument(help="Which question.")] = "",
    list_: Annotated[bool, typer.Option("--list", help="List the questions.")] = False,
    schema_: Annotated[bool, typer.Option("--schema", help="Print the JSON Schema of the input.")] = False,
    example: Annotated[bool, typer.Option("--example", help="Print an input that works.")] = False,
    bench: Annotated[Path | None, typer.Option("--bench", help="Bench file (TOML).")] = None,
) -> None:
    """Ask a question: JSON on standard input, the whole answer as JSON."""
    from enamelwright.errors import InputError
    from enamelwright.questions.question import names, question

    if list_:
        for known in names():
            typer.echo(f"{known:<12} {question(known).words}")
        return
    if not name:
        raise InputError("no question was named.", f"Known: {', '.join(names())}.")
    chosen = question(name)
    if schema_:
        typer.echo(json.dumps(chosen.input.outside_schema(), indent=1))
        return
    if example:
        typer.echo(json.dumps(dict(chosen.example), indent=1))
        return
    if bench is not None:
        from enamelwright.files.piece_file import read_bench

        result = chosen.ask(_read_json(), read_bench(bench))
    else:
        result = chosen.ask(_read_json())
    typer.echo(json.dumps(result.to_json(), ensure_ascii=False, indent=1))


def _read_json() -> dict[str, Any]:
    """Read one JSON object from standard input."""
    from enamelwright.errors import InputError

    raw = sys.stdin.buffer.read(LARGEST_INPUT + 1)
    if len(raw) > LARGEST_INPUT:
        raise InputError("the input is too long.", "At most 1 MB is read.", "standard input")
    try:
        data = json.loads(raw.decode("utf-8-sig"))
    except json.JSONDecodeError as error:
        where = f"standard input, line {error.lineno}"
        raise InputError(f"not JSON: {error.msg}.", "Correct it; --example prints one that works.", where) from error
    except UnicodeDecodeError as error:
        raise InputError("not text in UTF-8.", "--example prints one that works.", "standard input") from error
    except (RecursionError, ValueError) as error:  # ValueError: a number of thousands of digits
        words = "this is nested or numbered beyond reason."
        raise InputError(words, "--example prints one that works.", "standard input") from error
    if not isinstance(data, dict):
        raise InputError("one JSON object belongs here.", "--example prints one that works.", "standard input")
    return data


def schema() -> None:
    """Print the JSON Schema of the piece file."""
    from enamelwright.craft.piece import Piece

    typer.echo(json.dumps(Piece.outside_schema(), indent=1))
