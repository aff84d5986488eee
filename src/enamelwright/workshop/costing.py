"""What a piece of a design costs in this studio, what it may be sold for, and what an hour at it has brought."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import timedelta
from decimal import Decimal
from statistics import median
from typing import Any

from sqlalchemy import Row, select

from enamelwright.craft.kiln_use import kiln_use
from enamelwright.craft.metal import metal
from enamelwright.craft.plan import Plan
from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.planning.money import exact
from enamelwright.planning.price import earned_per_hour, refuse_nothing_left
from enamelwright.planning.series import Yield
from enamelwright.planning.stock_needed import average_cost
from enamelwright.questions.price import Gate, PriceInput
from enamelwright.records.schema.finished import outlet as outlet_table
from enamelwright.records.schema.finished import whereabouts
from enamelwright.records.schema.jars import jar as jar_table
from enamelwright.records.schema.jars import lot as lot_table
from enamelwright.records.writing import current, moment
from enamelwright.reference.loader import facts_of
from enamelwright.workshop import designs
from enamelwright.workshop.bench import bench
from enamelwright.workshop.finishing import times_on
from enamelwright.workshop.firings import loads_between
from enamelwright.workshop.metals import sheets_bought
from enamelwright.workshop.money import USUAL_DECIMALS
from enamelwright.workshop.named import in_use, within
from enamelwright.workshop.own_hand import logged_hand
from enamelwright.workshop.pieces import designs_made
from enamelwright.workshop.selling import HANDS_ON, for_the_maker
from enamelwright.workshop.series_work import record_of
from enamelwright.workshop.settings import CURRENCY, DECIMALS, set_setting, setting
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.takings import taken_for

#: Key under which the house keeps what its hours and sales are worth.
COSTING = "costing"
#: What the house may set, with what it is called; shares are kept as shares of one.
MONEY = {
    "wage": "own hour",
    "overhead": "overhead an hour",
    "per_kwh": "a kilowatt-hour",
    "fixed": "fixed costs a year",
}
SHARES = {
    "profit": "profit", "commission": "kept on commission", "fees": "fees of a direct sale", "tax": "tax in a price",
}  # fmt: skip
FACTORS = {"retail_factor": "retail over wholesale"}
_HUNDRED = 100
#: Joules of a kilowatt-hour, seconds of an hour, coins of a whole unit are read from the currency.
KWH, HOUR, MINUTE = 3.6e6, 3600.0, 60.0
#: How far back days at the kiln are counted.
YEAR = timedelta(days=365)


def costing(studio: Studio) -> dict[str, float]:
    """Return what the house has set of :data:`MONEY`, :data:`SHARES` and :data:`FACTORS`."""
    told = setting(studio, COSTING, {})
    known = {*MONEY, *SHARES, *FACTORS}
    return {key: float(value) for key, value in told.items() if key in known} if isinstance(told, Mapping) else {}


def set_costing(studio: Studio, told: Mapping[str, str]) -> int:
    """Set what hours and sales are worth, and return the row of the setting; what is empty is forgotten.

    Parameters
    ----------
    studio : Studio
        The studio.
    told : mapping of str to str
        As typed: sums as sums, shares in per cent, the factor as a number.

    Raises
    ------
    InputError
        For something that is no number, or cannot be.
    """
    kept: dict[str, float] = {}
    for key, words in {**MONEY, **SHARES, **FACTORS}.items():
        text = told.get(key, "").strip()
        if not text:
            continue
        value = exact(text.removesuffix("%").strip(), f"number for '{words}'")
        if value < 0:
            raise InputError(f"'{words}' is not negative.", "Leave it empty if it is not known.", words)
        kept[key] = float(value / _HUNDRED if key in SHARES else value)
    if kept.get("commission", 0) >= 1 or kept.get("fees", 0) >= 1:
        raise InputError("a share that is kept leaves something.", "40 of 100 is 40 %.")
    _refuse_tax(kept)
    if "retail_factor" in kept and kept["retail_factor"] < 1:
        raise InputError("retail is not below wholesale.", "Twice is usual.", "retail over wholesale")
    return set_setting(studio, COSTING, kept or None)


def _refuse_tax(kept: Mapping[str, float]) -> None:
    """Refuse a tax beyond reason, or one that with a share that is kept leaves nothing of a price."""
    tax = exact(kept.get("tax", 0.0))
    if tax > 1:
        raise InputError("a tax is not larger than the price before it.", "20 of 100 is 20 %.", SHARES["tax"])
    refuse_nothing_left(exact(kept.get("commission", 0.0)), tax, "a commission")
    refuse_nothing_left(exact(kept.get("fees", 0.0)), tax, "fees")


@dataclass(frozen=True)
class Costed:
    """The question of a price, and what it rests on.

    Parameters
    ----------
    asked : PriceInput
        To be answered.
    parts : tuple of (str, str)
        What went into it: noun and words.
    unknown : tuple of str
        What costs something and is not told.
    """

    asked: PriceInput
    parts: tuple[tuple[str, str], ...]
    unknown: tuple[str, ...]


def price_asked(studio: Studio, design: int, plan: Plan, asked: float | None = None) -> Costed:
    """Return the question of what a piece of a design costs, from its plan and the record.

    Parameters
    ----------
    studio : Studio
        The studio.
    design : int
        Row of the design.
    plan : Plan
        Of its newest version.
    asked : float, optional
        Retail price that is asked, in whole units.

    Raises
    ------
    InputError
        When no currency or no wage is set: no number is made up for those.
    """
    house = costing(studio)
    currency = str(setting(studio, CURRENCY, ""))
    if not currency:
        raise InputError("in which currency?", "Set the studio's currency once, in the bench set-up.", "currency")
    if "wage" not in house:
        raise InputError("what is an hour of your own worth?", "Set it once, below.", "wage")
    _refuse_tax(house)
    decimals = int(setting(studio, DECIMALS, USUAL_DECIMALS))
    parts: list[tuple[str, str]] = []
    unknown: list[str] = []
    powder = _powder(studio, plan, decimals, parts, unknown)
    blank = _metal(studio, plan, decimals, parts, unknown)
    kiln = 0.0
    if plan.energy is not None and "per_kwh" in house:
        shared, words = heat_up_share(studio, plan)
        kiln = (plan.energy.value + shared) / KWH * house["per_kwh"]
        parts.append(("electricity", f"{plan.energy.shown('kWh')} for all firings, one piece in the kiln{words}"))
    elif plan.firings:
        unknown.append("electricity" if "per_kwh" not in house else "electricity of a kiln without figures")
    hand, hand_words = _hand(studio, design, plan)
    good, of = record_of(studio, design)
    if of:
        known = Yield.record(good, of)
        passed, (low, high) = known.mean, known.between()
        words = f"{passed:.0%} likely, {low:.0%} to {high:.0%}: {good} of {of} on record".replace("%", " %")
    else:
        fact = facts_of("trade/laying_out")["trade/part_yield"]
        passed, words = fact.value, f"{fact.value:.0%} as usual, until there is a record".replace("%", " %")
    failed = hand / passed - hand
    parts.append(
        (
            "own hours of a good piece",
            f"{(hand + failed) / MINUTE:.0f} min: {hand_words}"
            + (f", and {failed / MINUTE:.0f} min that go into those that fail" if failed >= MINUTE else ""),
        )
    )
    parts.append(("come out good", words))
    return Costed(
        PriceInput(
            gates=(Gate(name="made", hand=hand, material=powder + blank, kiln=kiln, passed=passed),),
            wage=house["wage"],
            overhead=house.get("overhead", 0.0), currency=currency, decimals=decimals, profit=house.get("profit"),
            retail_factor=house.get("retail_factor"), commission=house.get("commission"), fees=house.get("fees"),
            fixed=house.get("fixed", 0.0), asked=asked, tax=house.get("tax", 0.0), tax_contained=True,
        ),
        tuple(parts), tuple(unknown),
    )  # fmt: skip


def _hand(studio: Studio, design: int, plan: Plan) -> tuple[float, str]:
    """Return the hand time of one piece [s] in words: as logged on finished ones, else as planned."""
    planned = plan.hand_time.value if plan.hand_time is not None else 0.0
    hand, logged = logged_hand(studio, design)
    if not logged:
        return planned, f"{planned / MINUTE:.0f} min by the plan, as no finished one is logged"
    pieces = f"{logged} finished piece{'' if logged == 1 else 's'}"
    return hand, f"{hand / MINUTE:.0f} min logged on {pieces} (the plan says {planned / MINUTE:.0f})"


def heat_up_share(studio: Studio, plan: Plan) -> tuple[float, str]:
    """Return what heating the kiln from cold adds to one piece [J], in words; nothing where no kiln can be worked out.

    A day is heated up for once, walls included, and its loads share that evenly: so many as a day had in the last year
    of the record, in the middle; without one, the firings of this piece.

    Parameters
    ----------
    studio : Studio
        The studio.
    plan : Plan
        Of the piece.
    """
    points = [one.window.set_point.value for one in plan.firings if one.window and one.window.set_point is not None]
    if not points:
        return 0.0, ""
    try:
        use = kiln_use(bench(studio).kiln(plan.piece.firing.kiln), max(points))
    except EnamelwrightError:
        return 0.0, ""
    now = studio.clock()
    days = Counter(row.at[:10] for row in loads_between(studio, moment(now - YEAR), moment(now)))
    loads = median(days.values()) if days else len(plan.firings)
    heating = use.ready_energy.value + use.soak_energy.value
    shared = heating * len(plan.firings) / loads
    which = f"{loads:g} load{'' if loads == 1 else 's'} as on a usual day" if days else f"the {loads} of this piece"
    return shared, (
        f", and {shared / KWH:.2g} kWh of heating up from cold: {heating / KWH:.2g} kWh a day, shared by {which}"
    )


def _powder(studio: Studio, plan: Plan, decimals: int, parts: list[tuple[str, str]], unknown: list[str]) -> float:
    """Return the powder of one piece at the average price of each jar's lots."""
    with studio.reading() as connection:
        rows = connection.execute(
            select(jar_table.c.code, lot_table.c.bought_grams, lot_table.c.price_minor, lot_table.c.currency)
            .join(lot_table, lot_table.c.jar == jar_table.c.id)
            .where(in_use(lot_table), lot_table.c.bought_grams > 0, lot_table.c.price_minor.is_not(None))
        ).all()
    own = str(setting(studio, CURRENCY, ""))
    bought: dict[str, list[tuple[float, float]]] = {}
    for row in rows:
        if row.currency not in (None, "", own):  # what was paid in another currency is not made up
            continue
        bought.setdefault(row.code, []).append((row.bought_grams, row.price_minor))
    whole, grams = 0.0, 0.0
    for weight in plan.weights:
        each = average_cost(bought.get(weight.jar, []))
        grams += weight.in_all.value
        if each is None:
            unknown.append(f"powder of {weight.jar}")
        else:
            whole += weight.in_all.value * each
    cost = whole / float(10**decimals)
    parts.append(("powder", f"{grams * 1000:.3g} g"))
    return cost


def _metal(studio: Studio, plan: Plan, decimals: int, parts: list[tuple[str, str]], unknown: list[str]) -> float:
    """Return the metal of one blank at the average price of the sheets bought, without what is cut away."""
    if plan.metal_mass is None:
        return 0.0
    own = str(setting(studio, CURRENCY, ""))
    bought = []
    for row in sheets_bought(studio, plan.piece.metal.kind):
        weight = row.mass or _weight(row)
        if weight and row.price_minor and row.currency in (None, "", own):
            bought.append((float(weight), float(row.price_minor)))
    each = average_cost(bought)
    parts.append(("metal", f"{plan.metal_mass.shown('g')} of {plan.metal_name}"))
    if each is None:
        unknown.append(plan.metal_name)
        return 0.0
    return plan.metal_mass.value * each / float(10**decimals)


def _weight(row: Row[Any]) -> float:
    """Return what a sheet weighs by its size [kg]; 0 where that is not told."""
    if not (row.width and row.length and row.thickness):
        return 0.0
    return float(row.width * row.length * row.thickness) * metal(row.metal).density.value


@dataclass(frozen=True)
class Earned:
    """What one design has brought.

    Parameters
    ----------
    design : str
        Its name.
    sold : int
        Pieces sold for this currency.
    taken : int
        Sums taken for them, deposits and balances of their orders counted, in the smallest coin.
    hours : float
        Hand time logged on the sold pieces [s].
    timed : int
        Sold pieces that have any time logged.
    per_hour : int or None
        Smallest coins an hour brought, a fair's share taken off and material not; of the timed pieces only.
    currency : str
        What the sums are in.
    """

    design: str
    sold: int
    taken: int
    hours: float
    timed: int
    per_hour: int | None
    currency: str


def earned(studio: Studio) -> list[Earned]:
    """Tell what an hour has brought by design, the best first; pieces without logged time count in no hour.

    All of it is in the currency of the house, or while it has none in that most pieces were sold for; a piece sold for
    another one is left out with its hours, since what it brought cannot be added up with the rest.

    Parameters
    ----------
    studio : Studio
        The studio.
    """
    found = []
    with studio.reading():
        names = {int(row.id): str(row.name) for row in designs.designs(studio)}
        design_of = designs_made(studio)
        taken_of = taken_for(studio, list(design_of))
        sums_of = {piece: got.sums for piece, got in taken_of.items()}
        sold_for = Counter(currency for sums in sums_of.values() for currency in sums)
        currency = str(setting(studio, CURRENCY, "")) or max(sorted(sold_for), key=sold_for.__getitem__, default="")
        times_of = times_on(studio, list(taken_of))
        shares = shares_paid(studio, list(taken_of), currency)
    by_design: dict[int, dict[int, int]] = defaultdict(dict)
    for piece, sums in sums_of.items():
        if currency in sums:
            by_design[design_of[piece]][piece] = sums[currency]
    for design in names.keys() & by_design.keys():
        taken = by_design[design]
        times = {one: times_of[one] for one in taken}
        timed = [one for one, seconds in times.items() if seconds > 0]
        hours = sum(times.values())
        each = earned_per_hour(
            Decimal(sum(taken[one] for one in timed)),
            Decimal(sum(shares.get(one, 0) for one in timed)),
            Decimal(str(hours)) / Decimal(str(HOUR)),
        )
        found.append(
            Earned(
                names[design],
                len(taken),
                sum(taken.values()),
                hours,
                len(timed),
                None if each is None else int(each),
                currency,
            )
        )
    return sorted(found, key=lambda one: (one.per_hour is None, -(one.per_hour or 0), one.design))


def shares_paid(studio: Studio, pieces: Collection[int], currency: str) -> dict[int, int]:
    """Return what a fair keeps of the sum taken there for each piece in one currency, in the smallest coin.

    A gallery or shop is not in it: what it keeps never came in.

    Parameters
    ----------
    studio : Studio
        The studio.
    pieces : collection of int
        Rows.
    currency : str
        Sums in another one are left out.
    """
    w = whereabouts.c
    rows = current(whereabouts, w.piece, w.outlet, w.taken_minor).where(
        within(w.piece, pieces), w.place == "sold", w.outlet.is_not(None), w.taken_minor.is_not(None),
        w.currency == currency,
    )  # fmt: skip
    with studio.reading() as connection:
        kept = {
            int(one.id): float(one.commission)
            for one in connection.execute(select(outlet_table).where(outlet_table.c.commission > 0))
            if one.kind not in HANDS_ON
        }
        return {
            int(row.piece): int(row.taken_minor) - for_the_maker(int(row.taken_minor), kept[row.outlet])
            for row in connection.execute(rows) if row.outlet in kept
        }  # fmt: skip
