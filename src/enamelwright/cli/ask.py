"""`enamelwright ask NAME < in.json`: any question, JSON in and JSON out; and the schemas."""

from __future__ import annotations

import json
import re
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

if TYPE_CHECKING:
    from enamelwright.questions.answer import Answer

#: Longest JSON read from standard input.
LARGEST_INPUT = 1024 * 1024


def ask(
    name: Annotated[str, typer.Argument(help="Which question.")] = "",
    list_: Annotated[bool, typer.Option("--list", help="List the questions.")] = False,
    schema_: Annotated[bool, typer.Option("--schema", help="Print the JSON Schema of the input.")] = False,
    example: Annotated[bool, typer.Option("--example", help="Print an input that works.")] = False,
    bench: Annotated[Path | None, typer.Option("--bench", help="Bench file (TOML).")] = None,
    with_: Annotated[
        list[str] | None,
        typer.Option("--with", help="One thing told, instead of JSON: metal=copper, set_point=800C, diameter=32mm."),
    ] = None,
    text: Annotated[bool, typer.Option("--text", help="Print the answer as sentences instead of JSON.")] = False,
) -> None:
    """Ask a question: JSON on standard input, or --with; the whole answer as JSON, or sentences with --text."""
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
    told = _told(with_) if with_ else {} if text and sys.stdin.isatty() else _read_json()
    if bench is not None:
        from enamelwright.files.piece_file import read_bench

        result = chosen.ask(told, read_bench(bench))
    else:
        result = chosen.ask(told)
    if text:
        for line in _sentences(result):
            typer.echo(line)
        return
    typer.echo(json.dumps(result.to_json(), ensure_ascii=False, indent=1))


def _told(pairs: list[str]) -> dict[str, Any]:
    """Read what options tell: field=value, a number as a number and anything else as it is typed."""
    from enamelwright.errors import InputError

    told: dict[str, Any] = {}
    for pair in pairs:
        name, sign, value = (part.strip() for part in pair.partition("="))
        if not sign or not name or not value:
            raise InputError(f"'{pair[:60]}' tells nothing.", "Write it like set_point=800C.", "--with")
        told[name] = int(value) if re.fullmatch(r"[0-9]{1,9}", value) else value
    return told


def _sentences(answer: Answer[Any]) -> Iterator[str]:
    """Say an answer: its figures, why, what was taken as given, and what to take care of."""
    from enamelwright.figure import Figure

    for name in type(answer.payload).model_fields:
        value = getattr(answer.payload, name)
        if isinstance(value, Figure):
            yield f"{name.replace('_', ' ')}: {value.shown()}"
        elif isinstance(value, str) and value:
            yield f"{name.replace('_', ' ')}: {value}"
    yield from answer.because
    if answer.assumptions:
        yield "Taken as given:"
        yield from (f"  - {line}" for line in answer.assumptions)
    if answer.cautions:
        yield "Take care:"
        yield from (f"  - {line}" for line in answer.cautions)


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
