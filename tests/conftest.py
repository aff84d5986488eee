"""Settings and the databases that every test shares."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from itertools import count
from pathlib import Path
from typing import TYPE_CHECKING

import databases
import pytest
from hypothesis import settings

if TYPE_CHECKING:
    from enamelwright.records.home import Home
    from enamelwright.records.store import Store

# The two cores of a build machine are shared, so no example is judged by its time; on it the
# examples are the same every run, so that a red build can be repeated by hand with CI=true.
settings.register_profile("bench", deadline=None)
settings.register_profile("ci", deadline=None, derandomize=True, print_blob=True)
settings.load_profile("ci" if os.environ.get("CI") else "bench")

_numbers = count(1)
_WORKER = os.environ.get("PYTEST_XDIST_WORKER", "alone")


@pytest.fixture(scope="session")
def postgresql(tmp_path_factory: pytest.TempPathFactory) -> Iterator[databases.Server]:
    """The session's PostgreSQL server."""
    own = tmp_path_factory.getbasetemp()
    with databases.shared_server(own if _WORKER == "alone" else own.parent) as server:
        yield server


@pytest.fixture(scope="session")
def empty_sqlite(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A record without rows, to be copied."""
    from enamelwright.records.home import Home
    from enamelwright.records.opening import open_store

    home = Home(tmp_path_factory.mktemp("empty"))
    open_store(home).close()
    return home.database


@pytest.fixture(scope="session")
def empty_postgresql(postgresql: databases.Server, tmp_path_factory: pytest.TempPathFactory) -> str:
    """The name of a database that is a record without rows, to be copied."""
    from enamelwright.records.home import Home
    from enamelwright.records.opening import open_store

    name = f"empty_{_WORKER}"
    postgresql.say(f"CREATE DATABASE {name}")
    open_store(Home(tmp_path_factory.mktemp("empty"), postgresql.url(name))).close()
    return name


@pytest.fixture(params=["sqlite", "postgresql"])
def bare_home(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Home]:
    """A home without a record, once on each database."""
    from enamelwright.records.home import Home

    if request.param == "sqlite":
        yield Home(tmp_path / "bare")
        return
    server = request.getfixturevalue("postgresql")
    name = f"bare_{_WORKER}_{next(_numbers)}"
    server.say(f"CREATE DATABASE {name}")
    yield Home(tmp_path / "bare", server.url(name))
    server.say(f"DROP DATABASE {name} WITH (FORCE)")


@pytest.fixture(params=["sqlite", "postgresql"])
def home(request: pytest.FixtureRequest, tmp_path: Path) -> Iterator[Home]:
    """A home with a record of this version and no rows, once on each database."""
    from enamelwright.records.home import Home

    folder = tmp_path / "home"
    folder.mkdir()
    if request.param == "sqlite":
        here = Home(folder)
        shutil.copy(request.getfixturevalue("empty_sqlite"), here.database)
        yield here
        return
    server, empty = request.getfixturevalue("postgresql"), request.getfixturevalue("empty_postgresql")
    name = f"store_{_WORKER}_{next(_numbers)}"
    server.say(f"CREATE DATABASE {name} TEMPLATE {empty} STRATEGY FILE_COPY")
    yield Home(folder, server.url(name))
    server.say(f"DROP DATABASE {name} WITH (FORCE)")


@pytest.fixture
def store(home: Home) -> Iterator[Store]:
    """An open record without rows, once on each database."""
    from enamelwright.records.opening import open_store

    opened = open_store(home)
    yield opened
    opened.close()
