"""Templates: one environment, the filters every page uses, and the frame around each page."""

from __future__ import annotations

import hashlib
import secrets
from functools import lru_cache, partial
from pathlib import Path
from typing import Any

from jinja2 import Environment, FileSystemLoader, StrictUndefined, select_autoescape
from markupsafe import Markup
from starlette.requests import Request
from starlette.responses import HTMLResponse

from enamelwright.craft.verdict import Level
from enamelwright.figure import Figure
from enamelwright.pictures.lights import LEVEL_WORDS
from enamelwright.web.field_words import complaint, remember
from enamelwright.web.guard import BESIDE
from enamelwright.web.metal_words import metal_words
from enamelwright.web.page import PAGES
from enamelwright.web.piece_head import piece_head
from enamelwright.web.tokens import style
from enamelwright.web.viewer import degrees, is_guest, scale, scale_unit, told
from enamelwright.workshop.settings import sieves

HERE = Path(__file__).parent
STATIC = HERE / "static"
#: Lights a device may choose; anything else follows the system.
CHOSEN = frozenset({"lamp", "daylight"})

#: Shapes of the three verdicts on a 24 by 24 field: disc, triangle, octagon.
_MARKS: dict[Level, str] = {
    "good": '<circle cx="12" cy="12" r="10"/>',
    "watch": '<path d="M12 2 23 22H1z"/>',
    "stop": '<path d="M8 1h8l7 7v8l-7 7H8l-7-7V8z"/>',
}


def mark(level: Level) -> Markup:
    """Draw the shape of a verdict with its word; never colour alone."""
    word = LEVEL_WORDS[level]
    return Markup(
        f'<span class="level level-{level}"><svg viewBox="0 0 24 24" aria-hidden="true">{_MARKS[level]}</svg>'
        f"<span>{word}</span></span>"
    )


def shown(figure: Figure | None, unit: str | None = None) -> str:
    """Print a figure with its band, or say that it is not known."""
    if figure is None:
        return "not known"
    return figure.shown(unit or (scale_unit() if figure.dimension == "temperature" else None))


def drawing(svg: str) -> Markup:
    """Put one of our own drawings into a page; their texts are escaped where they are drawn."""
    return Markup(svg)


@lru_cache(maxsize=256)
def asset(name: str) -> str:
    """Return the address of a browser file with its hash, so that a new version is fetched at once."""
    digest = hashlib.sha256((STATIC / name).read_bytes()).hexdigest()[:10]
    return f"/static/{name}?v={digest}"


@lru_cache(maxsize=1)
def lights() -> str:
    """Return the address of the style rules of the lights, with their hash."""
    return f"/style/lights.css?v={hashlib.sha256(style().encode()).hexdigest()[:10]}"


def fresh() -> str:
    """Return an id for one form of one page, so that sending it twice is one entry."""
    return secrets.token_hex(16)


@lru_cache(maxsize=1)
def environment() -> Environment:
    """Return the one template environment."""
    made = Environment(
        loader=FileSystemLoader(HERE / "templates"),
        autoescape=select_autoescape(default=True, default_for_string=True),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters |= {
        "shown": shown, "degrees": degrees, "mark": mark, "drawing": drawing, "told": told, "metal": metal_words,
    }  # fmt: skip
    made.globals |= {"asset": asset, "light_sheet": lights, "fresh": fresh, "complaint": complaint}
    return made


def light_cookie(request: Request) -> str:
    """Return the name of the cookie that carries the light; the invented workshop beside the studio has its own."""
    return f"{BESIDE if request.app.state.invented else ''}light"


def light_of(request: Request) -> str:
    """Return the light this device chose, or nothing for the system's."""
    chosen = request.cookies.get(light_cookie(request), "")
    return chosen if chosen in CHOSEN else ""


def show(request: Request, template: str, *, status: int = 200, **context: Any) -> HTMLResponse:
    """Draw a page in its frame.

    Parameters
    ----------
    request : Request
        As it came.
    template : str
        File below ``templates/``.
    status : int
        HTTP status.
    **context
        What the template needs.
    """
    path = request.url.path
    guest = is_guest(request)
    if request.method == "GET":
        remember(path, template)
    listed = [page for page in PAGES if page.listed and not (guest and page.private)]
    here = max((page for page in PAGES if path.startswith(page.path)), key=lambda page: len(page.path), default=None)
    frame = {
        "request": request,
        "pages": listed,
        "here": here,
        "light": light_of(request),
        "degrees_shown": scale(),
        "guest": guest,
        "invented": request.app.state.invented,
        "studio": request.app.state.studio,
        "piece_head": partial(piece_head, request.app.state.studio),
        "owned_sieves": partial(sieves, request.app.state.studio),
    }
    return HTMLResponse(environment().get_template(template).render(**frame, **context), status)
