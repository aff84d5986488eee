"""Dust, glare and burns: what the day brought by the record, and six small questions about air and heat."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from typing import Any, get_args

from fastapi import APIRouter, Request
from starlette.responses import HTMLResponse, RedirectResponse

from enamelwright.craft.health import dust_limits, fibre_lining, landing_spot, sell_where, sifting_dust, touch
from enamelwright.craft.health.own_limit import OWNED, OwnLimit, limit_words
from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.questions import dust, glare, landing, ventilation
from enamelwright.questions import sell_where as sold
from enamelwright.questions import touch as touched
from enamelwright.questions.answer import Answer
from enamelwright.questions.question import question
from enamelwright.records.schema.house import setting as setting_table
from enamelwright.web import air_view
from enamelwright.web.posting import Form, address, once, show_page
from enamelwright.web.visit import bench_of, studio_of
from enamelwright.workshop import air_today, settings
from enamelwright.workshop.studio import Studio

router = APIRouter(include_in_schema=False)

#: Layers a form of a landing spot has room for.
LAYERS = 5
#: Days of the record that are summed.
DAYS = 7
#: Jars a form names at once.
MOST_JARS = 4
#: Cookie that remembers the day on which the standing caution was shown in full.
TOLD = "air-told"


@dataclass(frozen=True)
class Topic:
    """One question of this page.

    Parameters
    ----------
    name : str
        Of the question, and of its address.
    noun : str
        Its heading.
    says : str
        What it tells, in one line.
    what_it_is : str
        What the figure is and is not.
    """

    name: str
    noun: str
    says: str
    what_it_is: str


TOPICS: tuple[Topic, ...] = (
    Topic("dust", "Dust", "Sifting, brushing and stoning: what is in the air, and what helps most", dust.WHAT_IT_IS),
    Topic("glare", "Glare", "The open kiln: how long a look may last, and which filter", glare.WHAT_IT_IS),
    Topic("touch", "Touch", "Hot things and hands: limits, waiting times, gloves", touched.WHAT_IT_IS),
    Topic("landing", "Landing spot", "How hot the wood under it gets over a session", landing.WHAT_IT_IS),
    Topic("ventilation", "Room air and lining", "How fast the air clears; fibre in the kiln", ventilation.WHAT_IT_IS),
    Topic("sell-where", "Sold where", "What rules say of lead and cadmium, place by place", sold.WHAT_IT_IS),
)
#: Boxes of each form that are ticked or not.
_TICKS = {
    "dust": ("washed", "exhaust", "cleaner", "fit_tested", "children"), "ventilation": ("second_hand",),
}  # fmt: skip
#: Fields that are whole numbers.
_WHOLE = frozenset({"mesh", "looks", "firings"})
#: Fields that are a number of something for which a form needs no unit.
_BARE = {"room": " m3", "changes": " /h"}


@router.get("/air")
def air(request: Request) -> HTMLResponse:
    """Show what the days of the record brought, and the ways on."""
    studio, bench = studio_of(request), bench_of(request)
    today = studio.today()
    days = [air_today.air_day(studio, today - timedelta(days=back)) for back in range(DAYS)]
    now = days[0]
    return _page(
        request, "air.html", topics=TOPICS, own=[(one, limit_words(one.name)) for one in bench.limits],
        limits=[(name, limit_words(name)) for name in OWNED], sums=now,
        before=[day for day in days[1:] if not day.empty],
        dusty=_quietly(lambda: air_today.dust_of(now, bench)), glaring=air_today.glare_of(now, bench, studio),
    )  # fmt: skip


@router.post("/air")
def own_limit(request: Request, form: Form) -> RedirectResponse:
    """Go by another figure than a published limit, or by the published one again."""
    studio = studio_of(request)

    def work() -> str:
        name, do = form.text("limit"), form.text("do")
        with studio.writing() as transaction:
            if settings.LIMITS not in settings.settings(studio):
                settings.set_setting(studio, settings.LIMITS, [])  # a version to go back to
            if do == "forget limit":
                row = settings.forget_own_limit(studio, name)
            elif do == "own limit":
                row = settings.set_own_limit(
                    studio, OwnLimit.typed(name, form.text("value"), form.text("source"), form.text("since"))
                )
            else:
                raise InputError("this cannot be done here.", "Open the page again.")
            version = int(transaction.one(setting_table, row).version)
        return address("/air#own-limits", "words", [("setting", row, version)])

    return once(request, form, work)


@router.get("/air/{name}")
def topic(request: Request, name: str) -> HTMLResponse:
    """Ask one question of this page, or show its form."""
    found = next((one for one in TOPICS if one.name == name), None)
    if found is None:
        raise InputError("there is no such page.", "Go back to Dust, glare and burns.")
    bench = bench_of(request)
    query = request.query_params
    filled = {key: value.strip() for key, value in query.items() if value.strip()}
    named = [one for one in query.getlist("jars") if one.strip()]
    answer: Answer[Any] | None = None
    trouble: EnamelwrightError | None = None
    if "asked" in filled:
        try:
            answer = question(name).ask(asked_of(name, filled, named), bench)
        except EnamelwrightError as error:
            trouble = error
    context: dict[str, Any] = {
        "topic": found, "topics": TOPICS, "filled": filled, "named": named, "answer": answer, "error": trouble,
        "jars": bench.jars, "kilns": bench.kilns, "works": get_args(sifting_dust.Work),
        "masks": get_args(dust_limits.Mask), "materials": _words(touch.Material, touch.material_words),
        "layer_materials": _words(landing_spot.Material, landing_spot.material_words)[:-1],  # wood is what lies below
        "loads": _words(landing_spot.Load, landing_spot.load_words), "layers": range(1, LAYERS + 1),
        "markets": get_args(sell_where.Market), "uses": get_args(sell_where.Use),
        "linings": get_args(fibre_lining.Kind), "most_jars": range(MOST_JARS),
        "view": air_view,
    }  # fmt: skip
    return _page(request, "air_topic.html", status=200 if trouble is None else 422, **context)


def asked_of(name: str, filled: dict[str, str], named: list[str]) -> dict[str, Any]:
    """Turn a filled form into the outside form of its question.

    Parameters
    ----------
    name : str
        Of the question.
    filled : dict of str to str
        What was filled in, with its units.
    named : list of str
        Jars that were chosen.
    """
    asked: dict[str, Any] = {key: value for key, value in filled.items() if key not in {"asked", "jars", "day"}}
    for key in _TICKS.get(name, ()):
        if key in asked:
            asked[key] = True
    for key in _WHOLE & set(asked):
        text = asked[key]
        if not text.isdecimal():
            raise InputError(f"'{text[:20]}' is no whole number.", "Write digits only.", key)
        asked[key] = int(text)
    for key, unit in _BARE.items():
        if key in asked and asked[key].replace(".", "", 1).isdecimal():
            asked[key] += unit
    if name in {"dust", "sell-where"} and named:
        asked["jars"] = list(dict.fromkeys(named))
    for keys, *words in _FIRST.get(name, ()):
        if not any(asked.get(key) for key in keys):
            raise InputError(*words)
    if name == "landing":
        layers = []
        for number in range(1, LAYERS + 1):
            material, thick = asked.pop(f"layer{number}", ""), asked.pop(f"thick{number}", "")
            if material and material != "none":
                usual = landing_spot.usual_thickness(material) if material in _LAYERS else 0.0
                layers.append({"material": material, "thickness": thick or f"{1000 * usual:g} mm"})
        asked["layers"] = layers
    return asked


#: What is asked first, since nothing is told of an empty form: fields of which one is needed, question, remedy, field.
_FIRST: dict[str, tuple[tuple[tuple[str, ...], str, str, str], ...]] = {
    "dust": (
        (("mass",), "how much powder?", "Weigh what is sifted or brushed, or what the stone takes off: 5 g, say.",
         "mass"),
    ),
    "landing": (
        (("layer1",), "what lies on the wood?", "Choose what is on top, or say that it is bare wood.", ""),
    ),
    "touch": (
        (
            ("temperature", "seconds", "diameter", "kiln_temperature"), "what is touched?",
            "Tell how hot it is, or the disc that cools, or the kiln the hand is before.", "",
        ),
    ),
    "glare": (
        (("temperature",), "how hot is the chamber?", "Fill in Chamber as the kiln is set, for example 790 C.",
         "temperature"),
    ),
    "ventilation": (
        (("room", "changes", "fan"), "which room?", "Tell its volume: length times width times height.", "room"),
    ),
}  # fmt: skip
_LAYERS = frozenset(get_args(landing_spot.Material))


def _words(kinds: Any, say: Any) -> list[tuple[str, str]]:
    return [(kind, say(kind)) for kind in get_args(kinds)]


def _quietly(work: Any) -> Answer[Any] | None:
    """Answer, or nothing when what the record tells is not enough."""
    try:
        found: Answer[Any] | None = work()
    except EnamelwrightError:
        return None
    return found


def _page(request: Request, template: str, status: int = 200, **context: Any) -> HTMLResponse:
    """Draw a page of this noun; the standing caution stands there in full once a day on each device."""
    studio: Studio = studio_of(request)
    today: date = studio.today()
    first = request.cookies.get(TOLD, "") != today.isoformat()
    answer = show_page(request, template, first_today=first, words=air_view, **context)
    answer.status_code = status
    answer.set_cookie(TOLD, today.isoformat(), max_age=2 * 86400, samesite="strict", httponly=True)
    return answer
