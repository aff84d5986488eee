"""Sums of money: exact decimals, one stated rule of rounding, and any currency in its own coins.

Halves are rounded up, away from nothing, on each line (common practice, no source). Formatters that round
halves to even are only ever given sums that are whole coins already.
"""

from __future__ import annotations

import re
from copy import copy
from decimal import ROUND_CEILING, ROUND_HALF_UP, Decimal, InvalidOperation

from enamelwright.errors import InputError

#: Coins of a currency nobody knows: hundredths.
USUAL_DECIMALS = 2
#: Largest sum that is not a slip of the finger, in whole units.
LARGEST = Decimal(10) ** 9
#: Digits a binary fraction holds for certain; beyond them 0.7 % would read 0.006999999999999999.
_HELD = 15
#: Code of a currency as ISO 4217 writes it.
_CODE = re.compile(r"[A-Z]{3}")


def exact(number: Decimal | float | int | str, what: str = "sum") -> Decimal:
    """Return a number as an exact decimal, as it is written.

    Parameters
    ----------
    number : Decimal, float, int or str
        What was told.
    what : str
        What it is, for the complaint.

    Raises
    ------
    InputError
        When it is no number, or beyond reason.
    """
    text = f"{number:.{_HELD}g}" if isinstance(number, float) else str(number).strip().replace(",", ".")
    try:
        found = Decimal(text)
    except InvalidOperation as error:
        raise InputError(f"'{text[:40]}' is not a {what}.", "Write it like 38.50.") from error
    if not found.is_finite() or abs(found) > LARGEST:
        raise InputError(f"this {what} is beyond reason.", "Check it.")
    return found


def decimals_of(currency: str) -> int:
    """Return how many decimals the coins of a currency have.

    Parameters
    ----------
    currency : str
        Code as in ISO 4217; hundredths for any other word.
    """
    from babel.numbers import get_currency_precision, list_currencies

    known = _CODE.fullmatch(currency) and currency in list_currencies()
    return int(get_currency_precision(currency)) if known else USUAL_DECIMALS


def coins(amount: Decimal, decimals: int) -> Decimal:
    """Round a sum to whole coins, halves up."""
    return amount.quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP)


def whole_coins_above(amount: Decimal, decimals: int) -> Decimal:
    """Return the least sum in whole coins that is not below an amount: what a lowest price is rounded to."""
    return amount.quantize(Decimal(1).scaleb(-decimals), ROUND_CEILING)


#: Sums up to so much are told in steps of so much: about a hundredth of them (convention).
STEPS = tuple((Decimal(most), Decimal(step)) for most, step in (
    ("2", "0.01"), ("10", "0.05"), ("20", "0.10"), ("100", "0.50"), ("500", "1"), ("2000", "5"), ("10000", "20"),
))  # fmt: skip
LARGEST_STEP = Decimal(100)


def about(amount: Decimal, above: bool = False) -> Decimal:
    """Round a sum to a step that fits its size, as prices are spoken of; `above` never to less, as a lowest price."""
    step = next((step for most, step in STEPS if abs(amount) < most), LARGEST_STEP)
    return (amount / step).quantize(Decimal(1), ROUND_CEILING if above else ROUND_HALF_UP) * step


def minor(amount: Decimal, decimals: int) -> int:
    """Return a sum in the smallest coin, rounded as :func:`coins` does."""
    return int(coins(amount, decimals).scaleb(decimals))


def written(amount: Decimal, currency: str, decimals: int | None = None, locale: str = "en") -> str:
    """Write a sum for people, rounded to coins before it is written.

    Parameters
    ----------
    amount : Decimal
        The sum.
    currency : str
        Code as in ISO 4217, or any word.
    decimals : int, optional
        Of its coins; as :func:`decimals_of` says when left out.
    locale : str
        Language and land of the reader, e.g. ``de_DE``.
    """
    from babel.core import Locale, UnknownLocaleError
    from babel.numbers import format_decimal, list_currencies

    places = decimals_of(currency) if decimals is None else decimals
    sum_ = coins(amount, places)
    pattern = "#,##0" + ("." + "0" * places if places else "")
    try:
        if _CODE.fullmatch(currency) and currency in list_currencies():
            usual = Locale.parse(locale).currency_formats["standard"]
            told = copy(usual)  # the habit of the land, with the decimals of these coins
            told.frac_prec = (places, places)
            return str(told.apply(sum_, locale, currency=currency, currency_digits=False))
        return f"{format_decimal(sum_, pattern, locale=locale)} {currency}".strip()
    except (UnknownLocaleError, ValueError) as error:
        raise InputError(f"'{locale[:20]}' is no language this can write in.", "Write it like en or de_DE.") from error
