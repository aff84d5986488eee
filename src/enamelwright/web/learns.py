"""Learns from the firings beside the pages: some seconds after a load came out, the next window goes by it."""

from __future__ import annotations

import logging
import threading

from sqlalchemy import func, select

from enamelwright.errors import EnamelwrightError
from enamelwright.records.schema.loads import load, prediction
from enamelwright.workshop.learning import relearn
from enamelwright.workshop.studio import Studio

#: How often it is looked whether a load came out [s].
EVERY = 10.0
#: How long the end waits for the learning that is under way [s].
GRACE = 5.0


class LearnsBeside(threading.Thread):
    """Learns anew whenever the record of firings has changed.

    Parameters
    ----------
    studio : Studio
        Already open.
    every : float
        Pause between two looks [s].
    """

    def __init__(self, studio: Studio, every: float = EVERY) -> None:
        super().__init__(daemon=True, name="learns beside")
        self.studio = studio
        self.times = 0
        self._every = every
        self._over = threading.Event()

    def run(self) -> None:
        """Look, learn and rest until the app is closed; a record it cannot learn from is left as it is."""
        seen: tuple[int, int] | None = None
        while not self._over.wait(self._every):
            try:
                now = changed(self.studio)
                if now != seen:
                    seen = now
                    relearn(self.studio)
                    self.times += 1
            except EnamelwrightError as error:
                seen = None  # the record was busy, perhaps: again at the next look
                logging.getLogger(__name__).info("learning: %s", error)
            except Exception:  # a fault of ours must not end the learning until the next start
                logging.getLogger(__name__).exception("learning broke; it tries again after the next firing")

    def end(self) -> None:
        """Stop after what is under way."""
        self._over.set()
        if self.is_alive():
            self.join(GRACE)


def changed(studio: Studio) -> tuple[int, int]:
    """Return numbers that change whenever a firing is written down, corrected or taken back: each is a new row.

    Parameters
    ----------
    studio : Studio
        The studio.
    """
    with studio.reading() as connection:
        newest = connection.execute(select(func.max(load.c.id))).scalar() or 0
        told = connection.execute(select(func.max(prediction.c.id))).scalar() or 0
    return int(newest), int(told)
