"""House rules, hands and preferences, one a row; whoever changes one leaves the old one in the history."""

from __future__ import annotations

from typing import Any

from sqlalchemy import select

from enamelwright.craft.bench import Hands, HouseRules
from enamelwright.craft.colour.metal_coupon import MetalCoupon
from enamelwright.craft.health.own_limit import OwnLimit
from enamelwright.records.schema.house import setting as setting_table
from enamelwright.workshop.studio import Studio

#: Keys under which the bench finds hands, house rules and its name.
HANDS, HOUSE, NAME = "hands", "house rules", "studio name"
#: The currency prices are told in, and how many decimals its coins have.
CURRENCY, DECIMALS = "currency", "coin decimals"
#: Decimals of the coins of currencies the house counted in before.
COINS = "coins before"
#: The sieves the house owns, by their mesh numbers.
SIEVES = "sieves"
#: What the maker's own fluxed coupons told of metals.
COUPONS = "metal coupons"
#: The figures this house goes by in place of published limits.
LIMITS = "own limits"
#: What a record that is invented says of itself wherever it is shown; not set in a studio's own.
INVENTED = "invented"


def setting(studio: Studio, key: str, default: Any = None) -> Any:
    """Return what is set, or the default.

    Parameters
    ----------
    studio : Studio
        The studio.
    key : str
        Its key.
    default : object
        Returned when nothing is set.
    """
    with studio.reading() as connection:
        row = connection.execute(select(setting_table.c.value).where(setting_table.c.key == key)).one_or_none()
    return default if row is None or row.value is None else row.value


def set_setting(studio: Studio, key: str, value: Any, version: int | None = None) -> int:
    """Set one preference and return its row.

    Parameters
    ----------
    studio : Studio
        The studio.
    key : str
        Its key.
    value : JSON
        What it is set to; None forgets it.
    version : int, optional
        The version that was shown when it was changed.
    """
    with studio.writing() as work:
        row = work.connection.execute(select(setting_table).where(setting_table.c.key == key)).one_or_none()
        if row is None:
            return studio.keep(setting_table, key=key, value=value)
        if row.value != value:
            studio.change(setting_table, row.id, version, value=value)
        return int(row.id)


def settings(studio: Studio) -> dict[str, Any]:
    """Return everything that is set."""
    with studio.reading() as connection:
        rows = connection.execute(select(setting_table.c.key, setting_table.c.value).order_by(setting_table.c.key))
        return {row.key: row.value for row in rows}


def hands(studio: Studio) -> Hands:
    """Return how this maker lays powder."""
    return Hands.from_outside(setting(studio, HANDS, {}), "hands")


def set_hands(studio: Studio, value: Hands) -> int:
    """Set how this maker lays powder."""
    return set_setting(studio, HANDS, value.to_outside())


def sieves(studio: Studio) -> tuple[int, ...]:
    """Return the mesh numbers of the sieves the house owns, the coarsest first; none when nobody told."""
    return tuple(int(one) for one in setting(studio, SIEVES, []))


def house_rules(studio: Studio) -> HouseRules:
    """Return which way this house goes where houses differ."""
    return HouseRules.from_outside(setting(studio, HOUSE, {}), "house rules")


def set_house_rules(studio: Studio, value: HouseRules) -> int:
    """Set which way this house goes where houses differ."""
    return set_setting(studio, HOUSE, value.to_outside())


def coupons(studio: Studio) -> tuple[MetalCoupon, ...]:
    """Return what the maker's own fluxed coupons told of metals."""
    return tuple(MetalCoupon.from_outside(one, COUPONS) for one in setting(studio, COUPONS, []))


def set_coupons(studio: Studio, value: tuple[MetalCoupon, ...]) -> int:
    """Set what the maker's own fluxed coupons told of metals."""
    return set_setting(studio, COUPONS, [coupon.to_outside() for coupon in value])


def own_limits(studio: Studio) -> tuple[OwnLimit, ...]:
    """Return the figures this house goes by in place of published limits."""
    return tuple(OwnLimit.from_outside(one, LIMITS) for one in setting(studio, LIMITS, []))


def set_own_limit(studio: Studio, value: OwnLimit) -> int:
    """Go by another figure than a published limit; one told before for the same limit is replaced."""
    kept = [one for one in own_limits(studio) if one.name != value.name]
    return set_setting(studio, LIMITS, [one.to_outside() for one in (*kept, value)])


def forget_own_limit(studio: Studio, name: str) -> int:
    """Go by the published limit again."""
    return set_setting(studio, LIMITS, [one.to_outside() for one in own_limits(studio) if one.name != name])
