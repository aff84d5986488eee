"""Sharing from end to end: off by default, a code for each device, guests who only read, and turning one away."""

from __future__ import annotations

import io
import re
import socket
import struct
import subprocess
from typing import Any

import pytest
from sqlalchemy import select
from starlette.testclient import TestClient

from enamelwright.errors import InputError
from enamelwright.records.schema.house import device_entry
from enamelwright.web import sharing as module
from enamelwright.web.app import create_app
from enamelwright.web.guard import COOKIE
from enamelwright.web.sharing import Sharing, own_addresses
from enamelwright.workshop.devices import change_device, devices, pair, right_of
from enamelwright.workshop.jars import jars
from enamelwright.workshop.studio import Studio

ADDRESS = "10.0.0.7"
HOST = f"{ADDRESS}:8321"
JAR = {"code": "T1", "name": "t", "kind": "opaque"}


def visitor(app: Any, where: str = "10.0.0.20") -> TestClient:
    """Somebody at another address on the local network."""
    return TestClient(
        app,
        base_url=f"http://{HOST}",
        headers={"Origin": f"http://{HOST}"},
        client=(where, 40_000),
        follow_redirects=False,
    )


def at_the_machine(app: Any) -> TestClient:
    """Somebody at the bench machine, on the app's own pages."""
    return TestClient(app, base_url="http://localhost", headers={"Origin": "http://localhost"}, follow_redirects=False)


@pytest.fixture
def shared(studio: Studio) -> tuple[Any, Sharing]:
    sharing = Sharing(studio, shared=True, port=8321, addresses=(ADDRESS,))
    return create_app(studio, sharing), sharing


def test_unless_shared_nobody_else_is_answered(studio: Studio) -> None:
    app = create_app(studio)
    stranger = TestClient(
        app, base_url="http://localhost", headers={"Origin": "http://localhost"}, client=("10.0.0.20", 1)
    )
    assert stranger.get("/pieces", follow_redirects=False).headers["location"] == "/pair"
    assert visitor(app).get("/pieces").status_code == 421, "it does not even answer to the address"
    pair(studio, "left over")
    assert "not shared" in stranger.get("/pair").text


def test_a_device_pairs_with_the_code_records_and_is_turned_away(studio: Studio, shared: tuple[Any, Sharing]) -> None:
    app, sharing = shared
    tablet = visitor(app)
    assert tablet.get("/pieces").headers["location"] == "/pair"
    assert tablet.get("/pair").status_code == 200
    assert tablet.post("/jars/new", data=JAR).headers["location"] == "/pair"
    answer = tablet.post("/pair", data={"code": sharing.code(), "label": "kiln tablet", "may": "write"})
    assert answer.status_code == 303
    cookie = answer.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=strict" in cookie
    assert tablet.get("/pieces").status_code == 200
    assert tablet.post("/jars/new", data={**JAR, "entry": "one"}).status_code == 303
    assert [row.code for row in jars(studio)] == ["T1"]
    sharing.settle()
    row = devices(studio)[0]
    assert row.label == "kiln tablet"
    assert row.seen_at
    here = at_the_machine(app)
    assert here.post("/set-up/sharing", data={"device": str(row.id), "do": "away", "entry": "x"}).status_code == 303
    assert tablet.get("/pieces").headers["location"] == "/pair"
    assert right_of(studio, tablet.cookies[COOKIE]) == ""


def test_a_guest_reads_and_writes_nothing(studio: Studio, shared: tuple[Any, Sharing]) -> None:
    app, sharing = shared
    here = at_the_machine(app)
    before = sharing.code()
    assert here.post("/set-up/sharing", data={"gives": "read"}).status_code == 303
    assert sharing.code() != before, "a code that was shown for writing never pairs a guest"
    guest = visitor(app)
    guest.post("/pair", data={"code": sharing.code(), "label": "class", "may": "write"})
    for path in ("/", "/pieces", "/kiln", "/quick"):
        assert guest.get(path).status_code == 200
    for path, told in (
        ("/jars/new", JAR),
        ("/set-up/sharing", {"device": "1", "do": "write"}),
        ("/set-up/keeping", {"do": "snapshot"}),
    ):
        assert guest.post(path, data=told).headers["location"] == "/pair"
    assert not jars(studio)
    assert devices(studio)[0].may == "read"


def test_devices_are_changed_at_the_bench_machine_only(studio: Studio, shared: tuple[Any, Sharing]) -> None:
    """A paired device may record; it lets nobody else in and turns nobody away."""
    app, sharing = shared
    tablet = visitor(app)
    tablet.post("/pair", data={"code": sharing.code(), "label": "tablet"})
    other = pair(studio, "other", "read")
    row = next(one for one in devices(studio) if one.label == "other")
    for told in ({"device": str(row.id), "do": "write"}, {"device": str(row.id), "do": "away"}, {"gives": "read"}):
        assert tablet.post("/set-up/sharing", data=told).status_code == 422
    assert right_of(studio, other) == "read"
    assert sharing.gives == "write"
    assert 'value="away"' not in tablet.get("/set-up/sharing").text
    assert 'value="away"' in at_the_machine(app).get("/set-up/sharing").text


def test_asking_for_the_right_of_a_device_does_not_ask_the_record_each_time(
    studio: Studio, shared: tuple[Any, Sharing], monkeypatch: pytest.MonkeyPatch
) -> None:
    app, sharing = shared
    tablet = visitor(app)
    tablet.post("/pair", data={"code": sharing.code(), "label": "tablet"})
    asked: list[str] = []
    real = module.devices.right_of
    monkeypatch.setattr(module.devices, "right_of", lambda one, token: asked.append(token) or real(one, token))
    with studio.reading() as view:
        entries_before = len(view.execute(select(device_entry.c.entry)).all())
    assert {tablet.get("/sources").status_code for _ in range(5)} == {200}
    assert len(asked) <= 1
    sharing.settle()
    with studio.reading() as view:
        assert len(view.execute(select(device_entry.c.entry)).all()) == entries_before, "being seen is no entry"
    assert devices(studio)[0].seen_at


def test_the_invented_workshop_has_cookies_of_its_own(studio: Studio) -> None:
    """RFC 6265, 8.5: cookies do not isolate by port, so the workshop beside the studio needs other names."""
    from enamelwright.workshop.settings import INVENTED, set_setting

    def names() -> set[str]:
        sharing = Sharing(studio, shared=True, port=8321, addresses=(ADDRESS,))
        tablet = visitor(create_app(studio, sharing))
        tablet.post("/pair", data={"code": sharing.code(), "label": "tablet"})
        assert tablet.get("/pieces").status_code == 200
        tablet.post("/light", data={"light": "lamp", "back": "/"})
        assert 'data-light="lamp"' in tablet.get("/sources").text
        return set(tablet.cookies)

    own = names()
    set_setting(studio, INVENTED, True)
    assert own
    assert not own & names()


def test_one_code_pairs_one_device_and_guessing_ends_it(studio: Studio) -> None:
    sharing = Sharing(studio, shared=True, port=8321, addresses=(ADDRESS,))
    code = sharing.code()
    assert re.fullmatch(r"\d{6}", code)
    sharing.pair(code, "first")
    with pytest.raises(InputError):
        sharing.pair(code, "second")
    code = sharing.code()
    wrong = f"{(int(code) + 1) % 10**6:06d}"
    for _ in range(module.TRIES):
        with pytest.raises(InputError):
            sharing.pair(wrong, "guesser")
    with pytest.raises(InputError):
        sharing.pair(code, "too late")
    assert [row.label for row in devices(studio)] == ["first"]


def test_a_code_runs_out(studio: Studio, monkeypatch: pytest.MonkeyPatch) -> None:
    sharing = Sharing(studio, shared=True, port=8321, addresses=(ADDRESS,))
    code, now = sharing.code(), module.time.monotonic()
    monkeypatch.setattr(module.time, "monotonic", lambda: now + module.LASTS + 1)
    with pytest.raises(InputError):
        sharing.pair(code, "late")


def test_the_record_holds_no_token(studio: Studio) -> None:
    token = pair(studio, "tablet")
    database = studio.store.home.database
    kept = b"".join(path.read_bytes() for path in database.parent.glob(database.name + "*"))
    assert token.encode() not in kept
    assert right_of(studio, token) == "write"


def test_two_devices_of_one_name_are_two(studio: Studio) -> None:
    pair(studio, "tablet")
    pair(studio, "Tablet", "read")
    assert sorted(row.label for row in devices(studio)) == ["Tablet 2", "tablet"]
    with pytest.raises(InputError):
        change_device(
            studio, devices(studio)[0].id, label="tablet" if devices(studio)[0].label != "tablet" else "TABLET 2"
        )


def test_the_code_is_shown_at_the_machine_only_and_its_square_says_where(
    studio: Studio, shared: tuple[Any, Sharing]
) -> None:
    app, sharing = shared
    here = TestClient(app, base_url="http://localhost")
    text = here.get("/set-up/sharing").text
    code = sharing.code()
    assert f'aria-label="Code {code}"' in text
    assert f"http://{HOST}/pair" in text
    tablet = visitor(app)
    tablet.post("/pair", data={"code": code, "label": "tablet"})
    assert sharing.code() not in tablet.get("/set-up/sharing").text
    assert f'value="{code}"' in here.get(f"/pair?code={code}").text


def test_the_square_reads_as_the_address(shared: tuple[Any, Sharing]) -> None:
    """The square is drawn by a library of the standard ISO/IEC 18004; its cells are the ones that library makes anew."""
    import segno

    from enamelwright.cards.qr import qr_svg

    door = f"http://{HOST}/pair?code=123456"
    cells = {(int(x), int(y)) for x, y in re.findall(r"M(\d+) (\d+)h1", qr_svg(door))}
    made = segno.make(door, error="m", micro=False)
    out = io.StringIO()
    made.save(out, kind="txt", border=0)
    rows = out.getvalue().split()
    assert cells == {(x, y) for y, row in enumerate(rows) for x, cell in enumerate(row) if cell == "1"}


def test_own_addresses_are_those_of_this_machine() -> None:
    """Held against what the system itself lists; nothing is sent to anybody."""
    listed = subprocess.run(["hostname", "-I"], capture_output=True, text=True, check=True).stdout.split()
    four = {one for one in listed if ":" not in one}
    found = set(own_addresses())
    assert four <= found
    assert all(len(socket.inet_aton(one)) == struct.calcsize("I") for one in found)
    assert not any(one.startswith("127.") for one in found)
