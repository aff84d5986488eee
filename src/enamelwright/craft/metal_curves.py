"""Read the temperature curves of the metals tables: expansion, modulus, heat, conductivity.

A curve is either a list of points joined by straight lines (``metals/tabulated``) or a chain of
formulas each valid over its own stretch of temperature (``metals/functions``).
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cache

import numpy as np
import numpy.typing as npt

from enamelwright import units
from enamelwright.errors import HouseError, OutOfReach
from enamelwright.reference import loader

Array = npt.NDArray[np.float64]

#: Kelvin by which a temperature may overshoot a piece's end through rounding.
ROUNDING = 1e-6
_THOUSAND = 1000.0  # the Shomate equation is written in T/1000


@dataclass(frozen=True)
class Curve:
    """One property of one metal against temperature.

    Parameters
    ----------
    name : str
        ``"metal/property"``.
    reach : tuple of float
        Lowest and highest temperature [K] it is stated for.
    read : callable
        Takes temperatures [K] inside the reach, returns SI values.
    dimension : str
        Dimension of the values.
    source, status : str
        Where it comes from.
    """

    name: str
    reach: tuple[float, float]
    read: Callable[[Array], Array]
    dimension: str
    source: str
    status: str

    def __call__(self, temperature: npt.ArrayLike) -> Array:
        """Return the property [SI] at temperatures [K].

        Raises
        ------
        OutOfReach
            Outside the reach of the curve; nothing is extrapolated.
        """
        wanted = np.asarray(temperature, dtype=np.float64)
        low, high = self.reach
        if wanted.size and (wanted.min() < low - ROUNDING or wanted.max() > high + ROUNDING):
            shown = [units.show(end, "temperature") for end in self.reach]
            raise OutOfReach(
                f"the curve '{self.name}' is known from {shown[0]} to {shown[1]} only.",
                "Stay inside that range.",
            )
        return np.asarray(self.read(wanted), dtype=np.float64)


def _points(name: str, found: list[loader.Row]) -> Curve:
    at = np.array([units.to_si(float(row["temperature"]), row["temperature_unit"], "temperature") for row in found])
    values = np.array([units.to_si(float(row["value"]), row["unit"], row["dimension"]) for row in found])
    first = found[0]
    return Curve(
        name,
        (float(at[0]), float(at[-1])),
        lambda kelvin: np.interp(kelvin, at, values),
        first["dimension"],
        first["source"],
        first["status"],
    )


def _polynomial(coefficients: Array, x: Array) -> Array:
    return np.asarray(np.polynomial.polynomial.polyval(x, coefficients), dtype=np.float64)


def _form(row: loader.Row) -> Callable[[Array], Array]:
    """Return one formula as a function of the temperature in the row's own scale."""
    halves = [np.array([float(c) for c in half.split()]) for half in row["coefficients"].split("/")]
    c = halves[0]
    form = row["form"]
    if form == "polynomial":
        return lambda t: _polynomial(c, t)
    if form == "from_20":
        zero = units.from_si(loader.value("metals/reference_temperature"), row["temperature_unit"], "temperature")
        return lambda t: _polynomial(c, t - zero)
    if form == "rational":
        return lambda t: _polynomial(c, t) / _polynomial(halves[1], t)
    if form == "shomate":
        return lambda t: _polynomial(c[:-1], t / _THOUSAND) + c[-1] / (t / _THOUSAND) ** 2
    if form == "pole":
        return lambda t: c[0] + c[1] / (t - c[2])
    raise HouseError(f"the form '{form}' of the curve '{row['curve']}' is unknown.")


def _pieces(name: str, found: list[loader.Row]) -> Curve:
    ends: list[tuple[float, float]] = []
    laws: list[Callable[[Array], Array]] = []
    for row in found:
        unit = row["temperature_unit"]
        low, high = (units.to_si(float(row[end]), unit, "temperature") for end in ("from", "to"))
        scale = float(row["scale"]) * units.to_si(1.0, row["unit"], row["dimension"])
        ends.append((low, high))
        laws.append(_piece(_form(row), scale, unit))
    starts = np.array([low for low, _ in ends[1:]])

    def read(kelvin: Array) -> Array:
        which = np.searchsorted(starts, kelvin, side="right")
        result = np.empty_like(kelvin)
        for index, law in enumerate(laws):
            chosen = which == index
            if np.any(chosen):
                result[chosen] = law(kelvin[chosen])
        return result

    first = found[0]
    return Curve(name, (ends[0][0], ends[-1][1]), read, first["dimension"], first["source"], first["status"])


def _piece(law: Callable[[Array], Array], scale: float, unit: str) -> Callable[[Array], Array]:
    # The temperature scales of the tables differ from kelvin by a shift only.
    shift = units.from_si(0.0, unit, "temperature")
    return lambda kelvin: scale * law(kelvin + shift)


@cache
def curve(name: str) -> Curve:
    """Return one curve of the metals tables.

    Parameters
    ----------
    name : str
        ``"metal/property"``, e.g. ``"copper/specific_heat"``.

    Raises
    ------
    HouseError
        When no table holds it.
    """
    points = [row for row in loader.rows("metals/tabulated") if row["curve"] == name]
    if points:
        return _points(name, points)
    pieces = [row for row in loader.rows("metals/functions") if row["curve"] == name]
    if pieces:
        return _pieces(name, pieces)
    raise HouseError(f"no reference table holds the curve '{name}'.")


@cache
def strain_curve(name: str) -> Curve:
    """Return free thermal strain counted from 20 degrees Celsius.

    Parameters
    ----------
    name : str
        A curve of strain or of instantaneous expansion; the latter is integrated exactly along its
        straight pieces.
    """
    base = curve(name)
    zero = np.array([loader.value("metals/reference_temperature")])
    if base.dimension != "expansion":
        start = float(base(zero)[0])
        # A table may count strain from another length (at 0 C); the length at 20 C is the unit here.
        return Curve(
            name, base.reach, lambda kelvin: (base(kelvin) - start) / (1 + start), "ratio", base.source, base.status
        )
    at = np.array(
        [
            units.to_si(float(row["temperature"]), row["temperature_unit"], "temperature")
            for row in loader.rows("metals/tabulated")
            if row["curve"] == name
        ]
    )
    alpha = base(at)
    total = np.concatenate(([0.0], np.cumsum(np.diff(at) * (alpha[1:] + alpha[:-1]) / 2)))

    def integral(kelvin: Array) -> Array:
        left = np.clip(np.searchsorted(at, kelvin, side="right") - 1, 0, at.size - 2)
        run = kelvin - at[left]
        return np.asarray(total[left] + run * (alpha[left] + base(kelvin)) / 2)

    start = float(integral(zero)[0])
    return Curve(name, base.reach, lambda kelvin: integral(kelvin) - start, "ratio", base.source, base.status)
