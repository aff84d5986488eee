"""One piece in one firing, as the heat sees it: faces, glass, metal and what it rests on."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from enamelwright.craft.coat import Face
from enamelwright.craft.layup import Layer, Layup
from enamelwright.craft.operation import Firing
from enamelwright.craft.plan import CoatWeight
from enamelwright.craft.window.facts import number
from enamelwright.craft.window.supports import SupportHeat, support_heat
from enamelwright.errors import OutOfReach


@dataclass(frozen=True)
class LoadedPiece:
    """What one piece brings into the kiln.

    Attributes
    ----------
    metal : str
        Key of the metal.
    area, edge_area, length : float
        Of one face, of the edge [m2]; area over perimeter [m].
    density, thickness : float
        Of the metal [kg/m3], [m].
    glass_top, glass_bottom : float
        [kg/m2].
    bright, dark : tuple of float
        Emissivity of (upper, lower) face when it goes in, and where it ends.
    mouth : tuple of float
        Mouth of the hollow over the face within, upper and lower; 1 for a flat or bulging face.
    support : SupportHeat
        What it rests on.
    grows : bool
        Whether bare metal grows oxide.
    bare : tuple of str
        Faces that carry no glass in this firing.
    """

    metal: str
    area: float
    edge_area: float
    length: float
    density: float
    thickness: float
    glass_top: float
    glass_bottom: float
    bright: tuple[float, float]
    dark: tuple[float, float]
    mouth: tuple[float, float]
    support: SupportHeat
    grows: bool
    bare: tuple[Face, ...]


def present(firing: Firing, layup: Layup) -> tuple[Layer, ...]:
    """Return every coat that is on the piece in a firing, in file order."""
    return tuple(layup.layers[number] for number in sorted({*firing.reheats, *firing.fuses, *firing.lays}))


def layings_done(layer: Layer, weight: CoatWeight, firing: Firing) -> float:
    """Return how many layings' worth of ``fired_thickness`` of a coat are there in a firing.

    Parameters
    ----------
    layer : Layer
        The coat.
    weight : CoatWeight
        Its amount.
    firing : Firing
        For a coat laid in rounds, only the rounds so far count.
    """
    if firing.fill_round and layer.number in firing.lays:
        return _after(layer, weight, firing.fill_round)
    return 1.0 if layer.coat.fill else float(weight.layings)


def layings_before(layer: Layer, weight: CoatWeight, firing: Firing) -> float:
    """Return how many layings' worth of a coat were there before a firing lays more of it; 0 for its first round."""
    if firing.fill_round > 1 and layer.number in firing.lays:
        return _after(layer, weight, firing.fill_round - 1)
    return 0.0 if firing.fill_round else max(0.0, (0.0 if layer.coat.fill else float(weight.layings)) - 1.0)


def _after(layer: Layer, weight: CoatWeight, rounds: int) -> float:
    """Return layings' worth after some rounds: a fill packed flush leaves the same share open each time."""
    there = min(rounds, weight.layings)
    if not layer.coat.fill:
        return float(there)
    left = 1.0 - number("powder_packing")
    return float((1.0 - left**there) / (1.0 - left**weight.layings))


def loaded_piece(firing: Firing, layup: Layup, weights: Sequence[CoatWeight]) -> LoadedPiece:
    """Describe a piece for one firing.

    Parameters
    ----------
    firing : Firing
        From the sequence.
    layup : Layup
        The piece, of sheet.
    weights : sequence of CoatWeight
        One a coat, in file order.

    Raises
    ------
    OutOfReach
        When the form is not sheet, so that neither thickness nor area tell its mass.
    """
    if layup.piece.form != "sheet" or layup.thickness <= 0:
        raise OutOfReach("the form is not sheet, so its heating is not worked out.", "Go by the stage.")
    bulge = layup.shape.dome_area_factor(layup.piece.dome)
    area = layup.shape.area * bulge
    glass, covered = {"front": 0.0, "back": 0.0}, {"front": 0.0, "back": 0.0}
    for layer in present(firing, layup):
        weight = weights[layer.number]
        thickness = weight.fired_thickness.value * layings_done(layer, weight, firing)
        glass[layer.coat.face] += thickness * layer.glass.density.value * layer.area / area
        covered[layer.coat.face] = max(covered[layer.coat.face], min(1.0, _cover(layer, firing, layup) / area))
    up: Face = firing.face_up
    down: Face = "back" if up == "front" else "front"
    bright, dark = zip(*(_emissivity(layup, covered[face]) for face in (up, down)), strict=True)
    hollow = 1.0 / bulge
    rises = layup.piece.dome if up == "front" else -layup.piece.dome
    mouth = (1.0, hollow) if rises > 0 else (hollow, 1.0) if rises < 0 else (1.0, 1.0)
    edges = layup.shape.all_edges
    return LoadedPiece(
        metal=layup.metal.id,
        area=area,
        edge_area=edges * layup.thickness,
        length=area / edges,
        density=layup.metal.density.value,
        thickness=layup.thickness,
        glass_top=glass[up],
        glass_bottom=glass[down],
        bright=(bright[0], bright[1]),
        dark=(dark[0], dark[1]),
        mouth=mouth,
        support=support_heat(firing.support, layup.shape.chord),
        grows=layup.metal.family.startswith("copper"),
        bare=tuple(face for face in ("front", "back") if covered[face] == 0.0),
    )


def _cover(layer: Layer, firing: Firing, layup: Layup) -> float:
    """Return the area of a face that a coat and its neighbours in other cells cover [m2]."""
    if not layer.coat.cells:
        return layer.area
    return sum(
        other.area for other in present(firing, layup) if other.coat.face == layer.coat.face and other.coat.cells
    )


def _emissivity(layup: Layup, share: float) -> tuple[float, float]:
    """Return (bright, dark) emissivity of a face of which so much is glass."""
    enamel = number("surface_emissivity")
    if layup.metal.family == "steel":
        bright = dark = number("steel_bare")
    elif layup.metal.family.startswith("copper"):
        bright, dark = number("bare_bright"), number("bare_dark")
    else:
        bright = dark = number("noble_bright")
    return share * enamel + (1 - share) * bright, share * enamel + (1 - share) * dark
