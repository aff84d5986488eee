"""The whole day's paper in one file: bench cards and kiln cards of several pieces, one after another."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from enamelwright.cards import words
from enamelwright.cards.bench import bench_card_data
from enamelwright.cards.kiln import kiln_cards_data
from enamelwright.cards.press import press
from enamelwright.craft.bench import Bench
from enamelwright.craft.outline_shape import Shape
from enamelwright.craft.plan import Plan

TEMPLATE = "day_cards.typ"


@dataclass(frozen=True)
class OfDay:
    """One piece of the day.

    Attributes
    ----------
    plan : Plan
        Its plan.
    number : str
        Its number.
    shape : Shape or None
        The outline, when it comes from a drawing.
    bench_card, kiln_cards : bool
        Which of its cards are wanted.
    """

    plan: Plan
    number: str
    shape: Shape | None = None
    bench_card: bool = True
    kiln_cards: bool = True


def day_cards(pieces: Sequence[OfDay], title: str, bench: Bench | None = None) -> bytes:
    """Set the cards of a day.

    Parameters
    ----------
    pieces : sequence of OfDay
        In the order of the day; at least one card among them.
    title : str
        Of the file.
    bench : Bench, optional
        Where jars are looked up that a piece file does not carry.

    Returns
    -------
    bytes
        A PDF of A6 pages; byte-identical for identical input.
    """
    return press(TEMPLATE, day_cards_data(pieces, title, bench))


def day_cards_data(
    pieces: Sequence[OfDay], title: str, bench: Bench | None = None, alarms: Sequence[str] = ()
) -> dict[str, Any]:
    """Gather what the template prints; alarms of the kiln stand on every kiln card."""
    cards = []
    for one in pieces:
        if one.bench_card:
            cards.append({"kind": "bench", "data": bench_card_data(one.plan, one.number, bench, one.shape)})
        if one.kiln_cards and one.plan.firings:
            cards.append({"kind": "kiln", "data": kiln_cards_data(one.plan, one.number, bench, alarms)})
    return {
        "title": words.plain(title), "invented": any(one.plan.piece.invented for one in pieces), "cards": cards,
    }  # fmt: skip
