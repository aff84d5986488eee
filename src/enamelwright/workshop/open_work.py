"""What is open: in the kiln, on the bench, owed, running out."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row

from enamelwright.workshop.coats import coats_without_firing
from enamelwright.workshop.faults import open_faults
from enamelwright.workshop.firings import open_loads, pieces_in
from enamelwright.workshop.lots import to_buy
from enamelwright.workshop.orders import open_orders
from enamelwright.workshop.owing import Owing, owing
from enamelwright.workshop.pieces import pieces_in_work
from enamelwright.workshop.studio import Studio


@dataclass(frozen=True)
class OpenWork:
    """Everything that waits for a hand.

    Attributes
    ----------
    loads : list of (Row, list of str)
        Loads that have not come out, with the numbers of their pieces.
    to_fire : list of Row
        Coats that were laid and not yet fired.
    pieces : list of Row
        Pieces planned or in work.
    faults : list of Row
        Faults of such pieces that are not healed.
    orders : list of Row
        Orders that are not over, the first due first.
    overdue : list of str
        Numbers of orders due before today.
    owing : tuple of Owing
        Orders that were collected with something still to pay.
    buy : list of (str, str, float)
        Code, name and mass left [kg] of jars below their mark.
    """

    loads: list[tuple[Row[Any], list[str]]]
    to_fire: list[Row[Any]]
    pieces: list[Row[Any]]
    faults: list[Row[Any]]
    orders: list[Row[Any]]
    overdue: list[str]
    owing: tuple[Owing, ...]
    buy: list[tuple[str, str, float]]


def open_work(studio: Studio) -> OpenWork:
    """Say what is open now.

    Parameters
    ----------
    studio : Studio
        The studio.
    """
    today = studio.today().isoformat()
    with studio.reading():
        orders = open_orders(studio)
        return OpenWork(
            loads=[(row, [piece.number for piece in pieces_in(studio, row.of)]) for row in open_loads(studio)],
            to_fire=coats_without_firing(studio),
            pieces=pieces_in_work(studio),
            faults=open_faults(studio),
            orders=orders,
            overdue=[row.number for row in orders if row.due_on is not None and row.due_on < today],
            owing=owing(studio),
            buy=to_buy(studio),
        )
