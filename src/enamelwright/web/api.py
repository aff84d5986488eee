"""The one door of the questions over HTTP: ask, describe, list."""

from __future__ import annotations

from http import HTTPStatus
from typing import Annotated, Any

from fastapi import APIRouter, Body, Query, Request
from pydantic import BaseModel, ConfigDict
from starlette.responses import JSONResponse

from enamelwright.web.guard import LARGEST_ROW
from enamelwright.web.visit import bench_of, studio_of


class Trouble(BaseModel):
    """What is answered when something cannot be done."""

    model_config = ConfigDict(extra="forbid")

    error: str
    remedy: str
    where: str
    #: Whether the same, sent again with `really` in its body, would be kept.
    really: bool = False


#: Troubles every door may answer with, by status.
TROUBLES: dict[int | str, dict[str, Any]] = {
    400: {"model": Trouble, "description": "Not of a form that can be read"},
    404: {"model": Trouble, "description": "There is no such thing"},
    409: {"model": Trouble, "description": "It does not fit what is there, or cannot honestly be answered"},
    413: {"model": Trouble, "description": "Too large"},
    422: {"model": Trouble, "description": "Something that was told cannot be used"},
    507: {"model": Trouble, "description": "No room on the disk"},
}

router = APIRouter(prefix="/api/v1", tags=["questions"])


@router.get("/questions")
def listed() -> list[dict[str, str]]:
    """List every question with its words."""
    from enamelwright.questions.question import names, question

    return [{"name": name, "words": question(name).words} for name in names()]


@router.get("/questions/{name}")
def described(name: str) -> dict[str, Any]:
    """Describe one question: its words, the schema of its input and an example."""
    from enamelwright.questions.question import question

    found = question(name)
    return {
        "name": found.name,
        "words": found.words,
        "input": found.input.outside_schema(),
        "example": dict(found.example),
    }


@router.post("/ask/{name}", responses={202: {"description": "A job for the worker: look at its address"}})
def ask(request: Request, name: str, data: dict[str, Any] = Body(...)) -> JSONResponse:  # noqa: B008 - FastAPI's form
    """Answer one question from this studio's bench; one for the worker becomes a job, told by its address."""
    from enamelwright.questions.question import question

    asked = question(name)
    if not asked.needs_worker(data):
        return JSONResponse(asked.ask(data, bench_of(request)).to_json())
    from enamelwright.workshop.asking import ask_later

    row = ask_later(studio_of(request), name, data)
    request.app.state.worker.wake()
    return JSONResponse(_told(request, row), HTTPStatus.ACCEPTED)


@router.get("/jobs")
def job(request: Request, row: Annotated[int, Query(ge=1, le=LARGEST_ROW)]) -> JSONResponse:
    """Say how far a job is, and its result once it is done."""
    return JSONResponse(_told(request, row))


@router.post("/jobs/stop")
def stop(request: Request, row: Annotated[int, Query(ge=1, le=LARGEST_ROW)]) -> JSONResponse:
    """Ask a job to stop."""
    from enamelwright.workshop import jobs

    jobs.stop(studio_of(request), row)
    return JSONResponse(_told(request, row))


def _told(request: Request, row: int) -> dict[str, Any]:
    from enamelwright.workshop import jobs

    found = jobs.job(studio_of(request), row)
    return {
        "job": found.id, "state": found.state, "fraction": found.fraction, "words": found.words or "",
        "result": found.result, "at": f"/api/v1/jobs?row={found.id}",
    }  # fmt: skip
