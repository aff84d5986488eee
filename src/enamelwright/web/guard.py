"""The gate: who may speak to the app, how much they may send, and what their browser may do with the answer.

On a local network the app is plain HTTP, where browsers send no fetch metadata, so a write is taken
only when its Origin is the very host it is sent to; without any Origin only a paired device may write.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from urllib.parse import urlsplit

from starlette.datastructures import Headers
from starlette.requests import cookie_parser
from starlette.responses import PlainTextResponse, RedirectResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

#: Names this machine goes by when the app is not shared.
LOOPBACK = frozenset({"127.0.0.1", "localhost", "[::1]"})
#: The most one request may carry; photos and archives have their own, larger limit [bytes].
LARGEST, LARGEST_UPLOAD = 2_000_000, 64_000_000
#: Where the larger limit holds.
UPLOADS = ("/photos", "/archive", "/drawings", "/import")
#: What an unpaired device may see: the page that pairs it.
OPEN = ("/pair", "/static/", "/style/", "/fonts/")
#: Cookie that carries the token of a paired device.
COOKIE = "device"
#: No row of a record has so many digits; a database could not even look for it.
_BEYOND = re.compile(r"\d{16,}")
READING = frozenset({"GET", "HEAD", "OPTIONS"})

HEADERS: Mapping[str, str] = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; "
        "connect-src 'self'; media-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    # With no-referrer a browser sends a form with "Origin: null", which could then not be told from a stranger's.
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "geolocation=(), microphone=(), payment=()",
}


class Guard:
    """ASGI middleware that refuses what does not come from the app itself.

    Parameters
    ----------
    app : ASGIApp
        What it guards.
    hosts : callable
        Returns the host names, without port, the app answers to.
    paired : callable
        Tells whether a token belongs to a paired device that may write.
    admits : callable
        Tells from (client address, token, method) whether somebody may be answered at all.
    """

    def __init__(
        self,
        app: ASGIApp,
        hosts: Callable[[], frozenset[str]],
        paired: Callable[[str], bool],
        admits: Callable[[str, str, str], bool],
    ) -> None:
        self.app = app
        self.hosts = hosts
        self.paired = paired
        self.admits = admits

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request pass, or answer it."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        refusal = self._refusal(scope["method"], scope["path"], headers)
        if refusal is not None:
            status, words = refusal
            await PlainTextResponse(words, status, dict(HEADERS))(scope, receive, send)
            return
        client = scope.get("client") or ("", 0)
        token = cookie_parser(headers.get("cookie", "")).get(COOKIE, "") or headers.get("x-device-token", "")
        if not scope["path"].startswith(OPEN) and not self.admits(client[0], token, scope["method"]):
            await RedirectResponse("/pair", 303, dict(HEADERS))(scope, receive, send)
            return
        limit = LARGEST_UPLOAD if scope["path"].startswith(UPLOADS) else LARGEST
        await self.app(scope, _limited(receive, limit), _with_headers(send))

    def _refusal(self, method: str, path: str, headers: Headers) -> tuple[int, str] | None:
        host = headers.get("host", "")
        name = host.rsplit(":", 1)[0] if not host.endswith("]") else host
        if name.lower() not in self.hosts():
            return 421, "This app does not answer to that name. Open it by the address it printed when it was started."
        if _BEYOND.search(path):
            return 404, "There is no such page."
        limit = LARGEST_UPLOAD if path.startswith(UPLOADS) else LARGEST
        length = headers.get("content-length", "0")
        if not length.isdigit() or int(length) > limit:
            return 413, f"This is too large: at most {limit // 1_000_000} MB can be sent here. Nothing was changed."
        if method in READING:
            return None
        origin, site = headers.get("origin"), headers.get("sec-fetch-site")
        if site not in {None, "same-origin"} or (origin is not None and not _same(origin, host)):
            return 403, "This came from another page, so nothing was changed. Open the app itself and try again."
        if origin is None and site is None and not self.paired(headers.get("x-device-token", "")):
            return 403, "Nothing was changed: a program that writes must name a paired device."
        return None


def _same(origin: str, host: str) -> bool:
    parts = urlsplit(origin)
    return parts.scheme in {"http", "https"} and parts.netloc.lower() == host.lower()


class TooLarge(Exception):
    """More arrived than was announced or allowed."""


def _limited(receive: Receive, limit: int) -> Receive:
    """Count what arrives, since a chunked request announces no length."""
    seen = 0

    async def counting() -> Message:
        nonlocal seen
        message = await receive()
        seen += len(message.get("body", b""))
        if seen > limit:
            raise TooLarge
        return message

    return counting


def _with_headers(send: Send) -> Send:
    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            present = {name.lower() for name, _ in message["headers"]}
            message["headers"] = [
                *message["headers"],
                *((k.lower().encode(), v.encode()) for k, v in HEADERS.items() if k.lower().encode() not in present),
            ]
            if b"cache-control" not in present:
                message["headers"].append((b"cache-control", b"no-store"))
        await send(message)

    return sending
