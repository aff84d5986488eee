"""Plans worked out ahead, so that the first page that wants one has it at hand."""

from __future__ import annotations

import logging
import threading

from enamelwright.errors import EnamelwrightError
from enamelwright.web import sections
from enamelwright.web.memory import give_back
from enamelwright.workshop import day_waits, listing
from enamelwright.workshop.coats import coats_without_firing
from enamelwright.workshop.studio import Studio

#: Plans worked out ahead at most; fewer than are remembered, so that none of them pushes another out.
MOST = sections.MOST_PLANS // 2
#: The first page goes first [s]; then a breath between two plans, in which whoever asks is answered [s].
FIRST, BETWEEN = 1.0, 0.2
#: How long the end waits for the plan that is being worked out [s].
GRACE = 5.0


class PlansAhead(threading.Thread):
    """Works out the plans of what is on the bench, one at a time, beside the pages.

    Parameters
    ----------
    studio : Studio
        Already open.
    first, between : float
        Pauses before the first plan and between two [s].
    """

    def __init__(self, studio: Studio, first: float = FIRST, between: float = BETWEEN) -> None:
        super().__init__(daemon=True, name="plans ahead")
        self.studio = studio
        self.done = 0
        self._first, self._between = first, between
        self._over = threading.Event()

    def run(self) -> None:
        """Work until all are at hand or the app is closed; whatever goes wrong here is for the page to say."""
        if self._over.wait(self._first):
            return
        try:
            for version in wanted(self.studio):
                sections.work_out(self.studio, version)
                day_waits.work_out(self.studio, version)
                self.done += 1
                if self._over.wait(self._between):
                    return
        except EnamelwrightError as error:
            logging.getLogger(__name__).info("plans ahead: %s", error)
        finally:
            give_back()

    def end(self) -> None:
        """Stop after the plan that is being worked out."""
        self._over.set()
        if self.is_alive():
            self.join(GRACE)


def wanted(studio: Studio) -> list[int]:
    """Return the design versions whose plans the first pages want: those of what waits for the kiln first.

    Parameters
    ----------
    studio : Studio
        The studio.
    """
    with studio.reading():
        open_ones = listing.pieces_like(studio, states=("planned", "in work"))
        laid = {one.piece for one in coats_without_firing(studio)}
        shown = open_ones or listing.pieces_like(studio)
    ordered = sorted(shown, key=lambda row: row.id not in laid)
    return list(dict.fromkeys(int(row.version_of) for row in ordered if row.version_of))[:MOST]
