"""Quick answers: grams, gauge, degrees, fills and the like, without making anything."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse

from enamelwright.errors import EnamelwrightError
from enamelwright.figure import Figure
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import question
from enamelwright.web.page import Page
from enamelwright.web.render import show
from enamelwright.web.visit import bench_of

router = APIRouter(include_in_schema=False)


@dataclass(frozen=True)
class Blank:
    """One line of a quick form.

    Parameters
    ----------
    key : str
        Field of the question.
    words : str
        What is asked.
    example : str
        Shown inside the empty line.
    jars : bool
        Whether it names a jar of the bench.
    """

    key: str
    words: str
    example: str = ""
    jars: bool = False


@dataclass(frozen=True)
class Quick:
    """One quick question.

    Parameters
    ----------
    name : str
        Of the question.
    noun : str
        Its heading.
    blanks : tuple of Blank
        What may be filled in.
    hint : str
        Which of the lines are needed.
    """

    name: str
    noun: str
    blanks: tuple[Blank, ...]
    hint: str


QUICK: tuple[Quick, ...] = (
    Quick(
        "grams",
        "Grams",
        (
            Blank("jar", "Jar", jars=True),
            Blank("diameter", "Disc across", "25 mm"),
            Blank("area", "or area", "4.9 cm2"),
            Blank("powder_depth", "Powder depth", "0.5 mm"),
            Blank("fired_thickness", "or glass after firing", "0.25 mm"),
            Blank("weight", "or powder you weigh out", "0.3 g"),
        ),
        "A jar, one size and one amount; the others follow.",
    ),
    Quick("degrees", "°C and °F", (Blank("temperature", "Temperature", "1450 F"),), "With its scale."),
    Quick("gauge", "Gauge", (Blank("thickness", "Gauge or thickness", "18 gauge (B&S)"),), "Name the gauge system."),
    Quick("fills", "Fills", (Blank("depth", "Depth of the cell", "1 mm"),), "How many fills bring a cell level."),
)


def _lines(payload: Any) -> list[tuple[str, str]]:
    """Return what an answer holds, as words and values."""
    found = []
    for name in type(payload).model_fields:
        value = getattr(payload, name)
        words = name.replace("_", " ")
        if isinstance(value, Figure):
            found.append((words, value.shown()))
        elif isinstance(value, bool):
            found.append((words, "yes" if value else "no"))
        elif isinstance(value, int | float):
            found.append((words, f"{value:g}"))
        elif isinstance(value, str) and value:
            found.append((words, value))
    return found


@router.get("/quick")
def quick(request: Request) -> HTMLResponse:
    """Answer the question in the address, or show all of them empty."""
    asked = request.query_params.get("ask", "")
    filled = {key: value for key, value in request.query_params.items() if key != "ask" and value.strip()}
    answer: Answer[Any] | None = None
    trouble: EnamelwrightError | None = None
    if any(one.name == asked for one in QUICK):
        try:
            answer = question(asked).ask(filled, bench_of(request))
        except EnamelwrightError as error:
            trouble = error
    lines = _lines(answer.payload) if answer is not None else []
    return show(
        request,
        "quick.html",
        status=200 if trouble is None else 422,
        questions=QUICK,
        words={one.name: question(one.name).words for one in QUICK},
        asked=asked,
        filled=filled,
        answer=answer,
        lines=lines,
        error=trouble,
        jars=bench_of(request).jars,
    )


PAGE = Page("/quick", "Quick answers", "Grams, gauge, degrees and fills, without making anything", router)
