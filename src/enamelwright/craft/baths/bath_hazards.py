"""What the label of a bath or its waste warns of, by the rules that are published for mixtures.

A fallback: the supplier's data sheet says it first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from enamelwright.craft.health.limits import limit
from enamelwright.physics.bath_chemistry import aquatic_class
from enamelwright.reference.loader import fact, value

Sign = Literal["exclamation", "environment", "corrosion", "health"]
#: Class -> statement for water life; class 3 carries no sign.
_WATER = {
    1: ("H410", "very toxic to life in water, for long"),
    2: ("H411", "toxic to life in water, for long"),
    3: ("H412", "harmful to life in water, for long"),
}


@dataclass(frozen=True)
class Hazard:
    """One statement.

    Attributes
    ----------
    sign : str
        Which sign goes with it; empty for none.
    code : str
        Of the statement; empty when it is no statement of a regulation.
    words : str
        In plain words.
    """

    sign: Sign | Literal[""]
    code: str
    words: str


def water_statement(copper: float, density: float | None = None) -> Hazard | None:
    """Return the statement for dissolved copper, counted as copper acetate; None when there is too little of it.

    Parameters
    ----------
    copper : float
        In solution [kg/m3].
    density : float, optional
        Of the liquor [kg/m3]; that of water when left out.
    """
    salt = copper * value("health/molar/copper_acetate") / value("health/molar/copper")
    share = salt / (value("health/bath/water") if density is None else density)
    found = aquatic_class(share, value("health/label/m_factor"), value("health/label/sum"))
    if not found:
        return None
    code, words = _WATER[found]
    return Hazard("environment" if found < 3 else "", code, words)


def hazards(
    copper: float | None, acidity: Sequence[float], met: Sequence[str] | None, strong: bool = False
) -> tuple[Hazard, ...]:
    """Return what a label warns of, judged at the unfavourable ends.

    Parameters
    ----------
    copper : float or None
        Most that may be in solution [kg/m3]; None when nobody knows.
    acidity : sequence of float
        Ends of the pH; empty when it is not known.
    met : sequence of str or None
        Metals and enamels it has met; None when nobody knows.
    strong : bool
        Whether it is a strong acid or an etching liquor whose acidity is not worked out.
    """
    found = []
    low, high = fact("health/label/corrosive_low").value, fact("health/label/corrosive_high").value
    if strong or any(one <= low or one >= high for one in acidity):
        found.append(Hazard("corrosion", "H314", "may burn skin and eyes"))
    if met is None or {"cadmium", "lead", "chromium", "nickel", "unknown enamel"} & set(met):
        told = "what it has met is not known" if met is None else ", ".join(one for one in met if one != "silver")
        found.append(Hazard("health", "", f"may harm health for long: {told}"))
    found.append(Hazard("exclamation", "", "irritates; harmful if swallowed. NOT A FOOD"))
    water = (
        Hazard("environment", "", "holds copper nobody has measured: take it as toxic to life in water, for long")
        if copper is None
        else water_statement(copper)
    )
    if water is not None:
        found.append(water)
    return tuple(found)


def corrosive_waste(acidity: Sequence[float]) -> str:
    """Return a sentence when a pH is one from which watery waste counts as corrosive somewhere; empty otherwise.

    Parameters
    ----------
    acidity : sequence of float
        Ends of the pH.
    """
    low, high = limit("corrosive_ph_low"), limit("corrosive_ph_high")
    if any(one <= low.value for one in acidity):
        return f"pH {low.value:g} or less counts as corrosive waste: {low.words()}"
    if any(one >= high.value for one in acidity):
        return f"pH {high.value:g} or more counts as corrosive waste: {high.words()}"
    return ""
