"""How far what a kiln shows may be from the truth, before anything has been held against it.

Each cause gives a limit; a limit without further knowledge is a rectangular distribution, and the causes
add as variances (JCGM 100:2008, the guide to uncertainty in measurement, 4.3.7 and 5.1.2).
"""

from __future__ import annotations

from dataclasses import dataclass
from math import sqrt
from typing import Literal, Self

from enamelwright.craft.kiln import Kiln
from enamelwright.craft.type_k import type_k
from enamelwright.figure import Z95, Figure, Normal, Origin
from enamelwright.physics.constants import ZERO_CELSIUS
from enamelwright.physics.thermocouple import tolerance
from enamelwright.reference.loader import Fact, facts_of, value

ToleranceClass = Literal["class 1", "class 2"]

#: A rectangular distribution of half width a has the standard deviation a / sqrt(3).
RECTANGULAR = sqrt(3.0)

#: A check claimed to be perfect is taken to be this good [K]: no display shows less.
SHARPEST = 0.5

#: Class taken when nobody knows which wire it is.
USUAL_CLASS: ToleranceClass = "class 2"


def told(key: str) -> Fact:
    """Return one constant of the table of thermocouples, named without its field."""
    return facts_of("heat/thermocouple")[f"heat/{key}"]


@dataclass(frozen=True)
class Couple:
    """What is known of the probe and the meter behind it.

    Attributes
    ----------
    tolerance_class : str or None
        Class of the wire when new; None when unknown.
    hours : float or None
        Time at heat so far [s]; None when unknown.
    moved : bool
        Whether it was pulled or pushed since it was new, which brings aged wire into the gradient.
    meter, position : float or None
        Limits of the meter, and of the place of the tip against the place of the work [K].
    junction : float or None
        Temperature of the terminals when the meter does not allow for it [K]; None when it does.
    """

    tolerance_class: ToleranceClass | None = None
    hours: float | None = None
    moved: bool = False
    meter: float | None = None
    position: float | None = None
    junction: float | None = None

    @classmethod
    def of(cls, kiln: Kiln, junction: float | None = None) -> Self:
        """Return what a kiln's owner has told of its probe.

        Parameters
        ----------
        kiln : Kiln
            As described.
        junction : float, optional
            Temperature of the terminals when the meter does not allow for it [K].
        """
        return cls(
            junction=junction,
            tolerance_class=kiln.thermocouple,
            hours=kiln.probe_hours,
            moved=kiln.probe_moved,
            meter=kiln.meter_error,
            position=kiln.spread,
        )


@dataclass(frozen=True)
class Cause:
    """One line of the budget.

    Attributes
    ----------
    name : str
        What it is, in plain words.
    sd : float
        Standard deviation it gives [K].
    limit : float or None
        The limit it was read from [K]; None when it is a standard deviation by judgement.
    origin : Origin
        Where the limit comes from.
    """

    name: str
    sd: float
    limit: float | None
    origin: Origin

    def words(self) -> str:
        """Say it on one line."""
        how = f"up to ±{self.limit:.1f} K" if self.limit is not None else "by judgement"
        return f"{self.name}: {how}, a standard deviation of {self.sd:.1f} K"


@dataclass(frozen=True)
class Budget:
    """All causes together.

    Attributes
    ----------
    shown : float
        Temperature on the display it was worked out for [K].
    shift : float
        How much hotter the work is than shown, known beforehand [K]: 0 unless the meter leaves out its
        terminals.
    causes : tuple of Cause
        What scatters about that.
    """

    shown: float
    shift: float
    causes: tuple[Cause, ...]

    @property
    def sd(self) -> float:
        """Standard deviation of all causes together [K]."""
        return sqrt(sum(cause.sd**2 for cause in self.causes))

    @property
    def prior(self) -> Normal:
        """True less shown temperature, as a factor [K]."""
        return Normal(mean=self.shift, sd=self.sd)

    def figure(self) -> Figure:
        """Return true less shown temperature with its band [K]."""
        return Figure(
            value=self.shift,
            low=self.shift - Z95 * self.sd,
            high=self.shift + Z95 * self.sd,
            dimension="temperature_difference",
            origin=Origin(kind="computed", source="budget of the thermocouple, causes added as variances"),
        )


def budget(couple: Couple, shown: float) -> Budget:
    """Add up what may part the display from the work.

    Parameters
    ----------
    couple : Couple
        What is known of it; the rest is taken from the tables.
    shown : float
        Temperature on the display [K].

    Raises
    ------
    OutOfReach
        When type K is not stated for that temperature.
    """
    wires = type_k()
    causes = [_wire(couple, shown), _drift(couple)]
    if couple.moved:
        fact = told("ordering_share")
        causes.append(_limit("aged wire moved into the wall", fact.value * (shown - ZERO_CELSIUS), fact.origin()))
    causes.append(_stated("place of the tip against the work", couple.position, told("position_limit")))
    causes.append(_stated("meter", couple.meter, told("meter_limit")))
    shift = 0.0
    if couple.junction is None:
        fact = told("junction_limit")
        # Voltages add: a kelvin at the terminals counts by the slope there over the slope at the hot end.
        share = float(wires.slope(value("heat/room")) / wires.slope(shown))
        causes.append(_limit("temperature of the terminals", fact.value * share, fact.origin()))
    else:
        shift = float(wires.behind(wires.emf(shown), couple.junction)) - shown
    rest = told("unlisted_sd")
    causes.append(Cause("what no line names", rest.value, None, rest.origin()))
    return Budget(shown, shift, tuple(causes))


def _limit(name: str, limit: float, origin: Origin) -> Cause:
    return Cause(name, limit / RECTANGULAR, limit, origin)


def _stated(name: str, own: float | None, fact: Fact) -> Cause:
    if own is None:
        return _limit(name, fact.value, fact.origin())
    return _limit(name, own, Origin(kind="measured", source="as told of the kiln"))


def _wire(couple: Couple, shown: float) -> Cause:
    kind = couple.tolerance_class or USUAL_CLASS
    key = kind.replace(" ", "_")
    if shown > told(f"{key}_top").value:
        key = USUAL_CLASS.replace(" ", "_")
    floor, share = told(f"{key}_floor"), told(f"{key}_share")
    named = kind if couple.tolerance_class else f"taken as {kind}"
    return _limit(f"wire when new, {named}", float(tolerance(shown, floor.value, share.value)), share.origin())


def _drift(couple: Couple) -> Cause:
    fact = told("drift_limit")
    share = 1.0 if couple.hours is None else min(1.0, couple.hours / told("drift_hours").value)
    return _limit("drift of the wire in use", fact.value * share, fact.origin())


def reading_prior(kiln: Kiln, shown: float, junction: float | None = None) -> Normal:
    """Return what is believed of a kiln's (true less shown) before melt tests [K].

    What its owner has told of the reading stands before the budget; an error told without how well it is
    known keeps the doubt of the budget.

    Parameters
    ----------
    kiln : Kiln
        What its owner told.
    shown : float
        Temperature on the display [K].
    junction : float, optional
        Temperature of the terminals when the meter does not allow for it [K].
    """
    if kiln.reads_low_sd is not None:
        return Normal(mean=kiln.reads_low, sd=max(kiln.reads_low_sd, SHARPEST))
    found = budget(Couple.of(kiln, junction), shown)
    return Normal(mean=found.shift + kiln.reads_low, sd=found.sd)
