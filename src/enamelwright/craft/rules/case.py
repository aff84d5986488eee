"""Everything a rule may look at, with the few readings of it that many rules share."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property
from typing import Protocol

from enamelwright.craft.bench import Bench
from enamelwright.craft.coat import Face
from enamelwright.craft.hottest import Heat, heat_of
from enamelwright.craft.layup import Layer, Layup
from enamelwright.craft.metal import Metal, metal
from enamelwright.craft.operation import Firing, Operation
from enamelwright.craft.piece import Piece
from enamelwright.craft.plan import CoatWeight, Flatness
from enamelwright.craft.verdict import Advice

#: Metals by the family that decides what they do to enamel and to each other.
OXIDISING: frozenset[str] = frozenset({"copper", "copper_zinc", "steel"})
FACES: tuple[Face, Face] = ("back", "front")


class Planned(Protocol):
    """The sequence as the rules read it."""

    @property
    def operations(self) -> tuple[Operation, ...]:
        """Steps in order."""
        ...

    @property
    def firings(self) -> tuple[Firing, ...]:
        """Firings in order."""
        ...

    @property
    def advice(self) -> tuple[Advice, ...]:
        """What the sequence already advises."""
        ...


@dataclass(frozen=True)
class Case:
    """A piece laid up, weighed, ordered and judged for flatness: what the rules are asked about.

    Parameters
    ----------
    layup : Layup
        The piece with its names looked up.
    weights : tuple of CoatWeight
        One a coat, in file order.
    sequence : Planned
        Operations and firings.
    bench : Bench
        The studio.
    flatness : Flatness
        What the stress model says.
    """

    layup: Layup
    weights: tuple[CoatWeight, ...]
    sequence: Planned
    bench: Bench
    flatness: Flatness

    @property
    def piece(self) -> Piece:
        """The piece as described."""
        return self.layup.piece

    @property
    def metal(self) -> Metal:
        """Its metal."""
        return self.layup.metal

    @property
    def thickness(self) -> float:
        """Sheet thickness [m]; 0 for forms that are not sheet."""
        return self.layup.thickness

    @property
    def technique(self) -> str:
        """Technique id, empty when none is named."""
        return self.piece.technique or ""

    @property
    def sheet(self) -> bool:
        """Whether the piece is sheet of known thickness."""
        return self.piece.form == "sheet" and self.thickness > 0

    @property
    def firings(self) -> tuple[Firing, ...]:
        """All planned firings."""
        return self.sequence.firings

    def weight(self, layer: Layer) -> CoatWeight:
        """How much of one coat."""
        return next(weight for weight in self.weights if weight.coat == layer.number)

    def glass(self, layer: Layer, share: float = 1.0) -> float:
        """Glass of one coat spread over its whole face [m], all layings.

        Parameters
        ----------
        layer : Layer
            The coat.
        share : float
            Part of its layings already done.
        """
        weight = self.weight(layer)
        layings = 1 if layer.coat.fill else weight.layings
        return weight.fired_thickness.value * layings * share * layer.area / self.face_area

    @cached_property
    def face_area(self) -> float:
        """Area of one face [m2], dome included."""
        whole = self.layup.shape.area * self.layup.shape.dome_area_factor(self.piece.dome)
        return max([whole, *(layer.area for layer in self.layup.layers)])

    def glass_on(self, face: Face) -> float:
        """All glass of one face after the last firing, spread evenly [m]."""
        return sum(self.glass(layer) for layer in self.layup.on(face))

    def deepest(self, face: Face) -> float:
        """Most glass anywhere on a face [m]: cell by cell where coats name cells, even coats everywhere."""
        cells = {name for layer in self.layup.on(face) for name in layer.coat.cells} or {""}
        return max(
            sum(
                self.weight(layer).fired_thickness.value
                * (1 if layer.coat.fill else self.weight(layer).layings)
                * (layer.coat.share or 1.0)
                for layer in self.layup.on(face)
                if not layer.coat.cells or name in layer.coat.cells
            )
            for name in cells
        )

    def below(self, layer: Layer) -> tuple[Layer, ...]:
        """The coats one coat lies directly on, nearest first; several where the nearest has gaps."""
        found: list[Layer] = []
        for other in reversed(self.layup.on(layer.coat.face)):
            if other.place >= layer.place or not overlaps(layer, other):
                continue
            found.append(other)
            if not has_gaps(other, layer):
                break
        return tuple(found)

    def on_metal(self, layer: Layer) -> bool:
        """Whether a coat, somewhere, touches the bare metal: no coat and no foil under it."""
        if layer.coat.face == "front":
            under = [foil for foil in self.piece.foils if foil.after_coat < layer.place and foil.share is None]
            if under:
                return False
        return all(has_gaps(other, layer) for other in self.below(layer))

    @cached_property
    def pairs(self) -> tuple[tuple[Layer, Layer], ...]:
        """(lower, upper) for every coat still to be laid and each coat of another jar it lies on."""
        return tuple(
            (lower, upper)
            for upper in self.layup.layers
            if not upper.coat.fired
            for lower in self.below(upper)
            if lower.jar.id != upper.jar.id
        )

    def laid_in(self, layer: Layer) -> tuple[int, ...]:
        """Numbers of the firings that a coat is laid for, one a laying; empty when it is already on the piece."""
        laid = {op.firing for op in self.sequence.operations if op.work == "lay" and layer.number in op.coats}
        melted = {firing.number for firing in self.firings if layer.number in firing.fuses}
        return tuple(sorted((laid | melted) - {0}))

    def later_firings(self, layer: Layer) -> tuple[Firing, ...]:
        """Firings that heat a coat again after its last laying was fired."""
        last = max(self.laid_in(layer), default=0)
        return tuple(f for f in self.firings if f.number > last and layer.number in f.reheats)

    def hot_firings(self, layer: Layer) -> tuple[Firing, ...]:
        """Every planned firing a coat goes through, the first included."""
        return tuple(f for f in self.firings if layer.number in f.fuses or layer.number in f.reheats)

    @cached_property
    def heats(self) -> tuple[tuple[Firing, Heat], ...]:
        """Each firing that a thermometer rules, with how hot the piece may get."""
        found = ((firing, heat_of(firing, self.piece, self.bench)) for firing in self.firings)
        return tuple((firing, heat) for firing, heat in found if heat is not None)

    def heat(self, firing: Firing) -> Heat | None:
        """How hot the piece may get in one firing."""
        return next((heat for other, heat in self.heats if other.number == firing.number), None)

    @cached_property
    def hottest(self) -> tuple[Firing, Heat] | None:
        """The firing in which the piece may get hottest; None when no thermometer rules any."""
        return max(self.heats, key=lambda pair: pair[1].piece.high, default=None)

    def metals_on(self) -> Iterator[tuple[str, Metal, int, bool]]:
        """Yield (what, metal, front coats under it, glass between it and the base) of wires and foils.

        Yields
        ------
        tuple
            Words, metal, number of coats below, whether unbroken glass lies between.
        """
        for wire in self.piece.wires:
            glass = wire.glass_below if wire.glass_below is not None else self._covered(wire.after_coat)
            yield "wire", metal(wire.metal), wire.after_coat, glass and wire.after_coat > 0
        for foil in self.piece.foils:
            yield "foil", metal(foil.metal), foil.after_coat, self._covered(foil.after_coat)

    def _covered(self, coats: int) -> bool:
        """Whether the first `coats` front coats leave no gap known from the file."""
        return any(
            not (layer.coat.scratched or layer.coat.stencil or layer.coat.share not in (None, 1.0) or layer.coat.cells)
            for layer in self.layup.on("front")
            if layer.place <= coats
        )


def overlaps(one: Layer, other: Layer) -> bool:
    """Whether two coats of a face lie over each other somewhere."""
    mine, theirs = set(one.coat.cells), set(other.coat.cells)
    return not mine or not theirs or bool(mine & theirs)


def has_gaps(lower: Layer, upper: Layer) -> bool:
    """Whether the upper coat reaches past, or through, the lower one."""
    coat = lower.coat
    if coat.scratched or coat.stencil or (coat.share is not None and coat.share < 1):
        return True
    return bool(coat.cells) and not (upper.coat.cells and set(upper.coat.cells) <= set(coat.cells))
