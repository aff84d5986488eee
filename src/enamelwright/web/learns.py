"""Learns from the record beside the pages: some seconds after a load came out, the next window goes by it."""

from __future__ import annotations

import logging
import threading

from enamelwright.errors import EnamelwrightError
from enamelwright.workshop.relearning import catch_up
from enamelwright.workshop.studio import Studio

#: How often it is looked whether something was written that teaches [s].
EVERY = 10.0
#: How long the end waits for the learning that is under way [s].
GRACE = 5.0


class LearnsBeside(threading.Thread):
    """Learns anew whenever something was written that teaches; the pages find what came out at hand.

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
        """Look, learn and rest until the app is closed; what fails is tried again after a pause that grows."""
        while not self._over.wait(self._every):
            try:
                if catch_up(self.studio, wait=True, hold=True):
                    self.times += 1
                    self._words()
            except EnamelwrightError as error:  # the record was busy, perhaps: again at the next look
                logging.getLogger(__name__).info("learning: %s", error)
            except Exception:  # a fault of ours must not end the learning until the next start
                logging.getLogger(__name__).exception("learning broke; it is tried again at the next look")

    def _words(self) -> None:
        """Put what was learned into words, so that whoever opens the page finds it done."""
        from enamelwright.web.learned_view import worked_out

        worked_out(self.studio)

    def end(self) -> None:
        """Stop after what is under way."""
        self._over.set()
        if self.is_alive():
            self.join(GRACE)
