"""Runs the app: on this machine alone, or shared on purpose."""

from __future__ import annotations

import gc
import logging
import signal
import socket
import threading
from contextlib import suppress
from typing import TYPE_CHECKING

from enamelwright.errors import InputError
from enamelwright.web.memory import few_arenas

if TYPE_CHECKING:
    import uvicorn
    from fastapi import FastAPI

    from enamelwright.workshop.studio import Studio

PORT = 8321
#: How many ports after the first are tried when it is taken.
TRIES = 20
#: The first page goes first [s]; how often the calendar is looked at after that [s].
FIRST, LOOK_AGAIN = 1.0, 600.0


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


def listening(host: str, first: int = 0, tries: int = TRIES) -> socket.socket:
    """Return a socket that holds its port, so that nobody can take it before the app listens.

    Parameters
    ----------
    host : str
        Address to listen on.
    first : int
        Port wished for, the next free one is taken; 0 for any.
    tries : int
        How many to try.

    Raises
    ------
    InputError
        When all are taken.
    """
    for port in range(first, first + tries) if first else (0,):
        # The protocol is named because only then are answers sent without waiting for more to say.
        door = socket.socket(socket.AF_INET, socket.SOCK_STREAM, socket.IPPROTO_TCP)
        door.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            door.bind((host, port))
            door.listen()
        except OSError:
            door.close()
            continue
        return door
    raise InputError(f"ports {first} to {first + tries - 1} are all taken.", "Choose another with --port.")


class DayEnd(threading.Thread):
    """Takes the day's snapshot: when the app was opened, when a day is over, and when the app is closed.

    Parameters
    ----------
    studio : Studio
        Already open.
    first : float
        The first page goes first [s].
    """

    def __init__(self, studio: Studio, first: float = FIRST) -> None:
        super().__init__(daemon=True, name="day end")
        self.studio = studio
        self._first = first
        self.trouble = ""
        self._over = threading.Event()

    def run(self) -> None:
        """Look at the calendar now and then until the app is closed."""
        day = None
        if self._over.wait(self._first):
            return
        while True:
            if self.studio.today() != day:
                day = self.studio.today()
                self.take()
            if self._over.wait(LOOK_AGAIN):
                return

    def end(self) -> None:
        """Stop looking, and take what was written since."""
        self._over.set()
        if self.is_alive():
            self.join()
        self.take()

    def take(self) -> None:
        """Take a snapshot when something was written since the last; say once why none could be taken, and go on."""
        from enamelwright.records.snapshots import close_of_day

        try:
            close_of_day(self.studio.store)
            self.trouble = ""
        except Exception as error:  # whatever it was, tomorrow's snapshot must still be tried
            logging.getLogger(__name__).warning("no snapshot was taken", exc_info=error)
            if str(error) != self.trouble:
                self.trouble = str(error)
                print(f"No snapshot was taken: {error}", flush=True)


def _server(app: FastAPI, beside: tuple[threading.Thread, ...]) -> uvicorn.Server:
    """Return a server that lets what works beside it begin once it answers: the first page goes first."""
    import uvicorn

    class Serving(uvicorn.Server):
        async def startup(self, sockets: list[socket.socket] | None = None) -> None:
            await super().startup(sockets=sockets)
            gc.freeze()  # what was loaded stays; looking through it again and again only holds up a page
            gc.enable()
            for one in beside:
                one.start()

    return Serving(uvicorn.Config(app, log_level="warning", server_header=False))


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
    few_arenas()
    gc.disable()  # until it serves: nothing that is loaded is thrown away
    try:
        _serve(studio, port, share)
    finally:
        gc.enable()  # also when it never came to serve


def _serve(studio: Studio, port: int, share: bool) -> None:
    from enamelwright.web.afterwards import Afterwards
    from enamelwright.web.app import create_app
    from enamelwright.web.sharing import Sharing

    host = "0.0.0.0" if share else "127.0.0.1"
    door = listening(host, port)
    sharing = Sharing(studio, shared=share, port=door.getsockname()[1])
    for line in sharing.words():
        print(line, flush=True)
    day, afterwards = DayEnd(studio), Afterwards(studio)
    signal.signal(signal.SIGTERM, _leave)  # the server hands the signal on when it is done; the day still ends
    try:
        with suppress(KeyboardInterrupt):
            _server(create_app(studio, sharing), (day, afterwards)).run(sockets=[door])
    finally:
        door.close()
        afterwards.end()
        day.end()
