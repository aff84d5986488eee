"""How well it is known when a jar glosses, before it was ever fired here."""

from __future__ import annotations

from math import e, hypot, log10

from enamelwright.craft.jar import Jar
from enamelwright.craft.window.facts import number
from enamelwright.reference.loader import facts_of


def spread_of(jar: Jar) -> float:
    """Return how well the gloss clock of a jar is known before it was ever fired [decades]; nothing is heated for it.

    Parameters
    ----------
    jar : Jar
        As described.
    """
    if _stated(jar):
        return number("gloss_sd_stated")
    return number("gloss_sd_class" if jar.fusing.hardness is not None or is_told(jar) else "gloss_sd_unknown")


def unfired_sd(jar: Jar) -> float:
    """Return the same with the grain of its powder, which all its coats share [decades].

    Parameters
    ----------
    jar : Jar
        As described.
    """
    from enamelwright.craft.window.thresholds import GRAIN_POWER

    grain = number("grain_known_sd" if jar.mesh is not None else "grain_unknown_sd")
    return hypot(spread_of(jar), GRAIN_POWER * grain * log10(e))


def lot_sd() -> float:
    """Return how far a new lot of a jar may gloss off the last one [decades]."""
    return facts_of("heat/learning")["heat/learn_lot"].value


def _stated(jar: Jar) -> bool:
    """Whether a temperature it is fired at is told."""
    fusing = jar.fusing
    return fusing.maturity is not None or fusing.low is not None or fusing.high is not None


def is_told(jar: Jar) -> bool:
    """Whether more is told of a jar than its class."""
    facts = jar.glass
    return _stated(jar) or bool(facts.composition or facts.transformation or facts.softening or jar.starter)
