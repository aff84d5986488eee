"""What is sent to do harm is refused in plain words, runs nowhere, and changes nothing.

What a browser sends along with a request (Origin, Sec-Fetch-Site, Host) is that of the Fetch and HTML standards; the
attacks are the usual ones of the OWASP testing guide: request forgery, rebinding of names, markup in stored text,
traversal, oversized and malformed uploads.
"""

from __future__ import annotations

import hashlib
import threading
import urllib.request
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import pytest
from sqlalchemy import func, select
from starlette.testclient import TestClient

from enamelwright.records.kinds import tables
from enamelwright.web.app import create_app
from enamelwright.web.guard import LARGEST
from enamelwright.workshop import designs as kept
from enamelwright.workshop.jars import add_jar, jars
from enamelwright.workshop.studio import Studio

MARKUP = "<script>window.hit=1</script><img src=x onerror=window.hit=1>"
#: Names that close whatever text they are put into.
BREAKERS = (MARKUP, "\"'><svg onload=window.hit=1>", "{{7*7}}{% raw %}", "');alert(1);//", "a\u202eb", "]]></style>")


def counts(studio: Studio) -> dict[str, int]:
    with studio.reading() as connection:
        return {
            one.name: int(connection.execute(select(func.count()).select_from(one)).scalar() or 0) for one in tables()
        }


def stranger(studio: Studio, **headers: str) -> TestClient:
    """Somebody at this machine whose browser says where the request comes from."""
    return TestClient(create_app(studio), base_url="http://localhost", headers=headers, follow_redirects=False)


FORMS = {
    "/jars/new": {"code": "X1", "name": "x", "kind": "opaque"},
    "/set-up/people": {"label": "X"},
    "/set-up/kilns": {"name": "X"},
    "/pieces/new": {"count": "1"},
    "/first/kiln": {"name": "X"},
    "/take-back": {"what": "jar:1:1"},
    "/light": {"light": "lamp"},
}


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "http://evil.example"},
        {"Origin": "http://localhost:9999"},
        {"Origin": "null"},
        {"Origin": "http://localhost.evil.example"},
        {"Origin": "https://localhost@evil.example"},
        {"Origin": "http://localhost", "Sec-Fetch-Site": "cross-site"},
        {"Origin": "http://localhost", "Sec-Fetch-Site": "same-site"},
        {"Sec-Fetch-Site": "cross-site"},
        {},
    ],
    ids=lambda headers: " ".join(headers.values()) or "nothing told",
)
def test_a_write_from_another_page_is_refused_and_writes_nothing(studio: Studio, headers: dict[str, str]) -> None:
    visitor, before = stranger(studio, **headers), counts(studio)
    for path, told in FORMS.items():
        answer = visitor.post(path, data=told)
        assert answer.status_code == 403, path
        assert "othing was changed" in answer.text
    entry = {"entry": "0123456789abcdef", "kind": "put in", "body": {"pieces": ["2026-001"]}}
    assert visitor.post("/api/v1/entries", json=entry).status_code == 403
    assert counts(studio) == before


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1.evil.example", "192.168.1.5", "localhost.", "", "[::2]"])
def test_a_name_that_is_not_ours_is_not_answered(studio: Studio, host: str) -> None:
    visitor = stranger(studio, Host=host, Origin=f"http://{host}")
    for answer in (visitor.get("/pieces"), visitor.get("/api/v1/questions"), visitor.post("/jars/new", data={})):
        assert answer.status_code == 421
        assert "<" not in answer.text


@pytest.mark.parametrize("name", BREAKERS)
def test_names_with_markup_are_text_on_every_page(client: TestClient, studio: Studio, name: str) -> None:
    """A jar, a person, a kiln, a support, a piece and a bath named by somebody who wishes harm."""
    sent = [
        client.post("/jars/new", data={"code": "X1", "name": name, "kind": "opaque", "entry": "m1"}),
        client.post("/set-up/kilns", data={"name": name, "note": name, "entry": "m2"}),
        client.post("/set-up/supports", data={"name": name, "kind": "mesh", "words": name, "entry": "m3"}),
        client.post("/set-up/money", data={"name": name, "currency": name, "entry": "m4"}),
        client.post("/pieces/new", data={"design": "", "count": "1", "labels": name, "words": name, "entry": "m5"}),
        client.post("/pickle", data={"do": "bath", "name": name, "recipe": name, "entry": "m6"}),
        client.post("/designs/new", data={"name": name, "technique": "sift_opaque"}),
    ]
    assert all(answer.status_code in {303, 422} for answer in sent), [answer.status_code for answer in sent]
    pages = ("/", "/pieces", "/jars", "/pickle", "/orders", "/finished", "/kiln", "/weigh", "/set-up", "/set-up/kilns",
             "/set-up/supports", "/set-up/money", "/paper", "/designs", f"/find?for={name[:40]}", "/quick")  # fmt: skip
    for path in pages:
        answer = client.get(path)
        assert answer.status_code in {200, 303, 422}, path
        for raw in ("<script>window", "<img src=x", "<svg onload", "]]></style>", "49{% raw"):
            assert raw not in answer.text, path
        assert "'unsafe" not in answer.headers["content-security-policy"]


def test_what_a_page_says_back_is_text(client: TestClient) -> None:
    """Words of the address that stand on the page again."""
    for path in ("/find?for={}", "/quick?ask=gauge&thickness={}", "/quick?ask={}", "/pieces/{}", "/jars?kind={}",
                 "/pieces?state={}&metal={}", "/?said={}&undo={}", "/record/{}/1", "/paper/{}", "/pair?code={}"):  # fmt: skip
        answer = client.get(path.replace("{}", MARKUP.replace("/", "%2F")))
        assert "<script>window" not in answer.text, path
        assert "<img src=x" not in answer.text, path
        assert answer.status_code in {200, 404, 409, 422}, (path, answer.status_code)


@pytest.mark.parametrize(
    "path",
    [
        "/static/../app.py", "/static/%2e%2e/app.py", "/static/..%2fapp.py", "/static/%2e%2e%2f%2e%2e%2fapp.py",
        "/static//etc/passwd", "/static/css/..%5c..%5capp.py", "/fonts/..%2f..%2fpress.py", "/fonts/card.typ",
        "/paper/..%2f..%2fx.pdf", "/pieces/..%2f..%2fstudio.sqlite", "/sources/..%2f..%2fx",
    ],
)  # fmt: skip
def test_no_way_out_of_the_folders(client: TestClient, path: str) -> None:
    answer = client.get(path)
    assert answer.status_code in {404, 409, 422, 303, 307}
    assert b"SQLite format" not in answer.content
    assert b"import " not in answer.content
    assert b"root:" not in answer.content


def test_an_answer_leads_back_into_the_app_only(client: TestClient) -> None:
    elsewhere = (
        "//evil.example/",
        "http://evil.example/",
        "/\\evil.example",
        "javascript:alert(1)",
        "/\t/evil.example",
    )
    for back in elsewhere:
        answer = client.post("/light", data={"light": "lamp", "back": back})
        assert answer.status_code == 303
        assert not answer.headers["location"].lower().startswith(("//", "http", "/\\", "javascript")), back


def test_too_much_at_once_is_refused_before_it_is_read(client: TestClient, studio: Studio) -> None:
    before = counts(studio)
    answer = client.post(
        "/jars/new", content=b"x" * (LARGEST + 1), headers={"Content-Type": "application/octet-stream"}
    )
    assert answer.status_code == 413
    chunks = (b"name=" + b"y" * 65_000 for _ in range(LARGEST // 65_000 + 2))
    told = client.post("/jars/new", content=chunks, headers={"Content-Type": "application/x-www-form-urlencoded"})
    assert told.status_code == 413
    asked = (b"x" * 65_000 for _ in range(LARGEST // 65_000 + 2))
    told = client.post("/api/v1/ask/bow", content=asked, headers={"Content-Type": "application/json"})
    assert told.status_code == 413
    assert counts(studio) == before


BAD_DRAWINGS = {
    "script.svg": b'<svg xmlns="http://www.w3.org/2000/svg" width="20mm" height="20mm" viewBox="0 0 20 20" onload="window.hit=1">'
    b'<script>window.hit=1</script><circle cx="10" cy="10" r="9"/></svg>',
    "entity.svg": b'<?xml version="1.0"?><!DOCTYPE x [<!ENTITY a SYSTEM "file:///etc/passwd">]><svg xmlns="http://www.w3.org/2000/svg"><text>&a;</text></svg>',
    "laughs.svg": b'<!DOCTYPE x [<!ENTITY a "ha"><!ENTITY b "&a;&a;&a;&a;">]><svg xmlns="http://www.w3.org/2000/svg"><text>&b;</text></svg>',
    "cut.svg": b'<svg xmlns="http://www.w3.org/2000/svg"><path d="M0 0L',
    "noise.svg": bytes(range(256)) * 40,
    "empty.svg": b"",
    "noise.dxf": bytes(range(256)) * 40,
    "half.dxf": b"0\nSECTION\n2\nENTITIES\n0\nLINE\n8\n",
    "noise.png": b"\x89PNG\r\n\x1a\n" + b"\x00" * 200,
    "program.exe": b"MZ" + b"\x00" * 100,
}


@pytest.mark.parametrize("name", BAD_DRAWINGS)
def test_a_malformed_or_armed_drawing_is_refused_or_is_only_a_drawing(
    client: TestClient, studio: Studio, name: str
) -> None:
    design = kept.designs(studio)[0].id
    before = counts(studio)
    for path, field in ((f"/drawings/designs/{design}", "drawing"), ("/photos/of-load/2026-F001", "photo")):
        answer = client.post(path, files={field: (name, BAD_DRAWINGS[name])})
        assert answer.status_code < 500, (path, answer.text[:300])
        assert b"window.hit" not in answer.content
        assert b"root:" not in answer.content
    after = counts(studio)
    assert {key: after[key] for key in after if key != "draft"} == {
        key: before[key] for key in before if key != "draft"
    }


def test_numbers_no_record_can_hold_are_no_page(client: TestClient) -> None:
    for path in (
        "/jars/99999999999999999999",
        "/designs/99999999999999999999/coats",
        "/set-up/kilns/9223372036854775808",
        "/record/stock/99999999999999999999",
        "/jars/-1",
        "/jars/0",
        "/pieces/0",
        "/loads/0",
        "/orders/0",
    ):
        assert client.get(path).status_code in {404, 409, 422}, path
    for path, told in {
        "/set-up/people": {"away": "99999999999999999999"},
        "/set-up/sharing": {"device": "9" * 30, "do": "away"},
        "/take-back": {"what": f"jar:{'9' * 25}:1"},
        "/jars/count": {f"lot-{'9' * 25}": "3 g"},
    }.items():
        assert client.post(path, data=told).status_code in {404, 409, 422}, path


@pytest.mark.parametrize(
    "path",
    [
        "/jars/2147483648", "/jars/9999999999", "/pieces/new?design=" + "9" * 30, "/pieces?page=" + "9" * 30,
        "/sections?of=" + "1" * 20 + ".1", "/sections?of=" + "1" * 5000 + ".1", "/sections?of=1." + "1" * 30,
        "/sections?of=1.1,9999999999.1", "/find?for=" + "1" * 30, "/find?for=" + "1" * 5000, "/find?for=%00",
        "/pieces/%00", "/pieces/a%00b", "/?said=back&undo=jar:9999999999:1", "/jars?kind=%00", "/paper/day?piece=%00",
    ],
)  # fmt: skip
def test_an_address_no_record_can_answer_is_refused_in_words(client: TestClient, path: str) -> None:
    """Whole numbers beyond the INTEGER of the SQL standard as both databases keep it, and the sign no text may hold."""
    answer = client.get(path)
    assert answer.status_code in {200, 404, 409, 422}, answer.text[:200]
    assert ("%00" not in path and "find" in path) or answer.status_code != 303


def test_decimals_of_a_quantity_are_no_row(client: TestClient) -> None:
    assert client.get("/quick?ask=gauge&thickness=0.30000000000000004+mm").status_code == 200


def test_a_sign_no_text_may_hold_is_refused_in_forms(client: TestClient, studio: Studio) -> None:
    before = counts(studio)
    assert client.post("/jars/new", data={"code": "T\x001", "name": "t", "kind": "opaque"}).status_code == 422
    assert counts(studio) == before


def test_ten_thousand_requests_at_once_lose_nothing(app_url: str, studio: Studio) -> None:
    """Four visitors ask as fast as they can while one writes; every write is there once, every answer whole."""
    from enamelwright.craft.jar import Jar

    asked, written = 10_000, 20
    paths = ("/style/lights.css", "/static/css/house.css", "/api/v1/questions/degrees", "/pair", "/no-such-page")
    expected = {}
    for path in paths:
        expected[path] = _got(app_url, path)
    wrong: list[Any] = []

    def ask(number: int) -> None:
        path = paths[number % len(paths)]
        found = _got(app_url, path)
        if found != expected[path]:
            wrong.append((path, found))

    def write() -> None:
        for number in range(written):
            add_jar(studio, Jar.from_outside({"id": f"W{number}", "name": "w", "kind": "opaque"}, "jar"))

    writer = threading.Thread(target=write)
    writer.start()
    with ThreadPoolExecutor(4) as pool:
        list(pool.map(ask, range(asked), chunksize=50))
    writer.join()
    assert not wrong[:3]
    assert sum(row.code.startswith("W") for row in jars(studio)) == written
    with studio.reading() as connection:
        assert connection.exec_driver_sql("PRAGMA integrity_check").scalar() == "ok"


def _got(url: str, path: str) -> tuple[int, str]:
    from urllib.error import HTTPError

    try:
        with urllib.request.urlopen(url + path, timeout=60) as answer:
            return answer.status, hashlib.sha256(answer.read()).hexdigest()
    except HTTPError as error:
        return error.code, hashlib.sha256(error.read()).hexdigest()
