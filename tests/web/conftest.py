"""What every test of the app shares: a fresh studio with a few invented designs, a client, the app served, a browser."""

from __future__ import annotations

import fcntl
import os
import shutil
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest
from starlette.testclient import TestClient

from kiln_browser import PATIENCE
from serving import served

if TYPE_CHECKING:
    from playwright.sync_api import Browser

    from enamelwright.workshop.studio import Studio

_WORKER = os.environ.get("PYTEST_XDIST_WORKER", "alone")
EXAMPLES = Path(__file__).parents[2] / "examples"
#: Debian's browser, and what keeps it from speaking to anybody.
CHROMIUM = "/usr/bin/chromium"
QUIET = (
    "--no-sandbox", "--disable-gpu", "--disable-quic", "--disable-background-networking", "--disable-component-update",
    "--disable-sync",
)  # fmt: skip


@pytest.fixture
def studio(tmp_path: Path, empty_sqlite: Path) -> Iterator[Studio]:
    """A studio with three invented designs, opened on a copy of an empty record."""
    from enamelwright.records.home import Home
    from enamelwright.workshop.designs import keep_design
    from enamelwright.workshop.studio import Studio

    folder = tmp_path / "studio"
    folder.mkdir()
    home = Home(folder)
    shutil.copy(empty_sqlite, home.database)
    opened = Studio.open(home)
    for name in ("sifted-pendant", "reedbed-brooch", "tide-brooch"):
        keep_design(opened, EXAMPLES / f"{name}.toml")
    yield opened
    opened.close()


@pytest.fixture
def bubbled(studio: Studio) -> str:
    """The number of a piece that went into the kiln before it was dry."""
    from enamelwright.workshop.coats import lay_coat
    from enamelwright.workshop.designs import designs
    from enamelwright.workshop.loads import fired
    from enamelwright.workshop.pieces import start_pieces

    made = start_pieces(studio, 1, designs(studio)[0].name, labels=["tonight"])[0]
    before = studio.clock() - timedelta(minutes=10)
    lay_coat(studio, made.id, face="front", powder_depth="0.4 mm", dried="2 min", vapour_seen=True, at=before)
    fired(studio, [made.id], set_point="790 C", seconds="150 s", stage_seen="gloss")
    return str(made.number)


@pytest.fixture
def client(studio: Studio) -> Iterator[TestClient]:
    """Somebody at this machine, whose writes come from the app's own pages."""
    from enamelwright.web.app import create_app

    with TestClient(
        create_app(studio), base_url="http://localhost", headers={"Origin": "http://localhost"}, follow_redirects=False
    ) as made:
        yield made


@pytest.fixture
def app_url(studio: Studio) -> Iterator[str]:
    """The address at which the app of the studio is served."""
    with served(studio) as address:
        yield address


def patient(made: Browser) -> Browser:
    """Let every page of a browser wait for what must come as long as a machine that others use too may take."""
    for name in ("new_context", "new_page"):
        usual = getattr(made, name)

        def opens(*given: Any, usual: Any = usual, **options: Any) -> Any:
            one = usual(*given, **options)
            one.set_default_timeout(1000 * PATIENCE)
            return one

        setattr(made, name, opens)
    return made


@pytest.fixture(scope="session")
def browser() -> Iterator[Browser]:
    """One browser for the session."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as play:
        made = play.chromium.launch(executable_path=CHROMIUM, args=list(QUIET), timeout=1000 * PATIENCE)
        yield patient(made)
        made.close()


@pytest.fixture(scope="session")
def demo_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The invented workshop, built once for all test processes and copied for this one."""
    from enamelwright.demo.place import build_demo, demo_home

    own = tmp_path_factory.getbasetemp()
    shared = (own if _WORKER == "alone" else own.parent) / "invented-workshop"
    with shared.with_name("invented-workshop.lock").open("a") as door:
        fcntl.flock(door, fcntl.LOCK_EX)
        if not shared.exists():
            build_demo(demo_home(shared))
    mine = tmp_path_factory.mktemp("invented") / "studio"
    shutil.copytree(shared, mine)
    return mine


@pytest.fixture(scope="session")
def demo_url(demo_folder: Path) -> Iterator[str]:
    """The address at which the invented workshop is served; tests only look at it."""
    from enamelwright.records.home import Home
    from enamelwright.workshop.studio import Studio

    opened = Studio.open(Home(demo_folder))
    with served(opened) as address:
        yield address
    opened.close()
