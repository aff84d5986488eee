"""The history of a piece as the stress solver needs it: which glass joins the sheet at which firing.

Every laying of a coat is a layer of its own that joins at the firing that melts it. A coat that does
not cover the whole face is spread evenly over it: local thickness is out of reach of a plate of even
layers. Coats already on the piece when the plan starts are taken as fused together in one earlier
firing, since nobody recorded them.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property
from math import sqrt

from enamelwright.craft.checks.judgement import level
from enamelwright.craft.coat import Face
from enamelwright.craft.layup import Layer, Layup
from enamelwright.craft.operation import Firing
from enamelwright.craft.plan import CoatWeight
from enamelwright.figure import Figure
from enamelwright.physics.laminate import Coat, Side
from enamelwright.reference import loader

#: Firing temperatures are told apart in steps of this many kelvin, so that tables can be shared; above
#: the setting of the glass they do not matter.
TOP_STEP = 5.0
#: Kelvin kept below the end of a metal's curves.
BELOW_REACH = 1.0


@dataclass(frozen=True)
class Amount:
    """Relative standard deviations of the glass of one coat, by what moves together.

    Parameters
    ----------
    hand : float
        How dense the powder lies: the same in every coat of these hands.
    jar : float
        Density of the glass: the same in every coat of its jar.
    own : float
        What was judged by eye or fell beside the piece: of this coat alone.
    """

    hand: float = 0.0
    jar: float = 0.0
    own: float = 0.0

    @classmethod
    def of(cls, layer: Layer, weight: CoatWeight) -> Amount:
        """Tell the parts of a coat's band apart.

        The glass of a coat given by its powder is depth times packing, so what its depth does not
        explain is packing; of a coat given by its grams it is the kept powder over the density.

        Parameters
        ----------
        layer : Layer
            The coat of the file: it says how the amount was given.
        weight : CoatWeight
            What was worked out of it.
        """
        whole = _relative(weight.fired_thickness)
        by_grams = layer.coat.weight is not None
        own = min(_relative(weight.on_piece if by_grams else weight.powder_depth), whole)
        rest = sqrt(max(whole**2 - own**2, 0.0))
        return cls(jar=rest, own=own) if by_grams else cls(hand=rest, own=own)


@dataclass(frozen=True)
class Lamina:
    """One laying of one coat, spread evenly over the face.

    Parameters
    ----------
    layer : Layer
        The coat of the file and its jar.
    laying : int
        Which laying of that coat, from 0.
    firing : int
        Firing of the history that fuses it, from 0.
    thickness : float
        Fired glass [m].
    amount : Amount
        How far the amount laid may be off.
    """

    layer: Layer
    laying: int
    firing: int
    thickness: float
    amount: Amount

    @property
    def face(self) -> Face:
        """Face it lies on."""
        return self.layer.coat.face

    @property
    def coat(self) -> Coat:
        """The layer as the solver names it."""
        return Coat(Side.FRONT if self.face == "front" else Side.BACK, self.firing)

    @property
    def factor(self) -> str:
        """Name of the factor of its thickness; it stays the same while a plan is edited."""
        return f"coat {self.layer.number}, laying {self.laying}: thickness"

    @property
    def own_amount(self) -> str:
        """Name of the factor of what only this coat's amount is off by; shared by its layings."""
        return f"coat {self.layer.number}: amount"


@dataclass(frozen=True)
class History:
    """All layers and firings of a piece.

    Parameters
    ----------
    laminae : tuple of Lamina
        Back then front, each from the metal outward.
    tops : tuple of float
        Peak temperature of each firing [K].
    cooling : float
        e-fold time of each cooling [s].
    pressed : tuple of bool
        Pressed flat while hot, per firing.
    before : int
        1 when the first firing stands for what was fired before the plan, else 0.
    firings : tuple of Firing
        The planned firings, after `before`.
    """

    laminae: tuple[Lamina, ...]
    tops: tuple[float, ...]
    cooling: float
    pressed: tuple[bool, ...]
    before: int
    firings: tuple[Firing, ...]

    @cached_property
    def coats(self) -> tuple[Coat, ...]:
        """Layers as the solver names them."""
        return tuple(lamina.coat for lamina in self.laminae)

    def on(self, face: Face) -> tuple[int, ...]:
        """Return positions of the layers of one face, metal outward."""
        return tuple(n for n, lamina in enumerate(self.laminae) if lamina.face == face)

    def of_coat(self, number: int, until: int | None = None) -> tuple[int, ...]:
        """Return positions of the layings of one coat, those fused by firing `until` at the latest."""
        return tuple(
            n
            for n, lamina in enumerate(self.laminae)
            if lamina.layer.number == number and (until is None or lamina.firing <= until)
        )

    def glass(self, face: Face) -> float:
        """Return the nominal glass on one face at the end [m]."""
        return sum(self.laminae[n].thickness for n in self.on(face))


def history_of(layup: Layup, weights: tuple[CoatWeight, ...], firings: tuple[Firing, ...]) -> History:
    """Put the layings of all coats into the order of the firings.

    Parameters
    ----------
    layup : Layup
        The piece.
    weights : tuple of CoatWeight
        One per coat, in file order.
    firings : tuple of Firing
        In order; `fuses` names a coat once for each of its layings.
    """
    piece = layup.piece
    done = [layer for layer in layup.layers if layer.coat.fired]
    before = 1 if done else 0
    laminae: list[Lamina] = []
    for layer in done:
        whole = weights[layer.number]
        laminae.append(_lamina(layup, layer, whole, 0, 0, _layings(layer, whole)))
    count: dict[int, int] = {}
    for step, firing in enumerate(firings):
        for number in firing.lays or dict.fromkeys(firing.fuses):
            layer = layup.layers[number]
            if not layer.coat.fired:
                laying = count.get(number, 0)
                count[number] = laying + 1
                laminae.append(_lamina(layup, layer, weights[number], laying, step + before, 1.0))
    laminae = _share_out(laminae, weights, count)
    ordered = sorted(laminae, key=lambda one: (one.face == "front", one.firing, one.layer.place))
    tops = [_top(firing, layup) for firing in firings]
    press = piece.firing.press_flat
    pressed = [press and firing.loaded in {"front", "back"} for firing in firings]
    if before:
        tops.insert(0, tops[0] if tops else _hot(loader.value("heat/top_temperature"), layup))
        pressed.insert(0, False)
        if piece.so_far.pressed_flat and len(pressed) > 1:
            pressed[1] = True
    return History(tuple(ordered), tuple(tops), _cooling(piece.firing.cooling), tuple(pressed), before, firings)


def _layings(layer: Layer, weight: CoatWeight) -> float:
    """Return how many layings' worth of `fired_thickness` a whole coat is."""
    return 1.0 if layer.coat.fill else float(weight.layings)


def _lamina(layup: Layup, layer: Layer, weight: CoatWeight, laying: int, firing: int, layings: float) -> Lamina:
    glass = weight.fired_thickness
    whole = layup.shape.area * layup.shape.dome_area_factor(layup.piece.dome)
    cover = min(weight.area / whole, 1.0)
    return Lamina(layer, laying, firing, glass.value * layings * cover, Amount.of(layer, weight))


def _relative(figure: Figure) -> float:
    return figure.sd / figure.value if figure.value else 0.0


def _share_out(laminae: list[Lamina], weights: tuple[CoatWeight, ...], count: dict[int, int]) -> list[Lamina]:
    """Divide a fill to level over its firings, and a coat over fewer firings than layings."""
    result = []
    for one in laminae:
        times = count.get(one.layer.number, 1)
        weight = weights[one.layer.number]
        whole = 1 if one.layer.coat.fill else weight.layings
        share = 1.0 if one.layer.coat.fired else whole / times
        result.append(replace(one, thickness=one.thickness * share))
    return result


def _top(firing: Firing, layup: Layup) -> float:
    window = firing.window
    if window is not None and window.set_point is not None:
        return _hot(window.set_point.value, layup)
    asked = [layup.layers[n].coat.set for n in firing.fuses]
    known = [kelvin for kelvin in (*asked, layup.piece.firing.set) if kelvin is not None]
    return _hot(known[0] if known else loader.value("heat/top_temperature"), layup)


def _hot(kelvin: float, layup: Layup) -> float:
    """Round, and keep inside the curves of the metal: the glass is fluid long before their end."""
    _, high = layup.metal.reach
    rounded = round(kelvin / TOP_STEP) * TOP_STEP
    return min(rounded, high - BELOW_REACH)


def _cooling(habit: str) -> float:
    """Return the e-fold time of a cooling habit [s]."""
    named = {"draught": "draught", "cold slab": "cold_slab", "in the kiln": "in_kiln"}
    if habit in named:
        return level(f"cooling_{named[habit]}")
    return loader.value("heat/cooling_time_constant")
