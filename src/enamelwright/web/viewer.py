"""Who looks, and how: a guest who only reads, and the scale this device shows temperatures on."""

from __future__ import annotations

import re
from contextvars import ContextVar
from http import HTTPStatus

from starlette.concurrency import run_in_threadpool
from starlette.exceptions import HTTPException
from starlette.requests import Request, cookie_parser
from starlette.types import ASGIApp, Receive, Scope, Send

from enamelwright import units
from enamelwright.web.guard import BESIDE
from enamelwright.web.sharing import THIS_MACHINE, Sharing

#: Scales a device may choose, as they are printed; anything else shows both.
SCALES: dict[str, str] = {"c": "°C", "f": "°F"}
BOTH = ("°C", "°F")
#: The scale of whoever is being answered; it follows the request into the thread that draws its page.
_SCALE: ContextVar[str] = ContextVar("scale", default="")
#: A temperature in a sentence, a range of them, and the other scale where it is told beside.
_TOLD = re.compile(
    r"(?<![\w.,])(\d{2,4}(?:\.\d+)?)(?:(\s?(?:–|-|to|and|or)\s?)(\d{2,4}(?:\.\d+)?))? °C"
    r"(?:\s(?:·|=|or|\()\s?\d{3,4} °F\)?)?"
)


class Viewer:
    """ASGI middleware that notes who looks before a page is drawn.

    Parameters
    ----------
    app : ASGIApp
        What is asked.
    sharing : Sharing
        Knows the paired devices.
    invented : bool
        Whether this is the invented workshop, whose cookies are its own.
    """

    def __init__(self, app: ASGIApp, sharing: Sharing, invented: bool = False) -> None:
        self.app = app
        self.sharing = sharing
        self.cookie = scale_cookie(invented)

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Note the scale and whether a guest asks, and go on."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        told = dict(scope["headers"])
        cookies = cookie_parser(told.get(b"cookie", b"").decode("latin-1"))
        chosen = cookies.get(self.cookie, "")
        _SCALE.set(chosen if chosen in SCALES else "")
        client = (scope.get("client") or ("", 0))[0]
        token = cookies.get(self.sharing.cookie, "") or told.get(b"x-device-token", b"").decode("latin-1")
        guest = False
        if client not in THIS_MACHINE and token:
            guest = await run_in_threadpool(self.sharing.right, token) == "read"
        scope.setdefault("state", {})["guest"] = guest
        await self.app(scope, receive, send)


def is_guest(request: Request) -> bool:
    """Tell whether a device asks that only reads, as a guest of the workshop."""
    return bool(request.scope.get("state", {}).get("guest", False))


def no_guests(request: Request) -> None:
    """Refuse a guest what concerns the shop and its customers; a route that shows such names this as its dependency.

    Raises
    ------
    HTTPException
        403 for a guest.
    """
    if is_guest(request):
        raise HTTPException(HTTPStatus.FORBIDDEN, "Prices, customers and orders are not shown to a guest.")


# --- temperatures --------------------------------------------------------------------------------


def scale_cookie(invented: bool) -> str:
    """Return the name of the cookie that carries the scale."""
    return f"{BESIDE if invented else ''}degrees"


def scale() -> str:
    """Return the scale chosen on the device that is being answered: ``c``, ``f``, or nothing for both."""
    return _SCALE.get()


def degrees(kelvin: float | None) -> str:
    """Print a temperature on the scale of this device, or on both.

    Parameters
    ----------
    kelvin : float or None
        Temperature [K]; None prints that it is not known.
    """
    if kelvin is None:
        return "not known"
    chosen = (SCALES[scale()],) if scale() else BOTH
    return " · ".join(f"{units.from_si(kelvin, unit, 'temperature'):.0f} {unit}" for unit in chosen)


def scale_unit() -> str | None:
    """Return the unit figures of temperature are shown in on this device; None for the usual one."""
    return SCALES.get(scale())


def told(words: str) -> str:
    """Put the temperatures of a sentence on the scale of this device; what was typed by a person never comes here.

    Parameters
    ----------
    words : str
        A sentence of the product, with temperatures in degrees Celsius.
    """
    if scale() != "f" or "°C" not in words:
        return words
    return _TOLD.sub(_in_fahrenheit, words)


def _in_fahrenheit(found: re.Match[str]) -> str:
    first, middle, second = found[1], found[2], found[3]
    ends = [f"{_fahrenheit(one):.0f}" for one in (first, second) if one]
    return f"{(middle or '').join(ends)} °F"


def _fahrenheit(text: str) -> float:
    return units.from_si(units.to_si(float(text), "°C", "temperature"), "°F", "temperature")
