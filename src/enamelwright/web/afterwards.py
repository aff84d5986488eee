"""What works beside the pages, begun a moment after the door is open: the first page goes first."""

from __future__ import annotations

import gc
import threading
from typing import TYPE_CHECKING

from enamelwright.web.memory import give_back
from enamelwright.web.page import PAGES

if TYPE_CHECKING:
    from enamelwright.web.ahead import PlansAhead
    from enamelwright.web.learns import LearnsBeside
    from enamelwright.workshop.studio import Studio

#: The first page goes first [s]; then a breath between two pages, in which whoever asks is answered [s].
FIRST, BETWEEN = 0.5, 0.01
#: How often what is free is given back to the machine [s], and how long the end waits for what is under way [s].
GIVES_BACK, GRACE = 20.0, 5.0


class Afterwards(threading.Thread):
    """Loads the pages nobody has opened yet, begins what plans ahead and what learns, and keeps the memory small.

    Parameters
    ----------
    studio : Studio
        Already open.
    first, between : float
        Pauses before the first page is loaded and between two [s].
    """

    def __init__(self, studio: Studio, first: float = FIRST, between: float = BETWEEN) -> None:
        super().__init__(daemon=True, name="afterwards")
        self.studio = studio
        self.begun: tuple[PlansAhead | LearnsBeside, ...] = ()
        self._first, self._between = first, between
        self._over = threading.Event()

    def run(self) -> None:
        """Load one page after another, begin the rest, and give back memory until the app is closed."""
        if self._over.wait(self._first):
            return
        for page in PAGES:
            page.load()
            if self._over.wait(self._between):
                return
        from enamelwright.web.ahead import PlansAhead
        from enamelwright.web.learns import LearnsBeside

        if self._over.is_set():  # loading may take longer than the end waits
            return
        gc.freeze()  # what was loaded stays; looking through it again and again only holds up a page
        self.begun = (PlansAhead(self.studio), LearnsBeside(self.studio))
        for one in self.begun:
            one.start()
        while not self._over.wait(GIVES_BACK):
            give_back()

    def end(self) -> None:
        """Stop after what is under way."""
        self._over.set()
        if self.is_alive():
            self.join(GRACE)
        for one in self.begun:
            one.end()
