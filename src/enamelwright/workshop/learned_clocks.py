"""What firings have taught, as it is kept between two times of learning."""

from __future__ import annotations

from sqlalchemy import select

from enamelwright.craft.learned_clock import LearnedClock
from enamelwright.records.schema.learned import posterior
from enamelwright.workshop.studio import Studio

#: Name of what is kept.
GLOSS_CLOCK = "gloss clock"


def kept_clocks(studio: Studio) -> tuple[LearnedClock, ...]:
    """Return what was learned last, as it is kept.

    Parameters
    ----------
    studio : Studio
        The studio.
    """
    with studio.reading() as connection:
        rows = connection.execute(
            select(posterior.c.figures).where(posterior.c.quantity == GLOSS_CLOCK).order_by(posterior.c.id)
        )
        names = LearnedClock.model_fields
        return tuple(LearnedClock(**{k: v for k, v in row.figures.items() if k in names}) for row in rows)
