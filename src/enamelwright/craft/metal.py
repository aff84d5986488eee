"""The metals an enameller fires on, described from the reference tables."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache, lru_cache
from typing import Literal

import numpy as np
import numpy.typing as npt

from enamelwright import units
from enamelwright.craft.metal_curves import curve, strain_curve
from enamelwright.errors import OutOfReach, UnknownName
from enamelwright.figure import Figure, LogNormal, Normal
from enamelwright.physics.sheet import SheetMetal
from enamelwright.reference import loader

Array = npt.NDArray[np.float64]
Enamelable = Literal["yes", "caution", "no"]

#: Kelvin between the points of the curves handed to the solvers.
GRID_STEP = 5.0


@dataclass(frozen=True, eq=False)
class SheetCurves:
    """Curves of one metal, ready for :class:`enamelwright.physics.sheet.SheetMetal`.

    Attributes
    ----------
    temperature : ndarray, shape (n,)
        Rising [K].
    free_strain, young, yield_stress, hardening : ndarray, shape (n,)
        Thermal strain from 20 C; Young's modulus [Pa]; annealed yield [Pa]; hardening modulus [Pa].
    poisson : float
        Poisson's ratio.
    """

    temperature: Array
    free_strain: Array
    young: Array
    yield_stress: Array
    hardening: Array
    poisson: float


@dataclass(frozen=True)
class Metal:
    """One metal as sheet, annealed.

    Attributes
    ----------
    id, name : str
        Key in the tables; words for people.
    aliases : tuple of str
        Other names makers type.
    family : str
        ``copper``, ``silver``, ``gold``, ``steel`` or ``copper_zinc``.
    enamelable : str
        ``yes``, ``caution`` or ``no``.
    caution : str
        What to know before using it; empty when nothing is special.
    density, solidus, melting, poisson, young, yield_annealed, mean_expansion : Figure
        At 20 C; `melting` is the liquidus of an alloy; `mean_expansion` is the mean 20-500 C.
    """

    id: str
    name: str
    aliases: tuple[str, ...]
    family: str
    enamelable: Enamelable
    caution: str
    density: Figure
    solidus: Figure
    melting: Figure
    poisson: Figure
    young: Figure
    yield_annealed: Figure
    mean_expansion: Figure

    @property
    def zinc_bearing(self) -> bool:
        """Whether zinc can leave it in the kiln."""
        return self.family == "copper_zinc"

    @property
    def yield_scale(self) -> LogNormal:
        """How the yield of a bought, annealed sheet scatters about the table, as a factor."""
        return LogNormal(median=1.0, sd=loader.value("metals/yield_log_sd"))

    @property
    def expansion_scale(self) -> Normal:
        """How well the expansion is known, as a factor on the free strain."""
        return Normal(mean=1.0, sd=self.mean_expansion.sd / self.mean_expansion.value)

    @property
    def reach(self) -> tuple[float, float]:
        """Temperatures [K] between which the curves are known."""
        row = _row(self.id)
        ends = [curve(row["expansion_curve"]).reach, curve(row["young_curve"]).reach]
        return max(low for low, _ in ends), min(high for _, high in ends)

    def free_strain(self, temperature: npt.ArrayLike) -> Array:
        """Thermal strain from 20 C.

        Parameters
        ----------
        temperature : array_like
            [K], inside `reach`.
        """
        row = _row(self.id)
        kelvin = np.asarray(temperature, dtype=np.float64)
        strain = strain_curve(row["expansion_curve"])
        room, top = (loader.value(f"metals/{key}") for key in ("reference_temperature", "handbook_top"))
        result = strain(kelvin)
        if row["expansion_basis"] == "less":
            result = result - loader.value(f"metals/{self.id}/expansion_below_fine") * (kelvin - room)
        elif row["expansion_basis"] == "mean_20_300":
            wanted = loader.value(f"metals/{self.id}/mean_expansion_20_300")
            result = result * wanted * (top - room) / float(strain(top))
        return np.asarray(result)

    def mean_expansion_to(self, temperature: float) -> float:
        """Mean linear expansion from 20 C to a temperature [K], in 1/K."""
        room = loader.value("metals/reference_temperature")
        return float(self.free_strain(temperature)) / (temperature - room)

    def young_at(self, temperature: npt.ArrayLike) -> Array:
        """Young's modulus [Pa]: the family's curve through the metal's own value at 20 C."""
        shape = curve(_row(self.id)["young_curve"])
        room = float(shape(loader.value("metals/reference_temperature")))
        return np.asarray(shape(temperature) * self.young.value / room)

    def yield_at(self, temperature: npt.ArrayLike) -> Array:
        """Yield stress of the annealed sheet [Pa]."""
        if self.family == "steel":
            return np.asarray(self.yield_annealed.value * curve("steel/yield_ratio")(temperature))
        return self._softening("yield_stress", self.yield_annealed.value, temperature)

    def hardening_at(self, temperature: npt.ArrayLike) -> Array:
        """Rise of the yield stress with equivalent plastic strain [Pa]."""
        return self._softening("hardening", None, temperature)

    def _softening(self, what: str, level: float | None, temperature: npt.ArrayLike) -> Array:
        row = next(
            row for row in loader.rows("metals/softening") if row["metal"] == self.id and row["property"] == what
        )
        unit = units.to_si(1.0, row["unit"], "stress")
        start = float(row["level"]) * unit if level is None else level
        over = np.asarray(temperature, dtype=np.float64) - loader.value("metals/reference_temperature")
        return np.maximum(start + float(row["slope_per_k"]) * unit * over, float(row["floor"]) * unit)

    def specific_heat(self, temperature: npt.ArrayLike) -> Array:
        """Specific heat [J/kg/K]; steel has a sharp peak at its transformation."""
        return curve(_row(self.id)["heat_curve"])(temperature)

    @property
    def heat_reach(self) -> tuple[float, float]:
        """Temperatures [K] between which the specific heat is known."""
        return curve(_row(self.id)["heat_curve"]).reach

    def conductivity(self, temperature: npt.ArrayLike) -> Array:
        """Thermal conductivity [W/m/K]; one constant for the alloys without a curve."""
        name = _row(self.id)["conductivity_curve"]
        if name:
            return curve(name)(temperature)
        constant = loader.value(f"metals/{self.id}/conductivity")
        return np.full(np.shape(temperature), constant)

    def sheet_curves(self) -> SheetCurves:
        """Return the curves the stress solvers need, over the whole known reach above 0 C.

        Points stand every few kelvin, so a sharp bend such as the transformation of steel is
        smeared over one step at most.
        """
        low, high = self.reach
        high = min(high, self._softening_reach())
        cold = max(low, units.to_si(0.0, "°C", "temperature"))
        room = loader.value("metals/reference_temperature")
        grid = np.union1d(np.arange(cold, high, GRID_STEP), np.array([room, high]))
        return SheetCurves(
            temperature=grid,
            free_strain=self.free_strain(grid),
            young=self.young_at(grid),
            yield_stress=self.yield_at(np.maximum(grid, room)),
            hardening=self.hardening_at(grid),
            poisson=self.poisson.value,
        )

    def _softening_reach(self) -> float:
        return curve("steel/yield_ratio").reach[1] if self.family == "steel" else np.inf

    def sheet(self) -> SheetMetal:
        """Return the metal as the stress solvers take it."""
        found = self.sheet_curves()
        return SheetMetal(
            temperature=found.temperature,
            free_strain=found.free_strain,
            young=found.young,
            yield_stress=found.yield_stress,
            hardening=found.hardening,
            poisson=found.poisson,
        )

    def check_below_solidus(self, temperature: float) -> None:
        """Raise OutOfReach when `temperature` [K] would begin to melt the metal."""
        if temperature >= self.solidus.value:
            raise OutOfReach(
                f"{self.name} begins to melt at {units.show(self.solidus.value, 'temperature')}.",
                "Lower the setting.",
            )


@lru_cache(maxsize=1)
def _rows() -> dict[str, loader.Row]:
    return {row["id"]: row for row in loader.rows("metals/metals")}


def _row(key: str) -> loader.Row:
    return _rows()[key]


def metal_ids() -> tuple[str, ...]:
    """Return the keys of all described metals, enamelable or not."""
    return tuple(_rows())


def _plain(name: str) -> str:
    return " ".join(name.lower().replace("_", " ").replace("-", " ").split())


@lru_cache(maxsize=1)
def _names() -> dict[str, str]:
    names: dict[str, str] = {}
    for key, row in _rows().items():
        for name in (key, row["name"], *row["aliases"].split("|")):
            names[_plain(name)] = key
    return names


def metal_id(name: str) -> str:
    """Return the key of a metal by any name makers type, such as ``"925"`` or ``"tombak"``.

    Raises
    ------
    UnknownName
        When nobody described it.
    """
    try:
        return _names()[_plain(name)]
    except KeyError:
        raise UnknownName.among("metal", name, _names()) from None


@cache
def _build(key: str) -> Metal:
    row = _row(key)

    def figure(what: str) -> Figure:
        return loader.fact(f"metals/{key}/{what}").figure()

    enamelable: Enamelable = "yes" if row["enamelable"] == "yes" else "no" if row["enamelable"] == "no" else "caution"
    return Metal(
        id=key,
        name=row["name"],
        aliases=tuple(row["aliases"].split("|")),
        family=row["family"],
        enamelable=enamelable,
        caution=row["caution"],
        density=figure("density"),
        solidus=figure("solidus"),
        melting=figure("melting"),
        poisson=figure("poisson"),
        young=figure("young_20"),
        yield_annealed=figure("yield_annealed"),
        mean_expansion=figure("mean_expansion_20_500"),
    )


def metal(name: str) -> Metal:
    """Return a metal by key or by any name makers type.

    Raises
    ------
    UnknownName
        When nobody described it.
    """
    return _build(metal_id(name))
