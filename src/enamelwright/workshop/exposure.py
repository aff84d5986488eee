"""What people were exposed to: what the coats tell by themselves, and what somebody wrote down."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row, func, select

from enamelwright.records.schema.coats import coat_laid
from enamelwright.records.schema.people import exposure as exposure_table
from enamelwright.records.writing import between
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.typed import Quantity

#: Ways of laying that raise dust.
DUSTY = ("sift", "spray")


@dataclass(frozen=True)
class Sifted:
    """Powder somebody sifted from one jar in a span of time.

    Attributes
    ----------
    person : int or None
        Row of the person.
    jar : int or None
        Row of the jar.
    grams : float
        Mass that left the jar, or lies on the piece where only that is known [kg].
    coats : int
        How many coats.
    unweighed : int
        How many of them were not weighed.
    """

    person: int | None
    jar: int | None
    grams: float
    coats: int
    unweighed: int


def expose(
    studio: Studio,
    work: str,
    *,
    person: int | None = None,
    lot: int | None = None,
    grams: Quantity = None,
    duration: Quantity = None,
    looks: float | None = None,
    wet: bool | None = None,
    mask: str | None = None,
    extraction: str | None = None,
    at: Any = None,
    words: str | None = None,
) -> int:
    """Record an exposure and return its row. Sifted coats need none: the coats tell.

    Parameters
    ----------
    studio : Studio
        The studio.
    work : str
        ``sifting``, ``dry brushing``, ``dry sanding``, ``wet stoning``, ``open door``, ``pickle``, ``etching``
        or ``other``.
    person : int, optional
        Row of the person; who is at the bench when left out.
    lot : int, optional
        Row of the lot.
    grams : quantity, optional
        Powder handled.
    duration : quantity, optional
        How long.
    looks : float, optional
        How many looks through the open door.
    wet : bool, optional
        Whether it was kept wet.
    mask, extraction : str, optional
        What was worn, and what drew the air away.
    at : datetime, optional
        When; now when left out.
    words : str, optional
        Free words.
    """
    return studio.add(
        exposure_table, person=person if person is not None else studio.person, lot=lot, work=work, grams=grams,
        duration=duration, looks=looks, wet=wet, mask=mask, extraction=extraction, at=at, words=words,
    )  # fmt: skip


def sifted(studio: Studio, first: str, last: str) -> list[Sifted]:
    """Sum the powder that was sifted or sprayed between two moments, by person and jar.

    Parameters
    ----------
    studio : Studio
        The studio.
    first, last : str
        As the record writes moments; `last` does not belong.
    """
    laid = between(coat_laid, first, last).where(coat_laid.c.method.in_(DUSTY)).subquery()
    grams = func.coalesce(laid.c.weighed_out, laid.c.on_piece)
    with studio.reading() as connection:
        rows = connection.execute(
            select(
                laid.c.who, laid.c.jar, func.sum(grams).label("grams"), func.count().label("coats"),
                (func.count() - func.count(grams)).label("unweighed"),
            )
            .group_by(laid.c.who, laid.c.jar)
            .order_by(laid.c.who, laid.c.jar)
        ).all()  # fmt: skip
    return [Sifted(row.who, row.jar, row.grams or 0.0, row.coats, row.unweighed) for row in rows]


def exposures(studio: Studio, first: str, last: str) -> list[Row[Any]]:
    """List what was written down between two moments, the first first.

    Parameters
    ----------
    studio : Studio
        The studio.
    first, last : str
        As the record writes moments; `last` does not belong.
    """
    return studio.between(exposure_table, first, last)
