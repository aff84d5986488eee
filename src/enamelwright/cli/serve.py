"""Open the app in a browser."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer


def serve(
    port: Annotated[int, typer.Option(help="Port; the next free one is taken.", min=1, max=65535)] = 8321,
    home: Annotated[Path | None, typer.Option(help="Data folder of the studio.")] = None,
    share: Annotated[bool, typer.Option(help="Let other devices on the local network be paired.")] = False,
) -> None:
    """Open the app at the bench, in a browser."""
    from enamelwright.records.home import Home
    from enamelwright.web.serve import run
    from enamelwright.workshop.studio import Studio

    studio = Studio.open(Home(home) if home is not None else Home.usual())
    try:
        run(studio, port, share)
    finally:
        studio.close()
