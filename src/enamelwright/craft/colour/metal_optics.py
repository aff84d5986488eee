"""How a metal shines below glass: from optical tables, from a foil, or from the maker's own fluxed coupon."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
import numpy.typing as npt

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.light import COLUMNS
from enamelwright.craft.colour.metal_coupon import MetalCoupon
from enamelwright.craft.metal import metal as metal_named
from enamelwright.errors import OutOfReach
from enamelwright.physics.colour.colour_space import BANDS
from enamelwright.physics.colour.layer_optics import metal_under_glass
from enamelwright.reference.loader import Row, rows, source_keys, sources, value

Array = npt.NDArray[np.float64]
ComplexArray = npt.NDArray[np.complex128]


@dataclass(frozen=True, eq=False)
class BaseOptics:
    """A metal as the glass on it sees it.

    Attributes
    ----------
    metal, words : str
        Id; where its reflectance comes from, for people.
    normal, hemispherical : ndarray, shape (36,)
        Reflectance straight down and for diffuse light, under glass.
    other_normal, other_hemispherical : ndarray, shape (36,)
        The same by another table, as a measure of how far tables differ; equal where there is only one.
    finish : float
        0 mirror to 1 satin.
    sources : tuple of str
        Works the tables were printed in.
    fitted : bool
        Whether a coupon of the maker stands behind it.
    """

    metal: str
    words: str
    normal: Array
    hemispherical: Array
    other_normal: Array
    other_hemispherical: Array
    finish: float
    sources: tuple[str, ...] = ()
    fitted: bool = False


@lru_cache(maxsize=1)
def _tables() -> dict[str, ComplexArray]:
    found: dict[str, ComplexArray] = {}
    for row in rows("colour/metals_nk"):
        numbers = np.array([float(row[name]) for name in COLUMNS])
        so_far = found.get(row["metal"], np.zeros(BANDS.size, dtype=np.complex128))
        found[row["metal"]] = so_far + (numbers if row["part"] == "n" else 1j * numbers)
    return found


@lru_cache(maxsize=32)
def _row(metal: str) -> Row | None:
    return next((row for row in rows("colour/metal_tables") if row["metal"] == metal), None)


def index_of_metal(table: str) -> ComplexArray:
    """Return n + ik of one table of the metals at the 36 bands.

    Parameters
    ----------
    table : str
        e.g. ``"copper"`` or ``"copper_alt_mcpeak"``.
    """
    return _tables()[table].copy()


def metals_known() -> tuple[str, ...]:
    """Return the ids of the metals whose shine is known."""
    return tuple(row["metal"] for row in rows("colour/metal_tables"))


@lru_cache(maxsize=64)
def _under(table: str, n_glass: float) -> tuple[Array, Array]:
    normal, around = metal_under_glass(n_glass, _tables()[table])
    for array in (normal, around):
        array.setflags(write=False)
    return normal, around


def tilt_of(gain: npt.ArrayLike, tilt: npt.ArrayLike) -> Array:
    """Factor on a metal's reflectance, shape (..., 36): a gain, and a tilt along the wavelengths.

    Parameters
    ----------
    gain : array_like, shape (...)
        1 leaves the table as it is.
    tilt : array_like, shape (...)
        Added for each 100 nm of wavelength; 0 leaves it as it is.
    """
    steps = (BANDS - value("colour/metal/tilt_middle")) / value("colour/metal/tilt_span")
    g, t = (np.asarray(x, dtype=np.float64)[..., np.newaxis] for x in (gain, tilt))
    return np.asarray(g * (1 + t * steps))


def base_of(metal: str, n_glass: float, foil: str | None = None, coupon: MetalCoupon | None = None) -> BaseOptics:
    """Return what light meets below the glass.

    Parameters
    ----------
    metal : str
        The sheet, by any name makers use.
    n_glass : float
        Refractive index of the glass that touches it; 1 for bare metal.
    foil : str, optional
        Metal of a foil laid over it, which then is all that light meets.
    coupon : MetalCoupon, optional
        What the maker's own fluxed coupon of this metal showed; corrects the table.

    Raises
    ------
    UnknownName
        When nobody knows the metal.
    OutOfReach
        When no optical table of it exists.
    """
    sheet = metal_named(foil or metal)
    row = _row(sheet.id)
    if row is None:
        raise OutOfReach(
            f"no optical table of {sheet.name} is at hand.", "Try a metal that is near to it, or make a tile."
        )
    normal, around = _under(row["table"], n_glass)
    other_normal, other_around = _under(row["other"] or row["table"], n_glass)
    words = f"{sheet.name}: optical table" + (f"; {row['note']}" if row["note"] else "")
    table = BaseOptics(
        sheet.id, words, normal, around, other_normal, other_around, value("colour/finish/unknown"), _cited(row)
    )
    if foil:
        return replace(table, words=f"foil of {words}", finish=value("colour/finish/foil"))
    if coupon is None:
        return table
    factor = tilt_of(coupon.gain, coupon.tilt)
    own_normal, own_around = (
        np.clip(factor * (first + coupon.between * (other - first)), 0.0, 1.0)
        for first, other in ((normal, other_normal), (around, other_around))
    )
    return replace(
        table,
        words=f"{sheet.name}: your own fluxed coupon",
        normal=own_normal,
        hemispherical=own_around,
        other_normal=own_normal,
        other_hemispherical=own_around,
        finish=table.finish if coupon.finish is None else coupon.finish,
        fitted=True,
    )


def _cited(row: Row) -> tuple[str, ...]:
    """Name the works behind one row, the general words of a status left out."""
    known = sources()
    return tuple(known[key].words() for key in source_keys(row["source"]) if known[key].field == "colour")


def base_on(bench: Bench, metal: str, n_glass: float, foil: str | None = None) -> BaseOptics:
    """Return how a metal or foil shines below glass, by the maker's own fluxed coupon of it where there is one.

    Parameters
    ----------
    bench : Bench
        With its coupons.
    metal : str
        By any of its names.
    n_glass : float
        Refractive index of the glass on it.
    foil : str, optional
        Metal of a foil that hides it.
    """
    coupon = None
    if foil is None and bench.coupons:
        wanted = metal_named(metal).id
        coupon = next((one for one in bench.coupons if metal_named(one.metal).id == wanted), None)
    return base_of(metal, n_glass, foil, coupon)
