"""State of an oxide-cleaning bath from what was counted into it: acid taken up, pH, copper, what one more load does.

Capacity is counted in moles. pH moves most at the very start, so it tells a fresh bath from a used one and little more.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

from enamelwright import units
from enamelwright.craft import oxide_growth
from enamelwright.craft.baths.bath_made import BathMade, Chemistry, Cleaned, chemistry
from enamelwright.craft.baths.equilibrium import Part, at_rest
from enamelwright.errors import OutOfReach
from enamelwright.figure import Figure, Origin
from enamelwright.physics import bath_chemistry as law
from enamelwright.reference.loader import fact, value

State = Literal["fresh", "working", "slow", "exhausted", "not known"]
#: Best first.
STATES: tuple[State, ...] = ("fresh", "working", "slow", "exhausted")
#: Steps of a firing whose scale is counted: a hundredth of the time each, far finer than its band.
STEPS = 100
#: Acid never counts as wholly gone: beyond this share the engine would be asked about a bath that is no bath.
NEARLY_ALL = 0.98
#: Share of a bath below which it counts as emptied: what clings to the vessel.
NEARLY_EMPTY = 0.02
_COUNTED = Origin(kind="computed", source="moles counted into the bath", status="screening estimate")
_SETTLED = Origin(kind="computed", source="equilibrium at 25 °C, activities by Davies", status="screening estimate")


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

    It is a little high, since bare metal is attacked too.

    Parameters
    ----------
    cleaned : sequence of Cleaned
        Loads; those with both a weight and an area count.
    """
    both = [(one.oxide, one.area) for one in cleaned if one.oxide is not None and one.area is not None]
    if not both or not sum(oxide for oxide, _ in both):
        return None
    mean = sum(oxide for oxide, _ in both) / sum(area for _, area in both)
    each = [oxide / area for oxide, area in both]
    around = fact("health/bath/weighing_band").value
    low, high = (min(each), max(each)) if len(each) >= 3 else ((1 - around) * mean, (1 + around) * mean)
    origin = Origin(kind="measured", source=f"{len(both)} loads weighed before and after", status="measured")
    return Figure(value=mean, low=min(low, mean), high=max(high, mean), dimension="areal_mass", origin=origin)


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
    area = load.area or 0.0
    found = rate
    if rate.origin.kind != "measured" and load.temperature is not None and load.time is not None:
        found = scale_of_firing(load.temperature, load.time)
    return Band(found.low, found.value, found.high).times(area)


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
        mass = _acid_mass(made, kind)
        acid, protons = (mass.times(each / kind.molar_mass) for each in (kind.usable, kind.all))
    rate = own_rate(made.cleaned) or fact("health/bath/oxide_load").figure()
    if rate.origin.kind != "measured" and made.cleaned:
        assumed.append(
            "scale not weighed: by the firing where it is told, else "
            f"{rate.shown('mg/cm2')} of bare copper; weigh loads before and after, and your own figure replaces it"
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


def _acid_mass(made: BathMade, kind: Chemistry) -> Band:
    """Return the acid put in [kg]."""
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


@dataclass(frozen=True)
class BathState:
    """How far a bath is used.

    Attributes
    ----------
    state, at_worst : str
        As likely, and at the unfavourable end of what is known.
    taken_up : Figure or None
        Share of the acid first put in.
    acid_left : Figure or None
        [kg].
    ph : Figure or None
        As worked out.
    copper, copper_mass : Figure
        In solution [kg/m3], and all of it [kg].
    why : tuple of str
        Reasons beyond the share of the acid.
    """

    state: State
    at_worst: State
    taken_up: Figure | None
    acid_left: Figure | None
    ph: Figure | None
    copper: Figure
    copper_mass: Figure
    why: tuple[str, ...]


def graded(taken_up: float, copper: float) -> State:
    """Return the state for a share of the acid taken up and a concentration of copper [kg/m3].

    Parameters
    ----------
    taken_up : float
        Share.
    copper : float
        [kg/m3].
    """
    if taken_up > value("health/bath/exhausted_from") or copper > value("health/bath/exhausted_copper"):
        return "exhausted"
    if taken_up >= value("health/bath/slow_from"):
        return "slow"
    return "working" if taken_up >= value("health/bath/working_from") else "fresh"


def state_of(made: BathMade, book: Ledger, more: Band = NOTHING) -> BathState:
    """Return how far a bath is used.

    Parameters
    ----------
    made : BathMade
        What was told of it.
    book : Ledger
        What was counted into it.
    more : Band
        Copper of further loads [mol].
    """
    held = book.dissolved(more)
    molar = value("health/molar/copper")
    copper, mass = held.times(molar / book.volume), book.copper.plus(more).times(molar)
    if book.acid is None or book.mixed:
        state, worst, reason = _not_counted(made, book)
        return BathState(
            state, worst, None, None, None, copper.figure("concentration"), mass.figure("mass"), (reason,)
        )  # fmt: skip
    into = book.copper.plus(more)
    taken = Band(
        law.acid_taken_up(into.low, book.acid.high),
        law.acid_taken_up(into.value, book.acid.value),
        law.acid_taken_up(into.high, book.acid.low),
    )
    state, worst = graded(taken.value, copper.value), graded(taken.high, copper.high)
    why: list[str] = []
    if taken.value >= 1:
        why.append("more scale went in than the acid can dissolve: the rest lies in it as sludge")
    if made.clears_in is not None and made.cleared_in is not None:
        times = made.clears_in / made.cleared_in
        if times > value("health/bath/exhausted_times"):
            state = worst = "exhausted"
            why.append(f"it takes {times:.0f} times as long to clear as when it was fresh")
    why.extend(weak(made, book))
    ph = _acidity(book, into, book.acid)
    if more == NOTHING and (gainsaid := strip_gainsays(made, book)):
        worst = "exhausted"
        state = state if state == "exhausted" else "not known"
        why.append(gainsaid)
    left = Band(
        max(0.0, 1 - taken.high) * book.acid.low,
        max(0.0, 1 - taken.value) * book.acid.value,
        max(0.0, 1 - taken.low) * book.acid.high,
    ).times(book.chemistry.molar_mass / book.chemistry.usable)
    return BathState(
        state, worst, taken.figure("ratio"), left.figure("mass"), ph, copper.figure("concentration"),
        mass.figure("mass"), tuple(why),
    )  # fmt: skip


def strip_gainsays(made: BathMade, book: Ledger) -> str:
    """Say how a measured pH contradicts what was counted; empty when it does not, or nothing was measured.

    Parameters
    ----------
    made : BathMade
        What was told of the bath.
    book : Ledger
        What was counted into it.
    """
    if made.ph is None or book.acid is None or book.mixed:
        return ""
    ph, apart = _acidity(book, book.copper, book.acid), value("health/bath/ph_apart")
    if made.ph > ph.high + apart:
        return "the strip reads less sour than what was counted: something is missing from the record"
    if made.ph < ph.low - apart:
        return "the strip reads sourer than what was counted: check the strip, and what else was poured in"
    return ""


def weak(made: BathMade, book: Ledger) -> tuple[str, ...]:
    """Say where a strength lies far below what such baths are made of.

    Parameters
    ----------
    made : BathMade
        What was told of the bath.
    book : Ledger
        What was counted into it.
    """
    kind = book.chemistry
    found: list[str] = []
    least = value("health/bath/vinegar_least")
    if kind.kind == "vinegar and salt" and made.strength is not None and made.strength < least:
        bottle = f"{units.from_si(least, 'g/L', 'concentration'):.0f} g/L"
        found.append(f"no vinegar on sale in the United States is weaker than {bottle}: read the label again")
    if kind.part is not None and book.told and made.volume > 0:
        holds = _acid_mass(made, kind).value / book.volume
        if holds < value("health/bath/far_below") * kind.strength_low:
            usual = f"{kind.strength_low:g} to {kind.strength_high:g} g/L"
            found.append(
                f"it holds far below the usual {usual} of {kind.acid}: it takes up little, and is soon used up"
            )
    return tuple(found)


def _not_counted(made: BathMade, book: Ledger) -> tuple[State, State, str]:
    """Return state, state at worst and reason of a bath whose acid cannot be counted."""
    if made.kind == "other":
        return "not known", "exhausted", "acid is not counted in a bath of unknown make"
    if book.mixed:
        return (
            "exhausted", "exhausted",
            "two chemistries are in it, so what acid is left cannot be counted: treat it as exhausted and close it",
        )  # fmt: skip
    if book.chemistry.use == "water":
        return "not known", "not known", "no acid in it: grit and scale lie in it as solids"
    return "not known", "exhausted", f"acid is not counted in {made.kind}"


def _acidity(book: Ledger, into: Band, acid: Band) -> Figure:
    """Return pH: least acid with most copper is the high end."""
    water, most = water_in(book.volume), NEARLY_ALL / law.ACID_PER_COPPER
    ends = [(acid.value, into.value), (acid.high, into.low), (acid.low, into.high)]
    found = [at_rest(water, parts_of(book, one, min(copper, most * one))).ph for one, copper in ends]
    around = value("health/bath/ph_model")
    ends_of = Band(min(found) - around, found[0], max(found) + around)
    return ends_of.figure("acidity", _SETTLED)


def loads_left(book: Ledger, one: Band, state: State = "exhausted") -> Figure | None:
    """Return how many more such loads it takes until a bath is in a state; None when it cannot be counted.

    Parameters
    ----------
    book : Ledger
        The bath.
    one : Band
        Copper of one load [mol].
    state : str
        ``slow`` or ``exhausted``.
    """
    if book.acid is None or book.mixed or one.low <= 0:
        return None
    share = value("health/bath/slow_from" if state == "slow" else "health/bath/exhausted_from")
    molar = value("health/molar/copper")
    full = value("health/bath/exhausted_copper") * book.volume / molar

    def room(acid: float, copper: float, each: float) -> float:
        end = share * acid / law.ACID_PER_COPPER
        return max(0.0, (end if state == "slow" else min(end, full)) - copper) / each

    return Band(
        room(book.acid.low, book.copper.high, one.high),
        room(book.acid.value, book.copper.value, one.value),
        room(book.acid.high, book.copper.low, one.low),
    ).figure("count")


def usual_load(book: Ledger, cleaned: Sequence[Cleaned]) -> Band | None:
    """Return the copper of a load like those before [mol]; None when there were none.

    Parameters
    ----------
    book : Ledger
        The bath.
    cleaned : sequence of Cleaned
        Its loads.
    """
    return book.copper.times(1 / len(cleaned)) if cleaned else None
