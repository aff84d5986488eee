"""Sieve mesh and opening: how fine a powder is, by the standards of test sieves."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

from enamelwright import units
from enamelwright.errors import QuantityError

ASTM = "ASTM E11"
ISO = "ISO 3310-1"


@dataclass(frozen=True)
class Sieve:
    """One test sieve.

    Attributes
    ----------
    standard : str
        ``ASTM E11`` or ``ISO 3310-1``.
    mesh : int or None
        Number of the sieve ("No. 80"); None when the standard names it by its opening only.
    opening : float
        Nominal opening [m].
    """

    standard: str
    mesh: int | None
    opening: float

    def words(self) -> str:
        """Say it, e.g. ``"80 mesh (180 µm)"``."""
        size = units.show(self.opening, "length", "µm" if self.opening < _MILLIMETRE else "mm")
        return size if self.mesh is None else f"{self.mesh} mesh ({size})"


_MILLIMETRE = 1e-3  # below it openings are told in micrometres
_MESH = re.compile(r"^\s*(?:no\.?\s*)?(?P<mesh>\d{1,4})\s*(?:-?\s*mesh)?\s*$", re.IGNORECASE)


@lru_cache(maxsize=2)
def sieves(standard: str = ASTM) -> tuple[Sieve, ...]:
    """Return every sieve of a standard, coarsest first.

    Raises
    ------
    QuantityError
        For a standard not known here.
    """
    from fluids.particle_size_distribution import ASTM_E11_sieves, ISO_3310_1_sieves

    tables = {ASTM: ASTM_E11_sieves, ISO: ISO_3310_1_sieves}
    if standard not in tables:
        raise QuantityError(f"'{standard[:30]}' is not a sieve standard known here.", f"Use {ASTM} or {ISO}.")
    found = []
    for sieve in tables[standard].values():
        old = getattr(sieve, "old_designation", None) or ""
        number = re.fullmatch(r"No\.\s*(\d+)", old)
        found.append(Sieve(standard, int(number[1]) if number else None, float(sieve.opening)))
    return tuple(sorted(found, key=lambda entry: -entry.opening))


def opening_of_mesh(mesh: int) -> float:
    """Return the opening [m] of an ASTM E11 sieve number, such as 80.

    Raises
    ------
    QuantityError
        When there is no such number; names its neighbours.
    """
    numbered = {entry.mesh: entry.opening for entry in sieves() if entry.mesh is not None}
    if mesh in numbered:
        return numbered[mesh]
    near = sorted(numbered, key=lambda number: abs(number - mesh))[:2]
    raise QuantityError(f"there is no {mesh} mesh in {ASTM}.", f"The nearest are {near[0]} and {near[1]}.")


def grain_of_mesh(mesh: int) -> float:
    """Return the opening [m] a mesh number stands for, between two sieves if it has none of its own.

    Makers use numbers such as 150 that are no sieve of the standard; straight lines in logarithms
    join the neighbours.

    Raises
    ------
    QuantityError
        For a number coarser or finer than every sieve.
    """
    numbered = sorted((entry.mesh, entry.opening) for entry in sieves() if entry.mesh is not None)
    for (low, coarse), (high, fine) in pairwise(numbered):
        if low <= mesh <= high:
            share = math.log(mesh / low) / math.log(high / low)
            return float(coarse * (fine / coarse) ** share)
    raise QuantityError(f"{mesh} mesh lies outside {numbered[0][0]} to {numbered[-1][0]} mesh.")


def mesh_of_opening(opening: float) -> Sieve:
    """Return the numbered ASTM E11 sieve whose opening is nearest in ratio to `opening` [m].

    Raises
    ------
    QuantityError
        For an opening that is not positive.
    """
    if not opening > 0:
        raise QuantityError("an opening must be more than nothing.")
    numbered = [entry for entry in sieves() if entry.mesh is not None]
    return min(numbered, key=lambda entry: max(entry.opening / opening, opening / entry.opening))


def parse_opening(text: str) -> float:
    """Read ``"80 mesh"``, ``"No. 80"`` or a length such as ``"180 µm"``; return metres.

    Raises
    ------
    QuantityError
        When it cannot be read; a bare number is taken for neither.
    """
    found = _MESH.match(text)
    if found and not text.strip().isdigit():
        return opening_of_mesh(int(found["mesh"]))
    if found:
        raise QuantityError(f"'{text.strip()}' could be a mesh or a length.", "Write '80 mesh' or '180 µm'.")
    return units.parse(text, "length")
