"""Money as a person writes it becomes whole coins of one currency, and back."""

from __future__ import annotations

from decimal import Decimal, InvalidOperation

from enamelwright.errors import InputError
from enamelwright.workshop.settings import CURRENCY, DECIMALS, setting
from enamelwright.workshop.studio import Studio

#: Decimals of most currencies' coins; the house can set its own.
USUAL_DECIMALS = 2
#: Largest sum that is not a slip of the finger, in whole units.
LARGEST = 10_000_000


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
    coins = value.scaleb(int(setting(studio, DECIMALS, USUAL_DECIMALS)))
    if not coins.is_finite() or coins != coins.to_integral_value() or not 0 <= value <= LARGEST:
        raise InputError(f"'{amount[:40]}' cannot be paid in coins.", "Check the decimals.")
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
    decimals = int(setting(studio, DECIMALS, USUAL_DECIMALS))
    return f"{Decimal(minor).scaleb(-decimals):.{decimals}f} {currency or ''}".strip()
