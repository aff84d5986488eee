"""Parse and print quantities: the only place where a unit becomes SI or SI becomes a unit.

Inside the product every number is an SI float. Outside, a quantity is either a key that names its
unit with a plain number (``thickness_mm = 0.8``) or a bare key with a string (``"0.8 mm"``).
Temperatures and temperature differences are two dimensions.

The number and the unit are split here, and a unit is one of the closed list below: nothing from outside is ever
evaluated. Sizes are worked out exactly and rounded once; the tests hold every one of them against pint.
"""

from __future__ import annotations

import math
import re
from fractions import Fraction
from functools import lru_cache

from enamelwright.errors import QuantityError

#: dimension -> {unit as shown or typed: what it is made of}; the first is the unit shown by default.
UNITS: dict[str, dict[str, str]] = {
    "length": {
        "mm": "mm", "um": "um", "µm": "um", "cm": "cm", "m": "m", "in": "inch", "inch": "inch",
        '"': "inch",
    },
    "area": {"cm2": "cm**2", "mm2": "mm**2", "m2": "m**2", "in2": "inch**2"},
    "volume": {"mL": "mL", "ml": "mL", "cm3": "cm**3", "L": "L", "l": "L", "m3": "m**3"},
    "mass": {"g": "g", "mg": "mg", "kg": "kg", "oz": "oz", "ozt": "troy_ounce"},
    "temperature": {
        "°C": "degC", "C": "degC", "degC": "degC", "°F": "degF", "F": "degF", "degF": "degF",
        "K": "K",
    },
    "temperature_difference": {
        "K": "K", "°C": "delta_degC", "C": "delta_degC", "degC": "delta_degC",
        "°F": "delta_degF", "F": "delta_degF", "degF": "delta_degF",
    },
    "time": {"s": "s", "min": "min", "h": "h", "d": "day", "day": "day", "days": "day", "seconds": "s",
             "minutes": "min"},
    "expansion": {"ppm/K": "1e-6/K", "e-7/K": "1e-7/K", "1/K": "1/K", "e-7/C": "1e-7/K", "ppm/C": "1e-6/K",
                  "/K": "1/K", "/C": "1/K"},
    "density": {"g/cm3": "g/cm**3", "kg/m3": "kg/m**3"},
    "stress": {"MPa": "MPa", "GPa": "GPa", "Pa": "Pa"},
    "curvature": {"1/m": "1/m", "1/mm": "1/mm"},
    "areal_mass": {"g/cm2": "g/cm**2", "mg/cm2": "mg/cm**2", "kg/m2": "kg/m**2"},
    "energy_release": {"J/m2": "J/m**2"},
    "specific_heat": {"J/kg/K": "J/kg/K"},
    "conductivity": {"W/m/K": "W/m/K"},
    "heat_transfer": {"W/m2/K": "W/m**2/K"},
    "viscosity": {"Pa s": "Pa*s"},
    "power": {"kW": "kW", "W": "W"},
    "energy": {"kWh": "kWh", "J": "J", "kJ": "kJ"},
    "activation_energy": {"kJ/mol": "kJ/mol", "J/mol": "J/mol"},
    "voltage": {"mV": "mV", "uV": "uV", "µV": "uV", "V": "V"},
    "diffusivity": {"m2/s": "m**2/s", "cm2/s": "cm**2/s"},
    "heat_flux": {"W/cm2": "W/cm**2", "W/m2": "W/m**2"},
    "free_convection": {"W/m2/K^(4/3)": "W/m**2/K**(4/3)"},
    "volume_heat": {"MJ/m3/K": "MJ/m**3/K"},
    "mass_flow": {"g/s": "g/s", "kg/s": "kg/s"},
    "acceleration": {"m/s2": "m/s**2"},
    "control_gain": {"1/K": "1/K"},
    "control_rate": {"1/K/s": "1/K/s"},
    "toughness": {"MPa m0.5": "MPa*m**0.5"},
    "molar_mass": {"g/mol": "g/mol"},
    "molar_volume": {"L/mol": "L/mol"},
    "concentration": {"g/L": "g/L", "g/l": "g/L", "mg/L": "mg/L", "mg/l": "mg/L", "µg/L": "ug/L", "kg/m3": "kg/m**3"},
    "acidity": {"": "1", "pH": "1"},
    "attenuation": {"1/mm": "1/mm", "1/m": "1/m"},
    "dust": {"µg/m3": "ug/m**3", "ug/m3": "ug/m**3", "mg/m3": "mg/m**3", "kg/m3": "kg/m**3"},
    "speed": {"m/s": "m/s", "m/min": "m/min"},
    "air_flow": {"m3/h": "m**3/h", "m3/min": "m**3/min", "m3/s": "m**3/s"},
    "rate": {"/h": "1/h", "1/h": "1/h", "/s": "1/s", "1/s": "1/s"},
    "angle": {"deg": "deg", "°": "deg", "rad": "rad"},
    "ratio": {"": "1", "%": "0.01", "1": "1"},
    "count": {"": "1", "1": "1"},
}  # fmt: skip

#: Sizes in SI, exact by definition: units and prefixes of the SI brochure (BIPM, 9th edition 2019), inch and pound of
#: the international agreement of 1959, the troy ounce of 480 of its grains; of the degree, the nearest number there is.
_DEFINED: dict[str, str] = {
    "m": "1", "cm": "1e-2", "mm": "1e-3", "um": "1e-6", "inch": "0.0254", "L": "1e-3", "mL": "1e-6",
    "kg": "1", "g": "1e-3", "mg": "1e-6", "ug": "1e-9", "oz": "0.028349523125", "troy_ounce": "0.0311034768",
    "K": "1", "delta_degC": "1", "delta_degF": "5/9", "s": "1", "min": "60", "h": "3600", "day": "86400",
    "Pa": "1", "MPa": "1e6", "GPa": "1e9", "J": "1", "kJ": "1e3", "MJ": "1e6", "kWh": "3.6e6", "W": "1", "kW": "1e3",
    "V": "1", "mV": "1e-3", "uV": "1e-6", "mol": "1", "rad": "1", "deg": repr(math.pi / 180),
}  # fmt: skip
#: Scales of temperature: the size of a degree [K], and by how many of its degrees its zero lies above the absolute.
_SCALES: dict[str, tuple[str, str]] = {"K": ("1", "0"), "degC": ("1", "273.15"), "degF": ("5/9", "459.67")}
#: One part of an expression of the closed list: its sign, name and power; a root is only ever taken of a unit of SI.
_PART = re.compile(r"(^|[*/])([^*/]+)(?:\*\*(\(\d/\d\)|[\d.]+))?")

#: dimension -> SI unit, the unit of every number inside and of `value`, `low` and `high` in JSON.
SI_UNITS: dict[str, str] = {
    "length": "m", "area": "m2", "volume": "m3", "mass": "kg", "temperature": "K", "temperature_difference": "K",
    "time": "s", "expansion": "1/K", "density": "kg/m3", "stress": "Pa", "curvature": "1/m", "areal_mass": "kg/m2",
    "energy_release": "J/m2", "specific_heat": "J/kg/K", "conductivity": "W/m/K", "heat_transfer": "W/m2/K",
    "viscosity": "Pa s", "power": "W", "energy": "J", "activation_energy": "J/mol", "toughness": "Pa m0.5",
    "voltage": "V", "diffusivity": "m2/s",
    "heat_flux": "W/m2", "free_convection": "W/m2/K^(4/3)", "volume_heat": "J/m3/K", "mass_flow": "kg/s",
    "acceleration": "m/s2", "control_gain": "1/K", "control_rate": "1/K/s",
    "molar_mass": "kg/mol", "molar_volume": "m3/mol", "concentration": "kg/m3", "acidity": "1",
    "attenuation": "1/m", "angle": "rad", "ratio": "1", "count": "1",
    "dust": "kg/m3", "speed": "m/s", "air_flow": "m3/s", "rate": "1/s",
}  # fmt: skip

#: key suffix -> unit, so that ``thickness_mm`` and ``set_c`` say what they are in.
SUFFIXES: dict[str, str] = {
    "mm": "mm", "um": "um", "cm": "cm", "m": "m", "in": "in",
    "mm2": "mm2", "cm2": "cm2", "in2": "in2", "ml": "mL", "l": "L",
    "g": "g", "mg": "mg", "kg": "kg", "c": "°C", "f": "°F", "k": "K",
    "s": "s", "min": "min", "h": "h", "days": "d",
    "ppm_per_k": "ppm/K", "e7_per_k": "e-7/K", "g_per_cm3": "g/cm3", "kg_per_m3": "kg/m3",
    "mpa": "MPa", "gpa": "GPa", "percent": "%", "deg": "deg", "w": "W", "kw": "kW",
    "g_per_cm2": "g/cm2", "w_per_m2_k": "W/m2/K", "g_per_l": "g/L", "per_mm": "1/mm",
    "m3": "m3", "ug_per_m3": "µg/m3", "per_h": "1/h", "m_per_s": "m/s", "m3_per_h": "m3/h",
}  # fmt: skip

#: Nothing a studio handles is outside these bounds; they catch slips of the unit, in SI.
PLAUSIBLE: dict[str, tuple[float, float]] = {
    "length": (-10.0, 10.0),
    "temperature": (0.0, 3000.0),
    "temperature_difference": (-3000.0, 3000.0),
    "dust": (0.0, 10.0),
    "mass": (0.0, 1000.0),
    "time": (0.0, 10 * 365 * 86400.0),
}

_NUMBER = re.compile(
    r"^\s*(?P<sign>[+-]?)\s*(?:(?P<whole>\d+)\s+)?(?:(?P<top>\d+)\s*/\s*(?P<bottom>\d+)|(?P<plain>\d*[.,]?\d+(?:[eE][+-]?\d{1,3})?|\d+[.,]))\s*(?P<unit>[^\d].*)?$"
)
#: How a quantity is written, to show somebody whose text holds none.
_LIKE = {"length": "0.8 mm", "mass": "0.42 g", "temperature": "790 C", "time": "90 s", "expansion": "105 e-7/K"}
_LONGEST = 60  # characters of a quantity worth reading; anything longer is not a quantity


def dimension_names() -> tuple[str, ...]:
    """Return every dimension the product knows, in a fixed order."""
    return tuple(UNITS)


@lru_cache(maxsize=512)
def _line(expression: str, target: str) -> tuple[float, float]:
    """Return (factor, offset) of SI = factor * x + offset for one unit of the closed list."""
    if target == "K":
        factor, offset = (Fraction(part) for part in _SCALES[expression])
        return float(factor), float(factor * offset)
    size = Fraction(1)
    for sign, name, power in _PART.findall(expression):
        part = Fraction(_DEFINED.get(name, name)) ** Fraction(power.strip("()") or 1)
        size = size / Fraction(part) if sign == "/" else size * Fraction(part)
    return float(size), 0.0


#: Powers and the sign for a millionth, as they are printed and as they are looked up.
_PLAIN = str.maketrans({"²": "2", "³": "3", "μ": "µ"})


def written(unit: str) -> str:
    """Return a unit as it is printed: raised powers, and micro for a millionth.

    Parameters
    ----------
    unit : str
        As it is typed.
    """
    raised = re.sub(r"(?<=m)([23])(?=$|[ /])", lambda found: "²" if found[1] == "2" else "³", unit)
    return re.sub(r"^u(?=[mgV])", "µ", raised)


def _find(unit: str, dimension: str) -> str:
    known = UNITS[dimension]
    unit = unit if unit in known else unit.translate(_PLAIN)
    if unit in known:
        return known[unit]
    folded = {name.lower(): expression for name, expression in known.items()}
    if unit.lower() in folded and dimension != "stress":
        return folded[unit.lower()]
    listed = ", ".join(_distinct(known))
    if not unit:
        raise QuantityError("a number without a unit.", f"Write the unit after it: {listed}.")
    raise QuantityError(
        f"'{unit[:20]}' is not a unit of {dimension.replace('_', ' ')}.",
        f"Use one of: {listed}.",
    )


def _distinct(known: dict[str, str]) -> list[str]:
    """Return one name for each unit, the first written, leaving out other spellings."""
    first = {expression: name for name, expression in reversed(known.items())}
    return [name for name in first.values() if name][::-1]


def to_si(value: float, unit: str, dimension: str) -> float:
    """Convert a number in a named unit to SI.

    Parameters
    ----------
    value : float
        The number, in `unit`.
    unit : str
        A unit of the closed list of `dimension`.
    dimension : str
        One of :func:`dimension_names`.

    Returns
    -------
    float
        The same quantity in SI (kelvin for absolute temperature).

    Raises
    ------
    QuantityError
        When the unit does not belong to the dimension, or the number is not finite.
    """
    number = float(value)
    if not math.isfinite(number):
        raise QuantityError("a number that is not finite.", "Give an ordinary number.")
    factor, offset = _line(_find(unit, dimension), "K" if dimension == "temperature" else "")
    result = number * factor + offset
    low, high = PLAUSIBLE.get(dimension, (-math.inf, math.inf))
    if not low <= result <= high:
        raise QuantityError(f"{value:g} {unit} is not possible for a {dimension.replace('_', ' ')}.", "Check the unit.")
    return result


def from_si(value: float, unit: str, dimension: str) -> float:
    """Convert an SI number to a named unit; the inverse of :func:`to_si`."""
    factor, offset = _line(_find(unit, dimension), "K" if dimension == "temperature" else "")
    return (value - offset) / factor


def parse(text: str, dimension: str) -> float:
    """Read a quantity typed by a person, such as ``"0.8 mm"``, ``"1/32 in"`` or ``"1450 °F"``.

    Parameters
    ----------
    text : str
        A number (decimal point or comma, or a fraction such as ``1 1/2``) and a unit.
    dimension : str
        One of :func:`dimension_names`.

    Returns
    -------
    float
        The quantity in SI.

    Raises
    ------
    QuantityError
        When it cannot be read without guessing.
    """
    if len(text) > _LONGEST:
        raise QuantityError("this is too long to be a quantity.", "Write a number and a unit.")
    found = _NUMBER.match(text)
    if found is None:
        raise QuantityError(
            f"'{text.strip()}' is not a number with a unit.",
            f"Write it like '{_LIKE.get(dimension, _LIKE['length'])}'.",
        )
    sign = -1.0 if found["sign"] == "-" else 1.0
    if found["top"] is not None:
        if int(found["bottom"]) == 0:
            raise QuantityError(f"'{text.strip()}' divides by nothing.")
        number = float(found["whole"] or 0) + int(found["top"]) / int(found["bottom"])
    else:
        if found["whole"] is not None:
            raise QuantityError(f"'{text.strip()}' holds two numbers.", "Write one number and a unit.")
        plain = found["plain"]
        if re.fullmatch(r"\d{1,3},\d{3}", plain) and not plain.startswith("0,"):
            raise QuantityError(
                f"'{plain}' could mean two numbers.", "Write the decimal sign as a point, and no separator."
            )
        number = float(plain.replace(",", "."))
    return to_si(sign * number, (found["unit"] or "").strip(), dimension)


def default_unit(dimension: str) -> str:
    """Return the unit a quantity is shown in when the viewer has no preference."""
    return next(iter(UNITS[dimension]))


def decimals_for(width: float, value: float) -> int:
    """Return how many decimals a number deserves, given the width of its band.

    One significant digit of the half width, two when it begins with a 1; three significant digits of
    the value when there is no band.

    Parameters
    ----------
    width : float
        Full width of the band, in the unit shown; 0 when there is none.
    value : float
        The number, in the unit shown.
    """
    if width > 0:
        half = width / 2
        exponent = math.floor(math.log10(half))
        leading = half / 10**exponent
        return max(0, -exponent + (1 if leading < 1.95 else 0))
    if value == 0:
        return 0
    return max(0, 2 - math.floor(math.log10(abs(value))))


def show(value: float, dimension: str, unit: str | None = None, width: float = 0.0) -> str:
    """Print an SI number in a unit, with no more digits than its band deserves.

    Parameters
    ----------
    value : float
        SI.
    dimension : str
        One of :func:`dimension_names`.
    unit : str, optional
        Unit to show; the dimension's own default otherwise.
    width : float
        Full width of the band in SI; 0 when there is none.
    """
    chosen = default_unit(dimension) if unit is None else unit
    shown = from_si(value, chosen, dimension)
    factor, _ = _line(_find(chosen, dimension), "K" if dimension == "temperature" else "")
    places = 0 if dimension == "count" else decimals_for(abs(width / factor), shown)
    text = f"{shown:.{places}f}"
    if width == 0 and "." in text:
        text = text.rstrip("0").rstrip(".")
    if float(text) == 0:
        text = text.lstrip("-")
    gap = "" if chosen in {"%", "", '"'} else " "
    return f"{text}{gap}{written(chosen)}"
