"""One thread for linear algebra in every process of the app, asked for before anything reads it."""

from __future__ import annotations

import json
import os
import runpy
import subprocess
import sys
from pathlib import Path

import pytest

from enamelwright.cli.one_thread import VARIABLES

DOOR = """
import sys
from enamelwright.cli.main import run
assert "numpy" not in sys.modules, "numpy was loaded before the door could ask"
sys.argv = ["enamelwright", *{arguments}]
{before}
try:
    run()
except SystemExit as end:
    assert not end.code, end.code
{after}
"""

#: The app as it is served, looked at when it would begin to listen: what it has, and what a worker takes over.
SERVED = """
import uvicorn
def looked_at(server, sockets):
    import json, os, subprocess, numpy
    numpy.ones((400, 400)) @ numpy.ones((400, 400))
    threads = len(os.listdir("/proc/self/task")) if os.path.isdir("/proc/self/task") else 1
    tell = "import json, os; print(json.dumps(dict(os.environ)))"
    child = subprocess.run([sys.executable, "-c", tell], capture_output=True, text=True, check=True).stdout
    print(json.dumps({"own": dict(os.environ), "worker": json.loads(child), "threads": threads}))
uvicorn.Server.run = looked_at
"""


def run(arguments: list[str], before: str = "", after: str = "", **more: str) -> str:
    clean = {name: value for name, value in os.environ.items() if name not in VARIABLES}
    code = DOOR.format(arguments=arguments, before=before, after=after)
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, env={**clean, **more})
    assert done.returncode == 0, done.stderr
    return done.stdout.splitlines()[-1]


def test_the_served_app_and_its_worker_have_one(tmp_path: Path) -> None:
    """On a machine that shows its threads, the linear algebra was seen to have begun none."""
    told = json.loads(run(["serve", "--home", str(tmp_path)], before=SERVED))
    assert [told[who][name] for who in ("own", "worker") for name in VARIABLES] == ["1"] * 2 * len(VARIABLES)
    assert told["threads"] == 1


@pytest.mark.parametrize("name", VARIABLES)
def test_what_somebody_asked_for_stays(name: str) -> None:
    after = f"import os; print(os.environ[{name!r}])"
    assert run(["--version"], after=after, **{name: "3"}) == "3"


def test_checks_and_benchmarks_have_one_too(monkeypatch: pytest.MonkeyPatch) -> None:
    """They are run by start.py, which knows nothing of the app."""
    start = runpy.run_path(str(Path(__file__).parents[2] / "start.py"))
    for name in VARIABLES:
        monkeypatch.delenv(name, raising=False)
    assert [start["environment"]()[name] for name in VARIABLES] == ["1"] * len(VARIABLES)
    monkeypatch.setenv(VARIABLES[0], "3")
    assert start["environment"]()[VARIABLES[0]] == "3"
