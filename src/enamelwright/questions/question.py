"""One declaration per question; from it come the command, the web address, the schema and the docs."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from importlib import import_module
from inspect import signature
from typing import Any

from pydantic import BaseModel

from enamelwright.craft.bench import Bench
from enamelwright.craft.description import Described
from enamelwright.errors import UnknownName
from enamelwright.questions.answer import Answer

#: Is told how far the work is (0 to 1) and what it is at; answers whether to go on.
Progress = Callable[[float, str], bool]

#: question name -> module; a module declares `QUESTION`. Imported only when asked.
MODULES: dict[str, str] = {
    "plan": "plan",
    "grams": "grams",
    "gauge": "gauge",
    "degrees": "degrees",
    "fills": "fills",
    "weighing": "weighing",
    "cooling": "cooling",
    "oxide": "oxide",
    "thermocouple": "thermocouple",
    "kiln": "kiln",
    "window": "window",
    "fired-colour": "fired_colour",
    "match": "match",
    "speckle": "speckle",
    "tile-photo": "tile_photo",
    "jar-fit": "jar_fit",
    "bath": "bath",
    "spent-bath": "spent_bath",
    "series": "series",
    "stock": "stock",
    "price": "price",
    "shelf": "shelf",
    "blanks": "blanks",
    "dust": "dust",
    "glare": "glare",
    "touch": "touch",
    "landing": "landing",
    "ventilation": "ventilation",
    "sell-where": "sell_where",
    "day": "day",
    "fault": "fault",
    "rescue": "rescue",
    "next-tile": "next_tile",
}


@dataclass(frozen=True)
class Question:
    """A question the product answers.

    Parameters
    ----------
    name : str
        Its name on every door.
    words : str
        The question as a maker would ask it.
    input : type
        Model of what is asked.
    output : type
        Model of the payload.
    answer : callable
        Pure function (input, bench) -> Answer; a long one may also take `progress`, a :data:`Progress`.
    example : mapping
        An input in the outside form that works as it stands.
    long : bool
        Whether it may take longer than a breath.
    apart : callable, optional
        Tells of an input whether answering it needs a process of its own, because a library that searches for long
        has no place in a server.
    """

    name: str
    words: str
    input: type[Described]
    output: type[BaseModel]
    answer: Callable[..., Answer[Any]]
    example: Mapping[str, Any]
    long: bool = False
    apart: Callable[[Any], bool] | None = None

    def needs_worker(self, data: Mapping[str, Any]) -> bool:
        """Tell whether an input in the outside form is answered by the worker only.

        Raises
        ------
        InputError
            When the input cannot be.
        """
        return self.apart is not None and self.apart(self.input.from_outside(data))

    def ask(
        self, data: Mapping[str, Any], bench: Bench | None = None, where: str = "", progress: Progress | None = None
    ) -> Answer[Any]:
        """Answer from the outside form.

        Parameters
        ----------
        data : mapping
            Input in the outside form.
        bench : Bench, optional
            Reference tables only when left out.
        where : str
            File or place named in complaints.
        progress : callable, optional
            Of a long question.
        """
        studio = bench if bench is not None else Bench.starter()
        asked = self.input.from_outside(data, where)
        if progress is None or "progress" not in signature(self.answer).parameters:
            return self.answer(asked, studio)
        return self.answer(asked, studio, progress=progress)


def question(name: str) -> Question:
    """Find a question by name.

    Raises
    ------
    UnknownName
        With the nearest names.
    """
    if name not in MODULES:
        raise UnknownName.among("question", name, MODULES)
    module = import_module(f"enamelwright.questions.{MODULES[name]}")
    found: Question = module.QUESTION
    return found


def names() -> tuple[str, ...]:
    """Return the names of all questions."""
    return tuple(MODULES)


def engine() -> str:
    """Return version and table hash: what made an answer."""
    from enamelwright import __version__
    from enamelwright.reference.loader import engine_hash

    return f"enamelwright {__version__}, tables {engine_hash()}"
