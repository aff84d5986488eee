"""Hot things and hands: how hot a surface may be for a touch, hands at the door, and what gloves are tested for.

Two estimates of a burn stand side by side and the lower counts: a model of skin, and points of a standard that
was not seen in the original. Neither is a promise; skin differs, children's most.
"""

from __future__ import annotations

from functools import lru_cache
from itertools import pairwise
from math import log
from typing import Literal

import numpy as np

from enamelwright import units
from enamelwright.craft.health.glare_at_kiln import Opening, whole_flux
from enamelwright.craft.health.limits import limits
from enamelwright.craft.verdict import Level
from enamelwright.errors import InputError, OutOfReach
from enamelwright.figure import Figure, Origin
from enamelwright.physics.burn import Skin, effusivity
from enamelwright.reference.loader import Fact, facts_of, rows, value

Material = Literal["copper", "steel", "stainless", "glass", "ceramic", "firebrick", "wood"]
_ORIGIN = Origin(kind="assumption", source="the lower of a model of skin and of remembered points of ISO 13732-1")


def told(key: str) -> Fact:
    """Return one constant of the table of touch, named without its field."""
    return facts_of("health/touch")[f"health/{key}"]


@lru_cache(maxsize=1)
def skin() -> Skin:
    """Return the skin of the model."""
    return Skin(
        conductivity=told("skin_conductivity").value,
        density=told("skin_density").value,
        heat=told("skin_heat").value,
        temperature=told("skin_temperature").value,
        depth=told("skin_depth").value,
        rate=told("damage_rate").value,
        activation=told("damage_activation").value,
        least=told("damage_least").value,
    )


def _row(material: Material) -> dict[str, str]:
    return dict(next(row for row in rows("health/touch_materials") if row["material"] == material))


def material_words(material: Material) -> str:
    """Name a material as a maker would."""
    return _row(material)["words"]


def glass_density() -> float:
    """Return what fired enamel weighs in the round [kg/m3]."""
    return float(_row("glass")["density"])


@lru_cache(maxsize=16)
def _points(surface: str) -> tuple[tuple[float, float], ...]:
    found = [
        (float(row["seconds"]), units.to_si(float(row["celsius"]), "°C", "temperature"))
        for row in rows("health/touch_limits")
        if row["surface"] == surface
    ]
    return tuple(sorted(found))


@lru_cache(maxsize=256)
def model_limit(material: Material, seconds: float) -> float:
    """Temperature at which the model of skin just burns at a touch [K]."""
    row = _row(material)
    density = float(row["density"] or value(f"metals/{material}/density"))
    own = float(effusivity(float(row["conductivity"]), density, float(row["heat"])))
    return skin().burning_temperature(own, seconds, told("hottest_asked").value)


def table_limit(material: Material, seconds: float) -> float:
    """Temperature of the remembered points, straight in the logarithm of the time, ends held [K]."""
    points = _points(_row(material)["surface"])
    if seconds <= points[0][0]:
        return points[0][1]
    for (early, hot), (late, cool) in pairwise(points):
        if seconds <= late:
            return hot + (cool - hot) * log(seconds / early) / log(late / early)
    return points[-1][1]


def touch_limit(material: Material, seconds: float) -> float:
    """Hottest a surface may be for a touch of so long [K], the cautious one of both estimates.

    Parameters
    ----------
    material : str
        Of the surface; an enamelled sheet counts as its metal.
    seconds : float
        [s].

    Raises
    ------
    InputError
        When the touch is no time.
    """
    if not 0 < seconds < np.inf:
        raise InputError("a touch lasts some time.", "Give seconds.")
    return min(model_limit(material, seconds) - told("model_less").value, table_limit(material, seconds))


def longest_touch(material: Material, temperature: float) -> float:
    """How long a surface may be touched [s]; 0 when not even the shortest touch told is below its limit.

    Parameters
    ----------
    material : str
        Of the surface.
    temperature : float
        [K].

    Raises
    ------
    InputError
        When nothing at the bench is that hot.
    """
    if temperature > told("hottest_asked").value:
        raise InputError("nothing at this bench is that hot.", "Check the temperature and its scale.")
    points = _points(_row(material)["surface"])
    short, long = points[0][0], points[-1][0]
    if touch_limit(material, short) < temperature:
        return 0.0
    if touch_limit(material, long) >= temperature:
        return long
    for _ in range(HALVINGS):  # the limit falls with the length of the touch
        middle = float(np.sqrt(short * long))
        if touch_limit(material, middle) >= temperature:
            short = middle
        else:
            long = middle
    return short


#: Halvings of the logarithm of a touch: from a second to eight hours, to 10 % at worst.
HALVINGS = 7


def longest_band(material: Material, temperature: float) -> Figure:
    """Return how long a surface may be touched, with a band as wide as what the model is taken down by [s].

    Parameters
    ----------
    material : str
        Of the surface.
    temperature : float
        [K].

    Raises
    ------
    InputError
        When nothing at the bench is that hot.
    """
    middle, off = longest_touch(material, temperature), told("model_less").value
    hottest = min(temperature + off, told("hottest_asked").value)
    return Figure(
        value=middle, low=longest_touch(material, hottest), high=longest_touch(material, temperature - off),
        dimension="time", origin=_ORIGIN,
    )  # fmt: skip


def hurts_after(flux: float) -> float:
    """Return when bare skin hurts under a steady flux [s]; 0 above the range of the law, its longest below.

    Parameters
    ----------
    flux : float
        [W/m2].
    """
    unit, power, factor = told("pain_unit").value, told("pain_power").value, told("pain_factor").value
    if flux > told("pain_most").value:
        return 0.0
    return float(factor * (max(flux, told("pain_least").value) / unit) ** -power)


def pain(opening: Opening) -> tuple[Figure, Figure | None]:
    """Return (heat on the hand [W/m2], time until bare skin hurts [s]) before an open kiln.

    The time is None where the heat stays below the range the law of pain was fitted for, and 0 above it.

    Parameters
    ----------
    opening : Opening
        Its distance is that of the hand.
    """
    flux = whole_flux(opening)
    if flux.high < told("pain_least").value:
        return flux, None
    return flux, Figure(
        value=hurts_after(flux.value), low=hurts_after(flux.high), high=hurts_after(flux.low), dimension="time",
        origin=Origin(kind="reference", source="ISO 13571, time to pain", status="from memory, verify"),
    )  # fmt: skip


def door_level(hurts: Figure | None) -> Level | None:
    """Judge a bare hand before the open kiln by when it hurts at the soonest; None where that is not judged.

    Parameters
    ----------
    hurts : Figure or None
        As :func:`pain` tells it [s].
    """
    if hurts is None:
        return None
    if hurts.low < told("door_stop").value:
        return "stop"
    return "watch" if hurts.low < told("door_watch").value else "good"


def glove_level(temperature: float) -> tuple[str, float]:
    """Return (level of contact heat, temperature it is tested at [K]) that covers a grip on something hot.

    Parameters
    ----------
    temperature : float
        Of what is gripped [K].

    Raises
    ------
    OutOfReach
        When no glove is tested so hot: tools hold it, gloves only keep off the glow.
    """
    start = "en407_contact_L"
    levels = [
        (name.removeprefix(start), units.to_si(one.value, "°C", "temperature"))
        for name, one in limits().items()
        if name.startswith(start)
    ]
    for level, hottest in sorted(levels):
        if temperature <= hottest:
            return level, hottest
    raise OutOfReach(
        "no level of glove is tested for holding anything so hot.",
        "Hold it with fork or tongs; the glove only keeps the glow off the hand.",
    )


def origin() -> Origin:
    """Return where limits of a touch come from."""
    return _ORIGIN
