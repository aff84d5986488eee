"""Bench set-up: kilns, supports, people, hands, house rules, money, copies of the record, and other devices."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from fastapi import APIRouter, Request
from sqlalchemy import select
from starlette.responses import HTMLResponse, RedirectResponse

from enamelwright import units
from enamelwright.craft.bench import Hands, HouseRules
from enamelwright.craft.sieve import grain_of_mesh
from enamelwright.errors import InputError
from enamelwright.records.errors import Conflict
from enamelwright.records.outside import outside_state
from enamelwright.records.schema.house import setting as setting_table
from enamelwright.records.schema.people import person as person_table
from enamelwright.web.pages import set_device, set_keeping, set_kilns, set_sharing
from enamelwright.web.pages.set_device import device_words
from enamelwright.web.posting import Filled, Form, address, is_row, once, show_page
from enamelwright.web.set_words import as_said
from enamelwright.web.visit import bench_of, studio_of
from enamelwright.workshop import settings as kept
from enamelwright.workshop.devices import devices
from enamelwright.workshop.kilns import kilns, supports
from enamelwright.workshop.money import USUAL_DECIMALS, coins_kept, name_sums
from enamelwright.workshop.people import LONGEST_LABEL, people, person
from enamelwright.workshop.studio import Studio

router = APIRouter(include_in_schema=False)
for part in (set_kilns, set_keeping, set_sharing, set_device):
    router.include_router(part.router)

ROLES: tuple[str, ...] = person_table.c.role.info["words"]
SIDES = ("front", "back", "both")
#: Sieves one house is believed to own.
MOST_SIEVES = 30
#: The most decimals the coins of a currency have.
MOST_DECIMALS = 4


@dataclass(frozen=True)
class Line:
    """One part of the bench in the list.

    Parameters
    ----------
    to : str
        Its page.
    noun : str
        What it is called.
    now : str
        How it stands with it.
    """

    to: str
    noun: str
    now: str


@router.get("/set-up")
def set_up(request: Request) -> HTMLResponse:
    """List the parts of the bench, each with how it stands."""
    studio = studio_of(request)
    known = bench_of(request)
    sharing = request.app.state.sharing
    live = [one for one in devices(studio) if not one.revoked]
    lines = [
        Line("/set-up/kilns", "Kilns", _listed([row.name for row in kilns(studio)], "none described yet")),
        Line("/set-up/supports", "Supports", _counted(len(supports(studio)), "support", "none kept yet")),
        Line("/set-up/people", "People", _listed([row.label for row in people(studio)], "nobody named")),
        Line("/set-up/hands", "Hands and balance", _hands_words(known.hands)),
        Line("/set-up/sieves", "Sieves", _sieves_words(kept.sieves(studio))),
        Line("/set-up/house", "House rules", _house_words(known.house)),
        Line("/set-up/money", "Name and money", _money_words(studio)),
        Line("/set-up/keeping", "Copies of the record", outside_state(studio.store, studio.clock()).words),
        Line(
            "/set-up/sharing", "Other devices",
            _counted(len(live), "device", "none paired") + ("" if sharing.shared else ", not shared just now"),
        ),
        Line("/set-up/device", "This device", device_words(request)),
        Line("/paper", "Cards and labels", "for the day, for jars, tiles and baths"),
        Line("/first", "Begin, or look round", "a kiln, two jars, one piece; or the invented workshop"),
    ]  # fmt: skip
    return show_page(request, "set_up.html", lines=lines)


# ---- people --------------------------------------------------------------------------------------


@router.get("/set-up/people")
def who(request: Request) -> HTMLResponse:
    """List the people, by label."""
    return show_page(
        request, "set_people.html", people=people(studio_of(request)), roles=ROLES, longest=LONGEST_LABEL
    )  # fmt: skip


@router.post("/set-up/people")
def name_somebody(request: Request, form: Form) -> RedirectResponse:
    """Keep a label, change what somebody does, or put a label away."""
    studio = studio_of(request)

    def work() -> str:
        if form.text("away"):
            row = form.whole("away")
            version = studio.change(person_table, row, form.version(), put_away=True)
            return address("/set-up/people", "person-away", [("person", row, version)])
        role = form.maybe("role")
        if role is not None and role not in ROLES:
            raise InputError("what do they do here?", "Choose one from the list.", "role")
        row = person(studio, form.text("label"), role)
        with studio.writing() as transaction:
            kept_row = transaction.one(person_table, row)
            version = kept_row.version
            if kept_row.put_away:
                version = studio.change(person_table, row, put_away=False)
        return address("/set-up/people", "person", [("person", row, version)])

    return once(request, form, work)


# ---- hands, house rules, money -------------------------------------------------------------------


@router.get("/set-up/hands")
def hands(request: Request) -> HTMLResponse:
    """Show how this maker lays powder, and on what balance."""
    return show_page(
        request, "set_hands.html", hands=bench_of(request).hands, told=as_said(kept.hands(studio_of(request))),
        version=_versions(studio_of(request), kept.HANDS),
    )  # fmt: skip


@router.post("/set-up/hands")
def change_hands(request: Request, form: Form) -> RedirectResponse:
    """Set how this maker lays powder."""

    def described() -> Any:
        told: dict[str, Any] = {"weighs": form.text("weighs") != "no"}
        told |= _shares(form, "packing", "sifting_loss")
        if form.text("balance_step"):
            told["balance_step"] = form.text("balance_step")
        return Hands.from_outside(told, "hands").to_outside()

    return _set(request, form, "/set-up/hands", lambda: [(kept.HANDS, described())])


@router.get("/set-up/sieves")
def sieves(request: Request) -> HTMLResponse:
    """Show which sieves the house owns, and how wide their openings are."""
    owned = kept.sieves(studio_of(request))
    return show_page(
        request, "set_sieves.html", sieves=[(mesh, units.show(grain_of_mesh(mesh), "length", "µm")) for mesh in owned],
        version=_versions(studio_of(request), kept.SIEVES),
    )  # fmt: skip


@router.post("/set-up/sieves")
def change_sieves(request: Request, form: Form) -> RedirectResponse:
    """Set which sieves the house owns."""

    def wanted() -> list[tuple[str, Any]]:
        words = [one for one in form.text("meshes").casefold().replace("mesh", " ").replace(",", " ").split() if one]
        if len(words) > MOST_SIEVES:
            raise InputError(f"these are more than {MOST_SIEVES} sieves.", "Keep those in use.", "sieves")
        for one in words:
            if not is_row(one):
                raise InputError(f"'{one[:20]}' is no mesh number.", "Write them like 60, 80, 100.", "sieves")
            grain_of_mesh(int(one))
        return [(kept.SIEVES, sorted({int(one) for one in words}))]

    return _set(request, form, "/set-up/sieves", wanted)


@router.get("/set-up/house")
def house(request: Request) -> HTMLResponse:
    """Show which way this house goes where houses differ."""
    told = as_said(kept.house_rules(studio_of(request)))
    return show_page(
        request, "set_house.html", rules=bench_of(request).house, told=told, sides=SIDES,
        version=_versions(studio_of(request), kept.HOUSE),
    )  # fmt: skip


@router.post("/set-up/house")
def change_house(request: Request, form: Form) -> RedirectResponse:
    """Set which way this house goes where houses differ."""

    def described() -> Any:
        told: dict[str, Any] = dict(form.given("bow_limit", "hottest", "first_side"))
        told |= _numbers(form, "back_to_front", "gum_ratio")
        if form.text("pickle"):
            told["pickle"] = form.text("pickle") == "yes"
        return HouseRules.from_outside(told, "house rules").to_outside()

    return _set(request, form, "/set-up/house", lambda: [(kept.HOUSE, described())])


@router.get("/set-up/money")
def money(request: Request) -> HTMLResponse:
    """Show what the studio is called and what it counts in."""
    studio = studio_of(request)
    return show_page(
        request, "set_money.html", name=kept.setting(studio, kept.NAME, ""), most=MOST_DECIMALS,
        currency=kept.setting(studio, kept.CURRENCY, ""), decimals=kept.setting(studio, kept.DECIMALS, USUAL_DECIMALS),
        version=_versions(studio, kept.NAME, kept.CURRENCY, kept.DECIMALS, kept.COINS),
    )  # fmt: skip


@router.post("/set-up/money")
def change_money(request: Request, form: Form) -> RedirectResponse:
    """Set what the studio is called and what it counts in."""

    def wanted() -> list[tuple[str, Any]]:
        decimals = form.whole("decimals", USUAL_DECIMALS)
        if not 0 <= decimals <= MOST_DECIMALS:
            raise InputError("no coin has so many decimals.", f"Write 0 to {MOST_DECIMALS}.", "decimals")
        name_sums(studio_of(request), form.text("currency"))
        return [
            (kept.NAME, form.maybe("name")), (kept.CURRENCY, form.maybe("currency")), (kept.DECIMALS, decimals),
            (kept.COINS, coins_kept(studio_of(request), form.text("currency"), decimals)),
        ]  # fmt: skip

    return _set(request, form, "/set-up/money", wanted)


def _set(request: Request, form: Filled, page: str, wanted: Callable[[], list[tuple[str, Any]]]) -> RedirectResponse:
    """Set some preferences together, with an Undo that takes back those that changed."""
    studio = studio_of(request)

    def work() -> str:
        wrote = []
        asked = wanted()
        _same_settings(studio, form, asked)
        for key, value in asked:
            if kept.setting(studio, key) != value:
                if key not in kept.settings(studio):
                    kept.set_setting(studio, key, None)  # a version to go back to
                row = kept.set_setting(studio, key, value)
                with studio.writing() as transaction:
                    wrote.append(("setting", row, int(transaction.one(setting_table, row).version)))
        return address(page, "set" if wrote else "same", wrote)

    return once(request, form, work)


def _versions(studio: Studio, *keys: str) -> str:
    """Return which state of some preferences a page shows, as its form sends it back."""
    with studio.reading() as view:
        rows = view.execute(select(setting_table.c.key, setting_table.c.version))
        known = {row.key: row.version for row in rows}
    return " ".join(str(known.get(key, 0)) for key in keys)


def _same_settings(studio: Studio, form: Filled, asked: list[tuple[str, Any]]) -> None:
    """Refuse to set what somebody else set since it was shown."""
    shown = form.text("version")
    if shown and shown != _versions(studio, *(key for key, _ in asked)):
        present = {key: kept.setting(studio, key) for key, _ in asked}
        raise Conflict(
            "somebody set this first.", "Look at both, open the page again and set what still is to be set.",
            mine=dict(asked), theirs=present,
        )  # fmt: skip


# ---- words ---------------------------------------------------------------------------------------


def _shares(form: Filled, *keys: str) -> dict[str, float]:
    """Return shares that are typed in per cent."""
    return {key: value / 100 for key, value in _numbers(form, *keys).items()}


def _numbers(form: Filled, *keys: str) -> dict[str, float]:
    found = {}
    for key in keys:
        text = form.text(key).removesuffix("%").strip().replace(",", ".")
        if text:
            try:
                found[key] = float(text)
            except ValueError as error:
                raise InputError(f"'{text[:20]}' is no number.", "Write it like 65.", key.replace("_", " ")) from error
    return found


def _listed(names: list[str], none: str) -> str:
    return ", ".join(names) if names else none


def _counted(count: int, noun: str, none: str) -> str:
    return none if not count else f"{count} {noun}{'' if count == 1 else 's'}"


def _hands_words(hands: Hands) -> str:
    if not hands.weighs:
        return "laid by eye, not weighed"
    told = [name for name, value in as_said(hands).items() if value and name != "weighs"]
    return "measured by hand" if told else "the usual figures, until you weigh your own"


def _sieves_words(owned: tuple[int, ...]) -> str:
    return f"{', '.join(str(mesh) for mesh in owned)} mesh" if owned else "none told yet"


def _house_words(rules: HouseRules) -> str:
    count = sum(1 for value in rules.to_outside().values() if value is not None)
    return "as most houses do" if not count else f"{count} of your own"


def _money_words(studio: Studio) -> str:
    name = str(kept.setting(studio, kept.NAME, "") or "no name yet")
    currency = str(kept.setting(studio, kept.CURRENCY, "") or "no currency yet")
    return f"{name}, {currency}"
