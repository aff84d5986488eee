"""Put the cards of a plan into a folder, whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from enamelwright.cards.bench import bench_card
from enamelwright.cards.kiln import kiln_cards
from enamelwright.craft.bench import Bench
from enamelwright.craft.outline_shape import Shape
from enamelwright.craft.plan import Plan
from enamelwright.errors import InputError

BENCH_CARD, KILN_CARDS = "bench-card.pdf", "kiln-cards.pdf"


def write_cards(
    plan: Plan, folder: Path, number: str = "", bench: Bench | None = None, shape: Shape | None = None
) -> list[Path]:
    """Write the bench card and the kiln cards of a plan.

    Both are set before anything is written, and each file is replaced in one step, so a folder never
    holds half a card.

    Parameters
    ----------
    plan : Plan
        The plan.
    folder : Path
        Where to; made when missing.
    number : str
        The piece's number.
    bench : Bench, optional
        Where jars are looked up that the piece file does not carry.
    shape : Shape, optional
        The outline, when it comes from a drawing.

    Returns
    -------
    list of Path
        The files written: the bench card, then the kiln cards unless nothing is fired.

    Raises
    ------
    InputError
        When the folder cannot be written.
    """
    made = {BENCH_CARD: bench_card(plan, number, bench, shape)}
    if plan.firings:
        made[KILN_CARDS] = kiln_cards(plan, number, bench)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        return [_replace(folder / name, content) for name, content in made.items()]
    except OSError as error:
        reason = (error.strerror or "it cannot be written").lower()
        raise InputError(f"the cards cannot be written: {reason}.", "Choose another folder.", str(folder)) from error


def _replace(path: Path, content: bytes) -> Path:
    """Write beside the file, then take its place."""
    handle, name = tempfile.mkstemp(prefix=f".{path.stem}-", suffix=".part", dir=path.parent)
    part = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        umask = os.umask(0)
        os.umask(umask)
        part.chmod(0o666 & ~umask)
        part.replace(path)
    except BaseException:
        part.unlink(missing_ok=True)
        raise
    return path
