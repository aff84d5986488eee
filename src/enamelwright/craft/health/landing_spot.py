"""The landing spot over wood: how hot the wood gets under a session of firings, and what to change.

Many firings add up: a plate that stands cool after one piece passes its heat on for an hour. Figures are those
of dry wood and perfect joints, with a scatter of some 15 K either way from contact and footprint.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Annotated, Literal

from pydantic import Field

from enamelwright import units
from enamelwright.craft.description import Described, Length
from enamelwright.craft.verdict import Level
from enamelwright.errors import InputError
from enamelwright.figure import Figure, Origin
from enamelwright.physics.landing import HotLoad, Landed, Layer, Surroundings, run
from enamelwright.reference.loader import Fact, Row, facts_of, rows, value

Material = Literal[
    "iron", "stainless", "aluminium", "copper", "board", "fibre", "brick", "tile", "stone", "gap", "wood"
]
Load = Literal["mesh", "fork", "plate", "shelf"]

#: Step of the runs that only compare stacks [s]: half the effort, and the same to 0.2 K.
COMPARING_STEP = 6.0
#: Less than this many kelvin cooler is no help that a bench would notice [K].
NOTICED = 1.0
#: Layers of a stack, wood left out.
MOST_LAYERS = 8
#: Firings of the session that stacks are compared by (judgement: a long afternoon).
SESSION = 20
_ORIGIN = Origin(kind="computed", source="layers over wood, heat spreading sideways", status="assumption")


def told(key: str) -> Fact:
    """Return one constant of the table of landing spots, named without its field."""
    return facts_of("health/landing")[f"health/{key}"]


class StackLayer(Described):
    """One layer of a landing spot."""

    material: Material
    thickness: Annotated[Length, Field(gt=0.0002, le=0.3)]

    def words(self) -> str:
        """Name it with its thickness."""
        return f"{units.show(self.thickness, 'length', 'mm')} {_material(self.material)['words']}"


@dataclass(frozen=True)
class Spot:
    """A landing spot and how it is used.

    Attributes
    ----------
    layers : tuple of StackLayer
        From the top down, wood left out.
    wood : float
        Thickness of the wood below [m].
    side : float
        Of the square plate or board [m].
    load : str
        What is set down.
    start : float
        Temperature as it comes out [K].
    firings : int
        In the session.
    interval, dwell : float
        From one to the next, and how long each lies there [s].
    room : float
        [K].
    """

    layers: tuple[StackLayer, ...]
    wood: float
    side: float
    load: Load
    start: float
    firings: int
    interval: float
    dwell: float
    room: float

    def __post_init__(self) -> None:
        """Refuse spots that cannot be."""
        if len(self.layers) > MOST_LAYERS:
            raise InputError(f"more than {MOST_LAYERS} layers.", "Take thin layers of one kind together.")
        if any(layer.material == "wood" for layer in self.layers):
            raise InputError("wood is what lies below; it is no layer of the spot.", "Give its thickness apart.")
        if self.layers and self.layers[0].material == "gap":
            raise InputError("an air gap lies below something.", "Name what stands on the feet.")
        if self.dwell > self.interval:
            raise InputError("a load lies on the spot until the next one comes, and no longer.", "Check both times.")

    @property
    def bare_metal(self) -> bool:
        """Whether nothing but metal lies between the load and the wood."""
        return all(_material(layer.material)["metal"] == "yes" for layer in self.layers)

    def words(self) -> str:
        """Say what it is made of, from the top down."""
        return " on ".join([layer.words() for layer in self.layers] + ["wood"]) if self.layers else "bare wood"


@dataclass(frozen=True)
class Spotted:
    """How hot the wood gets.

    Attributes
    ----------
    peak, held : Figure
        Below the middle of the spot: hottest moment, and the hottest mean over :func:`window` [K].
    after : Figure or None
        When the limit for long contact is passed [s]; None when never, not even as the heat arrives later.
    level : str
        ``good`` reads low on this estimate.
    judged : Figure
        Which of the two counts: the moment where bare metal lies on the wood, else the mean.
    landed : Landed
        The course of it.
    """

    peak: Figure
    held: Figure
    after: Figure | None
    level: Level
    judged: Figure
    landed: Landed


@dataclass(frozen=True)
class Change:
    """One change of the spot or its use.

    Attributes
    ----------
    words : str
        What to change.
    cooler : Figure
        By how much the wood stays cooler [K].
    level : str
        What it would be called then.
    """

    words: str
    cooler: Figure
    level: Level


@lru_cache(maxsize=1)
def _materials() -> dict[str, Row]:
    return {row["material"]: row for row in rows("health/landing_layers")}


def _material(name: str) -> Row:
    return _materials()[name]


def usual_thickness(material: Material) -> float:
    """Return the thickness a layer of this kind usually has [m]."""
    return units.to_si(float(_material(material)["usual_mm"]), "mm", "length")


def material_words(material: Material) -> str:
    """Name a material as a maker would."""
    return _material(material)["words"]


def load_words(load: Load) -> str:
    """Name a load as a maker would."""
    return _load(load)["words"]


def _load(load: Load) -> Row:
    return next(row for row in rows("health/landing_loads") if row["load"] == load)


def _layer(material: Material, thickness: float) -> Layer:
    row = _material(material)
    through, density = float(row["conductivity"]), float(row["density"] or value(f"metals/{material}/density"))
    if material == "gap":
        return Layer(thickness, density, float(row["heat"]), through + told("gap_radiation").value * thickness, 0.0)
    return Layer(thickness, density, float(row["heat"]), through, through)


def _hot(spot: Spot) -> HotLoad:
    row = _load(spot.load)
    return HotLoad(
        start=spot.start,
        mass_heat=units.to_si(float(row["mass_g"]), "g", "mass") * float(row["heat"]),
        area=float(row["area_m2"]),
        emissivity=float(row["emissivity"]),
        view=told("spot_view").value,
        film=told("support_film").value,
        contact=float(row["contact"]),
        contact_area=units.to_si(float(row["contact_cm2"]), "cm2", "area"),
        piece_heat=told("piece_mass").value * told("piece_heat").value,
        piece_area=told("piece_face").value,
        piece_top=told("piece_top").value,
        piece_view=told("piece_view").value,
        piece_film=told("piece_film").value,
        piece_gap=told("piece_gap").value,
        piece_support=told("piece_support").value,
        piece_share=told("piece_share").value,
    )


def window() -> float:
    """Time over which a mean is held against the limit for long contact [s]."""
    return told("wood_window").value


def spotted(spot: Spot, longest_step: float | None = None, finer: int = 1) -> Spotted:
    """Follow a session on a landing spot, and the wood after it until it cools.

    Parameters
    ----------
    spot : Spot
        The spot and its use.
    longest_step : float, optional
        Of the time [s]; that of the law when left out.
    finer : int
        Times as many slices of the layers.

    Raises
    ------
    InputError
        When the session is too long to follow.
    OutOfReach
        When the heat through these layers could not be followed.
    """
    footprint = units.to_si(float(_load(spot.load)["footprint_mm"]), "mm", "length")
    layers = [_layer(layer.material, layer.thickness) for layer in spot.layers] + [_layer("wood", spot.wood)]
    steps = {} if longest_step is None else {"longest_step": longest_step}
    landed = run(
        layers, len(layers) - 1, spot.side**2, footprint**2, _hot(spot),
        Surroundings(
            spot.room, told("top_film").value, told("top_emissivity").value, told("covered").value,
            told("bottom_film").value,
        ),
        count=spot.firings, interval=spot.interval, dwell=spot.dwell, finer=finer, **steps,
    )  # fmt: skip
    peak, held = _figure(landed.peak, spot.room), _figure(landed.hottest_mean(window()), spot.room)
    judged = peak if spot.bare_metal else held
    return Spotted(peak, held, _passed(landed), _level(judged.value, peak.value), judged, landed)


def _figure(kelvin: float, room: float) -> Figure:
    off = told("scatter").value
    return Figure(
        value=kelvin, low=max(kelvin - off, min(room, kelvin)), high=kelvin + off, dimension="temperature",
        origin=_ORIGIN,
    )  # fmt: skip


def _passed(landed: Landed) -> Figure | None:
    """Return when the limit for long contact is passed [s]; sooner or later where the wood is a scatter off."""
    long, off = told("wood_long").value, told("scatter").value
    after = landed.reaches(long)
    if after == float("inf"):
        return None
    # a cooler bench may never pass it: then the end of what was followed
    late = min(landed.reaches(long + off), float(landed.times[-1]))
    return Figure(value=after, low=landed.reaches(long - off), high=late, dimension="time", origin=_ORIGIN)


def _level(judged: float, peak: float) -> Level:
    """Judge: the lower threshold lies a whole scatter below the published limit, and no moment over it is low."""
    long = told("wood_long").value
    if judged > long or peak > told("wood_moment").value:
        return "stop"
    return "watch" if judged > told("wood_note").value or peak > long else "good"


def changes(spot: Spot) -> tuple[Change, ...]:
    """Work out which changes of the spot keep the wood cooler, the one that helps most first.

    What heats the wood, or changes nothing that a bench would notice, is left out; none may be left.

    Parameters
    ----------
    spot : Spot
        As it is.
    """
    before = spotted(spot, COMPARING_STEP)

    def with_layer(material: Material) -> Spot:
        return replace(spot, layers=(*spot.layers, StackLayer(material=material, thickness=usual_thickness(material))))

    tried: list[tuple[str, Spot]] = []
    if not spot.layers or _material(spot.layers[0].material)["metal"] != "yes":
        top = StackLayer(material="iron", thickness=usual_thickness("iron"))
        tried.append((f"{top.words()} on top, which spreads the heat", replace(spot, layers=(top, *spot.layers))))
    if len(spot.layers) < MOST_LAYERS and spot.layers:
        fibre = with_layer("fibre")
        tried.append((f"{fibre.layers[-1].words()} below it all", fibre))
        gap = with_layer("gap")
        tried.append((f"feet, with {units.show(gap.layers[-1].thickness, 'length', 'mm')} of open air", gap))
    if spot.firings > 1:
        tried.append(
            ("two spots used in turn", replace(spot, interval=2 * spot.interval, firings=-(-spot.firings // 2)))
        )
    tried.append(("a plate half as wide again", replace(spot, side=1.5 * spot.side)))
    if spot.load in {"plate", "shelf"}:
        tried.append(("a mesh instead of the heavy support", replace(spot, load="mesh")))
    found = []
    for words, other in tried:
        one = spotted(other, COMPARING_STEP)
        found.append(Change(words, _cooler(before, one, spot.room), one.level))
    helping = [one for one in found if one.cooler.value > NOTICED]
    return tuple(sorted(helping, key=lambda one: -one.cooler.value))


def _cooler(before: Spotted, after: Spotted, room: float) -> Figure:
    """Return by how much the wood stays cooler [K]; the scatter is a share of every rise, and so of this."""
    gain, rise = before.judged.value - after.judged.value, before.judged.value - room
    off = abs(gain) * min(told("scatter").value / rise, 1.0) if rise > 0 else 0.0
    return Figure(value=gain, low=gain - off, high=gain + off, dimension="temperature_difference", origin=_ORIGIN)


def usual_spot(layers: Sequence[StackLayer], load: Load = "mesh", firings: int = SESSION) -> Spot:
    """Return a spot used as the tables take it for granted.

    Parameters
    ----------
    layers : sequence of StackLayer
        From the top down.
    load : str
        What is set down.
    firings : int
        In the session.
    """
    return Spot(
        tuple(layers), told("wood_thickness").value, told("plate_side").value, load,
        value("heat/top_temperature"), firings, told("interval").value, told("dwell").value, value("heat/room"),
    )  # fmt: skip


#: Four stacks of the table in the docs.
STACKS: tuple[tuple[tuple[Material, float], ...], ...] = (
    (("iron", 0.004),),
    (("iron", 0.004), ("board", 0.012)),
    (("iron", 0.004), ("board", 0.012), ("fibre", 0.01)),
    (("iron", 0.004), ("board", 0.012), ("gap", 0.005), ("fibre", 0.01)),
)


def stacks_table(firings: int = SESSION) -> list[tuple[Spot, Spotted]]:
    """Return the four stacks of the docs after a session.

    Parameters
    ----------
    firings : int
        In the session.
    """
    spots = [usual_spot([StackLayer(material=m, thickness=d) for m, d in stack], firings=firings) for stack in STACKS]
    return [(spot, spotted(spot)) for spot in spots]
