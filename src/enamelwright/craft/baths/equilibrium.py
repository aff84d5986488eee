"""What a bath settles to: pH and dissolved copper by the phreeqc engine with our own table of species.

The engine counts; which species exist and how strongly they bind stands in ``reference/health/bath_species.dat``.
Activities are by Davies for every ion, since that table names no other rule. Always at 25 °C.
"""

from __future__ import annotations

import math
import threading
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal, get_args

from enamelwright.errors import HouseError, InputError, OutOfReach
from enamelwright.reference.loader import text, value

#: What a bath may be mixed from, as the engine writes it: neutral substances in pure water.
Part = Literal[
    "H1Acetate1", "H3Citrate1", "NaHSO4", "H2SO4", "NaCl", "CuO", "Na2CO3", "NaHCO3", "NaOH",
]  # fmt: skip
#: Solids that may settle, by the names of the table.
Solid = Literal["Malachite", "Cu(OH)2(s)", "Atacamite", "Tenorite", "Azurite", "Brochantite"]

#: Substance in a kilogram of water beyond which Davies says nothing any more [mol/kg].
MOST = 6.0
#: Digits of numbers handed to the engine; it counts in doubles.
DIGITS = 12
#: Temperature of the engine's own scale that water of 25 °C has, and its neutral start.
_START = "SOLUTION 1\n temp {celsius:g}\n pH 7\n water {water:.{digits}g}\n"
_ASKED = """SELECTED_OUTPUT 1
 -reset false
 -high_precision true
USER_PUNCH 1
 -headings ph copper strength gas
 -start
 10 PUNCH -LA("H+"), TOT("Cu"), MU, SI("CO2(g)")
 -end
END
"""
_engines = threading.local()


@dataclass(frozen=True)
class Liquor:
    """A bath that has come to rest.

    Attributes
    ----------
    ph : float
        Minus log10 of the activity of H+.
    copper : float
        Dissolved copper, in all its forms [mol/kg of water].
    ionic_strength : float
        [mol/kg].
    gas : float
        log10 of the pressure of carbon dioxide over it [atm]; -99.99 when there is none.
    """

    ph: float
    copper: float
    ionic_strength: float
    gas: float


def at_rest(
    water: float, parts: Mapping[Part, float], solid: Solid | None = None, log_gas: float | None = None
) -> Liquor:
    """Return what a mixture settles to.

    Parameters
    ----------
    water : float
        [kg].
    parts : mapping
        Substance to amount [mol], not negative.
    solid : str, optional
        Solid that settles as far as it can; none when left out.
    log_gas : float, optional
        Carbon dioxide leaves down to this log10 of its pressure [atm], and none comes in. Kept in when left out.

    Returns
    -------
    Liquor

    Raises
    ------
    InputError
        When a number is negative or no number.
    OutOfReach
        When the mixture is stronger than the model of activities reaches, or the engine finds no rest.
    """
    if not math.isfinite(water) or water <= 0:
        raise InputError("a bath without water has no acidity.", "Say how much there is.")
    if any(not math.isfinite(one) or one < 0 for one in parts.values()) or set(parts) - set(get_args(Part)):
        raise InputError("what is in the bath is not nothing or more of what it may hold.", "Weigh it again.")
    if sum(parts.values()) / water > MOST:
        raise OutOfReach("this is stronger than a cleaning bath, and beyond what can be worked out.", "Ask its maker.")
    kept = {name: one for name, one in parts.items() if one > 0}
    lines = [_START.format(celsius=_celsius(), water=water, digits=DIGITS)]
    if kept:
        lines.append("REACTION 1\n" + "".join(f" {name} {one:.{DIGITS}g}\n" for name, one in kept.items()) + " 1\n")
    settles = [f" {solid} 0 0\n"] if solid else []
    if log_gas is not None:
        settles.append(f" CO2(g) {log_gas:.{DIGITS}g} 0\n")
    if settles:
        lines.append("EQUILIBRIUM_PHASES 1\n" + "".join(settles))
    lines.append("END\n")
    return _run("".join(lines))


def _celsius() -> float:
    from enamelwright.units import from_si

    return from_si(value("health/bath/celsius"), "°C", "temperature")


def _run(asked: str) -> Liquor:
    engine = _engine()
    if engine.RunString(asked):
        _engines.one = None  # what a failed run leaves behind is not built upon
        raise OutOfReach("no rest was found for this mixture.", "Check what was weighed in.")
    found: dict[str, list[Any]] = engine.GetSelectedOutput()
    last = {name: float(column[-1]) for name, column in found.items()}
    if not all(math.isfinite(one) for one in last.values()):
        raise OutOfReach("no rest was found for this mixture.", "Check what was weighed in.")
    return Liquor(last["ph"], last["copper"], last["strength"], last["gas"])


def _engine() -> Any:
    """Return this thread's engine, loaded with our table; an engine must not be shared by threads."""
    found = getattr(_engines, "one", None)
    if found is None:
        from phreeqc import Phreeqc

        found = Phreeqc()
        if found.LoadDatabaseString(text("health/bath_species")) or found.RunString(_ASKED):
            raise HouseError("the table of species cannot be read.", "Install the program again.")
        _engines.one = found
    return found
