"""The databases tests run on: SQLite in a folder, and a real PostgreSQL of the test session's own.

Debian's server is started as its own user on a private socket, once a session and shared by all
test processes; a small keeper stops it as soon as none of them is left, however they ended. It
does not wait for the disk, since nobody pulls its plug; tests that kill a server start one of their
own that does. When no server is installed the tests fail and say so.
"""

from __future__ import annotations

import contextlib
import fcntl
import os
import pwd
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import IO

#: Whom the server runs as when the tests run as root, which it refuses to do.
USER = "postgres"
#: How long the server may take to answer [s]; a busy machine takes its time.
PATIENCE = 120.0
#: How often the keeper looks whether anybody is left [s], and how often in a row nobody must be.
LOOK_EVERY, LOOKS = 0.5, 4
#: What tests compare has one language, whatever the machine speaks.
LOCALE = "C.UTF-8"


class NoServer(Exception):
    """PostgreSQL is not there or does not start."""


def programs() -> Path:
    """The folder with the server's programs."""
    places = sorted(Path("/usr/lib/postgresql").glob("*/bin"), key=lambda p: int(p.parent.name), reverse=True)
    on_path = shutil.which("initdb")
    for place in places + ([Path(on_path).resolve().parent] if on_path else []):
        if (place / "initdb").exists() and (place / "postgres").exists():
            return place
    raise NoServer("PostgreSQL is not installed, and the record is tested on it: apt-get install postgresql")


def as_server(command: list[str]) -> list[str]:
    """A command as the user the server runs as: its own when we are root, else ourselves."""
    if os.geteuid() != 0:
        return command
    try:
        pwd.getpwnam(USER)
    except KeyError:
        raise NoServer(f"there is no user '{USER}' to run the server as; Debian's package makes it") from None
    return ["setpriv", f"--reuid={USER}", f"--regid={USER}", "--init-groups", *command]


@dataclass(frozen=True)
class Server:
    """A running PostgreSQL; `folder` holds its data and its socket."""

    folder: Path

    def url(self, database: str = "postgres") -> str:
        """Where a database is, as the environment variable of the product takes it."""
        return f"postgresql://{USER}@/{database}?host={self.folder}"

    def say(self, statement: str) -> None:
        """Run one statement outside any transaction."""
        import psycopg

        with psycopg.connect(self.url(), autocommit=True) as connection:
            connection.execute(statement)  # type: ignore[arg-type]

    def answers(self) -> bool:
        """Whether it takes connections."""
        import psycopg

        try:
            self.say("SELECT 1")
        except psycopg.OperationalError:
            return False
        return True


def make_cluster(*more: str) -> Path:
    """Make an empty cluster in a private folder and return the folder; its path is short, as a socket's must be.

    `more` are further options of initdb.
    """
    folder = Path(tempfile.mkdtemp(prefix="enamelwright-pg-"))
    if os.geteuid() == 0:
        shutil.chown(folder, USER, USER)
    initdb = [str(programs() / "initdb"), "-D", str(folder / "data"), "-U", USER, "--auth=trust", "--no-sync"]
    done = subprocess.run(
        as_server([*initdb, "--encoding=UTF8", f"--locale={LOCALE}", *more]),
        cwd=folder,
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode != 0:
        raise NoServer(f"PostgreSQL cannot make a cluster: {done.stderr.strip()}")
    return folder


@contextlib.contextmanager
def own_cluster(*more: str) -> Iterator[Path]:
    """A cluster for one test alone, not yet started."""
    folder = make_cluster(*more)
    try:
        yield folder
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def start(folder: Path, *, durable: bool, largest_file: int | None = None) -> subprocess.Popen[bytes]:
    """Start the server of a cluster and wait until it answers.

    A durable one waits for the disk; `largest_file` [bytes] is a limit the system holds it to.
    """
    options = {
        "listen_addresses": "",
        "unix_socket_directories": folder,
        "max_connections": 60,
        "shared_buffers": "64MB",
    }
    command = [str(programs() / "postgres"), "-D", str(folder / "data")]
    if largest_file is not None:
        command = ["prlimit", f"--fsize={largest_file}", *command]
    if not durable:
        options |= {"fsync": "off", "full_page_writes": "off"}
    for name, value in options.items():
        command += ["-c", f"{name}={value}"]
    with (folder / "log").open("ab") as log:
        child = subprocess.Popen(
            as_server(command), cwd=folder, stdin=subprocess.DEVNULL, stdout=log, stderr=log, start_new_session=True
        )
    give_up = time.monotonic() + PATIENCE
    while not Server(folder).answers():
        if child.poll() is not None or time.monotonic() > give_up:
            child.kill()
            raise NoServer(f"PostgreSQL does not start: {(folder / 'log').read_text(errors='replace')[-2000:]}")
        time.sleep(0.05)
    return child


def kill(child: subprocess.Popen[bytes]) -> None:
    """Kill a server with all its processes at once, as a power cut would end them."""
    if child.poll() is not None:
        return
    # Stopped first, so that none can act on another's death; the server before its children, so that none is born between.
    stand_still(child.pid)
    family = _children(child.pid)
    for pid in family:
        stand_still(pid)
    for pid in (child.pid, *family):
        with contextlib.suppress(ProcessLookupError):
            os.kill(pid, signal.SIGKILL)
    child.wait()
    give_up = time.monotonic() + PATIENCE
    while any(_state(pid) not in GONE for pid in family) and time.monotonic() < give_up:
        time.sleep(0.01)  # the memory they share is free when the last of them is gone, and only then may another start


#: What a process is that no longer runs, and one that was stopped (proc_pid_stat(5), field 3).
GONE, STOPPED = ("", "Z", "X"), ("T", "t")


def stand_still(pid: int) -> None:
    """Stop a process and wait until it stands."""
    with contextlib.suppress(ProcessLookupError):
        os.kill(pid, signal.SIGSTOP)
    give_up = time.monotonic() + PATIENCE
    while _state(pid) not in (*STOPPED, *GONE) and time.monotonic() < give_up:
        time.sleep(0.001)


def _state(pid: int) -> str:
    """What a process does, as one letter; empty when there is none."""
    try:
        return Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()[0]
    except (FileNotFoundError, ProcessLookupError):
        return ""


def stop(child: subprocess.Popen[bytes]) -> None:
    """Stop a server in order."""
    child.send_signal(signal.SIGINT)
    child.wait()


def _children(pid: int) -> list[int]:
    return [int(one) for one in Path(f"/proc/{pid}/task/{pid}/children").read_text().split()]


def keep(folder: Path) -> None:
    """Run the server of a cluster until no test process holds its lock; then remove the cluster."""
    child = start(folder, durable=False)
    (folder / "ready").touch()
    free = 0
    with (folder / "users").open("a") as users:
        while free < LOOKS and child.poll() is None:
            time.sleep(LOOK_EVERY)
            free = free + 1 if _nobody(users) else 0
    child.terminate()
    child.wait()
    shutil.rmtree(folder, ignore_errors=True)


def _nobody(users: IO[str]) -> bool:
    try:
        fcntl.flock(users, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    fcntl.flock(users, fcntl.LOCK_UN)
    return True


@contextlib.contextmanager
def shared_server(meeting_place: Path) -> Iterator[Server]:
    """The server all test processes of a session share.

    `meeting_place` is a folder they have in common. The first one to come starts the server; each
    holds a lock that the system takes away when the process ends, even when it is killed.
    """
    with contextlib.ExitStack() as held:
        with (meeting_place / "postgresql.lock").open("a") as door:
            fcntl.flock(door, fcntl.LOCK_EX)
            note = meeting_place / "postgresql"
            folder = Path(note.read_text()) if note.exists() else None
            if folder is None or not _join(folder, held):
                folder = make_cluster()
                (folder / "users").touch()
                assert _join(folder, held)
                subprocess.Popen(
                    [sys.executable, __file__, str(folder)],
                    stdin=subprocess.DEVNULL,
                    stdout=subprocess.DEVNULL,
                    stderr=(folder / "keeper").open("ab"),
                    start_new_session=True,
                )
                _wait_until_ready(folder)
                note.write_text(str(folder))
        yield Server(folder)


def _join(folder: Path, held: contextlib.ExitStack) -> bool:
    """Hold the lock that keeps a server running; False when it is gone or going."""
    try:
        users = held.enter_context((folder / "users").open("a"))
        fcntl.flock(users, fcntl.LOCK_SH | fcntl.LOCK_NB)
    except OSError:
        return False
    ready = (folder / "ready").exists()
    return Server(folder).answers() if ready else True


def _wait_until_ready(folder: Path) -> None:
    give_up = time.monotonic() + PATIENCE
    while not (folder / "ready").exists():
        said = (folder / "keeper").read_text(errors="replace") if (folder / "keeper").exists() else ""
        if said or time.monotonic() > give_up:
            raise NoServer(f"PostgreSQL does not start: {said[-2000:]}")
        time.sleep(0.05)


if __name__ == "__main__":
    keep(Path(sys.argv[1]))
