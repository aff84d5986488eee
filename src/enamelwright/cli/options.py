"""Options that mean the same in every command."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

HomeOption = Annotated[Path | None, typer.Option("--home", help="Data folder of the studio.")]
WhoOption = Annotated[str, typer.Option("--who", envvar="ENAMELWRIGHT_WHO", help="Label of who is at the bench.")]
AtOption = Annotated[str, typer.Option("--at", help='When it happened, e.g. "2026-03-02 10:15"; now when left out.')]
WordsOption = Annotated[str, typer.Option("--note", help="Free words.")]
JsonOption = Annotated[bool, typer.Option("--json", help="Print JSON.")]
