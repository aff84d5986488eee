"""The worker as a process of its own: does long work beside the server, and ends with it or when nothing is left.

Run as ``python -m enamelwright.workshop.worker FOLDER``; the database is named by the environment when it is no
file of that folder. It ends when its standard input is closed, which happens when the server ends, however it ends.
"""

from __future__ import annotations

import os
import subprocess
import sys
import threading
import time
from pathlib import Path

from enamelwright.records.home import URL_VARIABLE, Home
from enamelwright.workshop import jobs
from enamelwright.workshop.studio import Studio

#: Idle for so long, a worker ends [s]; the next job begins another.
IDLE = 120.0
#: How long a worker that is told to end may take [s].
GRACE = 5.0
#: How often somebody who waits looks again [s].
LOOK = 0.1


class Worker:
    """The worker process as the server sees it: begun when there is work, ended with the server.

    Parameters
    ----------
    studio : Studio
        Whose jobs are done.
    """

    def __init__(self, studio: Studio) -> None:
        self._home = studio.store.home
        self._lock = threading.Lock()
        self._process: subprocess.Popen[bytes] | None = None
        self._over = False

    def wake(self) -> None:
        """See to it that a worker runs; call it after asking for work."""
        with self._lock:
            if self._over or (self._process is not None and self._process.poll() is None):
                return
            environment = {**os.environ, URL_VARIABLE: self._home.url}
            self._process = subprocess.Popen(
                [sys.executable, "-m", "enamelwright.workshop.worker", str(self._home.folder)], stdin=subprocess.PIPE,
                stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, env=environment,
            )  # fmt: skip

    def close(self) -> None:
        """End the worker; a job it was at is taken up again later."""
        with self._lock:
            self._over = True
            process, self._process = self._process, None
        if process is None or process.poll() is not None:
            return
        if process.stdin is not None:
            process.stdin.close()
        try:
            process.wait(GRACE)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait(GRACE)


def wait_for(studio: Studio, job: int, seconds: float) -> bool:
    """Wait until a job has ended, and return whether it has."""
    until = time.monotonic() + seconds
    while time.monotonic() < until:
        if jobs.job(studio, job).state not in {"waiting", "running"}:
            return True
        time.sleep(LOOK)
    return False


def kinds() -> tuple[str, ...]:
    """Load and name every kind of work this process does; the server, which begins it, goes without."""
    from enamelwright.workshop import asking, day_search

    return asking.KIND, day_search.KIND


def main(folder: str) -> None:
    """Be the worker of a studio.

    Parameters
    ----------
    folder : str
        Its data folder.
    """
    kinds()
    studio = Studio.open(Home(Path(folder), os.environ.get(URL_VARIABLE, "")))
    threading.Thread(target=_with_its_server, daemon=True).start()
    last = [time.monotonic()]

    def ended() -> bool:
        """End after a while without work."""
        return time.monotonic() - last[0] > IDLE

    try:
        while not ended():
            jobs.take_up_again(studio)
            if jobs.work_once(studio):
                last[0] = time.monotonic()
            else:
                time.sleep(jobs.PAUSE)
    finally:
        studio.close()


def _with_its_server() -> None:
    """End this process, whatever it is at, when the server closes the pipe: a library's search cannot be asked to."""
    sys.stdin.buffer.read()
    os._exit(0)


if __name__ == "__main__":
    main(sys.argv[1])
