"""Scale on bare copper after a firing: how thick, how it is cleaned, and what it took of the metal.

No tabulated rate of copper in air at enamelling heat is at hand; three sets bracket it. They cross at
about 640 degrees Celsius, so the band is always the least and the most of the three.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import lru_cache
from typing import Literal

import numpy as np
import numpy.typing as npt

from enamelwright import units
from enamelwright.craft.metal import Metal
from enamelwright.errors import OutOfReach
from enamelwright.figure import Figure, Origin
from enamelwright.physics.oxide import ParabolicLaw, flaking_thickness, growth, metal_lost
from enamelwright.reference.loader import Fact, fact, facts_of

Array = npt.NDArray[np.float64]
Cleaning = Literal["wipe", "pickle", "scrub", "brush first"]
Rate = Literal["low", "mid", "high"]

#: The three sets of the bracket; the middle one is the likely value.
RATES: tuple[Rate, ...] = ("low", "mid", "high")

#: Steps of a straight rise: one a second, and no more than an hour's worth.
MOST_STEPS = 3600

#: Members from which an ensemble is told by its 5 and 95 % points.
MANY, TAIL = 20, 0.05

_WORDS: dict[Cleaning, str] = {
    "wipe": "a tint only: wipe it off",
    "pickle": "thin and fast on the metal: a short pickle takes it off",
    "scrub": "black over red: pickle, then scrub under water",
    "brush first": "thick enough to flake: brush the loose scale off over a tray first, then pickle the red rest",
}
_ORIGIN = Origin(
    kind="computed",
    source="parabolic growth of Cu2O, least and most of three rates [moore_selikson1951, zhu2002, memory]",
    status="assumption",
)


def told(key: str) -> Fact:
    """Return one constant of the table of oxidation, named without its field."""
    return facts_of("heat/oxidation")[f"heat/{key}"]


@lru_cache(maxsize=8)
def copper_oxide(rate: Rate = "mid") -> ParabolicLaw:
    """Return one of the three laws of copper.

    Parameters
    ----------
    rate : str
        ``low``, ``mid`` or ``high``, as they are ordered at 800 degrees Celsius.
    """
    return ParabolicLaw(
        told(f"copper_oxide/{rate}/rate").value,
        told(f"copper_oxide/{rate}/activation").value,
        told("copper_oxide/reference").value,
    )


def copper_scales(metal: Metal) -> bool:
    """Whether the law of copper speaks of this metal: copper, and alloys that are nearly copper."""
    return metal.family in {"copper", "copper_zinc"}


def why_not(metal: Metal) -> str:
    """Say why no thickness is told of a metal the law of copper does not speak of."""
    if metal.family == "steel":
        return "steel scales too, but by another law that is not worked out here; its ground coat keeps the air off"
    if metal.family == "silver" and metal.id != "fine_silver":
        return "the copper of this alloy oxidises below its skin as fire stain, which no thickness of scale describes"
    if metal.family == "gold" and metal.id != "fine_gold":
        return "the copper in this gold tarnishes its surface, which no thickness of scale describes"
    return f"{metal.name} grows no scale in the fire"


def oxide_band(times: npt.ArrayLike, temperature: npt.ArrayLike, start: Figure | None = None) -> Figure:
    """Return the oxide a bare face carries at the end of a history [m].

    Parameters
    ----------
    times : array_like, shape (n,)
        [s].
    temperature : array_like, shape (n,) or (members, n)
        Of the piece [K]; the first member gives the value. Of a few members the least and the most give the
        ends, of many their 5 and 95 % points.
    start : Figure, optional
        Oxide already there [m]; none when left out.
    """
    first = start or Figure.exact(0.0, "length", _ORIGIN)
    kelvin = np.atleast_2d(np.asarray(temperature, dtype=np.float64))
    ends = {
        (rate, before): growth(copper_oxide(rate), times, kelvin, np.full(kelvin.shape[0], before))[:, -1]
        for rate in RATES
        for before in {first.low, first.value, first.high}
    }
    likely = float(ends["mid", first.value][0])
    tail = 0.0 if kelvin.shape[0] < MANY else TAIL
    return Figure(
        value=likely,
        low=min(likely, *(float(np.quantile(ends[rate, first.low], tail)) for rate in RATES)),
        high=max(likely, *(float(np.quantile(ends[rate, first.high], 1 - tail)) for rate in RATES)),
        dimension="length",
        origin=_ORIGIN,
    )


def straight_rise(
    temperature: float, time: float, heating_up: float | None = None, steps: int = MOST_STEPS
) -> tuple[list[float], list[list[float]]]:
    """Return times and histories of a piece that rises evenly and then holds: as likely, slowest, quickest.

    Parameters
    ----------
    temperature : float
        At the end [K].
    time : float
        In the kiln [s].
    heating_up : float, optional
        Of that, until it is hot; usual ones when left out.
    steps : int
        Most steps.
    """
    rise = fact("heat/heating_time")
    climbs = [heating_up] if heating_up is not None else [rise.value, rise.high, rise.low]
    at = np.linspace(0.0, time, 2 + min(int(time), steps))
    room = fact("heat/room").value
    shares = [np.minimum(at / up, 1.0) if up > 0 else np.ones_like(at) for up in climbs]
    return at.tolist(), [(room + (temperature - room) * share).tolist() for share in shares]


def over_firings(grown: Sequence[Figure], cleaned: bool) -> tuple[Figure, Figure]:
    """Return (oxide on the face at the end, oxide grown in all) over several firings [m].

    Cleaned between firings the face starts afresh each time and the metal lost adds up. Left on, the layer
    slows its own growth: thicknesses add as squares, and nothing more was grown than what is there.

    Parameters
    ----------
    grown : sequence of Figure
        What each firing would grow on clean metal, in order.
    cleaned : bool
        Whether the scale is taken off after each.

    Raises
    ------
    OutOfReach
        When there is no firing.
    """
    if not grown:
        raise OutOfReach("no firing, no scale.")
    if cleaned:
        return grown[-1], _joined(grown, lambda ends: float(np.sum(ends)))
    layer = _joined(grown, lambda ends: float(np.sqrt(np.sum(np.square(ends)))))
    return layer, layer


def _joined(figures: Sequence[Figure], how: Callable[[list[float]], float]) -> Figure:
    low, value, high = (how([getattr(one, end) for one in figures]) for end in ("low", "value", "high"))
    return Figure(value=value, low=low, high=high, dimension="length", origin=_ORIGIN)


def _scaled(figure: Figure, factor: float, dimension: str) -> Figure:
    low, value, high = (factor * end for end in (figure.low, figure.value, figure.high))
    return Figure(value=value, low=low, high=high, dimension=dimension, origin=figure.origin)


def copper_lost(grown: Figure, metal: Metal) -> Figure:
    """Depth of metal turned into scale [m].

    Parameters
    ----------
    grown : Figure
        Oxide grown in all [m].
    metal : Metal
        Copper or nearly.
    """
    share = 1 - told("copper_oxide/oxygen_share").value
    factor = float(metal_lost(1.0, told("copper_oxide/density").value, share, metal.density.value))
    return _scaled(grown, factor, "length")


def metal_to_waste(grown: Figure, area: float) -> Figure:
    """Mass of copper that leaves a face as scale [kg], which pickle and brushings take up.

    Parameters
    ----------
    grown : Figure
        Oxide grown in all [m].
    area : float
        Bare face [m2].
    """
    share = 1 - told("copper_oxide/oxygen_share").value
    return _scaled(grown, area * told("copper_oxide/density").value * share, "mass")


def weight_gained(grown: Figure, area: float) -> Figure:
    """Mass of oxygen a face takes up [kg]: what a balance shows while no scale has fallen.

    Parameters
    ----------
    grown : Figure
        Oxide grown [m].
    area : float
        Bare face [m2].
    """
    return _scaled(grown, area * told("copper_oxide/density").value * told("copper_oxide/oxygen_share").value, "mass")


def flakes_from() -> Figure:
    """Return the thickness from which scale can peel off by itself on cooling [m]; a wide band."""
    facts = {key: told(f"copper_oxide/{key}") for key in ("parting", "young", "cooling_strain")}
    poisson = told("copper_oxide/poisson").value

    def at(parting: str, other: str) -> float:
        return flaking_thickness(
            getattr(facts["parting"], parting),
            getattr(facts["young"], other),
            poisson,
            getattr(facts["cooling_strain"], other),
        )

    origin = Origin(kind="computed", source="strain energy of the layer against parting", status="from memory, verify")
    return Figure(
        value=at("value", "value"), low=at("low", "high"), high=at("high", "low"), dimension="length", origin=origin
    )


def cleaning(oxide: float) -> Cleaning:
    """Return how a thickness of scale [m] is cleaned off copper."""
    if oxide < told("clean_wipe").value:
        return "wipe"
    if oxide < told("clean_pickle").value:
        return "pickle"
    return "scrub" if oxide < told("clean_scrub").value else "brush first"


def cleaning_words(oxide: Figure) -> str:
    """Say how scale is cleaned, and how else it may turn out when the band spans two classes.

    Parameters
    ----------
    oxide : Figure
        On the face [m].
    """
    if oxide.high < told("clean_wipe").value:
        return f"a tint at most: {_WORDS['wipe'].partition(': ')[2]}"
    likely = cleaning(oxide.value)
    others = [kind for kind in (cleaning(oxide.low), cleaning(oxide.high)) if kind != likely]
    words = f"about {units.show(oxide.value, 'length', 'µm', oxide.high - oxide.low)} of scale, {_WORDS[likely]}"
    if not others:
        return words
    return f"{words} (it may turn out {' or '.join(_SHORT[kind] for kind in dict.fromkeys(others))})"


_SHORT: dict[Cleaning, str] = {
    "wipe": "a tint that wipes off",
    "pickle": "thinner, off in a short pickle",
    "scrub": "black over red, to be pickled and scrubbed",
    "brush first": "thick and flaking",
}


def what_loosens(oxide: Figure) -> str:
    """Say what of the scale may come off by itself.

    Parameters
    ----------
    oxide : Figure
        On the face [m].
    """
    limit = flakes_from()
    if oxide.high < limit.low:
        return "too thin to flake: what is there stays on"
    if oxide.value > limit.high:
        return "thicker than scale can hold on cooling: most of it springs off, black outside with red on its back"
    return "some of it may spring off while it cools: keep specks of it away from powder and from the trivet"


def breaks_away(temperature: float, duration: float) -> bool:
    """Whether a dwell is so long and hot that the layer is no longer dense and the law no longer holds.

    Parameters
    ----------
    temperature : float
        [K].
    duration : float
        [s].
    """
    at, time = told("copper_oxide/breakaway_temperature").value, told("copper_oxide/breakaway_time").value
    # Compared by what the law of copper makes of both, so that hotter means sooner.
    law = copper_oxide("mid")
    return float(law.rate_at(temperature)) * duration >= float(law.rate_at(at)) * time
