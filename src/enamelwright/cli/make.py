"""`enamelwright make`: plan every piece file of a folder, with cards, and sum up the verdicts."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Annotated

import typer


def make(
    folder: Annotated[Path, typer.Argument(help="Folder of piece files, or one file.")] = Path("examples"),
    out: Annotated[Path, typer.Option("--out", help="One folder per piece is written here.")] = Path("out"),
    bench: Annotated[Path | None, typer.Option("--bench", help="Bench file (TOML).")] = None,
) -> None:
    """Plan every piece file: one folder per piece with the plan as JSON, bench card and kiln cards as PDF."""
    from rich.console import Console
    from rich.progress import track

    from enamelwright.cards import set_cards
    from enamelwright.cards.folder import BENCH_CARD, KILN_CARDS
    from enamelwright.cli.plan import plan_file
    from enamelwright.craft.bench import Bench
    from enamelwright.errors import InputError, OutOfReach
    from enamelwright.files.atomic import write_all
    from enamelwright.files.piece_file import read_bench

    files = [folder] if folder.is_file() else sorted(folder.glob("*.toml"))
    if not files:
        raise InputError("there is no piece file here.", "Name a folder with piece files (*.toml).", str(folder))
    studio = read_bench(bench) if bench is not None else Bench.starter()
    console = Console(stderr=True)
    lines: list[str] = []
    refused: list[str] = []
    for file in track(files, "Planning", console=console, disable=not console.is_terminal):
        try:
            read, result = plan_file(file, studio)
        except (InputError, OutOfReach) as error:
            refused.append(str(error))
            continue
        plan = result.payload
        target = out / file.stem
        text = json.dumps(result.to_json(), ensure_ascii=False, indent=1)
        papers = set_cards(plan, bench=studio, shape=read.shape)
        write_all(target, {**papers, "plan.json": text.encode()}, stale=(BENCH_CARD, KILN_CARDS))
        stops = sum(1 for verdict in plan.verdicts if verdict.counts and verdict.level == "stop")
        watches = sum(1 for verdict in plan.verdicts if verdict.counts and verdict.level == "watch")
        name = " ".join(plan.piece.name.split())[:44]
        lines.append(f"{plan.level:<6} {name:<44} {len(plan.firings):>2} firings {stops} stop {watches} watch")
        if not console.is_terminal:
            typer.echo(lines[-1])
    if console.is_terminal:
        for line in lines:
            typer.echo(line)
    typer.echo(f"{len(lines)} pieces planned, {len(refused)} refused; see {out}/")
    if refused:
        raise InputError("; ".join(refused))
