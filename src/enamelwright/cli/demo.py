"""`enamelwright demo`: build the invented workshop into a database of its own, or delete it."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def demo(
    home: Annotated[
        Path | None, typer.Option("--home", help="Folder for it; 'demo' in the usual data folder when left out.")
    ] = None,
    seed: Annotated[int | None, typer.Option("--seed", help="Another seed, other chances.")] = None,
    delete: Annotated[bool, typer.Option("--delete", help="Delete the demonstration, and nothing else.")] = False,
) -> None:
    """Build two months of an invented workshop to look round in; your own record is not touched."""
    from rich.console import Console
    from rich.progress import Progress

    from enamelwright.demo.place import build_demo, delete_demo, demo_home
    from enamelwright.demo.script import happenings

    place = demo_home(home)
    if delete:
        delete_demo(place)
        typer.echo(f"The demonstration in {place.folder} is deleted.")
        return
    console = Console(stderr=True)
    with Progress(console=console, disable=not console.is_terminal, transient=True) as bar:
        task = bar.add_task("Two invented months", total=1.0)
        built = build_demo(place, seed, lambda share: bar.update(task, completed=share))
    told = happenings()
    named = "" if home is None else f" --home {home}"
    typer.echo(f"{told['label']}: {told['name']}, {built.pieces} pieces and {built.loads} firings, all synthetic.")
    typer.echo(f"It lives in {place.folder}, apart from your own record.")
    typer.echo(
        f"Look round in it with ENAMELWRIGHT_HOME={place.folder}; delete it with: enamelwright demo{named} --delete"
    )
