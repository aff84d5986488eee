"""What may be different from the nominal firing, drawn once for a kiln, and the batch that is heated.

Every firing of a plan takes the same draws of one kiln: a kiln that is too cold is so in all of them.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from enamelwright.craft.air import air_film
from enamelwright.craft.kiln import Kiln
from enamelwright.craft.kiln_state import offset
from enamelwright.craft.window.facts import band_decades, number, window_fact
from enamelwright.craft.window.loaded import LoadedPiece
from enamelwright.craft.window.substances import metal_heat, oxidation, substance_heat
from enamelwright.figure import Distribution, LogNormal, Normal, Spread, Uniform
from enamelwright.physics.kiln_response import KilnResponse
from enamelwright.physics.piece_heating import HeatedBodies, Powder, Trace, VftStack, heat
from enamelwright.physics.viscosity import VftViscosity
from enamelwright.reference import loader

Array = npt.NDArray[np.float64]

#: Draws of a kiln behind a window, besides the nominal one. What is not known of the jar is added in closed form.
DRAWS = 32
#: Step of the heating [s].
STEP = 2.0
#: Middle of the numbers drawn.
AMID = 0.5
#: Most a face may radiate: that of a black one.
BLACK = 1.0
#: An overshoot told in kelvin is compared with at least this much, so that the factor stays finite.
LEAST_OVERSHOOT = 1.0


@dataclass(frozen=True)
class KilnDraws:
    """Draws of one kiln; entry 0 is the nominal kiln.

    Attributes
    ----------
    offset : ndarray, shape (n,)
        True less shown temperature [K].
    transfer : ndarray, shape (n,)
        Factor on all radiation.
    scale, lift : ndarray, shape (n,)
        Factor on the dip of the chamber, and on its overshoot.
    dark, depth : ndarray, shape (n,)
        Factor on how far bare copper darkens, and oxide over which it does [m].
    film : ndarray, shape (n,)
        Air film of the support [W/m2/K].
    """

    offset: Array
    transfer: Array
    scale: Array
    lift: Array
    dark: Array
    depth: Array
    film: Array

    @classmethod
    def of(cls, kiln: Kiln, draws: int = DRAWS, extra: float = 0.0) -> KilnDraws:
        """Draw one kiln.

        Parameters
        ----------
        kiln : Kiln
            As its owner knows it.
        draws : int
            Draws besides the nominal one.
        extra : float
            Kelvin by which the kiln is hotter than known, to ask "what if".
        """
        error = offset(kiln)
        laws: dict[str, Distribution] = {
            "kiln: offset": Normal(mean=error.mean + extra, sd=error.sd),
            "kiln: transfer": LogNormal(median=1.0, sd=number("transfer_sd")),
            "kiln: dip": Uniform(low=0.0, high=1.0),
            "kiln: overshoot": Uniform(low=0.0, high=1.0),
            "bare: dark": Uniform(low=0.0, high=1.0),
            "bare: depth": _wide("bare_depth"),
            "support: film": _wide("support_film"),
        }
        drawn = Spread(laws).draw(laws, draws) if draws else dict.fromkeys(laws, np.empty(0))
        rows = [
            np.concatenate(([error.mean + extra], drawn["kiln: offset"])),
            np.concatenate(([1.0], drawn["kiln: transfer"])),
        ]
        for name, ends in (("kiln: dip", dip_factor()), ("kiln: overshoot", overshoot_factor(kiln))):
            # As often below the likely factor as above it, so that the nominal kiln lies amid the draws.
            rows.append(np.interp(np.concatenate(([AMID], drawn[name])), (0.0, AMID, 1.0), ends))
        dark = window_fact("bare_dark")
        ends = (dark.low / dark.value, 1.0, dark.high / dark.value)
        rows.append(np.interp(np.concatenate(([AMID], drawn["bare: dark"])), (0.0, AMID, 1.0), ends))
        for name, key in (("bare: depth", "bare_depth"), ("support: film", "support_film")):
            rows.append(np.concatenate(([number(key)], drawn[name])))
        return cls(*rows)

    @property
    def count(self) -> int:
        """Members a window takes."""
        return len(self.offset)


def _wide(key: str) -> LogNormal:
    """Return the distribution of a positive fact whose band is 5 to 95 %."""
    return LogNormal(median=number(key), sd=band_decades(key) / math.log10(math.e))


def dip_factor() -> tuple[float, float, float]:
    """Return low, likely and high factor on how far the chamber falls after loading."""
    fact = window_fact("response_scale")
    return fact.low, fact.value, fact.high


def overshoot_factor(kiln: Kiln) -> tuple[float, float, float]:
    """Return low, likely and high factor on how far the chamber rises over its set point after loading.

    The responses are those of one sharp controller. Where nobody has measured the overshoot, that stands for the
    highest taken; where somebody has, the response is brought to what was measured.

    Parameters
    ----------
    kiln : Kiln
        As its owner knows it.
    """
    if kiln.overshoot is not None:
        fact = window_fact("overshoot_seen")
        return fact.low, fact.value, fact.high
    usual = loader.fact("heat/kiln_overshoot")
    return usual.low / usual.high, usual.value / usual.high, 1.0


@dataclass(frozen=True)
class Loose:
    """Powder that has not sintered yet when a piece goes in.

    Attributes
    ----------
    top, bottom : float
        On the upper and lower face [kg/m2].
    grain : float
        Its diameter [m].
    coat_top, coat_bottom : int
        Whose clock tells how far the powder of either face has sintered: place among the laws of the window.
    """

    top: float = 0.0
    bottom: float = 0.0
    grain: float = 1.0
    coat_top: int = 0
    coat_bottom: int = 0


@dataclass(frozen=True)
class Batch:
    """One window of a batch.

    Attributes
    ----------
    piece : LoadedPiece
        What goes in.
    response : KilnResponse
        Of the kiln to it.
    set_point : float
        Shown on the kiln [K].
    laws : tuple of VftViscosity
        One a coat followed.
    overshoot : float or None
        Measured overshoot of this kiln [K].
    pieces : int
        How many such pieces go in together.
    loose : Loose
        Powder on it.
    """

    piece: LoadedPiece
    response: KilnResponse
    set_point: float
    laws: tuple[VftViscosity, ...]
    overshoot: float | None = None
    pieces: int = 1
    loose: Loose = Loose()


def heat_batch(batch: Sequence[Batch], draws: KilnDraws, duration: float) -> Trace:
    """Heat every draw of every window in one call.

    Parameters
    ----------
    batch : sequence of Batch
        The windows.
    draws : KilnDraws
        Of their kiln.
    duration : float
        Longest time followed [s].

    Returns
    -------
    Trace
        Members of the first window come first; a window with fewer coats than the others repeats its last one.
    """
    n = draws.count

    def each(values: Sequence[float]) -> Array:
        return np.repeat(np.asarray(values, dtype=np.float64), n)

    def told(name: str) -> Array:
        return each([getattr(one.piece, name) for one in batch])

    def support(name: str) -> Array:
        return each([getattr(one.piece.support, name) for one in batch])

    def face(name: str, which: int) -> Array:
        return each([getattr(one.piece, name)[which] for one in batch])

    def darkened(which: int) -> Array:
        bright, dark = face("bright", which), face("dark", which)
        return np.minimum(bright + (dark - bright) * np.tile(draws.dark, len(batch)), BLACK)

    metals = list(dict.fromkeys(one.piece.metal for one in batch))
    grows = any(one.piece.grows for one in batch)
    bodies = HeatedBodies(
        area=told("area"),
        edge_area=told("edge_area"),
        length=told("length"),
        metal_density=told("density"),
        metal_thickness=told("thickness"),
        specific_heat=[metal_heat(name) for name in metals],
        metal_kind=each([metals.index(one.piece.metal) for one in batch]),
        glass_top=told("glass_top"),
        glass_bottom=told("glass_bottom"),
        glass_specific_heat=substance_heat("glass"),
        top_emissivity=face("bright", 0),
        bottom_emissivity=face("bright", 1),
        top_dark=darkened(0),
        bottom_dark=darkened(1),
        top_mouth=face("mouth", 0),
        bottom_mouth=face("mouth", 1),
        support_mass=support("mass"),
        support_area=support("area"),
        support_emissivity=support("emissivity"),
        support_film=np.tile(draws.film, len(batch)),
        support_specific_heat=substance_heat("stainless"),
        view=support("view"),
        start=loader.value("heat/room"),
        support_start=loader.value("heat/room"),
        transfer=np.tile(draws.transfer, len(batch)),
        offset=np.tile(draws.offset, len(batch)),
    )
    coats = max(len(one.laws) for one in batch)
    filled = [(*one.laws, *(one.laws[-1:] * (coats - len(one.laws)))) for one in batch]
    stack = VftStack(
        *(
            np.array([each([getattr(laws[coat], name) for laws in filled]) for coat in range(coats)])
            for name in ("log_prefactor", "slope", "pole")
        )
    )
    lift = np.concatenate([draws.lift * _rise(one) for one in batch])
    return heat(
        bodies,
        [one.response for one in batch],
        each([one.set_point for one in batch]),
        duration,
        clocks=stack,
        air=air_film(),
        oxidation=replace(oxidation(grows), depth=np.tile(draws.depth, len(batch))) if grows else oxidation(False),
        powder=Powder(
            top=each([one.loose.top for one in batch]),
            bottom=each([one.loose.bottom for one in batch]),
            work_scale=each([one.loose.grain / 2 / loader.value("heat/surface_tension") for one in batch]),
            packing=number("powder_packing"),
            loose=number("powder_conductivity"),
            melt=number("melt_conductivity"),
            melt_density=number("melt_density"),
            coat_top=each([one.loose.coat_top for one in batch]),
            coat_bottom=each([one.loose.coat_bottom for one in batch]),
        ),
        response_of=each(list(range(len(batch)))),
        response_scale=np.tile(draws.scale, len(batch)),
        overshoot_scale=lift,
        dt=STEP,
    )


def _rise(one: Batch) -> float:
    """Return the factor that makes the overshoot of a response the one measured."""
    if one.overshoot is None:
        return 1.0
    usual = max(float(one.response.radiant.max()), LEAST_OVERSHOOT)
    return one.overshoot / usual
