"""The app of a studio served in a thread, for tests that need an address."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from socket import socket

    from enamelwright.web.sharing import Sharing
    from enamelwright.workshop.studio import Studio

#: How long the app may take to end [s]: what it answers at that moment, on a machine that others use too.
LEAVE = 120.0


@contextmanager
def served(
    opened: Studio, host: str = "127.0.0.1", sharing: Sharing | None = None, door: socket | None = None
) -> Iterator[str]:
    """Serve the app of a studio in a thread, and give its address; at a door that is open already when one is given."""
    import uvicorn

    from enamelwright.web.app import create_app
    from enamelwright.web.serve import listening

    door = door or listening(host, 0)
    server = uvicorn.Server(uvicorn.Config(create_app(opened, sharing), log_level="warning"))
    thread = threading.Thread(target=server.run, kwargs={"sockets": [door]}, daemon=True)
    thread.start()
    while not server.started:
        if not thread.is_alive():
            raise RuntimeError("the app did not start; its own message stands above")
        time.sleep(0.02)
    try:
        yield f"http://127.0.0.1:{door.getsockname()[1]}"
    finally:
        server.should_exit = True
        thread.join(LEAVE)  # an answer under way is let out first; the record is closed only after it
        door.close()
    assert not thread.is_alive()
