"""The invented workshop beside the studio: built and served by a process of its own, at a door of its own.

It never shares a page, a browser's store or a database with the studio: nothing told to one can land in the other.
"""

from __future__ import annotations

import socket
import subprocess
import sys
import threading
import time
from pathlib import Path
from typing import Literal

from enamelwright.demo.place import demo_home
from enamelwright.errors import EnamelwrightError
from enamelwright.web.serve import PORT, free_port

State = Literal["closed", "building", "opening", "open", "failed"]

#: How long the door may take to open [s], and how often it is tried.
PATIENCE, TRY = 60.0, 0.1
#: How long a process that is asked to end may take [s].
GRACE = 10.0


class Beside:
    """The invented workshop, opened on request and closed with the app.

    Parameters
    ----------
    folder : Path, optional
        Where it lives; the demonstration's usual folder when left out.
    """

    def __init__(self, folder: Path | None = None) -> None:
        self.folder = folder
        self.state: State = "closed"
        self._over = False
        self.address = ""
        self._server: subprocess.Popen[bytes] | None = None
        self._lock = threading.Lock()

    def open(self) -> None:
        """Begin to open it, when it is not open already; :attr:`state` tells how far it is."""
        with self._lock:
            if self._over or self.state in {"building", "opening"} or (self.state == "open" and self._runs()):
                return
            self.state = "building"
        threading.Thread(target=self._open, daemon=True).start()

    def close(self) -> None:
        """End its server, or the building of it; the invented record stays until it is deleted."""
        with self._lock:
            self._over = True
            server, self._server = self._server, None
            self.state = "closed"
        if server is not None and server.poll() is None:
            server.terminate()
            try:
                server.wait(GRACE)
            except subprocess.TimeoutExpired:
                server.kill()

    def _runs(self) -> bool:
        return self._server is not None and self._server.poll() is None

    def _open(self) -> None:
        program = [sys.executable, "-m", "enamelwright"]
        try:
            home = demo_home(self.folder)
            if not home.database.exists():
                building = self._begin([*program, "demo", "--home", str(home.folder)])
                if building is None or building.wait() != 0:
                    self._tell("failed")
                    return
            self._tell("opening")
            port = free_port("127.0.0.1", PORT + 1)
            if self._begin([*program, "serve", "--home", str(home.folder), "--port", str(port)]) is None:
                return
            found = self._answers(port)
            self.address = f"http://127.0.0.1:{port}/"
            self._tell("open" if found else "failed")
        except (OSError, EnamelwrightError):
            self._tell("failed")

    def _begin(self, program: list[str]) -> subprocess.Popen[bytes] | None:
        """Begin a process that :meth:`close` can end; None when the app is closed already."""
        with self._lock:
            if self._over:
                return None
            self._server = subprocess.Popen(
                program, stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
            )
            return self._server

    def _tell(self, state: State) -> None:
        """Say how far it is, unless it was closed meanwhile."""
        with self._lock:
            if not self._over:
                self.state = state

    def _answers(self, port: int) -> bool:
        until = time.monotonic() + PATIENCE
        while time.monotonic() < until and self._runs():
            with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
                if probe.connect_ex(("127.0.0.1", port)) == 0:
                    return True
            time.sleep(TRY)
        return False
