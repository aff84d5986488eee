"""The cost and the price of a piece as its page shows them."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from markupsafe import Markup

from enamelwright.craft.bench import Bench
from enamelwright.errors import EnamelwrightError
from enamelwright.pictures.swings import Bar, swings_svg
from enamelwright.planning import money
from enamelwright.questions.price import PriceAnswer, Sum
from enamelwright.questions.question import question
from enamelwright.web import sections
from enamelwright.web.drawings import lit
from enamelwright.workshop import costing
from enamelwright.workshop.money import USUAL_DECIMALS
from enamelwright.workshop.settings import CURRENCY, DECIMALS, setting
from enamelwright.workshop.studio import Studio

_HUNDRED = 100
#: Width of a drawing for a narrow page [mm].
NARROW = 84.0


def shown(studio: Studio, head: dict[str, Any], known: Bench, asked: Any, wait: bool) -> dict[str, Any]:
    """Gather cost, channels and what moves them for the page of a piece.

    Parameters
    ----------
    studio : Studio
        The studio.
    head : dict
        What stands above the page: `piece`, `version`, `design`.
    known : Bench
        The bench.
    asked : Row or None
        The price that holds.
    wait : bool
        Whether its plan is worked out when it is not at hand.
    """
    told: dict[str, Any] = {"cost": None, "cost_waits": False, "cost_error": None, "house": house(studio)}
    version, design = head["version"], head["design"]
    if version is None or design is None:
        return told
    plan = sections.at_hand(studio, int(version.of), known)
    if plan is None and not wait:
        return {**told, "cost_waits": True}
    if plan is None:
        plan, why = sections.work_out(studio, int(version.of), known)
        if plan is None:
            return {**told, "cost_why": why}
    try:
        price = None
        if asked is not None and asked.currency == setting(studio, CURRENCY, ""):
            price = asked.minor / 10 ** int(setting(studio, DECIMALS, USUAL_DECIMALS))
        costed = costing.price_asked(studio, int(design.id), plan, price or None)
        answer = question("price").answer(costed.asked, known)
    except EnamelwrightError as error:
        return {**told, "cost_error": error}
    places = costed.asked.decimals

    def about(one: Sum, above: bool = False) -> str:
        amount = money.about(Decimal(one.exact), above)
        coins = 0 if amount == int(amount) else places
        return money.written(amount, costed.asked.currency, coins, costed.asked.locale)

    return {**told, "about": about, "cost": answer, "costed": costed, "chart": _chart(answer.payload)}


def _chart(payload: PriceAnswer) -> Any:
    bars = [
        Bar(move.name, float(move.low.exact), float(move.high.exact), move.low.shown, move.high.shown)
        for move in payload.moves
        if move.low.exact != move.high.exact
    ]
    if not bars:
        return None
    cost = float(payload.cost.exact), payload.cost.shown
    wide = lit(swings_svg(*cost, bars, light="daylight"))
    narrow = lit(swings_svg(*cost, bars, width=NARROW, stacked=True, light="daylight", key="swings-narrow"))
    return Markup('<div class="wide">{}</div><div class="narrow">{}</div>').format(wide, narrow)


def house(studio: Studio) -> list[tuple[str, str, str, str]]:
    """Return (key, words, value as typed, unit) of what the house sets of its hours and sales."""
    kept = costing.costing(studio)
    found = []
    for key, words in costing.MONEY.items():
        found.append((key, words, f"{kept[key]:g}" if key in kept else "", ""))
    for key, words in costing.SHARES.items():
        found.append((key, words, f"{kept[key] * _HUNDRED:g} %" if key in kept else "", "%"))
    for key, words in costing.FACTORS.items():
        found.append((key, words, f"{kept[key]:g}" if key in kept else "", ""))
    return found
