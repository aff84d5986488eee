"""A kiln with nothing left open: what its owner told, and the figures of its preset for the rest."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from enamelwright import units
from enamelwright.craft.kiln import USUAL_PRESET, Control, Door, Kiln, Lining, Preset
from enamelwright.errors import HouseError
from enamelwright.reference import loader
from enamelwright.reference.loader import Fact, Row


def kiln_fact(key: str) -> Fact:
    """Return one constant of the table of kilns, named without its field."""
    return loader.facts_of("heat/kiln")[f"heat/kiln/{key}"]


@dataclass(frozen=True)
class KilnFacts:
    """Everything the heat balance needs of a kiln.

    Attributes
    ----------
    preset : str
        Class that filled the gaps.
    lining : str
        ``fibre``, ``brick`` or ``muffle``.
    width, depth, height, wall : float
        Inside and wall [m].
    hearth_thickness : float
        Tile, or clay of the muffle [m].
    hearth_cover : float or None
        Share of the inside that clay covers; None: a tile on the floor.
    power : float
        What the element draws at the mains as measured [W].
    control : str
        ``pid``, ``on-off`` or ``dial``.
    door : str
        Which way it opens.
    door_width, door_height : float
        Clear opening [m].
    door_open : float
        Stands open to load [s].
    assumed : tuple of str
        What the preset stood in for.
    """

    preset: Preset
    lining: Lining
    width: float
    depth: float
    height: float
    wall: float
    hearth_thickness: float
    hearth_cover: float | None
    power: float
    control: Control
    door: Door
    door_width: float
    door_height: float
    door_open: float
    assumed: tuple[str, ...]


@lru_cache(maxsize=1)
def presets() -> dict[Preset, Row]:
    """Return the rows of the table of presets by name."""
    return {row["preset"]: row for row in loader.rows("heat/kiln_presets")}  # type: ignore[misc]


def lining_row(lining: Lining) -> Row:
    """Return the row of one lining.

    Raises
    ------
    HouseError
        When the table does not hold it.
    """
    for row in loader.rows("heat/kiln_linings"):
        if row["lining"] == lining:
            return row
    raise HouseError(f"no reference table describes the lining '{lining}'.", "Install the program again.")


def preset_for(kiln: Kiln) -> Preset:
    """Return the preset a kiln names, or the one that its lining and size are nearest to.

    Parameters
    ----------
    kiln : Kiln
        As told.
    """
    if kiln.preset is not None:
        return kiln.preset
    same = [name for name, row in presets().items() if kiln.lining is None or row["lining"] == kiln.lining]
    if kiln.width is None or kiln.depth is None or kiln.height is None:
        return USUAL_PRESET if USUAL_PRESET in same else same[0]
    volume = kiln.width * kiln.depth * kiln.height
    if kiln.lining is None:
        same = [name for name in same if presets()[name]["lining"] == "fibre"]

    def off(name: Preset) -> float:
        row = presets()[name]
        other = _mm(row, "width") * _mm(row, "depth") * _mm(row, "height")
        return max(other / volume, volume / other)

    return min(same, key=off)


def _mm(row: Row, key: str) -> float:
    return units.to_si(float(row[f"{key}_mm"]), "mm", "length")


def kiln_facts(kiln: Kiln) -> KilnFacts:
    """Fill the gaps of a kiln from its preset.

    Parameters
    ----------
    kiln : Kiln
        As told.
    """
    preset = preset_for(kiln)
    row = presets()[preset]
    assumed: list[str] = []

    def told(words: str, own: float | None, usual: float) -> float:
        if own is None:
            assumed.append(words)
            return usual
        return own

    width, depth, height = (
        told(f"inside {side}", getattr(kiln, side), _mm(row, side)) for side in ("width", "depth", "height")
    )
    wall = told("wall", kiln.wall, _mm(row, "wall"))
    power = told("power", kiln.power, float(row["power_w"]))
    if kiln.volts is not None and kiln.rated_volts is not None:
        power *= (kiln.volts / kiln.rated_volts) ** 2
    lining: Lining = kiln.lining or row["lining"]  # type: ignore[assignment]
    if kiln.lining is None:
        assumed.append("lining")
    if kiln.control is None:
        assumed.append("control")
    cover = float(row["hearth_cover"]) if row["hearth_cover"] and lining == row["lining"] else None
    return KilnFacts(
        preset=preset,
        lining=lining,
        width=width,
        depth=depth,
        height=height,
        wall=wall,
        hearth_thickness=told("hearth", kiln.hearth_thickness, _mm(row, "hearth")),
        hearth_cover=cover,
        power=power,
        control=kiln.control or row["control"],  # type: ignore[arg-type]
        door=kiln.door or row["door"],  # type: ignore[arg-type]
        door_width=min(width, kiln.door_width or width),
        door_height=min(height, kiln.door_height or height),
        door_open=told("seconds with the door open", kiln.door_open, kiln_fact("door_open").value),
        assumed=tuple(assumed),
    )
