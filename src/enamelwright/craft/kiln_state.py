"""A kiln as the heat balance sees it, corrected by what its owner has read off it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property, lru_cache
from math import log

from enamelwright import units
from enamelwright.craft.kiln import Kiln
from enamelwright.craft.kiln_anchor import KnownOffset, offset_after, tests_of
from enamelwright.craft.kiln_bodies import chamber_of, control_of
from enamelwright.craft.kiln_facts import KilnFacts, kiln_fact, kiln_facts, lining_row
from enamelwright.craft.thermocouple_budget import reading_prior
from enamelwright.errors import InputError, OutOfReach
from enamelwright.figure import Normal
from enamelwright.physics.chamber import HeatBalance
from enamelwright.physics.chamber_runs import heat_up, holding_share, steady
from enamelwright.physics.constants import ZERO_CELSIUS
from enamelwright.physics.root import root
from enamelwright.reference.loader import value

#: Relative accuracy of a factor found from an observation, far finer than a clock at the kiln.
FACTOR_NEAR = 1e-3
#: What one reading of minutes or of duty leaves open, as a share: the clock, the mains, the day (assumption).
READING_SHARE = 0.1

#: Widths that make a temperature print to the degree, and to ten degrees [K].
WHOLE, ROUGHLY = 4.0, 40.0

#: Stands in where nobody has described a kiln.
NOBODYS = Kiln(name="kiln not described")


@dataclass(frozen=True)
class KilnState:
    """A kiln ready to be worked with.

    Attributes
    ----------
    kiln : Kiln
        As told.
    facts : KilnFacts
        With its gaps filled.
    conductivity, storage : tuple of float
        Low, likely and high factor on the conductivity of the lining and on the heat stored.
    changed : tuple of str
        What the owner's observations changed, one sentence each.
    assumed : tuple of str
        What was taken for granted, one sentence each.
    """

    kiln: Kiln
    facts: KilnFacts
    conductivity: tuple[float, float, float]
    storage: tuple[float, float, float]
    changed: tuple[str, ...]
    assumed: tuple[str, ...]

    @cached_property
    def balance(self) -> HeatBalance:
        """The heat balance at the likely factors."""
        return self.balance_at(1, 1)

    def balance_at(self, conductivity: int, storage: int) -> HeatBalance:
        """Return the heat balance at one end of its factors.

        Parameters
        ----------
        conductivity, storage : int
            0 low, 1 likely, 2 high.
        """
        try:
            return HeatBalance(chamber_of(self.facts, self.conductivity[conductivity], self.storage[storage]))
        except InputError as error:
            raise error.at(f"kiln {self.kiln.name}") from error

    @cached_property
    def hottest(self) -> float:
        """Temperature its display would reach at full power after endless time [K]."""
        return steady(self.balance, 1.0, value("heat/top_temperature")).probe

    def must_reach(self, set_point: float) -> None:
        """Refuse a set point the kiln cannot reach.

        Parameters
        ----------
        set_point : float
            [K].

        Raises
        ------
        OutOfReach
            With the temperature it does reach.
        """
        if set_point >= self.hottest:
            told = ", ".join(self.facts.assumed)
            wanted, end = _degrees(set_point), units.show(self.hottest, "temperature", "°C", ROUGHLY)
            raise OutOfReach(
                f"'{self.kiln.name}' does not reach {wanted}: at full power it ends at about {end}.",
                "Check power, wall and inside size." + (f" Taken from the preset: {told}." if told else ""),
            )


@lru_cache(maxsize=64)
def kiln_state(kiln: Kiln | None) -> KilnState:
    """Work out a kiln from what is told of it.

    Two observations correct the description: the share of the time the element is on in a long hold gives the
    conductivity of the lining, the minutes from cold to the set point then give the heat it stores. Without
    them both keep the band of the tables.

    Parameters
    ----------
    kiln : Kiln or None
        As told; None stands for the usual preset.

    Raises
    ------
    OutOfReach
        For a torch, which has no chamber.
    InputError
        When the description and an observation cannot both be true.
    """
    kiln = NOBODYS if kiln is None else kiln
    if kiln.kind == "torch":
        raise OutOfReach("a torch has no chamber to work out.", "Go by the stage you see.")
    facts = kiln_facts(kiln)
    assumed: list[str] = []
    if facts.assumed:
        assumed.append(f"taken from the class '{facts.preset}': {', '.join(facts.assumed)}")
    if facts.lining != "fibre":
        assumed.append(
            f"the heat balance was checked for fibre only; for {facts.lining} tell the minutes to the set point "
            "and the share of time the element is on"
        )
    row = lining_row(facts.lining)
    conductivity = (float(row["factor_low"]), 1.0, float(row["factor_high"]))
    open_storage = kiln_fact("storage_factor")
    storage = (open_storage.low, 1.0, open_storage.high)
    changed: list[str] = []
    if kiln.hold_duty is not None:
        found = _conductivity(kiln, facts, kiln.hold_duty, assumed)
        changed.append(
            f"the element is on {kiln.hold_duty:.0%} of the time: "
            f"the wall loses {found:.2f} times what its description says"
        )
        conductivity = _about(found)
    if kiln.time_to_set is not None:
        likely, found = _storage(kiln, facts, conductivity[1], kiln.time_to_set, assumed)
        changed.append(
            f"{_minutes(kiln.time_to_set)} to the set point, {_minutes(likely)} expected: "
            f"wall and hearth store {found:.2f} times the heat their description says"
        )
        storage = _about(found)
    return KilnState(kiln, facts, conductivity, storage, tuple(changed), tuple(assumed))


def _degrees(kelvin: float) -> str:
    return units.show(round(kelvin - ZERO_CELSIUS) + ZERO_CELSIUS, "temperature", "°C", WHOLE)


def _minutes(seconds: float) -> str:
    return units.show(seconds, "time", "min", 0.0)


def _about(found: float) -> tuple[float, float, float]:
    return found * (1 - READING_SHARE), found, found * (1 + READING_SHARE)


def _point(told: float | None, assumed: list[str], what: str) -> float:
    if told is not None:
        return told
    usual = value("heat/top_temperature")
    assumed.append(f"{what} was read at {_degrees(usual)}, since no set point is told")
    return usual


def _conductivity(kiln: Kiln, facts: KilnFacts, duty: float, assumed: list[str]) -> float:
    """Find the factor on the conductivity of the lining that holds the set point at the duty seen."""
    point = _point(kiln.hold_duty_point, assumed, "the share of time the element is on")
    reach = kiln_fact("conductivity_reach")

    def miss(factor: float) -> float:
        return log(holding_share(HeatBalance(chamber_of(facts, factor)), point) / duty)

    words = f"a {units.show(facts.power, 'power', 'W')} element on for {duty:.0%} of the time does not fit this kiln"
    return _solve(miss, reach.low, reach.high, words, kiln)


def _storage(
    kiln: Kiln, facts: KilnFacts, conductivity: float, seconds: float, assumed: list[str]
) -> tuple[float, float]:
    """Return the time expected to the set point, and the factor on stored heat that makes it the time seen."""
    point = _point(kiln.time_to_set_point, assumed, "the minutes to the set point")
    reach = kiln_fact("storage_factor_reach")

    def time(factor: float) -> float:
        found, _ = heat_up(HeatBalance(chamber_of(facts, conductivity, factor)), control_of(facts), point)
        return found.first_at_set

    words = (
        f"{units.show(seconds, 'time', 'min')} to {units.show(point, 'temperature', '°C', 2.0)} does not fit this kiln"
    )
    return time(1.0), _solve(lambda factor: log(time(factor) / seconds), reach.low, reach.high, words, kiln)


def _solve(miss: Callable[[float], float], low: float, high: float, words: str, kiln: Kiln) -> float:
    try:
        ends = miss(low), miss(high)
    except InputError as error:
        raise InputError(f"{words}: {error.message}", "Check power, wall and inside size.", kiln.name) from error
    if ends[0] * ends[1] > 0:
        raise InputError(f"{words}.", "Check power, wall, hearth and inside size, and the reading.", kiln.name)
    return root(miss, low, high, relative=FACTOR_NEAR, near=FACTOR_NEAR)


def offset(kiln: Kiln | None, shown: float | None = None) -> Normal:
    """Return what is known of a kiln's true less shown temperature [K].

    Its own check, when it is told how good that was; else the budget of its thermocouple about what it is
    said to read low; then every melt test corrects it.

    Parameters
    ----------
    kiln : Kiln or None
        As told.
    shown : float, optional
        Display it is wanted for [K]; a usual setting when left out.
    """
    return known_offset(kiln, shown).law


def known_offset(kiln: Kiln | None, shown: float | None = None) -> KnownOffset:
    """Return the same with its band and what the melt tests taught.

    Parameters
    ----------
    kiln : Kiln or None
        As told.
    shown : float, optional
        Display it is wanted for [K].
    """
    kiln = NOBODYS if kiln is None else kiln
    return _known(kiln, value("heat/top_temperature") if shown is None else shown)


@lru_cache(maxsize=64)
def _known(kiln: Kiln, shown: float) -> KnownOffset:
    return offset_after(reading_prior(kiln, shown), tests_of(kiln.anchors))
