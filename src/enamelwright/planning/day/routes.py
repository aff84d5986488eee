"""From the plan of a piece to the route of the day: steps, waits, firings that can share a load, colours."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from enamelwright.craft.jar import Jar
from enamelwright.craft.layup import Layup
from enamelwright.craft.operation import Firing, Operation
from enamelwright.craft.piece import Support
from enamelwright.craft.plan import Plan
from enamelwright.physics.constants import ZERO_CELSIUS
from enamelwright.planning.day.problem import Family, Step
from enamelwright.planning.day.rates import TICK, rate, ticks, ticks_of

#: Colour families from light to dark, as sieves are used in a day (common practice, no source).
LIGHT_TO_DARK = (
    "clear", "white", "yellow", "pink", "grey", "warm yellow", "orange", "green", "red", "blue", "purple", "brown",
    "mixed", "black",
)  # fmt: skip
#: Ways of laying whose powder is moist and may not stand over night.
MOIST = frozenset({"wet-pack", "slip", "spray"})
#: Letters at which the words of an operation are cut for a plan.
PAUSE, PAUSES = ",;:.(", {"check": "."}
#: Answers of a label that ask for work apart.
HARMFUL = frozenset({"yes", "mixed"})


@dataclass(frozen=True, order=True)
class Setup:
    """What tools must be clean for: harm first, then darkness, so that sorting gives the order of a day.

    Parameters
    ----------
    harm : int
        0 for neither, 1 for lead, 2 for cadmium.
    dark : int
        Place in :data:`LIGHT_TO_DARK`.
    jar : str
        Its id.
    """

    harm: int
    dark: int
    jar: str

    @classmethod
    def of(cls, jar: Jar) -> Setup:
        """Read a jar."""
        harm = 2 if jar.hazards.cadmium in HARMFUL else 1 if jar.hazards.lead in HARMFUL else 0
        family = jar.optics.family or ("white" if jar.kind in {"opaque", "counter", "ground", "opal"} else "clear")
        return cls(harm, LIGHT_TO_DARK.index(family), jar.id)


@dataclass(frozen=True, order=True)
class Heat:
    """What firings must share to go into one load.

    Parameters
    ----------
    set_point : float
        Rounded to the step of :func:`rate` ``same_heat`` [K]; 0 where no thermometer rules.
    length : int
        Ticks from putting in to taking out, both counted.
    support : str
        What the pieces rest on.
    target : str
        Stage aimed at, where no thermometer rules.
    """

    set_point: float
    length: int
    support: Support
    target: str = ""

    def family(self, skill: str = "") -> Family:
        """Return the family of loads."""
        degrees = f"{self.set_point - ZERO_CELSIUS:.0f} °C" if self.set_point else f"to {self.target}"
        inside = self.length - ticks_of("putting") - ticks_of("taking")
        minutes = f"{inside * TICK / 60:g} min"
        whole = inside <= ticks_of("watched")
        return Family(
            f"{degrees}, {minutes}, {self.support}",
            self.set_point,
            "whole" if whole else "ends",
            ticks_of("putting"),
            ticks_of("taking"),
            skill,
        )


@dataclass(frozen=True)
class Route:
    """The route of one design, its firings and colours still by name.

    Parameters
    ----------
    steps : tuple of Step
        In order; `family` and `setup` count in the tuples below, `setup` from 1.
    heats : tuple of Heat
        Of its firings.
    setups : tuple of Setup
        Of its layings.
    first_wait : int
        Ticks before anything can be done.
    """

    steps: tuple[Step, ...]
    heats: tuple[Heat, ...]
    setups: tuple[Setup, ...]
    first_wait: int = 0


def heat_of(firing: Firing, hand: float) -> Heat:
    """Return what a firing shares its load by.

    Parameters
    ----------
    firing : Firing
        With its window.
    hand : float
        Hand time of a load, where no time is worked out [s].
    """
    window, step = firing.window, rate("same_heat").value
    seconds = window.seconds.value if window is not None and window.seconds is not None else None
    length = ticks(hand) if seconds is None else ticks(seconds) + ticks_of("putting") + ticks_of("taking")
    if window is None or window.set_point is None:
        return Heat(0, length, firing.support, firing.target)
    degrees = step * round((window.set_point.value - ZERO_CELSIUS) / step)
    return Heat(degrees + ZERO_CELSIUS, length, firing.support)


def pace_of(plan: Plan, hand: float | None) -> float:
    """Return by how much the steps of a plan take longer than planned, from the hand time of one piece on record.

    Parameters
    ----------
    plan : Plan
        Of one piece.
    hand : float or None
        Hand time of one piece [s]; None where there is no record.
    """
    planned = plan.hand_time.value if plan.hand_time is not None else 0.0
    return hand / planned if hand and planned > 0 else 1.0


def route_of(plan: Plan, layup: Layup, owner: str = "", pace: float = 1.0) -> Route:
    """Turn a plan into a route.

    Times of the hand are the likely ones. A wait belongs to the step before it. Moist powder is fired the same
    day. Firing over a torch is work at the bench.

    Parameters
    ----------
    plan : Plan
        Of one piece.
    layup : Layup
        Of the same piece.
    owner : str
        Who alone works on it at the bench; empty for anybody.
    pace : float
        Work at the bench takes so many times as long as planned; a firing in a kiln stays as long as it is.
    """
    steps: list[Step] = []
    heats: list[Heat] = []
    setups: list[Setup] = []
    first_wait = 0
    firings = {firing.number: firing for firing in plan.firings}
    for number, operation in enumerate(plan.operations):
        wait = ticks(operation.wait.value) if operation.wait is not None else 0
        if wait and steps:
            steps[-1] = replace(steps[-1], wait=steps[-1].wait + wait)
        elif wait:
            first_wait += wait
        if operation.hand is None:
            continue
        length = ticks(operation.hand.value * pace)
        firing = firings.get(operation.firing)
        if operation.work == "fire" and firing is not None and firing.support != "torch ring":
            heat = heat_of(firing, operation.hand.value)
            if heat not in heats:
                heats.append(heat)
            steps.append(Step(heat.length, family=heats.index(heat), words=_short(operation, layup), origin=number))
            continue
        setup = 0
        if operation.work == "lay" and operation.coats:
            colour = Setup.of(_jar(layup, operation.coats))
            if colour not in setups:
                setups.append(colour)
            setup = 1 + setups.index(colour)
        steps.append(Step(length, skill=owner, setup=setup, words=_short(operation, layup), origin=number))
    return Route(_with_moist(steps, plan.operations, layup), tuple(heats), tuple(setups), first_wait)


def _jar(layup: Layup, coats: tuple[int, ...]) -> Jar:
    """Return the jar of the coats of one laying; the most harmful, darkest one leads."""
    jars = [layer.jar for layer in layup.layers if layer.number in coats]
    return max(jars, key=Setup.of)


def _short(operation: Operation, layup: Layup) -> str:
    """Return the words of an operation up to the name of its last powder, or else to the first pause."""
    words = operation.words
    names = [layer.jar.name for layer in layup.layers if layer.number in operation.coats] if operation.coats else []
    end = max((words.find(name) + len(name) for name in names if name in words), default=0)
    if operation.work != "lay" or not end:
        end = next((n for n, letter in enumerate(words) if letter in PAUSES.get(operation.work, PAUSE)), len(words))
    face = "" if operation.face == "none" else f" {operation.face}"
    return words[:1].lower() + words[1:end].strip() if end else f"{operation.work}{face}"


def _with_moist(steps: list[Step], operations: Sequence[Operation], layup: Layup) -> tuple[Step, ...]:
    """Give moist layings that are followed by a firing a longest wait."""
    methods = {layer.number: layer.coat.method for layer in layup.layers}
    kept = []
    for number, step in enumerate(steps):
        operation = operations[step.origin]
        moist = operation.work == "lay" and any(methods.get(coat) in MOIST for coat in operation.coats)
        if moist and number + 1 < len(steps) and steps[number + 1].fires:
            step = replace(step, longest=max(ticks_of("moist"), step.wait))
        kept.append(step)
    return tuple(kept)


def washing(setups: Sequence[Setup]) -> tuple[tuple[int, ...], ...]:
    """Return the ticks to clean tools between colours: dark last costs least, lead and cadmium ask for a clean-up.

    Parameters
    ----------
    setups : sequence of Setup
        In order; the first row and column stand for tools that do not matter.
    """

    def between(earlier: Setup, later: Setup) -> int:
        if earlier == later:
            return 0
        if earlier.harm and earlier.harm != later.harm:
            return ticks_of("clean_up")
        return ticks_of("brush_out" if later.dark >= earlier.dark else "wash_tools")

    rows = [tuple(0 for _ in range(len(setups) + 1))]
    rows += [(0, *(between(one, other) for other in setups)) for one in setups]
    return tuple(rows)
