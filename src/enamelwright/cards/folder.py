"""The cards of a plan as files of a folder, whole or not at all."""

from __future__ import annotations

from pathlib import Path

from enamelwright.cards.bench import bench_card
from enamelwright.cards.kiln import kiln_cards
from enamelwright.craft.bench import Bench
from enamelwright.craft.outline_shape import Shape
from enamelwright.craft.plan import Plan
from enamelwright.files.atomic import write_all

BENCH_CARD, KILN_CARDS = "bench-card.pdf", "kiln-cards.pdf"


def set_cards(plan: Plan, number: str = "", bench: Bench | None = None, shape: Shape | None = None) -> dict[str, bytes]:
    """Return the cards of a plan by file name: the bench card, then the kiln cards unless nothing is fired.

    Parameters
    ----------
    plan : Plan
        The plan.
    number : str
        The piece's number.
    bench : Bench, optional
        Where jars are looked up that the piece file does not carry.
    shape : Shape, optional
        The outline, when it comes from a drawing.
    """
    made = {BENCH_CARD: bench_card(plan, number, bench, shape)}
    if plan.firings:
        made[KILN_CARDS] = kiln_cards(plan, number, bench)
    return made


def write_cards(
    plan: Plan, folder: Path, number: str = "", bench: Bench | None = None, shape: Shape | None = None
) -> list[Path]:
    """Write the bench card and the kiln cards of a plan.

    Both are set and on the disk before either takes its place, and an earlier run's card that no longer
    belongs is removed.

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
    return write_all(folder, set_cards(plan, number, bench, shape), stale=(BENCH_CARD, KILN_CARDS))
