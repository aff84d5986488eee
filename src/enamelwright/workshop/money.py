"""Money as a person writes it becomes whole coins of one currency, and back."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from decimal import Decimal, InvalidOperation

from sqlalchemy import ColumnElement, select

from enamelwright.errors import InputError
from enamelwright.records.schema.finished import price as price_table
from enamelwright.records.schema.finished import whereabouts
from enamelwright.records.schema.jars import lot as lot_table
from enamelwright.records.schema.metals import sheet as sheet_table
from enamelwright.records.schema.orders import customer_order, order_line, payment
from enamelwright.workshop.settings import COINS, CURRENCY, DECIMALS, setting
from enamelwright.workshop.studio import Studio

#: Decimals of most currencies' coins; the house can set its own.
USUAL_DECIMALS = 2
#: Largest sum that is not a slip of the finger, in whole units.
LARGEST = 10_000_000
#: Where sums are written, each with its currency beside it.
_SUMS = (
    (price_table, price_table.c.minor), (payment, payment.c.minor), (customer_order, customer_order.c.agreed_minor),
    (whereabouts, whereabouts.c.asked_minor), (whereabouts, whereabouts.c.taken_minor),
    (lot_table, lot_table.c.price_minor), (sheet_table, sheet_table.c.price_minor),
)  # fmt: skip


def decimals_in(studio: Studio, currency: str | None) -> int:
    """Return how many decimals the coins of a currency have here.

    Those of the house are as it set them; those of a currency it counted in before are as they were then; any other
    has the decimals of ISO 4217, also while the house counts in none. A sum without a currency is one of the house's.

    Parameters
    ----------
    studio : Studio
        The studio.
    currency : str or None
        Code or word; the house's own when it is None or empty.
    """
    own = str(setting(studio, CURRENCY, ""))
    if not currency or currency == own:
        return int(setting(studio, DECIMALS, USUAL_DECIMALS))
    before = coins_before(studio).get(currency)
    if before is not None:
        return before
    from enamelwright.planning.money import decimals_of

    return decimals_of(currency)


def coins_before(studio: Studio) -> dict[str, int]:
    """Return the decimals of the currencies the house counted in before."""
    told = setting(studio, COINS, {})
    return {str(name): int(count) for name, count in told.items()} if isinstance(told, Mapping) else {}


def coins_kept(studio: Studio, currency: str, decimals: int) -> dict[str, int] | None:
    """Return what is kept of the coins used so far when the house goes on to count in others; None for nothing.

    Parameters
    ----------
    studio : Studio
        The studio.
    currency : str
        What it counts in from now on; empty for none.
    decimals : int
        Of its coins.

    Raises
    ------
    InputError
        When sums in that currency are on record with other decimals: each of them would read differently.
    """
    own = str(setting(studio, CURRENCY, ""))
    # what has no currency goes along with a house that had none; one that had some leaves it behind in that one
    counted = [(currency, f"sums in {currency}")] if currency else []
    counted += [("", "sums without a currency")] if not own else []
    for name, told in counted:
        if decimals != decimals_in(studio, name) and has_sums(studio, name):
            raise InputError(
                f"{told} are on record with {decimals_in(studio, name)} decimals.",
                "Keep that number, or give the new coins another name." if name else "Keep that number.", "decimals",
            )  # fmt: skip
    kept = coins_before(studio)
    if own and own != currency:
        kept[own] = int(setting(studio, DECIMALS, USUAL_DECIMALS))
    kept.pop(currency, None)
    return kept or None


def has_sums(studio: Studio, currency: str) -> bool:
    """Tell whether a sum in a currency is on record.

    The lines of an order are counted in its currency. A sum without any is one of the house's, whatever that is.

    Parameters
    ----------
    studio : Studio
        The studio.
    currency : str
        Code or word; empty for sums that have none.
    """
    own = str(setting(studio, CURRENCY, ""))

    def fits(column: ColumnElement[str | None]) -> ColumnElement[bool]:
        nameless = column.is_(None) | (column == "")
        if not currency:
            return nameless
        return (column == currency) | nameless if currency == own else column == currency

    asked = [select(table.c.id).where(fits(table.c.currency), minor.is_not(None)) for table, minor in _SUMS]
    lines = select(order_line.c.id).join(customer_order, customer_order.c.id == order_line.c.customer_order)
    asked.append(lines.where(fits(customer_order.c.currency), order_line.c.each_minor.is_not(None)))
    with studio.reading() as connection:
        return any(connection.execute(one.limit(1)).first() for one in asked)


def name_sums(studio: Studio, currency: str) -> None:
    """Write beside each sum that has no currency what it is counted in, before the house goes on to count in another.

    Parameters
    ----------
    studio : Studio
        The studio.
    currency : str
        What the house counts in from now on; empty for none.
    """
    from enamelwright.workshop.orders import currency_of

    own = str(setting(studio, CURRENCY, ""))
    if not own or currency == own:
        return
    priced = select(order_line.c.customer_order).where(order_line.c.each_minor.is_not(None))
    nameless = (
        (customer_order, customer_order.c.id.in_(priced)), (lot_table, lot_table.c.price_minor.is_not(None)),
        (sheet_table, sheet_table.c.price_minor.is_not(None)),
    )  # fmt: skip
    with studio.writing() as work:
        for table, told in nameless:
            for row in work.connection.execute(select(table).where(table.c.currency.is_(None), told)).all():
                named = currency_of(studio, row) if table is customer_order else own
                studio.change(table, int(row.id), currency=named)


def read_money(studio: Studio, text: str | int | Decimal, currency: str = "") -> tuple[int, str]:
    """Return (smallest coins, currency) of a sum as written: ``38``, ``"38.50"``, ``"460 cr"``.

    Parameters
    ----------
    studio : Studio
        The studio; its currency is used when none is written.
    text : str, int or Decimal
        The sum in whole units.
    currency : str
        Currency, when it is not written with the sum.

    Raises
    ------
    InputError
        When it is no sum, has more decimals than there are coins, or no currency is known.
    """
    amount, _, written = str(text).strip().partition(" ")
    try:
        value = Decimal(amount.replace(",", "."))
    except InvalidOperation as error:
        raise InputError(f"'{str(text)[:40]}' is not a sum of money.", "Write it like 38.50.") from error
    named = written.strip() or currency or str(setting(studio, CURRENCY, ""))
    if not named:
        raise InputError("in which currency?", "Write it after the sum, or set the studio's currency once.")
    if not value.is_finite() or not 0 <= value <= LARGEST:
        raise InputError(f"'{amount[:40]}' is no sum anybody pays.", f"Between 0 and {LARGEST}.")
    places = decimals_in(studio, named)
    coins = value.scaleb(places)
    if coins != coins.to_integral_value():
        raise InputError(f"'{amount[:40]}' cannot be paid in coins.", f"{named} has {places} decimals.")
    return int(coins), named


def show_money(studio: Studio, minor: int | None, currency: str | None) -> str:
    """Write a sum for people; a dash when it is not known.

    Parameters
    ----------
    studio : Studio
        The studio.
    minor : int or None
        Smallest coins.
    currency : str or None
        Currency.
    """
    if minor is None:
        return "-"
    decimals = decimals_in(studio, currency)
    return f"{Decimal(minor).scaleb(-decimals):.{decimals}f} {currency or ''}".strip()


def show_sums(studio: Studio, sums: Mapping[str, int]) -> str:
    """Write sums in several currencies, one behind the other; a dash for none.

    Parameters
    ----------
    studio : Studio
        The studio.
    sums : mapping of str to int
        Smallest coins by currency.
    """
    return ", ".join(show_money(studio, minor, currency) for currency, minor in sums.items()) or "-"


def added(sums: Iterable[tuple[int, str | None]]) -> dict[str, int]:
    """Add (smallest coins, currency) by currency: sums in two currencies are two sums."""
    found: dict[str, int] = {}
    for minor, currency in sums:
        found[currency or ""] = found.get(currency or "", 0) + int(minor)
    return found
