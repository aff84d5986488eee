"""How a person uses the forms of the record pages: what a page offers is filled in and sent as the browser sends it."""

from __future__ import annotations

import html
import re
from urllib.parse import parse_qs, urlsplit

from httpx import Response
from starlette.testclient import TestClient


def entry_of(client: TestClient, page: str) -> str:
    """Return the hidden entry of the forms of a page."""
    found = re.search(r'name="entry" value="([0-9a-f]+)"', client.get(page).text)
    assert found is not None, page
    return found.group(1)


def send(client: TestClient, page: str, data: dict[str, object], to: str = "") -> str:
    """Fill in a form of a page, send it and return where it leads."""
    answer = client.post(to or page, data={"entry": entry_of(client, page), **data})
    assert answer.status_code == 303, answer.text
    return str(answer.headers["location"])


def undo(client: TestClient, location: str) -> Response:
    """Tap Undo on the page a form led to."""
    asked = parse_qs(urlsplit(location).query)
    shown = client.get(location).text
    assert 'action="/take-back"' in shown
    assert html.escape(asked["undo"][0]) in shown
    answer = client.post("/take-back", data={"what": asked["undo"][0], "back": urlsplit(location).path})
    assert answer.status_code == 303, answer.text
    return answer


def words(text: str) -> str:
    """Return what a page says, without its markup."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", text)).split())
