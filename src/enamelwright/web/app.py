"""Builds the app around one open studio."""

from __future__ import annotations

import logging
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from http import HTTPStatus
from typing import Any

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response
from starlette.staticfiles import StaticFiles
from starlette.types import Scope

from enamelwright import __version__
from enamelwright.errors import EnamelwrightError, HouseError, InputError
from enamelwright.records.errors import Conflict, NoRoom
from enamelwright.web import api
from enamelwright.web.beside import Beside
from enamelwright.web.conflicts import differences
from enamelwright.web.guard import BESIDE, COOKIE, Guard, TooLarge, local_address
from enamelwright.web.later import Later
from enamelwright.web.render import CHOSEN, STATIC, light_cookie, light_of, show
from enamelwright.web.sharing import Sharing
from enamelwright.web.tokens import style
from enamelwright.web.viewer import SCALES, Viewer, scale_cookie
from enamelwright.workshop.says_two import AskedBack
from enamelwright.workshop.settings import INVENTED, setting
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.worker import Worker

#: A year; the address of a browser file changes with its content.
KEEP = "public, max-age=31536000, immutable"
FONTS = ("IBMPlexSans_400Regular.ttf", "IBMPlexSans_600SemiBold.ttf", "IBMPlexSansCondensed_600SemiBold.ttf")


def create_app(studio: Studio, sharing: Sharing | None = None) -> FastAPI:
    """Return the app of one studio.

    Parameters
    ----------
    studio : Studio
        Already open; closed by whoever opened it.
    sharing : Sharing, optional
        On the local network; this machine alone when left out.
    """
    beside, worker = Beside(), Worker(studio)

    @asynccontextmanager
    async def lifespan(_app: FastAPI) -> AsyncIterator[None]:
        yield
        beside.close()
        worker.close()
        shared.close()

    app = FastAPI(
        title="enamelwright", version=__version__, docs_url=None, redoc_url=None, openapi_url="/api/v1/schema",
        lifespan=lifespan,
    )  # fmt: skip
    shared = sharing if sharing is not None else Sharing(studio)
    app.state.studio = studio
    app.state.sharing = shared
    app.state.beside = beside
    app.state.worker = worker
    app.state.invented = bool(setting(studio, INVENTED))
    shared.cookie = f"{BESIDE if app.state.invented else ''}{COOKIE}"
    app.add_middleware(Viewer, sharing=shared, invented=app.state.invented)
    app.add_middleware(Guard, hosts=shared.hosts, paired=shared.may_write, admits=shared.admits, cookie=shared.cookie)
    app.mount("/static", _Static(directory=STATIC), name="static")
    app.include_router(api.router, responses=api.TROUBLES)
    app.include_router(shared.router)

    @app.get("/style/lights.css", include_in_schema=False)
    def lights(v: str = "") -> Response:
        return Response(style(), media_type="text/css", headers={"Cache-Control": KEEP if v else "no-cache"})

    @app.get("/fonts/{name}", include_in_schema=False)
    def font(name: str) -> Response:
        from importlib.resources import files

        if name not in FONTS:
            raise HTTPException(HTTPStatus.NOT_FOUND)
        data = files("enamelwright.cards").joinpath("fonts", name).read_bytes()
        return Response(data, media_type="font/ttf", headers={"Cache-Control": KEEP})

    @app.post("/light", include_in_schema=False)
    async def choose_light(request: Request) -> Response:
        form = await request.form()
        answer = RedirectResponse(local_address(str(form.get("back", "/"))), 303)
        told = str(form.get("light", ""))
        chosen = told if told in CHOSEN else ""
        answer.set_cookie(light_cookie(request), chosen, max_age=10**8, samesite="strict", httponly=True)
        return answer

    @app.post("/degrees", include_in_schema=False)
    async def choose_scale(request: Request) -> Response:
        form = await request.form()
        answer = RedirectResponse(local_address(str(form.get("back", "/"))), 303)
        told = str(form.get("degrees", ""))
        chosen = told if told in SCALES else ""
        name = scale_cookie(request.app.state.invented)
        answer.set_cookie(name, chosen, max_age=10**8, samesite="strict", httponly=True)
        return answer

    later = Later(app)

    def schema() -> dict[str, Any]:
        later.all()
        return FastAPI.openapi(app)

    app.openapi = schema  # type: ignore[method-assign]  # every door is told of, also of pages nobody has opened yet
    app.add_exception_handler(EnamelwrightError, _said)
    app.add_exception_handler(HTTPException, _missed)
    app.add_exception_handler(RequestValidationError, _misread)
    app.add_exception_handler(TooLarge, _too_large)
    app.add_exception_handler(OverflowError, _beyond)
    app.add_exception_handler(Exception, _broke)
    return app


class _Static(StaticFiles):
    """Browser files, kept by the browser as long as their address holds their hash."""

    def file_response(self, full_path: Any, stat_result: Any, scope: Scope, status_code: int = 200) -> Response:
        answer = super().file_response(full_path, stat_result, scope, status_code)
        named = scope.get("query_string", b"").startswith(b"v=")
        answer.headers["Cache-Control"] = KEEP if named else "no-cache"
        return answer


def _wants_json(request: Request) -> bool:
    return request.url.path.startswith("/api/")


def _status(error: Exception) -> int:
    if isinstance(error, Conflict):
        return HTTPStatus.CONFLICT
    if isinstance(error, NoRoom):
        return HTTPStatus.INSUFFICIENT_STORAGE
    if isinstance(error, HouseError):
        return HTTPStatus.INTERNAL_SERVER_ERROR
    return HTTPStatus.UNPROCESSABLE_ENTITY if isinstance(error, InputError) else HTTPStatus.CONFLICT


async def _said(request: Request, error: Exception) -> Response:
    """Answer a deliberate error with its sentence: what, where, what to do."""
    assert isinstance(error, EnamelwrightError)
    status = _status(error)
    if _wants_json(request):
        body: dict[str, Any] = {"error": error.message, "remedy": error.remedy, "where": error.where}
        if isinstance(error, AskedBack):
            body["really"] = True
        return JSONResponse(body, status)
    if request.headers.get("hx-request"):
        return HTMLResponse(_fragment(request, error), status)
    if isinstance(error, Conflict) and (error.mine or error.theirs):
        return show(request, "conflict.html", status=status, error=error, lines=differences(error))
    return show(request, "trouble.html", status=status, error=error)


def _fragment(request: Request, error: EnamelwrightError) -> str:
    from enamelwright.web.render import environment

    return environment().get_template("trouble_line.html").render(error=error, light=light_of(request))


async def _missed(request: Request, error: Exception) -> Response:
    assert isinstance(error, HTTPException)
    words = "There is no such page." if error.status_code == HTTPStatus.NOT_FOUND else str(error.detail)
    if _wants_json(request):
        return JSONResponse({"error": words, "remedy": "", "where": request.url.path}, error.status_code)
    plain = InputError(words, "Go back, or look for it by number or word.")
    return show(request, "trouble.html", status=error.status_code, error=plain)


async def _misread(request: Request, error: Exception) -> Response:
    """Answer something that is not of the form a door takes: in one sentence that names the first place."""
    assert isinstance(error, RequestValidationError)
    first = error.errors()[0]
    where = ", ".join(str(step) for step in first.get("loc", ()))
    told = InputError("this did not arrive in a form that can be read.", str(first.get("msg", "")), where)
    return await _said(request, told)


async def _beyond(request: Request, _error: Exception) -> Response:
    """Answer a number no record can hold, which a database refuses to even look for."""
    return await _said(request, InputError("one of these numbers is larger than any record.", "Check it."))


async def _too_large(request: Request, _error: Exception) -> Response:
    told = InputError("this is too large; nothing was changed.", "Send less at once.")
    if _wants_json(request):
        return JSONResponse({"error": told.message, "remedy": told.remedy, "where": request.url.path}, 413)
    return show(request, "trouble.html", status=413, error=told)


async def _broke(request: Request, error: Exception) -> Response:
    """Answer a mistake of ours: in one sentence, with the details for whoever looks after the machine only."""
    logging.getLogger(__name__).error("%s %s", request.method, request.url.path, exc_info=error)
    ours = HouseError("something went wrong on our side; the record is as it was.", "Go back and try again.")
    if _wants_json(request):
        return JSONResponse({"error": ours.message, "remedy": ours.remedy, "where": request.url.path}, 500)
    return show(request, "trouble.html", status=500, error=ours)
