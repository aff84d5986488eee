"""What the record has taught, as it is kept between two times of learning."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Generic, TypeVar

from sqlalchemy import select

from enamelwright.craft.description import Described
from enamelwright.craft.learned_bow import LearnedBow
from enamelwright.craft.learned_clock import LearnedClock
from enamelwright.craft.learned_hand import LearnedHand
from enamelwright.records.schema.learned import posterior
from enamelwright.workshop.studio import Studio

#: Names of what is kept.
GLOSS_CLOCK, BOW, HAND = "gloss clock", "bow", "hand"

One = TypeVar("One", bound=Described)


@dataclass(frozen=True)
class Taught(Generic[One]):
    """What the record teaches.

    Attributes
    ----------
    found : tuple
        All of it.
    records : tuple of tuple of int
        Rows each stands on.
    left_out : dict of str to int
        Why others teach nothing, and how many.
    """

    found: tuple[One, ...] = ()
    records: tuple[tuple[int, ...], ...] = ()
    left_out: dict[str, int] = field(default_factory=dict)


def kept_clocks(studio: Studio) -> tuple[LearnedClock, ...]:
    """Return what firings taught last of kilns and jars.

    Parameters
    ----------
    studio : Studio
        The studio.
    """
    return _kept(studio, GLOSS_CLOCK, LearnedClock)


def kept_bows(studio: Studio) -> tuple[LearnedBow, ...]:
    """Return what strips taught last of jars on metals.

    Parameters
    ----------
    studio : Studio
        The studio.
    """
    return _kept(studio, BOW, LearnedBow)


def kept_hands(studio: Studio) -> tuple[LearnedHand, ...]:
    """Return what weighings taught last of hands.

    Parameters
    ----------
    studio : Studio
        The studio.
    """
    return _kept(studio, HAND, LearnedHand)


def _kept(studio: Studio, quantity: str, kind: type[One]) -> tuple[One, ...]:
    with studio.reading() as connection:
        rows = connection.execute(
            select(posterior.c.figures).where(posterior.c.quantity == quantity).order_by(posterior.c.id)
        )
        return tuple(kind(**{k: v for k, v in row.figures.items() if k in kind.model_fields}) for row in rows)
