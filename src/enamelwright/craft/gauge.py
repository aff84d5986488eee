"""Sheet thickness by gauge: a number means nothing until its system is named."""

from __future__ import annotations

import re
from functools import lru_cache
from itertools import pairwise

from enamelwright import units
from enamelwright.errors import QuantityError
from enamelwright.reference import loader

BROWN_SHARPE = "B&S"
STANDARD_WIRE = "SWG"
#: The systems known here, with what they are called in words.
SYSTEMS: dict[str, str] = {
    BROWN_SHARPE: "B&S (AWG), used for non-ferrous sheet",
    STANDARD_WIRE: "British SWG",
}
#: Finest Brown & Sharpe number sold as sheet or wire.
FINEST = 40

_WORD = r"(?:gauge|gage|gauges|ga\.?|no\.?|number|#)"
_NUMBER = re.compile(
    rf"^\s*(?:{_WORD}\s*)?(?P<lead>[a-z&.][a-z&. ]*?)??\s*(?:{_WORD}\s*)?"
    r"(?P<number>\d{1,2})\s*[-,]?\s*(?P<tail>[a-z&.,() ]*)$",
    re.IGNORECASE,
)
_WORDS = re.compile(rf"(?<![a-z&]){_WORD}(?![a-z&])", re.IGNORECASE)
_FILLER = re.compile(r"[()]|\b(?:sheet|metal)\b")
_LONGEST = 60  # characters worth reading


@lru_cache(maxsize=1)
def _names() -> dict[str, str]:
    return {row["name"]: row["system"] for row in loader.rows("metals/gauge_names")}


@lru_cache(maxsize=1)
def _wire_table() -> dict[int, float]:
    return {
        int(row["gauge"]): units.to_si(float(row["diameter"]), row["unit"], "length")
        for row in loader.rows("metals/gauge_swg")
    }


def gauge_thickness(number: int, system: str) -> float:
    """Return the thickness of one gauge [m].

    Parameters
    ----------
    number : int
        Gauge number: 0 to 40 for B&S, 8 to 36 for SWG.
    system : str
        A key of :data:`SYSTEMS`.

    Raises
    ------
    QuantityError
        Outside the numbers of the system.

    Notes
    -----
    B&S is a geometric series by definition (ASTM B258): 0.005 in at 36, 0.46 in at 0000, 39 steps.
    """
    if system == BROWN_SHARPE:
        if not 0 <= number <= FINEST:
            raise QuantityError(f"B&S gauge runs from 0 to {FINEST} here, not {number}.")
        thin, thick = (loader.value(f"metals/gauge_bs_{end}") for end in ("36", "0000"))
        steps, last = (loader.value(f"metals/gauge_bs_{end}") for end in ("steps", "thin"))
        return thin * float((thick / thin) ** ((last - number) / steps))
    try:
        return _wire_table()[number]
    except KeyError:
        known = sorted(_wire_table())
        raise QuantityError(f"the British SWG table here runs from {known[0]} to {known[-1]}, not {number}.") from None


def _system(text: str) -> str | None:
    """Return the system named in the words around a gauge number; None when nothing is named."""
    words = " ".join(_WORDS.sub(" ", _FILLER.sub(" ", text.lower())).split()).strip(" .,")
    if not words:
        return None
    plain = words.replace(".", "")
    for candidate in (words, plain, plain.replace(" ", "")):
        if candidate in _names():
            return _names()[candidate]
    raise QuantityError(
        f"'{words[:30]}' is not a gauge system known here.",
        "Name B&S (AWG) or British SWG, or give the thickness in mm.",
    )


def thickness_from_gauge(text: str) -> float:
    """Read a gauge such as ``"20 gauge (B&S)"``, ``"20 ga AWG"`` or ``"18 SWG"``; return metres.

    Parameters
    ----------
    text : str
        A number and its system.

    Raises
    ------
    QuantityError
        When it is not a gauge, the system is not named, or the system does not hold the number.
    """
    found = _NUMBER.match(text) if len(text) <= _LONGEST else None
    if found is None:
        raise QuantityError(f"'{text.strip()[:_LONGEST]}' is not a gauge.", "Write it like '20 gauge (B&S)'.")
    number = int(found["number"])
    system = _system(f"{found['lead'] or ''} {found['tail'] or ''}")
    if system is None:
        raise QuantityError(
            f"{number} gauge means {_choices(number)}.",
            f"Say which, such as '{number} gauge (B&S)', or give the thickness in mm.",
        )
    return gauge_thickness(number, system)


def _choices(number: int) -> str:
    said = []
    for system, words in SYSTEMS.items():
        try:
            said.append(f"{units.show(gauge_thickness(number, system), 'length', 'mm')} in {words}")
        except QuantityError:
            continue
    return ", or ".join(said) if said else "nothing without its system"


def looks_like_gauge(text: str) -> bool:
    """Whether a text speaks of a gauge rather than of a length with a unit."""
    lowered = text.lower()
    return bool(_WORDS.search(lowered)) or any(
        re.search(rf"(?<![a-z&]){re.escape(name)}(?![a-z&])", lowered) for name in _names()
    )


def parse_thickness(text: str) -> float:
    """Read a sheet thickness: a length with its unit, or a gauge with its system; return metres.

    Raises
    ------
    QuantityError
        When it cannot be read without guessing.
    """
    if len(text) <= _LONGEST and looks_like_gauge(text):
        return thickness_from_gauge(text)
    result = units.parse(text, "length")
    if result <= 0:
        raise QuantityError("a thickness must be more than nothing.")
    return result


def nearest_gauge(thickness: float, system: str = BROWN_SHARPE) -> tuple[int, float]:
    """Return the gauge nearest in ratio to a thickness [m], and that gauge's own thickness [m].

    Raises
    ------
    QuantityError
        For a thickness that is not positive or far outside the system.
    """
    if not thickness > 0:
        raise QuantityError("a thickness must be more than nothing.")
    numbers = range(FINEST + 1) if system == BROWN_SHARPE else sorted(_wire_table())
    sizes = {number: gauge_thickness(number, system) for number in numbers}
    best = min(sizes, key=lambda number: max(sizes[number] / thickness, thickness / sizes[number]))
    nearest = sizes[best]
    if max(nearest / thickness, thickness / nearest) > _widest_step(list(sizes.values())):
        raise QuantityError(f"no {system} gauge is near {units.show(thickness, 'length', 'mm')}.")
    return best, nearest


def _widest_step(sizes: list[float]) -> float:
    return max(one / other for one, other in pairwise(sizes))


def gauge_words(thickness: float, system: str = BROWN_SHARPE) -> str:
    """Say a thickness [m] as the nearest gauge with its system, e.g. ``"20 gauge (B&S)"``."""
    number, _ = nearest_gauge(thickness, system)
    return f"{number} gauge ({system})"
