"""Pieces with their glass, support, oxide and viscosity laws, as the heating solver wants them."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, fields
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from enamelwright.errors import InputError
from enamelwright.physics.sintering import density_after
from enamelwright.physics.viscosity import VftViscosity

Array = npt.NDArray[np.float64]
Law = Callable[[Array], npt.ArrayLike]

REMEMBERED = 8
"""Packings whose course of sintering is remembered."""


@dataclass(frozen=True)
class VftStack:
    """Viscosity laws of the glasses whose clocks are followed, one row a coat.

    Attributes
    ----------
    log_prefactor, slope, pole : ndarray, shape (coats, members) or broadcastable
        As in ``VftViscosity``: log10 [Pa s], [K], [K].
    """

    log_prefactor: Array
    slope: Array
    pole: Array

    @classmethod
    def of(cls, laws: Sequence[VftViscosity], shift: npt.ArrayLike = 0.0) -> VftStack:
        """Return the stack of some laws, each moved along the temperature axis.

        Parameters
        ----------
        laws : sequence of VftViscosity
            One a coat.
        shift : array_like, broadcastable to (coats, members)
            Kelvin by which each law is moved; positive for a harder glass.
        """
        moved = np.asarray(shift, dtype=np.float64)
        column = [
            np.array([getattr(law, name) for law in laws], dtype=np.float64).reshape(-1, 1)
            for name in ("log_prefactor", "slope", "pole")
        ]
        return cls(column[0], column[1], column[2] + moved)

    @property
    def coats(self) -> int:
        """Number of clocks."""
        return int(self._shape[0])

    @property
    def members(self) -> tuple[int, ...]:
        """Shape of the members, ``(1,)`` where one law serves all."""
        return self._shape[1:]

    @property
    def _shape(self) -> tuple[int, ...]:
        shape = np.broadcast_shapes(*(np.shape(x) for x in (self.log_prefactor, self.slope, self.pole)))
        if len(shape) != 2:
            raise InputError("viscosity laws come as one row a coat, one column a member")
        return shape

    def rows(self, members: int) -> list[Array]:
        """Return the three numbers of the laws, each of shape (members, coats).

        Parameters
        ----------
        members : int
            To spread them over.

        Raises
        ------
        InputError
            If a number is not finite.
        """
        three = (self.log_prefactor, self.slope, self.pole)
        if not all(np.all(np.isfinite(x)) for x in three):
            raise InputError("the viscosity law needs finite numbers")
        # Copies: the kernel takes arrays of one kind only, each laid out row by row.
        return [np.array(np.broadcast_to(x, (self.coats, members)).T, dtype=np.float64, order="C") for x in three]


@dataclass(frozen=True)
class Oxidation:
    """Parabolic growth of oxide on the bare faces, ``d(x^2)/dt = 2 K``, and how it darkens them.

    Attributes
    ----------
    rate : array_like, shape (members,) or scalar
        K at the reference temperature [m2/s]; 0 where nothing grows.
    activation : array_like
        Activation energy over the gas constant [K].
    reference : float
        Temperature the rate is stated at [K].
    depth : array_like
        Oxide that takes a face 1 - 1/e of the way from bright to dark [m].
    """

    rate: npt.ArrayLike
    activation: npt.ArrayLike
    reference: float
    depth: npt.ArrayLike

    @classmethod
    def none(cls) -> Oxidation:
        """Return the oxidation of metals whose bare faces stay as they are."""
        return cls(0.0, 0.0, 1.0, 1.0)

    def entries(self) -> dict[str, Array]:
        """Return the entries as arrays, checked.

        Raises
        ------
        InputError
            For a rate below 0, or a depth or reference that is not above 0.
        """
        given = {name: np.asarray(getattr(self, name), dtype=np.float64) for name in ("rate", "activation", "depth")}
        given["inverse_reference"] = np.asarray(1.0 / self.reference)
        finite = all(np.all(np.isfinite(x)) for x in given.values())
        if not finite or np.any(given["rate"] < 0) or np.any(given["depth"] <= 0) or not self.reference > 0:
            raise InputError("oxide needs a rate of at least 0 and a depth above 0")
        return given


@dataclass(frozen=True)
class Powder:
    """How the glass on a piece holds back the heat that has to cross it, loose powder ten times a melt.

    Quasi-steady: the drop across the glass follows the flux at once. Conductivity rises with the density
    of the sintering powder from loose to melt.

    Attributes
    ----------
    top, bottom : array_like
        Loose powder within the glass of either face [kg/m2]; the rest counts as melt.
    work_scale : array_like
        Grain radius over surface tension [1/Pa].
    packing : float
        Relative density of the loose powder, above 0 and below 1.
    loose, melt : float
        Conductivity of powder and melt [W/m/K].
    melt_density : float
        [kg/m3].
    coat_top, coat_bottom : array_like of int
        Whose clock tells how far the powder of either face has sintered.
    """

    top: npt.ArrayLike
    bottom: npt.ArrayLike
    work_scale: npt.ArrayLike
    packing: float
    loose: float
    melt: float
    melt_density: float
    coat_top: npt.ArrayLike = 0
    coat_bottom: npt.ArrayLike = 0

    @classmethod
    def none(cls) -> Powder:
        """Return glass that holds nothing back."""
        return cls(0.0, 0.0, 1.0, 0.5, np.inf, np.inf, 1.0)

    def entries(self, glass_top: Array, glass_bottom: Array) -> dict[str, Array]:
        """Return the entries of the solver, checked.

        Parameters
        ----------
        glass_top, glass_bottom : ndarray
            All glass of either face [kg/m2].

        Raises
        ------
        InputError
            For entries no powder can have.
        """
        loose = {name: np.asarray(getattr(self, name), dtype=np.float64) for name in ("top", "bottom")}
        scale = np.asarray(self.work_scale, dtype=np.float64)
        if not (0 < self.packing < 1 and 0 < self.loose <= self.melt and self.melt_density > 0):
            raise InputError("a powder is packed between 0 and 1, and conducts no better than its melt")
        if not all(np.all(np.isfinite(x) & (x >= 0)) for x in loose.values()) or not np.all(scale > 0):
            raise InputError("a powder has a weight of at least 0 and a grain above 0")
        if np.any(loose["top"] > glass_top) or np.any(loose["bottom"] > glass_bottom):
            raise InputError("the powder is part of the glass of its face")
        crossed = 1.0 / (self.melt_density * self.melt)
        return {
            "loose_top": loose["top"],
            "loose_bottom": loose["bottom"],
            "melt_top": (glass_top - loose["top"]) * crossed,
            "melt_bottom": (glass_bottom - loose["bottom"]) * crossed,
            "work_scale": scale,
            "coat_top": np.asarray(self.coat_top, dtype=np.float64),
            "coat_bottom": np.asarray(self.coat_bottom, dtype=np.float64),
        }

    def resistance(self, reduced_work: Array) -> Array:
        """Return the resistance of sintering powder over its weight [m2 K/W per kg/m2].

        Parameters
        ----------
        reduced_work : ndarray
            Fusion work over ``work_scale``.
        """
        if np.isinf(self.melt):
            return np.zeros_like(reduced_work)
        density = _sintered(self.packing, tuple(reduced_work.tolist()))
        grown = (density - self.packing) / (1 - self.packing)
        return np.asarray(1.0 / (self.melt_density * density * (self.loose + (self.melt - self.loose) * grown)))


@lru_cache(maxsize=REMEMBERED)
def _sintered(packing: float, reduced_work: tuple[float, ...]) -> Array:
    """Relative density against reduced work; found by bisection, so remembered."""
    density = density_after(1.0, packing, np.array(reduced_work), 1.0)
    density.flags.writeable = False
    return density


@dataclass(frozen=True, kw_only=True)
class HeatedBodies:
    """Pieces with their glass and support; every entry a scalar or an array of shape (members,).

    Attributes
    ----------
    area : array_like
        Of one face, along the sheet of a hollow piece [m2].
    edge_area : array_like
        Perimeter times thickness [m2].
    length : array_like
        Area over perimeter, for the film of air [m].
    metal_density, metal_thickness : array_like
        [kg/m3], [m].
    specific_heat : callable or sequence of callable
        Temperature [K] -> specific heat [J/kg/K] of the metal; several when members differ.
    glass_specific_heat, support_specific_heat : callable or sequence of callable
        The same for glass and support.
    metal_kind, support_kind : array_like of int
        Which of the several a member takes.
    glass_top, glass_bottom : array_like
        Glass on the upper and lower face [kg/m2].
    top_emissivity, bottom_emissivity : array_like
        Of the two faces when the firing begins bright; the edge goes with the lower face.
    top_dark, bottom_dark : array_like or None
        Where the emissivity of a bare face ends under its oxide; None for a face that does not darken.
    top_mouth, bottom_mouth : array_like
        Mouth of the hollow over the face within it, 1 for a flat or bulging face.
    support_mass : array_like
        [kg]; 0 for no support.
    support_area, support_emissivity : array_like
        Area on all sides [m2].
    view : array_like
        Share of the sight of the lower face that the support fills, its openings taken off.
    support_film : array_like
        Film of air of the support [W/m2/K].
    film : array_like or None
        Film of air of either face [W/m2/K]; None to let it follow size and temperature.
    transfer : array_like
        Factor on all radiation, 1 unless learned.
    offset : array_like
        True less set temperature of the chamber in the soak [K].
    start, support_start : array_like
        Temperatures when the door closes [K].
    oxide_start : array_like
        Oxide on the bare faces then [m].
    """

    area: npt.ArrayLike
    edge_area: npt.ArrayLike
    length: npt.ArrayLike
    metal_density: npt.ArrayLike
    metal_thickness: npt.ArrayLike
    specific_heat: Law | Sequence[Law]
    glass_top: npt.ArrayLike
    glass_bottom: npt.ArrayLike
    glass_specific_heat: Law | Sequence[Law]
    top_emissivity: npt.ArrayLike
    bottom_emissivity: npt.ArrayLike
    support_mass: npt.ArrayLike
    support_area: npt.ArrayLike
    support_emissivity: npt.ArrayLike
    support_film: npt.ArrayLike
    support_specific_heat: Law | Sequence[Law]
    view: npt.ArrayLike
    start: npt.ArrayLike
    support_start: npt.ArrayLike
    top_dark: npt.ArrayLike | None = None
    bottom_dark: npt.ArrayLike | None = None
    top_mouth: npt.ArrayLike = 1.0
    bottom_mouth: npt.ArrayLike = 1.0
    film: npt.ArrayLike | None = None
    transfer: npt.ArrayLike = 1.0
    offset: npt.ArrayLike = 0.0
    oxide_start: npt.ArrayLike = 0.0
    metal_kind: npt.ArrayLike = 0
    support_kind: npt.ArrayLike = 0

    def laws(self, name: str, temperatures: Array) -> Array:
        """Tabulate one of the specific heats, shape (kinds, temperatures).

        Parameters
        ----------
        name : str
            Name of the entry.
        temperatures : ndarray
            [K].

        Raises
        ------
        InputError
            If a value is not a positive number.
        """
        given = getattr(self, name)
        several = (given,) if callable(given) else tuple(given)
        table = np.array([np.broadcast_to(law(temperatures), temperatures.shape) for law in several], dtype=np.float64)
        if not (np.all(np.isfinite(table)) and np.all(table > 0)):
            raise InputError("a specific heat must be a positive number at every temperature")
        return table

    def entries(self) -> dict[str, Array]:
        """Return every plain entry as an array, checked.

        Raises
        ------
        InputError
            For entries no body can have.
        """
        given: dict[str, Array] = {}
        for field in fields(self):
            if field.name not in _LAWS:
                value = getattr(self, field.name)
                given[field.name] = np.asarray(0.0 if value is None else value, dtype=np.float64)
        for face in ("top", "bottom"):
            if getattr(self, f"{face}_dark") is None:
                given[f"{face}_dark"] = given[f"{face}_emissivity"]
        for name, value in given.items():
            if not np.all(np.isfinite(value)):
                raise InputError(f"the {name.replace('_', ' ')} of a heated piece must be a finite number")
            low = (name in _POSITIVE and np.any(value <= 0)) or (name in _NOT_NEGATIVE and np.any(value < 0))
            if low or (name in _SHARES and np.any((value <= 0) | (value > 1))):
                raise InputError(f"the {name.replace('_', ' ')} of a heated piece is out of its range")
        if np.any((given["view"] < 0) | (given["view"] > 1)):
            raise InputError("the view of a support is a share between 0 and 1")
        if np.any((given["support_mass"] > 0) & (given["support_area"] <= 0)):
            raise InputError("a support needs an area")
        return given


_POSITIVE = ("area", "length", "metal_density", "metal_thickness", "transfer", "start", "support_start")
_NOT_NEGATIVE = (
    "edge_area", "glass_top", "glass_bottom", "support_mass", "support_area", "support_film", "film", "oxide_start",
)  # fmt: skip
_SHARES = (
    "top_emissivity", "bottom_emissivity", "top_dark", "bottom_dark", "support_emissivity", "top_mouth", "bottom_mouth",
)  # fmt: skip
_LAWS = ("specific_heat", "glass_specific_heat", "support_specific_heat")
