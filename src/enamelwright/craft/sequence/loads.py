"""What goes into the kiln together: the coats of one face, gathered into loads.

A load is everything that melts, is embedded or is made bright in one firing. Coats of a face come in
file order. Coats that lie in different cells have no order between them, so they share their rounds:
all cells filled in the same round share a firing.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from enamelwright.craft.coat import Face
from enamelwright.craft.jar import WARM
from enamelwright.craft.layup import Layer, Layup
from enamelwright.craft.piece import OPEN_BACKED, Foil, Wires
from enamelwright.craft.plan import CoatWeight

LoadKind = Literal["coats", "wires", "foils", "flash", "again"]


@dataclass(frozen=True)
class Lay:
    """One laying of one coat.

    Parameters
    ----------
    layer : Layer
        The coat with its jar.
    nth, of : int
        Which laying of how many, from 1.
    """

    layer: Layer
    nth: int
    of: int

    @property
    def first(self) -> bool:
        """Whether the coat melts for the first time."""
        return self.nth == 1

    @property
    def last(self) -> bool:
        """Whether the coat is complete after this laying."""
        return self.nth == self.of


@dataclass(frozen=True)
class Load:
    """Everything one firing is for.

    Parameters
    ----------
    kind : str
        ``coats``, ``wires`` or ``foils`` laid without glass, ``flash``, or ``again`` (put back in).
    faces : tuple of str
        Faces worked on.
    lays : tuple of Lay
        Powder laid for it, in the order it is laid.
    wires, foils : tuple
        What is stood or laid for it.
    round, rounds : int
        Which round of how many; 0 when nothing is laid more than once.
    stone : tuple of str
        Faces stoned after it.
    why : str
        Why it is here, when the merge of faces decided it.
    """

    kind: LoadKind
    faces: tuple[Face, ...]
    lays: tuple[Lay, ...] = ()
    wires: tuple[Wires, ...] = ()
    foils: tuple[Foil, ...] = ()
    round: int = 0
    rounds: int = 0
    stone: tuple[Face, ...] = ()
    why: str = ""

    def with_other(self, other: Load) -> Load:
        """Return this load with another put into the same firing."""
        faces = self.faces + tuple(face for face in other.faces if face not in self.faces)
        return replace(
            self,
            kind="coats" if "coats" in (self.kind, other.kind) else self.kind,
            faces=faces,
            lays=self.lays + other.lays,
            wires=self.wires + other.wires,
            foils=self.foils + other.foils,
            round=max(self.round, other.round),
            rounds=max(self.rounds, other.rounds),
            stone=self.stone + tuple(face for face in other.stone if face not in self.stone),
        )


def levelled(layup: Layup) -> bool:
    """Tell whether the front glass is brought level with metal: wires, recess or pierced cells."""
    piece = layup.piece
    if not layup.on("front"):
        return False
    filled = any(layer.coat.fill == "to level" for layer in layup.on("front"))
    return filled or bool(piece.wires) or piece.recess is not None or open_backed(layup)


def open_backed(layup: Layup) -> bool:
    """Tell whether light passes through the piece, so that it has no back to enamel."""
    return layup.piece.technique in OPEN_BACKED


def see_through(layup: Layup) -> bool:
    """Tell whether both faces of the glass are worked: open cells without a shell of metal behind them."""
    return open_backed(layup) and layup.piece.technique != "plique_etched"


def face_loads(layup: Layup, weights: tuple[CoatWeight, ...], face: Face) -> list[Load]:
    """Return the loads of one face in order, coats already fired included.

    Parameters
    ----------
    layup : Layup
        The piece.
    weights : tuple of CoatWeight
        In file order; tell how often each coat is laid.
    face : str
        ``front`` or ``back``.
    """
    loads: list[Load] = []
    piece = layup.piece
    waiting = _things(layup, 0, loads) if face == "front" else None
    for block in _blocks(layup, face):
        rounds = _rounds(block, weights)
        if waiting is not None:
            if block[0].coat.with_previous:
                rounds[0] = rounds[0].with_other(waiting)
            else:
                loads.append(waiting)
            waiting = None
        if any(layer.coat.stone_after for layer in block):
            rounds[-1] = replace(rounds[-1], stone=(face,))
        loads += rounds
        if face == "front":
            waiting = _things(layup, max(layer.place for layer in block), loads)
    if waiting is not None:
        loads.append(waiting)
    if face == "front" and loads and levelled(layup) and piece.finish != "as fired":
        sides: tuple[Face, ...] = ("front", "back") if see_through(layup) else ("front",)
        loads[-1] = replace(loads[-1], stone=sides)
    return loads


def _things(layup: Layup, place: int, loads: list[Load]) -> Load | None:
    """Return wires and foils that stand on front coat `place`; foils go down first."""
    foils = tuple(foil for foil in layup.piece.foils if foil.after_coat == place)
    wires = tuple(wire for wire in layup.piece.wires if wire.after_coat == place)
    if foils:
        found = Load("foils", ("front",), foils=foils)
        if wires:
            loads.append(found)
            return Load("wires", ("front",), wires=wires)
        return found
    # Wires on bare metal are soldered, or held by the first fill: no glass is there to sink into.
    if wires and place > 0:
        return Load("wires", ("front",), wires=wires)
    return None


def _blocks(layup: Layup, face: Face) -> list[list[Layer]]:
    """Group the coats of a face that share their rounds."""
    stops: set[int] = set()
    if face == "front":
        stops |= {wire.after_coat for wire in layup.piece.wires} | {foil.after_coat for foil in layup.piece.foils}
    blocks: list[list[Layer]] = []
    for layer in layup.on(face):
        if blocks and _belongs(layer, blocks[-1], stops):
            blocks[-1].append(layer)
        else:
            blocks.append([layer])
    return blocks


def _belongs(layer: Layer, block: list[Layer], stops: set[int]) -> bool:
    before = block[-1]
    if before.place in stops or before.coat.fired != layer.coat.fired:
        return False
    if layer.coat.with_previous and before.number == layer.number - 1:
        return True
    if any(other.coat.stone_after for other in block):
        return False
    taken = {name for other in block for name in other.coat.cells}
    apart = bool(layer.coat.cells) and all(other.coat.cells for other in block) and not taken & set(layer.coat.cells)
    return apart and layer.coat.set == before.coat.set and layer.coat.target == before.coat.target


def _rounds(block: list[Layer], weights: tuple[CoatWeight, ...]) -> list[Load]:
    """Return one load a round; warm colours wait for the last rounds, so that they are fired least."""
    counts = {layer.number: max(1, weights[layer.number].layings) for layer in block}
    most = max(counts.values())
    face = block[0].coat.face
    loads = []
    for turn in range(1, most + 1):
        lays = []
        for layer in block:
            count = counts[layer.number]
            late = most - count if layer.coat.cells and layer.jar.optics.family in WARM else 0
            if 1 <= turn - late <= count:
                lays.append(Lay(layer, turn - late, count))
        loads.append(Load("coats", (face,), tuple(lays), round=turn if most > 1 else 0, rounds=most if most > 1 else 0))
    return loads
