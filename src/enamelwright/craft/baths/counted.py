"""What was counted into a bath: acid, salt, scale and the copper in it, in moles, each with its least and most."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from math import sqrt
from statistics import stdev

from enamelwright.craft import oxide_growth
from enamelwright.craft.baths.bath_made import BathMade, Chemistry, Cleaned, chemistry
from enamelwright.craft.baths.equilibrium import Part
from enamelwright.errors import OutOfReach
from enamelwright.figure import Figure, Origin
from enamelwright.physics import bath_chemistry as law
from enamelwright.reference.loader import fact, value

_COUNTED = Origin(kind="computed", source="moles counted into the bath", status="screening estimate")
#: Steps of a firing whose scale is counted: a hundredth of the time each, far finer than its band.
STEPS = 100
#: Loads from which their own spread tells the band: with two, one difference says too little.
ENOUGH = 3


@dataclass(frozen=True)
class Band:
    """A number with its least and most.

    Attributes
    ----------
    low, value, high : float
        In order.
    """

    low: float
    value: float
    high: float

    def times(self, factor: float) -> Band:
        """Return it times a number not below nothing."""
        return Band(factor * self.low, factor * self.value, factor * self.high)

    def plus(self, other: Band) -> Band:
        """Return the sum, as if both erred to the same side."""
        return Band(self.low + other.low, self.value + other.value, self.high + other.high)

    def figure(self, dimension: str, origin: Origin = _COUNTED) -> Figure:
        """Return it as a figure."""
        return Figure(value=self.value, low=self.low, high=self.high, dimension=dimension, origin=origin)


NOTHING = Band(0.0, 0.0, 0.0)


@dataclass(frozen=True)
class Ledger:
    """What was counted into a bath.

    Attributes
    ----------
    chemistry : Chemistry
        Of its kind.
    mixed : bool
        Whether another chemistry got in.
    volume : float
        Liquor [m3].
    acid, protons : Band or None
        Acid that takes up oxide, and every proton soda has to answer [mol]; None when it has no acid that is counted.
    told : bool
        Whether its strength was told.
    salt : float
        [mol].
    oxide, copper : Band
        Scale cleaned off [kg], and the copper in it [mol].
    rate : Figure
        Scale on a bare area [kg/m2] where it was not weighed.
    assumptions : tuple of str
        What was taken as given.
    """

    chemistry: Chemistry
    mixed: bool
    volume: float
    acid: Band | None
    protons: Band | None
    told: bool
    salt: float
    oxide: Band
    copper: Band
    rate: Figure
    assumptions: tuple[str, ...]

    def dissolved(self, more: Band = NOTHING) -> Band:
        """Return the copper in solution [mol]: what went in, and no more than the acid can hold.

        Parameters
        ----------
        more : Band
            Copper of further loads [mol].
        """
        copper = self.copper.plus(more)
        if self.chemistry.use == "water":
            return NOTHING  # grit and scale lie in it as solids
        if self.acid is None:
            return copper
        held = self.acid.times(1 / law.ACID_PER_COPPER)
        return Band(min(copper.low, held.low), min(copper.value, held.value), min(copper.high, held.high))

    def undissolved(self) -> Band:
        """Return the scale that the acid cannot dissolve and that lies in the bath as it was [kg]."""
        if self.acid is None or self.chemistry.use == "water":
            return NOTHING
        holds = self.acid.times(1 / law.ACID_PER_COPPER)
        share, molar = fact("health/bath/copper_share"), value("health/molar/copper")
        return Band(
            max(0.0, self.copper.low - holds.high) * molar / share.high,
            max(0.0, self.copper.value - holds.value) * molar / share.value,
            max(0.0, self.copper.high - holds.low) * molar / share.low,
        )


def own_rate(cleaned: Sequence[Cleaned]) -> Figure | None:
    """Return the scale on a bare area that a maker's own weighings tell [kg/m2]; None without any.

    From three loads on, the band holds one further load in the told share of cases if loads scatter evenly (Student's
    t); never narrower than the balance reads. With fewer it is a judged share of the mean. The low end is less by
    the share of metal the acid takes with the scale.

    Parameters
    ----------
    cleaned : sequence of Cleaned
        Loads; those with both a weight and an area count.
    """
    both = [(one.oxide, one.area) for one in cleaned if one.oxide is not None and one.area is not None]
    if not both or not sum(oxide for oxide, _ in both):
        return None
    number, area = len(both), sum(area for _, area in both)
    mean = sum(oxide for oxide, _ in both) / area
    each = [oxide / area for oxide, area in both]
    if number < ENOUGH:
        half = max(value("health/bath/weighing_band") * mean, *(abs(one - mean) for one in each))
    else:
        half = _student(number) * stdev(each) * sqrt(1 + 1 / number)
    half = max(half, value("trade/balance_step") * number / area)
    low = max(0.0, mean - half) * (1 - value("health/bath/metal_attacked"))
    origin = Origin(kind="measured", source=f"{number} loads weighed before and after", status="measured")
    return Figure(value=mean, low=low, high=mean + half, dimension="areal_mass", origin=origin)


@lru_cache(maxsize=64)
def _student(number: int) -> float:
    """Return how many spreads the band of so many loads reaches to either side."""
    from scipy.special import stdtrit

    return float(stdtrit(number - 1, (1 + value("health/bath/own_coverage")) / 2))


@lru_cache(maxsize=1024)
def scale_of_firing(temperature: float, time: float) -> Figure:
    """Return the scale a bare area carries out of one firing [kg/m2], by growth of copper oxide.

    Parameters
    ----------
    temperature : float
        At the end [K].
    time : float
        In the kiln [s].
    """
    grown = oxide_growth.oxide_band(*oxide_growth.straight_rise(temperature, time, steps=STEPS))
    density = oxide_growth.told("copper_oxide/density").value
    return Band(*(density * one for one in (grown.low, grown.value, grown.high))).figure("areal_mass", grown.origin)


def scale_of(load: Cleaned, rate: Figure) -> Band:
    """Return the scale one load brought [kg]: weighed, or by its firing, or by the usual rate.

    Parameters
    ----------
    load : Cleaned
        The load.
    rate : Figure
        Scale on a bare area where nothing better is known [kg/m2].
    """
    if load.oxide is not None:
        return Band(load.oxide, load.oxide, load.oxide)
    found, area = rate, area_of(load)
    if rate.origin.kind != "measured" and load.temperature is not None and load.time is not None:
        found = scale_of_firing(load.temperature, load.time)
    return Band(found.low * area.low, found.value * area.value, found.high * area.high)


def area_of(load: Cleaned) -> Band:
    """Return the bare copper of a load [m2]; where only its weight is known, both faces of a usual sheet.

    The thickest usual sheet has the least area for its weight, the thinnest the most.

    Parameters
    ----------
    load : Cleaned
        The load.
    """
    if load.area is not None:
        return Band(load.area, load.area, load.area)
    sheet, faces = fact("health/bath/sheet"), 2 * (load.mass or 0.0) / value("metals/copper/density")
    return Band(faces / sheet.high, faces / sheet.value, faces / sheet.low)


def ledger(made: BathMade) -> Ledger:
    """Count what went into a bath.

    Parameters
    ----------
    made : BathMade
        What it was made of and what was cleaned in it.
    """
    kind, assumed = chemistry(made.kind), []
    volume = made.volume + sum(one.volume for one in made.topped)
    acid = protons = None
    if kind.part is not None:
        if made.acid is None and made.strength is None:
            assumed.append(
                f"strength not told: {kind.strength:g} g/L of {kind.acid}, somewhere from {kind.strength_low:g} to "
                f"{kind.strength_high:g}; read it off the bottle or the packet"
            )
        mass = acid_mass(made, kind)
        acid, protons = (mass.times(each / kind.molar_mass) for each in (kind.usable, kind.all))
    rate = own_rate(made.cleaned) or fact("health/bath/oxide_load").figure()
    if rate.origin.kind != "measured" and made.cleaned:
        assumed.append(
            "scale not weighed: by the firing where it is told, else "
            f"{rate.shown('mg/cm2')} of bare copper; weigh loads before and after, and your own figure replaces it"
        )
    if any(load.oxide is None and load.area is None for load in made.cleaned):
        assumed.append(
            f"where only the weight of the pieces is known: sheet of {fact('health/bath/sheet').figure().shown('mm')}, "
            "both faces bare"
        )
    oxide = NOTHING
    for load in made.cleaned:
        oxide = oxide.plus(scale_of(load, rate))
    salt = made.salt if made.salt is not None else kind.salt * made.volume
    return Ledger(
        kind, bool(set(made.also) - {made.kind}) or made.kind == "other", volume, acid, protons,
        made.acid is not None or made.strength is not None, law.amount(salt, value("health/molar/salt")), oxide,
        copper_in(oxide), rate, tuple(assumed),
    )  # fmt: skip


def acid_mass(made: BathMade, kind: Chemistry) -> Band:
    """Return the acid put in [kg].

    Parameters
    ----------
    made : BathMade
        What was told of the bath.
    kind : Chemistry
        Of its kind.
    """
    if made.acid is not None:
        first = Band(made.acid, made.acid, made.acid)
        strength = first.times(1 / made.volume)
    elif made.strength is not None:
        first = Band(made.strength, made.strength, made.strength).times(made.poured or made.volume)
        strength = first.times(1 / made.volume)
    else:
        strength = Band(kind.strength_low, kind.strength, kind.strength_high)
        first = strength.times(made.volume)
    for one in made.topped:
        if one.acid is not None:
            first = first.plus(Band(one.acid, one.acid, one.acid))
        elif one.strength is not None:
            first = first.plus(Band(one.strength, one.strength, one.strength).times(one.volume))
        else:
            first = first.plus(strength.times(one.volume))
    return first


def copper_in(oxide: Band) -> Band:
    """Return the copper in a mass of scale [mol]: as cuprous oxide, at the least as cupric.

    Parameters
    ----------
    oxide : Band
        [kg].
    """
    share, molar = fact("health/bath/copper_share"), value("health/molar/copper")
    return Band(
        oxide.low * share.low / molar,
        oxide.value * share.value / molar,
        oxide.high * share.high / molar,
    )


def parts_of(book: Ledger, acid: float, copper: float) -> dict[Part, float]:
    """Return what the engine mixes a bath from [mol].

    Parameters
    ----------
    book : Ledger
        The bath.
    acid : float
        Usable acid [mol].
    copper : float
        Copper in solution [mol].

    Raises
    ------
    OutOfReach
        When the bath has no acid that is counted.
    """
    if book.chemistry.part is None:
        raise OutOfReach(f"no acidity is worked out for {book.chemistry.kind}.", "Measure it.")
    return {book.chemistry.part: acid / book.chemistry.usable, "NaCl": book.salt, "CuO": copper}


def water_in(volume: float) -> float:
    """Return the water in a volume of bath [kg].

    Parameters
    ----------
    volume : float
        [m3].
    """
    return volume * value("health/bath/water")
