"""What the record has taught, as it is kept between two times of learning."""

from __future__ import annotations

import logging
from collections.abc import Collection
from dataclasses import dataclass, field
from typing import Any, Generic, TypeVar

from pydantic import Field
from sqlalchemy import select

from enamelwright.craft.description import Described
from enamelwright.craft.learned_bow import LearnedBow
from enamelwright.craft.learned_clock import LearnedClock
from enamelwright.craft.learned_hand import LearnedHand
from enamelwright.records.schema.learned import posterior
from enamelwright.workshop.studio import Studio

#: Names of what is kept.
GLOSS_CLOCK, BOW, HAND, ODD_LOAD = "gloss clock", "bow", "hand", "odd load"


class KeptOdd(Described):
    """A load that stands far off the others of its kiln."""

    load: int
    off: float = Field(description="standard deviations; late is positive")


#: What each is made into.
KINDS: dict[str, type[Described]] = {
    GLOSS_CLOCK: LearnedClock, BOW: LearnedBow, HAND: LearnedHand, ODD_LOAD: KeptOdd,
}  # fmt: skip

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


def kept_odd(studio: Studio) -> frozenset[int]:
    """Return the rows of the loads that stood far off the others of their kiln when firings were learned last.

    Parameters
    ----------
    studio : Studio
        The studio.
    """
    return frozenset(one.load for one in _kept(studio, ODD_LOAD, KeptOdd))


def unreadable(studio: Studio, quantities: Collection[str]) -> bool:
    """Whether something that is kept cannot be read, so that it is to be learned anew.

    Parameters
    ----------
    studio : Studio
        The studio.
    quantities : collection of str
        Names of what is kept.
    """
    return any(one is None for quantity in quantities for one in _read(studio, quantity, KINDS[quantity]))


def _kept(studio: Studio, quantity: str, kind: type[One]) -> tuple[One, ...]:
    """Return what can be read of it; what another version wrote otherwise is left out until it is learned anew."""
    return tuple(one for one in _read(studio, quantity, kind) if one is not None)


def _read(studio: Studio, quantity: str, kind: type[One]) -> list[One | None]:
    with studio.reading() as connection:
        rows = connection.execute(
            select(posterior.c.figures).where(posterior.c.quantity == quantity).order_by(posterior.c.id)
        ).all()
    return [_made(kind, row.figures) for row in rows]


def _made(kind: type[One], figures: Any) -> One | None:
    """Make one of what is kept; None for figures it refuses."""
    try:
        return kind(**{k: v for k, v in figures.items() if k in kind.model_fields})
    except (ValueError, TypeError, AttributeError) as error:  # a refusal of the model is a ValueError
        logging.getLogger(__name__).info("%s that cannot be read is left out: %s", kind.__name__, error)
        return None
