"""Pages are loaded when they are first wanted, and nobody can tell."""

from __future__ import annotations

import ctypes
import gc
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor
from urllib.request import urlopen

import pytest
from fastapi.testclient import TestClient
from starlette.routing import Match

from enamelwright.errors import InputError
from enamelwright.web import memory, serve
from enamelwright.web.afterwards import Afterwards
from enamelwright.web.app import create_app
from enamelwright.web.later import FIRST, Later
from enamelwright.web.memory import give_back
from enamelwright.web.page import PAGES
from enamelwright.workshop.studio import Studio
from serving import served

#: How long what must come is waited for [s]; a machine that others use too may take its time.
PATIENCE = 300.0
#: What the first page goes without: what plans and learns, the compiler, other pages, and larger libraries.
NOT_YET = (
    "enamelwright.craft.planner", "enamelwright.workshop.learned_clocks", "enamelwright.web.pages.kiln", "enamelwright.web.ahead",
    "numba", "scipy", "fluids", "coloraide", "shapely", "babel",
)  # fmt: skip


def fresh(studio: Studio) -> TestClient:
    return TestClient(create_app(studio), base_url="http://127.0.0.1")


def left(client: TestClient) -> int:
    """Pages that are not mounted yet."""
    return sum(1 for one in client.app.router.routes if isinstance(one, Later))  # type: ignore[attr-defined]


def test_the_first_page_is_drawn_before_the_others_are_loaded(tmp_path) -> None:  # type: ignore[no-untyped-def]
    program = f"""
import sys
from fastapi import Request
from enamelwright.records.home import Home
from enamelwright.web.app import create_app
from enamelwright.web.pages.today import today
from enamelwright.workshop.studio import Studio
from pathlib import Path
app = create_app(Studio.open(Home(Path({str(tmp_path)!r}))))
scope = {{"type": "http", "app": app, "method": "GET", "path": "/", "headers": [], "query_string": b"", "state": {{}},
         "server": ("127.0.0.1", 80), "scheme": "http", "client": ("127.0.0.1", 1), "root_path": ""}}
assert today(Request(scope)).status_code == 200
print(*(one for one in {NOT_YET!r} if one in sys.modules))
"""
    told = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=False)
    assert told.returncode == 0, told.stderr
    assert not told.stdout.split()


def test_any_page_may_be_the_first_that_is_wanted(studio: Studio) -> None:
    for path in ("/", PAGES[FIRST].path, "/weigh", "/first", PAGES[-1].path):
        assert fresh(studio).get(path).status_code < 500
    client = fresh(studio)
    assert left(client) == 1
    assert client.get("/pickle").status_code == 200
    assert left(client) == 1, "the pages after it are not loaded for it"
    assert client.get("/no-such-page").status_code == 404
    assert left(client) == 0, "looked for in every page"


def test_a_wrong_method_is_refused_alike_before_and_after(studio: Studio) -> None:
    client = fresh(studio)
    before = client.post("/quick/nothing", headers={"Origin": "http://127.0.0.1"}).status_code
    client.get("/no-such-page")
    assert client.post("/quick/nothing", headers={"Origin": "http://127.0.0.1"}).status_code == before
    assert (
        client.put("/jars", headers={"Origin": "http://127.0.0.1"}).status_code
        == fresh(studio).put("/jars", headers={"Origin": "http://127.0.0.1"}).status_code
    )


def test_the_schema_tells_of_every_door_before_any_page_was_opened(studio: Studio) -> None:
    paths = fresh(studio).get("/api/v1/schema").json()["paths"]
    client = fresh(studio)
    client.get("/no-such-page")
    assert paths == client.get("/api/v1/schema").json()["paths"]
    assert "/api/v1/ask/{name}" in paths
    assert "/api/v1/entries" in paths


def test_other_kinds_of_traffic_are_not_taken(studio: Studio) -> None:
    app = create_app(studio)
    assert app.router.routes[-1].matches({"type": "websocket", "path": "/jars"})[0] is Match.NONE


@pytest.mark.parametrize("first", [0.0, 60.0])
def test_what_works_beside_ends_with_the_app(studio: Studio, first: float) -> None:
    beside = Afterwards(studio, first=first, between=0.0)
    beside.start()
    if not first:
        beside._over.wait(0.2)
    beside.end()
    for one in (beside, *beside.begun):  # a page that is being loaded is loaded to its end
        one.join(PATIENCE)
        assert not one.is_alive()


def test_many_who_ask_at_once_are_all_answered_and_no_page_is_mounted_twice(studio: Studio) -> None:
    paths = [page.path for page in PAGES if page.listed] * 2

    def status(path: str) -> int:
        with urlopen(address + path, timeout=PATIENCE) as answer:
            return int(answer.status)

    with served(studio) as address, ThreadPoolExecutor(len(paths)) as crowd:
        assert set(crowd.map(status, reversed(paths))) == {200}
    app = create_app(studio)
    (later,) = [one for one in app.router.routes if isinstance(one, Later)]
    page = PAGES[FIRST]
    before = len(app.router.routes)
    later._mount(page)
    mounted = len(app.router.routes)
    later._mount(page)  # as another request would, that loaded it at the same time
    assert before < mounted == len(app.router.routes)


def test_memory_that_was_given_back_is_there_again_when_it_is_wanted() -> None:
    """A new loop is compiled after the compiler's code was given back."""
    import numba

    def twice(number: int) -> int:
        return 2 * number

    assert numba.njit(twice)(21) == 42
    if sys.platform == "linux":
        assert memory._code_of(memory.COMPILER)
    give_back()
    assert numba.njit(lambda number: 3 * number)(14) == 42


def test_a_system_that_cannot_be_told_is_not_asked(monkeypatch: pytest.MonkeyPatch) -> None:
    """Elsewhere there is no library of this process to be found without a name."""

    def refuses(name: str | None) -> None:
        raise TypeError("a name is needed")

    monkeypatch.setattr(memory, "_ASKED_ON", "another system")
    monkeypatch.setattr(ctypes, "CDLL", refuses)
    memory.few_arenas()
    give_back()


def test_garbage_is_looked_for_again_when_the_server_never_came_up(
    studio: Studio, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen = []

    def taken(*_: object) -> None:
        seen.append(gc.isenabled())
        raise InputError("all are taken.")

    monkeypatch.setattr(serve, "listening", taken)
    with pytest.raises(InputError):
        serve.run(studio)
    assert seen == [False]
    assert gc.isenabled()
