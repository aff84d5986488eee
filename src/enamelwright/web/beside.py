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
        self.address = ""
        self._server: subprocess.Popen[bytes] | None = None
        self._lock = threading.Lock()

    def open(self) -> None:
        """Begin to open it, when it is not open already; :attr:`state` tells how far it is."""
        with self._lock:
            if self.state in {"building", "opening"} or (self.state == "open" and self._runs()):
                return
            self.state = "building"
        threading.Thread(target=self._open, daemon=True).start()

    def close(self) -> None:
        """End its server; the invented record stays until it is deleted."""
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
                subprocess.run(
                    [*program, "demo", "--home", str(home.folder)], check=True, stdin=subprocess.DEVNULL,
                    stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
                )  # fmt: skip
            self.state = "opening"
            port = free_port("127.0.0.1", PORT + 1)
            self._server = subprocess.Popen(
                [*program, "serve", "--home", str(home.folder), "--port", str(port)], stdin=subprocess.DEVNULL,
                stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
            )  # fmt: skip
            self.state = "open" if self._answers(port) else "failed"
            self.address = f"http://127.0.0.1:{port}/"
        except (OSError, subprocess.CalledProcessError, EnamelwrightError):
            self.state = "failed"

    def _answers(self, port: int) -> bool:
        until = time.monotonic() + PATIENCE
        while time.monotonic() < until and self._runs():
            with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
                if probe.connect_ex(("127.0.0.1", port)) == 0:
                    return True
            time.sleep(TRY)
        return False
