"""Quick answers: grams, minutes, gauge, degrees, fills, without making anything."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse

from enamelwright import units
from enamelwright.craft.metal import metal, metal_ids
from enamelwright.craft.plan import CoatWeight
from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.questions.answer import Answer
from enamelwright.questions.fills import FillsAnswer
from enamelwright.questions.question import question
from enamelwright.questions.window import WindowAnswer
from enamelwright.web.piece_view import foretold
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
    choices : tuple of (str, str)
        Values and words to choose among, the usual one first; empty for a line to write in.
    """

    key: str
    words: str
    example: str = ""
    jars: bool = False
    choices: tuple[tuple[str, str], ...] = ()


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


#: Metals with copper, which beginners fire, first.
_METALS = tuple(sorted(metal_ids(), key=lambda one: one != "copper"))
_STOPS = ("gloss", "orange peel", "sugar", "cleared")

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
    Quick(
        "window",
        "Minutes",
        (
            Blank("jar", "Jar", jars=True),
            Blank("metal", "Metal", choices=tuple((one, metal(one).name) for one in _METALS)),
            Blank("thickness", "Metal, thick", "0.9 mm"),
            Blank("diameter", "Disc across", "32 mm"),
            Blank("coat", "Glass after firing", "0.2 mm"),
            Blank("target", "Stop at", choices=tuple((one, one) for one in _STOPS)),
            Blank("set_point", "Setting, if it is not the usual one", "800 C"),
        ),
        "What is left empty is taken as its example says; the kiln is your own, once it is described.",
    ),
    Quick("degrees", "°C and °F", (Blank("temperature", "Temperature", "1450 F"),), "With its scale."),
    Quick("gauge", "Gauge", (Blank("thickness", "Gauge or thickness", "18 gauge (B&S)"),), "Name the gauge system."),
    Quick("fills", "Fills", (Blank("depth", "Depth of the cell", "1 mm"),), "Flush, fired, and filled again."),
)

#: Fields of a question by the words on its form, for a complaint that names one.
_WORDS = {(one.name, blank.key): blank.words.removeprefix("or ") for one in QUICK for blank in one.blanks}


def _grams(payload: CoatWeight, filled: Mapping[str, str]) -> tuple[str, list[tuple[str, str]]]:
    size = f"a {filled['diameter']} disc" if filled.get("diameter") else filled.get("area", "this area")
    powder, glass = (
        units.show(one.value, "length", "mm", _DEPTH) for one in (payload.powder_depth, payload.fired_thickness)
    )
    lead = f"Weigh {payload.to_weigh.shown('g')} for {size}; powder {powder}, glass {glass}."
    more = [
        ("Powder", payload.powder_depth.shown("mm")), ("Glass after firing", payload.fired_thickness.shown("mm")),
        ("Stays on the piece", payload.on_piece.shown("g")), ("Jar", payload.jar_name),
    ]  # fmt: skip
    if not payload.weighable:
        more.insert(0, ("Balance", "too little for it: lay it by level or by look"))
    return lead, more


def _minutes(payload: WindowAnswer, filled: Mapping[str, str]) -> tuple[str, list[tuple[str, str]]]:
    told = foretold(payload.window, payload.window.target or filled.get("target", "gloss"))
    if told is None or payload.window.seconds is None:
        return "No time can be told; fire by the stage you see.", []
    lead = f"Set {told.heat}: {told.target} at {told.time}, {told.start}." if payload.window.set_point else (
        f"{told.target.capitalize()} at {told.time}, {told.start}."
    )  # fmt: skip
    return lead, [("Look", told.looks)] if told.looks else []


def _fills(payload: FillsAnswer, filled: Mapping[str, str]) -> tuple[str, list[tuple[str, str]]]:
    fills = payload.fills.shown()
    lead = f"{fills} {'fill' if fills == '1' else 'fills'} bring a cell {filled.get('depth', '')} deep level."
    return lead, [("Still open then", payload.still_open.shown("mm"))]


def _degrees(payload: Any, filled: Mapping[str, str]) -> tuple[str, list[tuple[str, str]]]:
    del filled
    return f"{payload.celsius:.0f} °C is {payload.fahrenheit:.0f} °F.", []


def _gauge(payload: Any, filled: Mapping[str, str]) -> tuple[str, list[tuple[str, str]]]:
    return f"{filled.get('thickness', '')} is {payload.thickness.shown('mm')}.", []


#: What is said of each answer: one sentence, then what else it holds.
_SAID: Mapping[str, Callable[[Any, Mapping[str, str]], tuple[str, list[tuple[str, str]]]]] = {
    "grams": _grams, "window": _minutes, "fills": _fills, "degrees": _degrees, "gauge": _gauge,
}  # fmt: skip
#: Fineness to which a depth of powder or glass is told [m].
_DEPTH = 4e-5


@router.get("/quick")
def quick(request: Request) -> HTMLResponse:
    """Answer the question in the address, or show all of them empty."""
    asked = request.query_params.get("ask", "")
    filled = {key: value for key, value in request.query_params.items() if key != "ask" and value.strip()}
    answer: Answer[Any] | None = None
    trouble: EnamelwrightError | None = None
    wrong = ""
    if any(one.name == asked for one in QUICK):
        try:
            answer = question(asked).ask(filled, bench_of(request))
        except EnamelwrightError as error:
            trouble, wrong = _in_words(asked, error), _field(asked, error)
    lead, lines = _SAID[asked](answer.payload, filled) if answer is not None else ("", [])
    return show(
        request,
        "quick.html",
        status=200 if trouble is None else 422,
        questions=QUICK,
        words={one.name: question(one.name).words for one in QUICK},
        asked=asked,
        filled=filled,
        answer=answer,
        lead=lead,
        lines=lines,
        wrong=wrong,
        error=trouble,
        jars=bench_of(request).jars,
    )


def _field(asked: str, error: EnamelwrightError) -> str:
    """Return the line of the form an error is about; empty when it is about none of them."""
    where = error.where.rsplit(".", 1)[-1]
    return next((key for name, key in _WORDS if name == asked and where.startswith(key)), "")


def _in_words(asked: str, error: EnamelwrightError) -> EnamelwrightError:
    """Return an error that calls the line as the form does."""
    label = _WORDS.get((asked, _field(asked, error)))
    if label is None:
        return error
    words = error.message
    told = f"{label} {words.removeprefix('this ')}" if words.startswith("this ") else f"{label}: {words}"
    return InputError(told, error.remedy)
