"""Which faults cannot well be on a piece, by its metal, its technique and its jars; they are offered after the others.

What belongs to which metal or glass is common practice of the trade, no source.
"""

from __future__ import annotations

from typing import Any

from sqlalchemy import Row

from enamelwright.craft.jar import WARM, Jar
from enamelwright.craft.piece import Piece
from enamelwright.errors import EnamelwrightError
from enamelwright.workshop import designs
from enamelwright.workshop.bench import bench
from enamelwright.workshop.studio import Studio

#: Kinds of glass through which the metal is seen.
_CLEAR = frozenset({"transparent", "flux", "opal"})
#: Families whose colour comes from what fire turns brown.
_RED = WARM | {"yellow", "mixed"}
#: What only old glass or a setting brings is never among the first.
_RARE = frozenset({"crizzle", "setcrack"})


def unlikely(studio: Studio, piece: Row[Any]) -> frozenset[str]:
    """Return the faults a piece is not likely to have; what is not known rules nothing out.

    Parameters
    ----------
    studio : Studio
        The studio.
    piece : Row
        Of the piece: `metal` and `design_version`.
    """
    described, jars = None, None
    if piece.design_version:
        try:
            described = designs.piece_of(designs.version_row(studio, piece.design_version))
            known = bench(studio)
            jars = [known.jar(coat.jar) for coat in described.coats]
        except EnamelwrightError:
            jars = None
    metal = str(described.metal.kind if described is not None else piece.metal or "")
    return _RARE | _by_metal(metal, described) | _by_technique(described) | _by_jars(jars)


def _by_metal(metal: str, piece: Piece | None) -> frozenset[str]:
    name = metal.casefold().replace("_", " ")
    wired = "silver" in (piece.wires[0].metal if piece is not None and piece.wires else "").replace("_", " ")
    found: set[str] = set()
    if not name:
        return frozenset()
    if "silver" not in name:
        found |= {"fluxag", "yellowedge"}
    if not any(one in name for one in ("copper", "tombac", "gilding", "bronze", "brass")):
        found |= {"fluxcu", "green"}
    if "sterling" not in name and not (wired and "copper" in name):
        found.add("eutectic")
    if "gold" in name or "fine silver" in name or "platinum" in name:
        found.add("blackrim")
    return frozenset(found)


def _by_technique(piece: Piece | None) -> frozenset[str]:
    if piece is None:
        return frozenset()
    found: set[str] = set()
    if not piece.wires:
        found.add("wirecrack")
        if not piece.foils and piece.technique != "foil":
            found.add("blister")
    return frozenset(found)


def _by_jars(jars: list[Jar] | None) -> frozenset[str]:
    if not jars:
        return frozenset()
    found: set[str] = set()
    kinds = {jar.kind for jar in jars}
    families = {jar.optics.family or "mixed" for jar in jars}
    if "flux" not in kinds:
        found |= {"fluxcu", "fluxag"}
    if not kinds & _CLEAR:
        found.add("cloudy")
    if not families & _RED:
        found.add("redbrown")
    if not families & {"white", "clear", "mixed"}:
        found.add("green")
    return frozenset(found)
