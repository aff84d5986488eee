"""Weigh out: coat by coat, this side in huge digits, and what a little more or less does."""

from __future__ import annotations

from typing import Any, Literal
from urllib.parse import quote, unquote, urlencode

from fastapi import APIRouter, Request
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import FormData
from starlette.responses import HTMLResponse, JSONResponse, RedirectResponse, Response

from enamelwright import units
from enamelwright.craft.verdict import SEVERITY, Level
from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.figure import Figure
from enamelwright.web import coat_view
from enamelwright.web import entries as door
from enamelwright.web.guard import BESIDE
from enamelwright.web.pages.kiln import fresh_entry
from enamelwright.web.posting import Filled
from enamelwright.web.render import environment, show
from enamelwright.web.visit import studio_of
from enamelwright.workshop import entries, weighing_out
from enamelwright.workshop.jars import jar_row
from enamelwright.workshop.people import LONGEST_LABEL, people
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.weighing_out import Weighing, WouldBe

router = APIRouter(include_in_schema=False)

#: Shares of the planned grams whose outcome stands beside the scale.
SHARES = (0.8, 0.9, 1.0, 1.1, 1.2)
#: Cookie that carries who lays on this device, and for how long: a day at the bench [s].
HAND, HELD = "hand", 12 * 3600
#: So many times more or less than is planned looks like a comma that slipped; nobody lays so much by design.
SLIPPED = 5.0
#: Digits of a coat number at the most.
LONGEST_NUMBER = 4


@router.get("/weigh")
def waiting(request: Request) -> HTMLResponse:
    """Show what waits to be weighed out."""
    studio = studio_of(request)
    found = weighing_out.waiting(studio)
    rows = [(one, _address(one.pieces, one.coat), _jar_words(studio, one.jar, one.jar_name)) for one in found]
    return show(request, "weigh_list.html", rows=rows, said=_said(request), undo=request.query_params.get("undo", ""))


@router.get("/weigh/{number}")
def coat(request: Request, number: str) -> HTMLResponse:
    """Show one coat: the grams, and a line for what the balance shows."""
    one, pieces = _asked(request, number)
    actual, grams = request.query_params.get("grams", ""), None
    trouble: EnamelwrightError | None = None
    if actual.strip():
        try:
            grams = weighing_out.would_be(one, _grams(actual))
        except EnamelwrightError as error:
            trouble = error
    target = one.weight.to_weigh
    page = show(
        request,
        "weigh_coat.html",
        status=200 if trouble is None else 422,
        w=one,
        pieces=pieces,
        entry=fresh_entry(),
        target=_shown(target.value, one),
        band=_band(target, one),
        digits=_decimals(one),
        step=units.from_si(one.step, "g", "mass"),
        value=actual.strip() or _shown(target.value, one),
        outcome=None if grams is None else _outcome(one, grams),
        planned_bow=_bow(planned) if (planned := weighing_out.bow_of(one.plan)) else "",
        of=len(one.plan.piece.coats),
        jar=_jar_words(studio_of(request), one.described.jar, one.weight.jar_name),
        address=_address(pieces, one.coat + 1),
        rows=_around(one) if request.query_params.get("around") else None,
        error=trouble,
        said=_said(request),
        undo=request.query_params.get("undo", ""),
        next_address=_next_address(one, pieces),
        body=coat_body(one, pieces, target.value),
        totals=_shown(target.value * len(pieces), one) if len(pieces) > 1 else "",
        hands=[(label, _address(pieces, one.coat + 1, label)) for label in _labels(studio_of(request))],
        asked_by="" if (asked := _who(request)) is None else f"&{urlencode([('who', asked)])}",
    )
    if asked is not None:
        page.set_cookie(hand_cookie(request), quote(asked), max_age=HELD, samesite="strict", httponly=True)
    return page


@router.get("/weigh/{number}/around")
def around(request: Request, number: str) -> HTMLResponse:
    """Answer what more or less does, as a part of the page."""
    one, _ = _asked(request, number)
    text = environment().get_template("weigh_around.html").render(rows=_around(one))
    return HTMLResponse(text)


@router.get("/weigh/{number}/would-be")
def would_be(request: Request, number: str) -> JSONResponse:
    """Answer what the grams on the balance make of the piece."""
    one, _ = _asked(request, number)
    try:
        found = weighing_out.would_be(one, _grams(request.query_params.get("grams", "")))
    except EnamelwrightError as error:
        return JSONResponse({"words": f"{error.message} {error.remedy}".strip(), "level": "", "worse": []}, 422)
    return JSONResponse(_outcome(one, found))


@router.post("/weigh/take-back")
async def take_back(request: Request) -> Response:
    """Take a coat back; its powder is in the stock again."""
    return await run_in_threadpool(_take_back, request, await request.form())


def _take_back(request: Request, form: FormData) -> Response:
    what = {"entry": str(form.get("what", ""))}
    entries.take(studio_of(request), fresh_entry(), "take back", what, device=door.device_of(request))
    return RedirectResponse("/weigh?said=back", 303)


@router.post("/weigh/{number}")
async def laid(request: Request, number: str) -> Response:
    """Write down that a coat is laid."""
    return await run_in_threadpool(_laid, request, number, await request.form())


def _laid(request: Request, number: str, form: FormData) -> Response:
    studio = studio_of(request)
    who = str(form["who"]) if "who" in form else None
    one = weighing_out.weighing(studio, number, _coat_number(str(form.get("coat", ""))), who)
    pieces = [str(name) for name in form.getlist("piece")] or [one.number]
    grams = _grams(str(form.get("grams", "")))
    entry = str(form.get("entry", "")) or fresh_entry()
    sent = f"{request.url.path} {Filled(form).fingerprint()}"
    entries.take(studio, entry, "coat", coat_body(one, pieces, grams), device=door.device_of(request), sent=sent)
    follow = _next_address(one, pieces)
    return RedirectResponse(f"{follow}{'&' if '?' in follow else '?'}said=laid&undo={quote(entry)}", 303)


def coat_body(one: Weighing, pieces: list[str], grams: float) -> dict[str, Any]:
    """Return a coat that is laid, as an entry.

    Parameters
    ----------
    one : Weighing
        What was weighed out.
    pieces : list of str
        Numbers of the pieces it was laid on, this much on each.
    grams : float
        Powder weighed out for each [kg].
    """
    body: dict[str, Any] = {
        "pieces": pieces, "coat": one.coat + 1, "face": one.weight.face, "method": one.described.method,
        "weighed_out": f"{units.from_si(grams, 'g', 'mass'):.6g} g", "jar": one.jar_code, "mesh": one.described.mesh,
        "cell": ", ".join(one.described.cells), "who": one.who,
    }  # fmt: skip
    if one.jar_code is None:
        body["words"] = f"jar {one.weight.jar_name}, none of the studio's own"
    return {name: value for name, value in body.items() if value not in (None, "")}


# --- helpers -------------------------------------------------------------------------------------


def _asked(request: Request, number: str) -> tuple[Weighing, list[str]]:
    coat = _coat_number(request.query_params.get("coat", ""))
    at_bench = unquote(request.cookies.get(hand_cookie(request), ""))
    one = weighing_out.weighing(studio_of(request), number, coat, _who(request), at_bench)
    names = [name for name in request.query_params.getlist("piece") if name != one.number]
    return one, [one.number, *dict.fromkeys(names[: entries.MOST - 1])]


def hand_cookie(request: Request) -> str:
    """Return the name of the cookie that carries who lays on this device."""
    return f"{BESIDE if request.app.state.invented else ''}{HAND}"


def _who(request: Request) -> str | None:
    """Return who was named to lay this coat; None when nobody was asked."""
    told = request.query_params.get("who")
    return None if told is None else told.strip()[:LONGEST_LABEL]


def _labels(studio: Studio) -> list[str]:
    """Return whose hand may be chosen: everybody at the bench, and first nobody in particular."""
    known = [str(person.label) for person in people(studio)]
    return ["", *known] if known else []


def _coat_number(text: str) -> int | None:
    """Read the number of a coat; anything else asks for the next one."""
    return int(text) if text.isdecimal() and len(text) <= LONGEST_NUMBER else None


def _grams(text: str) -> float:
    plain = text.strip()
    if not plain:
        raise InputError("no grams were given.", "Write what the balance shows, like 0.42 g.", "grams")
    bare = plain.replace(",", ".").replace(".", "", 1).isdecimal()
    value = units.parse(f"{plain} g" if bare else plain, "mass")
    if value <= 0:
        raise InputError("powder weighs more than nothing.", "Write what the balance shows, like 0.42 g.", "grams")
    return value


def _decimals(one: Weighing) -> int:
    """Return as many decimals of a gram as the balance has."""
    text = f"{units.from_si(one.step, 'g', 'mass'):.6f}".rstrip("0")
    return max(1, len(text.partition(".")[2]))


def _shown(kilograms: float, one: Weighing) -> str:
    return f"{units.from_si(kilograms, 'g', 'mass'):.{_decimals(one)}f}"


def _band(figure: Figure, one: Weighing) -> str:
    return f"{_shown(figure.low, one)} to {_shown(figure.high, one)} g"


def _outcome(one: Weighing, found: WouldBe) -> dict[str, Any]:
    """Say what grams make of the piece, in words.

    The level is the worst that these grams bring up or that stands against the piece anyhow; it is empty, which is
    not known, where nothing speaks against them but nobody worked out whether the piece stays flat.
    """
    planned, bow = one.weight.fired_thickness, weighing_out.bow_of(one.plan)
    parts = [f"{_mm(found.thickness)} after firing, planned {_mm(planned)}."]
    if found.bow is not None and bow is not None:
        parts.append(f"Bow {_bow(found.bow)}, planned {_bow(bow)}.")
    else:
        parts.append("How it bows is not known.")
    told = (*found.worse, *found.standing)
    unsaid: Level | Literal[""] = "good" if found.bow is not None else ""
    levels = [verdict.level for verdict in told]
    worse = [f"{verdict.words} {verdict.remedy}".strip() for verdict in told]
    if slip := _slipped(found.grams, one.weight.to_weigh.value):
        levels, worse = [*levels, "watch"], [slip, *worse]
    level = max(levels, key=lambda one: SEVERITY[one], default=unsaid)
    return {"words": " ".join(parts), "level": level, "grams": _shown(found.grams, one), "worse": worse}


def _slipped(laid: float, planned: float) -> str:
    """Ask after the comma where grams are far from those planned; nothing where they are near enough."""
    times = laid / planned
    if 1 / SLIPPED < times < SLIPPED:
        return ""
    far = f"{times:.0f} times what is planned" if times > 1 else f"{1 / times:.0f} times less than is planned"
    return f"That is {far}: did the comma slip?"


def _mm(figure: Figure) -> str:
    return f"{units.from_si(figure.value, 'mm', 'length'):.2f} mm"


def _bow(figure: Figure) -> str:
    """Say a bow as the hand feels it: which way, how much, and its band."""
    likely, ends = coat_view.bow_and_range(figure)
    return f"{likely} ({ends})" if ends else likely


def _around(one: Weighing) -> list[dict[str, Any]]:
    rows = []
    for share, found in zip(SHARES, weighing_out.around(one, SHARES), strict=True):
        told = _outcome(one, found)
        percent = round((share - 1) * 100)
        words = "as planned" if percent == 0 else f"{abs(percent)} % {'more' if percent > 0 else 'less'}"
        rows.append(
            told
            | {
                "share": words,
                "thickness": _mm(found.thickness),
                "bow": coat_view.bow_and_range(found.bow)[0] if found.bow else "not known",
            }
        )
    return rows


def _jar_words(studio: Studio, jar: str, name: str) -> str:
    """Name a jar by its code where it is one of the studio's own, else as the design does."""
    try:
        row = jar_row(studio, jar)
        return f"{row.code} {row.name}"
    except EnamelwrightError:
        return name or jar.replace("_", " ")


def _address(pieces: Any, coat: int, who: str | None = None) -> str:
    told = [("coat", str(coat)), *(("piece", name) for name in pieces[1:]), *([] if who is None else [("who", who)])]
    return f"/weigh/{quote(pieces[0])}?{urlencode(told)}"


def _next_address(one: Weighing, pieces: list[str]) -> str:
    """Return where the next coat before the same firing is weighed, in the order they are laid, or the list."""
    together = next((firing.lays for firing in one.plan.firings if one.coat in firing.lays), ())
    after = together[together.index(one.coat) + 1 :] if together else ()
    return _address(pieces, after[0] + 1) if after else "/weigh"


def _said(request: Request) -> str:
    return {"laid": "Laid and written down.", "back": "Taken back. The powder is in the stock again."}.get(
        request.query_params.get("said", ""), ""
    )
