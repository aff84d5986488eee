"""What a piece may be done to, and when, after it comes out of the kiln."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np
import numpy.typing as npt

from enamelwright import units
from enamelwright.craft.air import air_film
from enamelwright.craft.heat_capacity import specific_heat
from enamelwright.craft.jar_glass import JarGlass
from enamelwright.craft.layup import Layup
from enamelwright.craft.metal import Metal
from enamelwright.craft.plan import CoatWeight
from enamelwright.errors import InputError, OutOfReach
from enamelwright.figure import Z95, Figure, LogNormal, Normal, Origin, Spread
from enamelwright.physics.cooling import cooling_times
from enamelwright.reference import loader
from enamelwright.reference.loader import Fact, facts_of

Array = npt.NDArray[np.float64]

#: Draws behind the bands; they are stratified, so few settle a 5-95 % band to a per cent or two.
DRAWS = 96
#: Kelvin that the softening point of a drawn glass keeps above its transformation.
LEAST_STEP = 20.0
_ORIGIN = Origin(kind="computed", source="lumped cooling in still air by radiation and convection", status="assumption")


def told(key: str) -> Fact:
    """Return one constant of the table of cooling, named without its field."""
    return facts_of("heat/cooling")[f"heat/{key}"]


@dataclass(frozen=True)
class HotPiece:
    """A piece as it comes out of the kiln.

    Attributes
    ----------
    metal : Metal
        Its sheet.
    thickness : float
        Of the sheet [m].
    area, perimeter : float
        Of one face [m2] and round it [m].
    glass : tuple of float
        Glass on front and back [kg/m2].
    glasses : tuple of JarGlass
        Every glass on it; the one that sets last decides.
    out : Figure
        Temperature of the piece as it leaves the kiln [K].
    """

    metal: Metal
    thickness: float
    area: float
    perimeter: float
    glass: tuple[float, float]
    glasses: tuple[JarGlass, ...]
    out: Figure

    def __post_init__(self) -> None:
        """Refuse pieces without a body."""
        if min(self.thickness, self.area, self.perimeter) <= 0 or min(self.glass) < 0:
            raise InputError("a piece that cools needs a thickness, an area and a rim.", "Give its sizes.")

    @classmethod
    def of(cls, layup: Layup, weights: Sequence[CoatWeight], out: Figure) -> HotPiece:
        """Return the finished piece of a plan.

        Parameters
        ----------
        layup : Layup
            The piece.
        weights : sequence of CoatWeight
            One a coat, in file order.
        out : Figure
            Temperature of the piece as it leaves the kiln [K].

        Raises
        ------
        InputError
            When the form is not sheet, so that no heat capacity is known.
        """
        face = layup.shape.area * layup.shape.dome_area_factor(layup.piece.dome)
        held = {"front": 0.0, "back": 0.0}
        for layer, weight in zip(layup.layers, weights, strict=True):
            layings = 1 if layer.coat.fill else weight.layings
            held[layer.coat.face] += layer.area * weight.fired_thickness.value * layings * layer.glass.density.value
        return cls(
            layup.metal,
            layup.thickness,
            face,
            layup.shape.all_edges,
            (held["front"] / face, held["back"] / face),
            tuple(layer.glass for layer in layup.layers),
            out,
        )


@dataclass(frozen=True)
class CoolingTimes:
    """Seconds after leaving the kiln; None for what never comes, or what the piece has not.

    Attributes
    ----------
    level : Figure or None
        Until here it is carried level and nothing touches the glass: it still takes a print.
    solid : Figure or None
        From here the glass is solid and a tool may touch the face.
    past_red : Figure or None
        From here no red is seen in the dark.
    edge : Figure or None
        From here it may be taken by the edge for a moment.
    touch : Figure or None
        From here it may be held.
    colour : Figure or None
        From here colours may be judged and compared.
    """

    level: Figure | None
    solid: Figure | None
    past_red: Figure | None
    edge: Figure | None
    touch: Figure | None
    colour: Figure | None

    def steps(self) -> tuple[str, ...]:
        """Say what to do, in the order it comes, each at the late end of its band."""
        words = []
        if self.level is not None and self.solid is not None and self.solid.high > 0:
            words.append(f"Carry it level for {_late(self.level)}; no tool on the glass for {_late(self.solid)}.")
        if self.past_red is not None and self.past_red.value > 0:
            words.append(f"It looks no longer red after about {_likely(self.past_red)}, and is still far too hot.")
        if self.edge is not None and self.touch is not None:
            words.append(f"By the edge after {_late(self.edge)}, in the hand after {_late(self.touch)}.")
        else:
            words.append("It never cools to the touch here: move it to a cold place.")
        if self.colour is not None:
            words.append(f"Judge no colour before {_late(self.colour)}: some show another colour while hot.")
        return tuple(words)


def _late(figure: Figure) -> str:
    return _spoken(figure.high)


def _likely(figure: Figure) -> str:
    return _spoken(figure.value)


def _spoken(seconds: float) -> str:
    """Say a time the way a maker counts: seconds below two minutes, else whole minutes, rounded up."""
    minute = units.to_si(1.0, "min", "time")
    if seconds < 2 * minute:
        return f"{int(np.ceil(seconds))} s"
    return f"{int(np.ceil(seconds / minute))} min"


def leaving(set_point: float | None = None) -> Figure:
    """Return the temperature of a piece as it clears the door [K].

    Parameters
    ----------
    set_point : float, optional
        Of the kiln [K]; an ordinary setting when left out.
    """
    usual = loader.fact("heat/top_temperature").figure()
    low, value, high = (usual.low, usual.value, usual.high) if set_point is None else (set_point,) * 3
    less, wrong = told("out_of_kiln_less"), Z95 * loader.value("heat/kiln_reading_sd")
    return Figure(
        value=value - less.value,
        low=low - less.high - wrong,
        high=high - less.low + wrong,
        dimension="temperature",
        origin=Origin(kind="assumption", source="set point less what is lost at the door"),
    )


def times_of(piece: HotPiece, room: float | None = None) -> CoolingTimes:
    """Work out the cooling of a piece in still air, both faces free.

    On a rack it cools so; on a bench or a warm landing spot slower. Emissivity, air, the temperature out of
    the kiln and the setting of the glass are uncertain, and the bands hold them all.

    Parameters
    ----------
    piece : HotPiece
        As it leaves the kiln.
    room : float, optional
        Temperature of what is about it [K]; 20 degrees Celsius when left out.

    Raises
    ------
    InputError
        When the piece has no body, or the room is no temperature.
    OutOfReach
        When the metal's specific heat is not known so hot.
    """
    around = loader.value("heat/room") if room is None else room
    if piece.out.high > piece.metal.heat_reach[1]:
        raise OutOfReach(f"the heat held by {piece.metal.name} is not known that hot.", "Check the temperature.")
    if around < piece.metal.heat_reach[0]:
        raise OutOfReach("no room is that cold.", "Check its temperature.")
    spread = _spread(piece)
    drawn = spread.draw(spread.factors, DRAWS)
    start = _with(piece.out.value, np.minimum(drawn["out"], piece.metal.heat_reach[1]))
    shine = sum(np.clip(_with(f.value, drawn[name]), 0, 1) for name, f in _faces(piece))
    marks, goals = _goals(piece, drawn, start.size)
    film, length = air_film(), piece.area / piece.perimeter
    scale = _with(told("air_scale").value, drawn["air"])[:, None]

    def heat(kelvin: Array) -> Array:
        warm = np.maximum(kelvin, piece.metal.heat_reach[0])
        metal = piece.metal.density.value * piece.thickness * piece.metal.specific_heat(warm)
        return np.asarray(metal + sum(piece.glass) * specific_heat("glass", kelvin))

    def to_air(kelvin: Array) -> Array:
        return np.asarray(scale * sum(film.coefficients(kelvin, around, length)))

    seconds = cooling_times(start, around, goals, heat=heat, emissivity=shine, film=to_air)
    found = {name: _figure(seconds[:, k]) for k, name in enumerate(marks)}
    return CoolingTimes(**{field.name: found.get(field.name) for field in fields(CoolingTimes)})


def _with(nominal: float, drawn: Array) -> Array:
    """Put the nominal value before its draws: member 0 is the likely one."""
    return np.concatenate(([nominal], drawn))


def _figure(seconds: Array) -> Figure | None:
    if not np.all(np.isfinite(seconds)):
        return None
    return Figure.of_draws(seconds[1:], "time", _ORIGIN, float(seconds[0]))


def _faces(piece: HotPiece) -> list[tuple[str, Fact]]:
    """Return the emissivity of each face by what it carries."""
    dark = piece.metal.family in {"copper", "copper_zinc", "steel"}
    bare = told("bare_emissivity" if dark else "polished_emissivity")
    kinds = [told("enamel_emissivity") if glass > 0 else bare for glass in piece.glass]
    return [("front", kinds[0]), ("back", kinds[1])]


def _spread(piece: HotPiece) -> Spread:
    """Return what is uncertain about the cooling of a piece."""
    air = told("air_scale")
    spread = Spread(
        {
            "out": Normal(mean=piece.out.value, sd=piece.out.sd),
            "air": LogNormal(median=air.value, sd=float(np.log(air.high / air.low)) / (2 * Z95)),
            **{name: Normal(mean=f.value, sd=f.figure().sd) for name, f in _faces(piece)},
        }
    )
    for number, glass in enumerate(piece.glasses):
        spread = spread.joined(
            Spread({f"{number} {name}": glass.factors[name] for name in ("isokom 12", "isokom 6.6")})
        )
    return spread


def _goals(piece: HotPiece, drawn: dict[str, Array], members: int) -> tuple[list[str], Array]:
    """Return the names of the milestones and their temperatures, shape (members, k)."""
    fixed = {"past_red": "glow_end", "edge": "edge_touch", "touch": "touch", "colour": "judge_colour"}
    goals = {name: np.full(members, told(key).value) for name, key in fixed.items()}
    for number, glass in enumerate(piece.glasses):
        cold = _with(glass.isokom_12.value, drawn[f"{number} isokom 12"])
        soft = np.maximum(_with(glass.isokom_6_6.value, drawn[f"{number} isokom 6.6"]), cold + LEAST_STEP)
        for name, height in (("level", "print_log_viscosity"), ("solid", "solid_log_viscosity")):
            at = _isokom(cold, soft, told(height).value)
            goals[name] = np.minimum(goals[name], at) if name in goals else at
    return list(goals), np.stack(list(goals.values()), axis=1)


def _isokom(cold: Array, soft: Array, wanted: float) -> Array:
    """Temperature of a viscosity between or near two known ones, by the law of Vogel, Fulcher and Tammann [K]."""
    base = loader.value("glass/log_prefactor")
    upper = loader.value("glass/transformation_log_viscosity") - base
    lower = loader.value("glass/softening_log_viscosity") - base
    above = (soft - cold) / (upper / lower - 1)
    return np.asarray(cold - above + upper * above / (wanted - base))
