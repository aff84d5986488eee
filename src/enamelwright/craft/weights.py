"""Grams, powder depth and fired thickness of every coat: one turns into the other here.

The glass a coat leaves is its powder without the air between the grains: fired thickness = packing
fraction x powder depth, and grams = area x fired thickness x density of the glass. What falls beside
the piece is added to what is weighed out. Nothing is rounded before it is shown.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from enamelwright import units
from enamelwright.craft.bench import Bench
from enamelwright.craft.layup import Layer, Layup
from enamelwright.craft.learned_hand import ANY_MESH, ANYBODY, POSSIBLE
from enamelwright.craft.piece import CELLED
from enamelwright.craft.plan import CoatWeight, JarTotal
from enamelwright.errors import InputError
from enamelwright.figure import Z95, Array, Distribution, Figure, Normal, Origin, Spread, Triangular
from enamelwright.reference.loader import fact

#: Draws behind a weight's band; stratified, so the ends settle to about one per cent.
DRAWS = 512
#: Balance steps below which weighing says nothing (common practice, no source).
STEPS_WORTH_WEIGHING = 10

_COMPUTED = Origin(kind="computed", source="area x depth x packing x density", status="computed")


def normal_of(figure: Figure) -> Distribution:
    """Return the normal distribution whose 5-95 % band is that of `figure`."""
    return Normal(mean=figure.value, sd=max(figure.sd, 0.0))


def three_points(figure: Figure) -> Distribution:
    """Return low, likely and high of `figure` as a triangular distribution."""
    return Triangular(low=figure.low, likely=figure.value, high=figure.high)


def habit_of(figure: Figure, what: str) -> Distribution:
    """Return the law of a habit of the hand: a judgement has three points, what was learned the band it was told with.

    Parameters
    ----------
    figure : Figure
        The habit.
    what : str
        ``loss`` or ``packing``: what can be.
    """
    if figure.origin.kind != "learned":
        return three_points(figure)
    # A band cut at what can be keeps its longer side.
    side = max(figure.high - figure.value, figure.value - figure.low)
    return Normal(mean=figure.value, sd=side / Z95, ends=POSSIBLE[what])


@dataclass(frozen=True)
class Hand:
    """How powder is laid at this bench: packing, losses and the balance, as figures.

    Parameters
    ----------
    packing : Figure
        Solid share of the powder bed.
    loss : dict of str to Figure
        Share of the powder that misses the piece, by method.
    balance_step : float
        Smallest step of the balance [kg].
    sifted : dict of int to Figure
        Share that misses when sifted through a mesh of which enough was weighed.
    """

    packing: Figure
    loss: dict[str, Figure]
    balance_step: float
    sifted: Mapping[int, Figure] = field(default_factory=dict)

    def missed(self, method: str, mesh: int | None = None) -> Figure:
        """Return the share of the powder that misses the piece.

        Parameters
        ----------
        method : str
            How it is laid.
        mesh : int, optional
            Sieve it goes through, when that is known.
        """
        return self.sifted.get(mesh or 0, self.loss[method]) if method == "sift" else self.loss[method]

    def missed_of(self, layer: Layer) -> Figure:
        """Return the share of the powder of one coat that misses the piece."""
        return self.missed(layer.coat.method, layer.coat.mesh or layer.jar.mesh)

    def words_of(self, layer: Layer) -> tuple[str, str]:
        """Say what of one coat misses the piece and how solid it lies, and whose hand that is of."""
        missed = self.missed_of(layer)
        return (
            f"{missed.shown('%')} of the powder misses the piece: {_whose(missed)}",
            f"{self.packing.shown('%')} of the powder bed is glass: {_whose(self.packing)}",
        )

    @classmethod
    def of(cls, bench: Bench) -> Hand:
        """Take what the maker told, else what own weighings taught, else reference values."""
        measured = Origin(kind="measured", source=bench.name, status="bench")
        packing = fact("trade/packing_fraction").figure()
        if bench.hands.packing is not None:
            packing = _about(bench.hands.packing, packing, measured)
        else:
            packing = _learned(bench, "packing").get(ANY_MESH, packing)
        sifted: dict[int, Figure] = {}
        sift = fact("trade/sifting_loss").figure()
        if bench.hands.sifting_loss is not None:
            sift = _about(bench.hands.sifting_loss, sift, measured)
        else:
            sifted = _learned(bench, "loss")
            sift = sifted.pop(ANY_MESH, sift)
        wet = fact("trade/wet_laying_loss").figure()
        step = bench.hands.balance_step or fact("trade/balance_step").value
        losses = {"sift": sift, "spray": fact("trade/spraying_loss").figure()}
        for method in ("wet-pack", "slip", "paint", "trail", "place"):
            losses[method] = wet
        return cls(packing, losses, step, sifted)


def _whose(habit: Figure) -> str:
    """Say whose hand a habit is of, and on how many weighings it stands."""
    words = {"learned": f"learned from {habit.origin.source}", "measured": "as told of the hands at this bench"}
    return words.get(habit.origin.kind, "hands at large")


#: A measured habit still wanders by this share of its reference band (assumption).
_MEASURED_SHARE = 0.5


def _about(value: float, reference: Figure, origin: Origin) -> Figure:
    """Centre the reference band, narrowed, on a measured value."""
    half = _MEASURED_SHARE * (reference.high - reference.low) / 2
    return Figure(value=value, low=value - half, high=value + half, dimension=reference.dimension, origin=origin)


def _learned(bench: Bench, what: str) -> dict[int, Figure]:
    """Return a habit of whoever lays, by mesh: the person's own where weighings told it, else everybody's here."""
    wanted = [one for one in bench.learned_hands if one.what == what]
    mine = [one for one in wanted if one.who == bench.laid_by] or [one for one in wanted if one.who == ANYBODY]
    least, most = POSSIBLE[what]
    found = {}
    for one in mine:
        low = min(max(one.value - Z95 * one.sd, least), one.value)
        high = max(min(one.value + Z95 * one.sd, most), one.value)
        origin = Origin(kind="learned", source=one.words)
        found[one.mesh] = Figure(value=one.value, low=low, high=high, dimension="ratio", origin=origin)
    return found


def spread_of(layer: Layer, hand: Hand) -> Spread:
    """Return the uncertain factors behind one coat's weight."""
    return Spread(
        {
            "hand: packing": habit_of(hand.packing, "packing"),
            f"hand: loss, {layer.coat.method}": habit_of(hand.missed_of(layer), "loss"),
            f"jar {layer.jar.id}: density": normal_of(layer.glass.density),
        }
    )


def rounds_to_level(packing: float, residual: float) -> int:
    """Return how many flush fills bring a recess to within `residual` of its depth.

    Each flush fill fires to the fraction `packing` of the depth still open, so the open depth after n
    fills is (1 - packing)^n. The ceiling is taken last, because near packing 0.45 the answer sits on a step.

    Parameters
    ----------
    packing : float
        Solid share of the powder bed, 0..1.
    residual : float
        Open share allowed, 0..1.

    Raises
    ------
    InputError
        When either is outside (0, 1).
    """
    if not (0 < packing < 1 and 0 < residual < 1):
        raise InputError("packing and residual must lie between 0 and 1.", "Give shares such as 0.5 and 0.05.")
    return math.ceil(math.log(residual) / math.log(1 - packing))


def depth_to_fill(layup: Layup) -> float:
    """Return the depth of the cells to be filled [m]: wire height, recess, or the sheet itself when pierced."""
    if layup.piece.wires:
        return max(wire.height for wire in layup.piece.wires)
    if layup.piece.recess is not None:
        return layup.piece.recess.depth
    if layup.piece.technique in CELLED:
        return layup.thickness
    raise InputError(
        "a coat is to be filled to level, but the piece has no wires, recess or open cells.",
        "Add [recess] or [[wires]], or give the coat a depth.",
    )


def weigh(layup: Layup, bench: Bench) -> tuple[CoatWeight, ...]:
    """Work out every coat of a piece, in file order.

    Parameters
    ----------
    layup : Layup
        The piece with its jars looked up.
    bench : Bench
        Hands and balance.
    """
    hand = Hand.of(bench)
    laid: list[CoatWeight] = []
    on_steel = layup.metal.family == "steel"
    for layer in layup.layers:
        fill = layer.coat.fill is not None
        laid.append(_weigh_fill(layup, layer, hand, laid) if fill else weigh_coat(layer, hand, on_steel))
    return tuple(laid)


def weigh_coat(layer: Layer, hand: Hand, on_steel: bool = False) -> CoatWeight:
    """Turn the one amount a coat was given in into all the others.

    Parameters
    ----------
    layer : Layer
        The coat with its jar and area; not a fill to level.
    hand : Hand
        Packing, losses, balance.
    on_steel : bool
        Steel wants thinner coats when nothing is said.
    """
    coat = layer.coat
    drawn = spread_of(layer, hand).draw(
        ["hand: packing", f"hand: loss, {coat.method}", f"jar {layer.jar.id}: density"], DRAWS
    )
    packing, loss, density = drawn.values()
    beds = (
        _Bed(
            layer.area,
            hand.packing.value,
            hand.missed_of(layer).value,
            layer.glass.density.value,
        ),
        _Bed(layer.area, packing, loss, density),
    )
    if coat.weight is not None:
        nominal, held = (bed.from_grams(coat.weight) for bed in beds)
        how = "from the grams you weigh out"
    elif coat.fired_thickness is not None:
        nominal, held = (bed.from_glass(coat.fired_thickness) for bed in beds)
        how = "from the glass wanted after firing"
    else:
        depth, how = _depth_of(layer, on_steel)
        factor = f"coat {layer.number}: depth"
        drawn_depth = Spread({factor: three_points(depth)}).draw([factor], DRAWS)[factor]
        nominal, held = beds[0].from_depth(depth.value), beds[1].from_depth(drawn_depth)
    return _coat_weight(layer, nominal, held, coat.times, hand, how)


def _depth_of(layer: Layer, on_steel: bool) -> tuple[Figure, str]:
    """Return powder depth and how it was come by, for amounts given by depth, siftings or eye."""
    coat = layer.coat
    if coat.powder_depth is not None:
        given = Origin(kind="measured", source="piece file", status="as asked")
        return Figure.exact(coat.powder_depth, "length", given), "from the powder depth asked for"
    if coat.siftings is not None:
        one = fact("trade/one_sifting").figure()
        return _times(one, coat.siftings), f"{coat.siftings} siftings by eye"
    if not coat.look and on_steel:
        return fact("trade/look_steel").figure(), "no amount given: taken as thin, since thick coats spring off steel"
    look = coat.look or _usual_look(layer)
    words = f"by eye, {look}" if coat.look else f"no amount given: taken as {look}"
    return fact(f"trade/look_{look.replace(' ', '_')}").figure(), words


def _usual_look(layer: Layer) -> str:
    """Return the look an ordinary coat of this kind is laid to when nothing is said."""
    if layer.jar.kind in {"painting"} or layer.coat.method == "paint":
        return "thin"
    return "thin" if layer.jar.see_through else "just hidden"


def _times(figure: Figure, n: int) -> Figure:
    return Figure(
        value=figure.value * n,
        low=figure.low * n,
        high=figure.high * n,
        dimension=figure.dimension,
        origin=figure.origin,
    )


Numbers = Array | float


@dataclass(frozen=True)
class _Amounts:
    """One coat in all its measures, scalars or draws: depth [m], glass [m], kept [kg], weighed [kg]."""

    depth: Numbers
    glass: Numbers
    kept: Numbers
    weighed: Numbers


@dataclass(frozen=True)
class _Bed:
    """What turns one measure of a coat into the others: area [m2], packing, loss, density [kg/m3]."""

    area: float
    packing: Numbers
    loss: Numbers
    density: Numbers

    def from_depth(self, depth: Numbers) -> _Amounts:
        return self.from_glass(depth * self.packing)

    def from_glass(self, glass: Numbers) -> _Amounts:
        kept = self.area * glass * self.density
        return _Amounts(glass / self.packing, glass, kept, kept / (1 - self.loss))

    def from_grams(self, weighed: float) -> _Amounts:
        kept = weighed * (1 - self.loss)
        glass = kept / (self.area * self.density)
        return _Amounts(glass / self.packing, glass, kept, weighed)


def _figure(draws: Numbers, nominal: Numbers, dimension: str) -> Figure:
    spread = np.broadcast_to(np.asarray(draws, dtype=float), (DRAWS,))
    return Figure.of_draws(spread, dimension, _COMPUTED, value=float(nominal))


def _coat_weight(layer: Layer, nominal: _Amounts, held: _Amounts, layings: int, hand: Hand, how: str) -> CoatWeight:
    weighed = _figure(held.weighed, nominal.weighed, "mass")
    return CoatWeight(
        coat=layer.number,
        face=layer.coat.face,
        jar=layer.jar.id,
        jar_name=layer.jar.name,
        area=layer.area,
        powder_depth=_figure(held.depth, nominal.depth, "length"),
        fired_thickness=_figure(held.glass, nominal.glass, "length"),
        to_weigh=weighed,
        on_piece=_times(_figure(held.kept, nominal.kept, "mass"), layings),
        layings=layings,
        weighable=weighed.value >= STEPS_WORTH_WEIGHING * hand.balance_step,
        how=how,
        hand=hand.words_of(layer),
    )


def _weigh_fill(layup: Layup, layer: Layer, hand: Hand, before: list[CoatWeight]) -> CoatWeight:
    """Weigh a fill to level: the open depth of its cells, less what other coats leave in them."""
    open_depth = depth_to_fill(layup)
    cells = set(layer.coat.cells)
    taken = 0.0
    sharers = 0
    for other in layup.on(layer.coat.face):
        if other.number == layer.number or not (cells & set(other.coat.cells) or (not other.coat.cells and not cells)):
            continue
        if other.coat.fill:
            sharers += 1
        elif other.number < layer.number:
            taken += sum(w.fired_thickness.value * w.layings for w in before if w.coat == other.number)
        else:
            taken += weigh_coat(other, hand).fired_thickness.value * other.coat.times
    depth = (open_depth - taken) / (1 + sharers)
    if depth <= 0:
        raise InputError(
            f"coat {layer.number + 1} has nothing left to fill: the coats under and over it already reach the top.",
            "Lower the other coats or leave this one out.",
            f"coats[{layer.number + 1}]",
        )
    residual = fact("trade/fill_residual").value
    rounds = max(1, math.ceil(rounds_to_level(hand.packing.value, residual) / (1 + sharers)))
    factors = [f"hand: loss, {layer.coat.method}", f"jar {layer.jar.id}: density", "cells: depth"]
    uneven = Spread({"cells: depth": Normal(mean=1.0, sd=fact("trade/cell_depth_sd").value)})
    loss, density, unevenness = spread_of(layer, hand).joined(uneven).draw(factors, DRAWS).values()
    middle = (hand.missed_of(layer).value, layer.glass.density.value)
    level = depth * unevenness
    kept, nominal_kept = layer.area * level * density, layer.area * depth * middle[1]
    held = _Amounts(level, level, kept / rounds, kept / (1 - loss) / rounds)
    nominal = _Amounts(depth, depth, nominal_kept / rounds, nominal_kept / (1 - middle[0]) / rounds)
    how = (
        f"filled to level in {rounds} fills; each is an average, the first takes about {hand.packing.value:.0%} of all"
    )
    return _coat_weight(layer, nominal, held, rounds, hand, how)


def hand_from_weighing(
    weighed_out: float,
    gained: float,
    area: float | None,
    powder_depth: float | None,
    density: Figure,
    balance_step: float | None,
    bench: Bench,
) -> tuple[Figure, Figure | None]:
    """Return loss and packing as one weighed coat shows them.

    Each weighing is off by half a step of the balance at most; a depth read with a gauge by one step of it.

    Parameters
    ----------
    weighed_out, gained : float
        Powder taken, and how much heavier the piece became [kg].
    area, powder_depth : float or None
        Area [m2] and depth before firing [m]; without both the packing stays unknown.
    density : Figure
        Of the glass.
    balance_step : float or None
        Smallest step of the balance [kg]; that of the bench when None.
    bench : Bench
        For its balance.
    """
    origin = Origin(kind="measured", source="own weighing", status="as weighed")
    half = (balance_step or Hand.of(bench).balance_step) / 2
    ends = [1 - (gained + 2 * sign * half) / (weighed_out - sign * half) for sign in (1, -1)]
    low, high = max(min(ends), 0.0), min(max(ends), 1.0)
    middle = 1 - gained / weighed_out
    loss = Figure(value=middle, low=min(low, middle), high=max(high, middle), dimension="ratio", origin=origin)
    if area is None or powder_depth is None:
        return loss, None
    reading = fact("trade/depth_reading").value
    if powder_depth < reading:
        raise InputError(
            f"a powder depth of {units.show(powder_depth, 'length', 'mm')} is less than a depth gauge can tell.",
            "Measure a deeper bed, or leave the depth out.",
        )
    packing = gained / (area * powder_depth * density.value)
    most = (gained + 2 * half) / (area * max(powder_depth - reading, reading) * density.low)
    least = max(gained - 2 * half, 0.0) / (area * (powder_depth + reading) * density.high)
    if not POSSIBLE["packing"][0] < packing < POSSIBLE["packing"][1]:
        raise InputError(
            f"these figures would mean that {packing:.0%} of the powder bed is glass.",
            "Check the area, the depth before firing and the jar.",
        )
    return loss, Figure(value=packing, low=least, high=most, dimension="ratio", origin=origin)


def totals(weights: tuple[CoatWeight, ...], layup: Layup) -> tuple[JarTotal, ...]:
    """Add up the powder of each jar over all copies, loss included."""
    result: dict[str, JarTotal] = {}
    for weight, layer in zip(weights, layup.layers, strict=True):
        if layer.coat.fired:
            continue
        grams = _times(weight.to_weigh, weight.layings * layup.piece.copies)
        if weight.jar in result:
            old = result[weight.jar].grams
            grams = Figure(
                value=old.value + grams.value, low=old.low + grams.low, high=old.high + grams.high,
                dimension="mass", origin=grams.origin,
            )  # fmt: skip
        result[weight.jar] = JarTotal(
            jar=weight.jar, jar_name=weight.jar_name, grams=grams, synthetic=layer.jar.synthetic
        )
    return tuple(result.values())
