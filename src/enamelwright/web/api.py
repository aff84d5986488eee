"""The one door of the questions over HTTP: ask, describe, list."""

from __future__ import annotations

from typing import Any

from fastapi import APIRouter, Body, Request
from starlette.responses import JSONResponse

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


@router.post("/ask/{name}")
def ask(request: Request, name: str, data: dict[str, Any] = Body(...)) -> JSONResponse:  # noqa: B008 - FastAPI's form
    """Answer one question from this studio's bench."""
    from enamelwright.questions.question import question

    return JSONResponse(question(name).ask(data, request.app.state.studio.bench()).to_json())
