"""The gate: who may speak to the app, how much they may send, and what their browser may do with the answer.

On a local network the app is plain HTTP, where browsers send no fetch metadata, so a write is taken
only when its Origin is the very host it is sent to; without any Origin only a paired device may write.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from http import HTTPStatus
from urllib.parse import parse_qsl, urlsplit

from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers
from starlette.exceptions import HTTPException
from starlette.requests import cookie_parser
from starlette.responses import JSONResponse, PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

#: Names this machine goes by when the app is not shared.
LOOPBACK = frozenset({"127.0.0.1", "localhost", "[::1]"})
#: The most one request may carry; photos and drawings have their own, larger limit [bytes].
LARGEST, LARGEST_UPLOAD = 2_000_000, 64_000_000
#: Where the larger limit holds.
UPLOADS = ("/photos/", "/drawings/")
#: What an unpaired device may see: the page that pairs it.
OPEN = ("/pair", "/static/", "/style/", "/fonts/")
#: What a device sets for itself alone, kept in a cookie of its own: also a guest may.
OF_THE_DEVICE = frozenset({"/light", "/degrees"})
#: Cookie that carries the token of a paired device.
COOKIE = "device"
#: What stands before the names of the cookies of the invented workshop: a browser keeps cookies by machine, whatever
#: the port, so that the workshop beside the studio would else overwrite those of the studio.
BESIDE = "invented-"
#: The largest row a record can number: whole numbers of 32 bits, as the SQL standard's INTEGER has on every database.
LARGEST_ROW = 2**31 - 1
#: A word of nothing but digits, or of so many that they are no word; not the decimals of a quantity.
_NUMBER = re.compile(r"(?<![\w.,])\d+(?!\w)|\d{40,}")
#: Where whatever a person types may stand in the address, digits included.
_TYPED = frozenset({"for"})
#: The longest address [signs].
_LONGEST_ADDRESS = 8000
READING = frozenset({"GET", "HEAD", "OPTIONS"})

HEADERS: Mapping[str, str] = {
    "Content-Security-Policy": (
        "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; font-src 'self'; "
        "connect-src 'self'; media-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    # With no-referrer a browser sends a form with "Origin: null", which could then not be told from a stranger's.
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "geolocation=(), microphone=(), payment=()",
}
#: Sent besides, where the browser heeds it: over plain HTTP from another machine it only complains.
_ON_LOOPBACK: Mapping[str, str] = {"Cross-Origin-Opener-Policy": "same-origin"}


def local_address(text: str) -> str:
    """Return an address of this app; the first page for anything else."""
    plain = text.isprintable() and "\\" not in text  # a browser reads a backslash as a slash and leaves tabs out
    return text if plain and text.startswith("/") and not text.startswith("//") else "/"


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
    cookie : str
        Name of the cookie that carries the token.
    """

    def __init__(
        self,
        app: ASGIApp,
        hosts: Callable[[], frozenset[str]],
        paired: Callable[[str], bool],
        admits: Callable[[str, str, str], bool],
        cookie: str = COOKIE,
    ) -> None:
        self.app = app
        self.hosts = hosts
        self.paired = paired
        self.admits = admits
        self.cookie = cookie

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request pass, or answer it."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        headers = Headers(scope=scope)
        refusal = self._refusal(scope, headers) or await self._nameless(scope["method"], headers)
        if refusal is not None:
            status, words = refusal
            await _told(scope["path"], status, words)(scope, receive, send)
            return
        client = scope.get("client") or ("", 0)
        token = cookie_parser(headers.get("cookie", "")).get(self.cookie, "") or headers.get("x-device-token", "")
        method = "GET" if scope["path"] in OF_THE_DEVICE else scope["method"]
        if not scope["path"].startswith(OPEN) and not await self._admitted(client[0], token, method):
            await RedirectResponse("/pair", 303, dict(HEADERS))(scope, receive, send)
            return
        limit = LARGEST_UPLOAD if scope["path"].startswith(UPLOADS) else LARGEST
        await self.app(scope, _limited(receive, limit), _with_headers(send, host_of(headers) in LOOPBACK))

    async def _admitted(self, client: str, token: str, method: str) -> bool:
        """Tell whether somebody is answered; a token is looked up beside the loop that serves everybody."""
        if not token:
            return self.admits(client, token, method)
        return await run_in_threadpool(self.admits, client, token, method)

    def _refusal(self, scope: Scope, headers: Headers) -> tuple[int, str] | None:
        method, path, host = scope["method"], scope["path"], headers.get("host", "")
        if host_of(headers) not in self.hosts():
            return 421, "This app does not answer to that name. Open it by the address it printed when it was started."
        if _unreadable(path, scope.get("query_string", b"")):
            return 404, "There is no such page: its address holds a number or a sign no record has."
        limit = LARGEST_UPLOAD if path.startswith(UPLOADS) else LARGEST
        length = headers.get("content-length", "0")
        if not length.isdigit() or int(length) > limit:
            return 413, f"This is too large: at most {limit // 1_000_000} MB can be sent here. Nothing was changed."
        if method in READING:
            return None
        origin, site = headers.get("origin"), headers.get("sec-fetch-site")
        if site not in {None, "same-origin"} or (origin is not None and not _same(origin, host)):
            return 403, "This came from another page, so nothing was changed. Open the app itself and try again."
        return None

    async def _nameless(self, method: str, headers: Headers) -> tuple[int, str] | None:
        """Refuse a write that names neither a page it comes from nor a paired device."""
        if method in READING or "origin" in headers or "sec-fetch-site" in headers:
            return None
        token = headers.get("x-device-token", "")
        known: bool = await run_in_threadpool(self.paired, token)
        if known:
            return None
        return 403, (
            "Nothing was changed: a program that writes sends the token of a paired device as X-Device-Token, "
            "or the address of the app as Origin."
        )


def _told(path: str, status: int, words: str) -> Response:
    """Answer a refusal: a program in its own form, a person in a sentence."""
    if path.startswith("/api/"):
        return JSONResponse({"error": words, "remedy": "", "where": path}, status, dict(HEADERS))
    return PlainTextResponse(words, status, dict(HEADERS))


def host_of(headers: Headers) -> str:
    """Return the host name a request is sent to, without its port."""
    host = headers.get("host", "").lower()
    return host if host.endswith("]") else host.rsplit(":", 1)[0]


def _unreadable(path: str, query: bytes) -> bool:
    """Tell whether an address holds what no database can look for: the sign zero, or a number beyond every row."""
    if len(path) + len(query) > _LONGEST_ADDRESS or "\x00" in path or _beyond(path):
        return True
    told = parse_qsl(query.decode("latin-1"), keep_blank_values=True)
    return any("\x00" in key + value or (key not in _TYPED and _beyond(value)) for key, value in told)


def _beyond(text: str) -> bool:
    most = len(str(LARGEST_ROW))
    found = (one.lstrip("0") for one in _NUMBER.findall(text))
    return any(len(one) > most or (len(one) == most and int(one) > LARGEST_ROW) for one in found)


def _same(origin: str, host: str) -> bool:
    parts = urlsplit(origin)
    return parts.scheme in {"http", "https"} and parts.netloc.lower() == host.lower()


class TooLarge(HTTPException):
    """More arrived than was announced or allowed; an HTTP error, so that whoever reads the body lets it through."""

    def __init__(self) -> None:
        super().__init__(HTTPStatus.REQUEST_ENTITY_TOO_LARGE, "this is too large.")


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


def _with_headers(send: Send, on_loopback: bool) -> Send:
    told = {**HEADERS, **_ON_LOOPBACK} if on_loopback else HEADERS

    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            present = {name.lower() for name, _ in message["headers"]}
            message["headers"] = [
                *message["headers"],
                *((k.lower().encode(), v.encode()) for k, v in told.items() if k.lower().encode() not in present),
            ]
            if b"cache-control" not in present:
                message["headers"].append((b"cache-control", b"no-store"))
        await send(message)

    return sending
