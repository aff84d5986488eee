"""`enamelwright plan FILE`: the plan of one piece, as text, JSON or cards."""

from __future__ import annotations

import json
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from enamelwright.craft.bench import Bench
    from enamelwright.craft.plan import Plan
    from enamelwright.files.piece_file import PieceFile
    from enamelwright.questions.answer import Answer


def plan_file(file: Path, studio: Bench, draws: int | None = None) -> tuple[PieceFile, Answer[Plan]]:
    """Read a piece file and plan the piece; every complaint names the file.

    Parameters
    ----------
    file : Path
        The piece file.
    studio : Bench
        What is known of the studio.
    draws : int, optional
        Draws behind the bands; the question's own number when left out.

    Raises
    ------
    EnamelwrightError
        One sentence: file, field, remedy.
    """
    from enamelwright.craft.planner import FIRST_BAND
    from enamelwright.errors import EnamelwrightError
    from enamelwright.files.piece_file import read_piece
    from enamelwright.questions.plan import answer

    read = read_piece(file)
    try:
        return read, answer(read.piece, studio, read.shape, FIRST_BAND if draws is None else draws)
    except EnamelwrightError as error:
        raise error.at(str(file)) from error


def plan(
    file: Annotated[Path, typer.Argument(help="Piece file (TOML).")],
    json_: Annotated[bool, typer.Option("--json", help="Print the whole answer as JSON.")] = False,
    cards: Annotated[Path | None, typer.Option("--cards", help="Folder for the bench card and kiln cards.")] = None,
    bench: Annotated[Path | None, typer.Option("--bench", help="Bench file (TOML): your jars, kilns, hands.")] = None,
    draws: Annotated[int, typer.Option("--draws", min=32, max=20000, help="Draws behind each band.")] = 256,
    all_: Annotated[bool, typer.Option("--all", help="Print every step and every line of advice.")] = False,
) -> None:
    """Plan one piece: what to weigh, what to do in order, how it will lie, what to watch."""
    from enamelwright.cli.plan_text import plan_text
    from enamelwright.craft.bench import Bench
    from enamelwright.files.piece_file import read_bench

    studio = read_bench(bench) if bench is not None else Bench.starter()
    read, result = plan_file(file, studio, draws)
    if cards is not None:
        from enamelwright.cards import write_cards

        written = write_cards(result.payload, cards, bench=studio, shape=read.shape)
    if json_:
        typer.echo(json.dumps(result.to_json(), ensure_ascii=False, indent=1))
    else:
        typer.echo(plan_text(result, everything=all_))
        for warning in read.warnings:
            typer.echo(f"Drawing: {warning}")
    if cards is not None and not json_:
        typer.echo("Cards: " + ", ".join(str(path) for path in written))
