"""Runs the app: on this machine alone, or shared on purpose."""

from __future__ import annotations

import signal
import socket
import threading
from contextlib import suppress
from typing import TYPE_CHECKING

from enamelwright.errors import EnamelwrightError, InputError

if TYPE_CHECKING:
    from enamelwright.workshop.studio import Studio

PORT = 8321
#: How many ports after the first are tried when it is taken.
TRIES = 20
#: How often the calendar is looked at [s].
LOOK_AGAIN = 600.0


def free_port(host: str, first: int, tries: int = TRIES) -> int:
    """Return the first port from `first` on that nobody listens at.

    Parameters
    ----------
    host : str
        Address to listen on.
    first : int
        Port wished for.
    tries : int
        How many to try.

    Raises
    ------
    InputError
        When all are taken.
    """
    for port in range(first, first + tries):
        with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
            probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
            try:
                probe.bind((host, port))
            except OSError:
                continue
            return port
    raise InputError(f"ports {first} to {first + tries - 1} are all taken.", "Choose another with --port.")


class DayEnd(threading.Thread):
    """Takes the day's snapshot: when the app is opened, when a day is over, and when the app is closed.

    Parameters
    ----------
    studio : Studio
        Already open.
    """

    def __init__(self, studio: Studio) -> None:
        super().__init__(daemon=True, name="day end")
        self.studio = studio
        self.trouble = ""
        self._over = threading.Event()

    def run(self) -> None:
        """Look at the calendar now and then until the app is closed."""
        day = None
        while True:
            if self.studio.today() != day:
                day = self.studio.today()
                self.take()
            if self._over.wait(LOOK_AGAIN):
                return

    def end(self) -> None:
        """Stop looking, and take what was written since."""
        self._over.set()
        self.join()
        self.take()

    def take(self) -> None:
        """Take a snapshot when something was written since the last; say so once when there is no room for it."""
        from enamelwright.records.snapshots import close_of_day

        try:
            close_of_day(self.studio.store)
            self.trouble = ""
        except EnamelwrightError as error:
            if str(error) != self.trouble:
                self.trouble = str(error)
                print(f"No snapshot was taken: {error}", flush=True)


def _leave(_signal: int, _frame: object) -> None:
    raise SystemExit(0)


def run(studio: Studio, port: int = PORT, share: bool = False) -> None:
    """Serve until interrupted.

    Parameters
    ----------
    studio : Studio
        Already open.
    port : int
        Port wished for; the next free one is taken.
    share : bool
        Whether other devices on the local network may be paired.
    """
    import uvicorn

    from enamelwright.web.ahead import PlansAhead
    from enamelwright.web.app import create_app
    from enamelwright.web.sharing import Sharing

    host = "0.0.0.0" if share else "127.0.0.1"
    chosen = free_port(host, port)
    sharing = Sharing(studio, shared=share, port=chosen)
    for line in sharing.words():
        print(line, flush=True)
    day, ahead = DayEnd(studio), PlansAhead(studio)
    day.start()
    ahead.start()
    signal.signal(signal.SIGTERM, _leave)  # the server hands the signal on when it is done; the day still ends
    try:
        with suppress(KeyboardInterrupt):
            uvicorn.run(create_app(studio, sharing), host=host, port=chosen, log_level="warning", server_header=False)
    finally:
        ahead.end()
        day.end()
