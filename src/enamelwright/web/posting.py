"""What the forms of the record pages share: fields as typed, one row however often it is sent, a message with Undo."""

from __future__ import annotations

import hashlib
import json
import secrets
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from typing import Annotated, Any
from urllib.parse import urlencode

from fastapi import Depends, Request
from sqlalchemy import select
from starlette.datastructures import FormData
from starlette.responses import HTMLResponse, RedirectResponse

from enamelwright.errors import InputError
from enamelwright.records.errors import RecordError
from enamelwright.records.schema.house import device_entry
from enamelwright.web import moments
from enamelwright.web.guard import LARGEST_ROW
from enamelwright.web.render import show
from enamelwright.web.visit import studio_of
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.taking_back import MOST as MOST_BACK

#: What one tap wrote: noun, row, and the version written of what is kept (0 of what happened).
Written = tuple[str, int, int]
#: Longest id of a form; a browser sends what the page gave it.
LONGEST_ENTRY = 64
#: Longest word of the address that is looked at.
LONGEST = 2000

#: What is said after each tap, by the code in the address.
SAID: dict[str, str] = {
    "started": "Started, with its permanent number.",
    "started-many": "Started, each with its permanent number.",
    "logged": "Written down. It has a number now and can be looked up.",
    "fault": "The fault is written down.",
    "healed": "Written down what was done about it.",
    "measure": "The measure is written down.",
    "photo": "The photo is kept.",
    "state": "Written down what became of it.",
    "words": "Kept.",
    "corrected": "Corrected. What stood there before stays in the history.",
    "withdrawn": "Taken out. It stays readable in the history.",
    "back": "Taken back.",
    "price": "The price is set.",
    "sold": "Sold, and the money written down.",
    "moved": "Written down where it is.",
    "taken-there": "Written down that they are there, with what is asked for each.",
    "settled": "Written down what came back and what was sold.",
    "collected": "Written down that it was collected. What was made for it is gone with it.",
    "jar": "The jar is on the shelf.",
    "jar-changed": "The jar is described anew. What it was before stays in the history.",
    "jar-away": "The jar is off the lists. Everything that used it stays.",
    "lot": "The lot is open.",
    "lot-finished": "The lot is used up.",
    "powder": "Written down what was done to the powder.",
    "stock": "The stock is set to what the balance says.",
    "stock-moved": "Written down; the stock has changed.",
    "mark": "The mark for buying again is set.",
    "fact": "Written down. What was told before stays beside it.",
    "tiles": "The tiles have their numbers.",
    "colour": "The colour is written down.",
    "colours": "The colours are written down, all together.",
    "fit": "The fit is kept. Colours of this jar follow it from now on.",
    "coupon": "Kept as your coupon. Colours over this metal follow it from now on.",
    "layout": "The layout is kept.",
    "bath": "The bath is made up.",
    "bath-closed": "The bath is closed. Nothing more goes into it.",
    "entry": "Written down.",
    "container": "The container is kept.",
    "waste": "Written down what went into the container.",
    "handed": "Written down that it was handed in.",
    "order": "The order is taken, with its number.",
    "line": "Added to the order.",
    "another": "Another is started in its place.",
    "old-lot": "The lot before it is used. Planned again.",
    "cut": "Cut. What is left of the sheet is in stock, with its outline.",
    "day-planned": "The day is planned.",
    "day-first": "A first plan is there. A better one takes its place when it is found.",
    "day-again": "Planned again. What has begun stays, the rest keeps its order.",
    "day-pinned": "Planned again with what is pinned.",
    "day-ticked": "Ticked. It is not planned again.",
    "day-other": "The other order is kept now.",
    "day-kept": "The order stays as it is.",
    "day-before": "Back to the plan before.",
    "costing": "Kept. Prices follow it from now on.",
    "order-state": "Written down how it stands with the order.",
    "reopened": "Written down how it stands with the order. What had gone with it is on the bench again.",
    "paid": "The money is written down.",
    "kiln": "The kiln is described.",
    "kiln-changed": "The kiln is described anew. What it was before stays in the history.",
    "kiln-away": "The kiln is off the lists. Every firing in it stays.",
    "kiln-event": "Written down what was done to the kiln.",
    "anchor": "Written down what the display showed. Settings follow it from now on.",
    "support": "The support is kept.",
    "support-away": "The support is off the list.",
    "person": "Kept.",
    "person-away": "The label is off the list. What it signed stays.",
    "set": "Set. It holds from the next answer on.",
    "set-later": "Set. A plan does not see that a kiln goes away later: plan again when it has gone.",
    "same": "Nothing was different, so nothing was changed.",
    "snapshot": "A copy of the record is taken and was read back.",
    "outside": "The record is copied to the second place and was read back there.",
    "device": "Changed.",
    "device-away": "That device is turned away from now on.",
}
#: What is added when a tap wrote more than one Undo takes back.
TOO_MUCH = "It is too much for one Undo: what is wrong is corrected piece by piece."


@dataclass(frozen=True)
class Note:
    """A message after a tap.

    Parameters
    ----------
    words : str
        What was done.
    undo : str
        What Undo takes back, as the form sends it; empty for no Undo.
    """

    words: str
    undo: str = ""


class Filled:
    """A form that arrived: text as typed, white space at both ends off.

    Parameters
    ----------
    form : FormData
        As it came.
    """

    def __init__(self, form: FormData) -> None:
        self._form = form

    def text(self, key: str) -> str:
        """Return one field; empty when it is left out."""
        value = self._form.get(key, "")
        return value.strip() if isinstance(value, str) else ""

    def maybe(self, key: str) -> str | None:
        """Return one field; None when it is left out."""
        return self.text(key) or None

    def every(self, key: str) -> list[str]:
        """Return all fields of one name that hold something."""
        return [one.strip() for one in self._form.getlist(key) if isinstance(one, str) and one.strip()]

    def given(self, *keys: str) -> dict[str, str]:
        """Return those of some fields that hold something."""
        return {key: self.text(key) for key in keys if self.text(key)}

    def sent(self, *keys: str) -> dict[str, str | None]:
        """Return those of some fields that the form has, None for an empty one: what is emptied is forgotten."""
        return {key: self.maybe(key) for key in keys if key in self._form}

    def starting(self, start: str) -> dict[str, str]:
        """Return fields whose name begins so, by the rest of it, that hold something."""
        found = {}
        for key in self._form:
            if key.startswith(start) and self.text(key):
                found[key.removeprefix(start)] = self.text(key)
        return found

    def whole(self, key: str, default: int | None = None) -> int:
        """Return a field as a whole number.

        Raises
        ------
        InputError
            When it is none, and no default is given.
        """
        text = self.text(key)
        if not text and default is not None:
            return default
        if not text.lstrip("-").isdecimal() or not is_row(text.lstrip("-")):
            raise InputError(f"'{text[:20]}' is no whole number.", "Write digits only.", key.replace("_", " "))
        return int(text)

    def version(self, key: str = "version") -> int | None:
        """Return the version that was shown when the form was filled in; None when it does not say."""
        return self.whole(key) if self.text(key) else None

    def items(self) -> list[tuple[str, Any]]:
        """Return everything that was sent."""
        return list(self._form.multi_items())

    def fingerprint(self) -> str:
        """Return a hash of everything that was sent."""
        parts = [(key, value if isinstance(value, str) else "file") for key, value in self._form.multi_items()]
        return hashlib.sha256(json.dumps(sorted(parts)).encode()).hexdigest()


async def _read(request: Request) -> Filled:
    form = await request.form()
    if any("\x00" in key or (isinstance(value, str) and "\x00" in value) for key, value in form.multi_items()):
        raise InputError("a sign in this form cannot be kept.", "Type it again.")
    return Filled(form)


def is_row(text: str) -> bool:
    """Tell whether text is a whole number a record may have given to a row."""
    return text.isdecimal() and len(text) <= len(str(LARGEST_ROW)) and int(text) <= LARGEST_ROW


#: Parameter of a route that takes a form.
Form = Annotated[Filled, Depends(_read)]


def token(written: Iterable[Written]) -> str:
    """Write what a tap wrote as one word for the address and the Undo button."""
    return " ".join(f"{noun.replace(' ', '-')}:{row}:{version}" for noun, row, version in written)


def written(text: str) -> list[Written]:
    """Read what :func:`token` wrote.

    Raises
    ------
    InputError
        When it is something else.
    """
    found = []
    for word in text[:LONGEST].split():
        noun, _, rest = word.partition(":")
        row, _, version = rest.partition(":")
        if not (is_row(row) and is_row(version)):
            raise InputError("this cannot be taken back.", "Correct it in the record of the piece.")
        found.append((noun, int(row), int(version)))
    return found


def undoable(written: Iterable[Written]) -> bool:
    """Tell whether what a tap wrote is little enough for one Undo."""
    wrote = list(written)
    return len(wrote) <= MOST_BACK and len(token(wrote)) <= LONGEST


def address(path: str, said: str = "", undo: Iterable[Written] = ()) -> str:
    """Return where to go after a tap, with the message and its Undo.

    Parameters
    ----------
    path : str
        The page, with its place after ``#`` when it has one.
    said : str
        Code of :data:`SAID`.
    undo : iterable of (str, int, int)
        What the tap wrote. When that is too much for one Undo, the message says so.
    """
    page, _, place = path.partition("#")
    wrote = list(undo)
    back = {"undo": token(wrote)} if undoable(wrote) else {"much": "yes"}
    asked = {key: value for key, value in {"said": said, **back}.items() if value}
    if not asked:
        return path
    join = "&" if "?" in page else "?"
    return f"{page}{join}{urlencode(asked)}" + (f"#{place}" if place else "")


def once(request: Request, form: Filled, work: Callable[[], str], more: str = "") -> RedirectResponse:
    """Do what a form asks, once however often the same form is sent, and go where `work` says.

    A form that was sent already and comes back with something else in it is refused: its page is out of date.

    Parameters
    ----------
    request : Request
        As it came.
    form : Filled
        Its `entry` was made with the page.
    work : callable
        Does it in one transaction and returns an address.
    more : str
        What was sent besides the words of the form, as hashes of the files.

    Raises
    ------
    RecordError
        When the form was sent before with something else in it.
    """
    studio = studio_of(request)
    entry = form.text("entry")[:LONGEST_ENTRY]
    if not entry:
        with studio.writing():
            return RedirectResponse(work(), 303)
    told = hashlib.sha256(f"{request.url.path} {form.fingerprint()} {more}".encode()).hexdigest()
    before = sent_before(studio, f"page-{entry}")
    if before is not None and before != told:
        remedy = "Open the page again and fill it in."
        raise RecordError("this form was sent before and says something else now.", remedy)
    done = studio.once(f"page-{entry}", lambda: {"to": work()}, fingerprint=told)
    return RedirectResponse(str(done["to"]), 303)


def sent_before(studio: Studio, entry: str) -> str | None:
    """Return the hash of what arrived under an id before; None when nothing did."""
    with studio.reading() as view:
        found = view.execute(select(device_entry.c.fingerprint).where(device_entry.c.entry == entry)).one_or_none()
    return None if found is None else found.fingerprint or ""


def note_of(request: Request) -> Note | None:
    """Return what is to be said on this page, if anything."""
    words = SAID.get(request.query_params.get("said", ""))
    if words is None:
        return None
    undo = request.query_params.get("undo", "")
    if request.query_params.get("much"):
        return Note(f"{words} {TOO_MUCH}")
    try:
        return Note(words, token(written(undo)))
    except InputError:
        return Note(words)


def show_page(request: Request, template: str, **context: Any) -> HTMLResponse:
    """Draw a record page: like :func:`enamelwright.web.render.show`, with what its forms and times need.

    Parameters
    ----------
    request : Request
        As it came.
    template : str
        File below ``templates/``.
    **context
        What the template needs.
    """
    studio = studio_of(request)
    return show(
        request, template, note=note_of(request), entry=secrets.token_hex(8), t=moments, now=studio.clock(),
        today=studio.today(), **context,
    )  # fmt: skip
