"""How a jar's glass flows, and how much of that flow it needs to gloss.

Two numbers of one jar belong together: the viscosity it is followed by and the clock at which it is done.
The second is therefore read off the temperature stated for the jar, or off the cool end of the range of its
class, whichever is known: at that setting the ordinary disc is taken out after one and the same time. What the
maker's own firings teach is told from there, in decades, so it keeps its meaning whatever else is learned of the jar.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import get_args

from enamelwright import units
from enamelwright.craft.glass_of_jar import glass_of
from enamelwright.craft.jar import Hardness, Jar
from enamelwright.craft.jar_glass import JarGlass
from enamelwright.craft.window.base_piece import base_clock
from enamelwright.craft.window.facts import number
from enamelwright.craft.window.gloss_spread import is_told, spread_of
from enamelwright.craft.window.thresholds import base_done
from enamelwright.errors import HouseError, InputError
from enamelwright.physics.viscosity import VftViscosity
from enamelwright.reference import loader

#: log10 of the viscosity [Pa s] at the three points that fix a law.
STIFF, SOFT, FLUID = 12.0, 6.6, 3.0
#: A band of some kelvin, so that whole degrees are printed.
WHOLE = 5.0
#: Jars remembered by what is told of them.
REMEMBERED = 512


@dataclass(frozen=True)
class Melt:
    """One jar in the fire.

    Attributes
    ----------
    law : VftViscosity
        Its viscosity.
    shift : float
        Decades by which its thresholds stand above those of the laws.
    sd : float
        How well that is known [decades].
    learned : bool
        Whether the threshold comes from this bench's own firings.
    words : str
        Where both come from, for the assumptions of an answer.
    stated : float
        Heat by which the jar is told: there the shift was read off [K].
    before : float
        The shift without what was learned [decades].
    """

    law: VftViscosity
    shift: float
    sd: float
    learned: bool
    words: str
    stated: float
    before: float


def class_law(hardness: Hardness) -> VftViscosity:
    """Return the viscosity of a class of hardness.

    Parameters
    ----------
    hardness : str
        ``soft``, ``medium`` or ``hard``.

    Raises
    ------
    HouseError
        When the table has no such class.
    """
    return _classes()[hardness]


@lru_cache(maxsize=1)
def _classes() -> dict[str, VftViscosity]:
    found = {}
    for row in loader.rows("heat/hardness_classes"):
        points = [
            (units.to_si(float(row[name]), row["unit"], "temperature"), height)
            for name, height in (("isokom_12", STIFF), ("isokom_6_6", SOFT), ("isokom_3", FLUID))
        ]
        found[row["hardness"]] = VftViscosity.from_three_points(*points)
    if not found:
        raise HouseError("the table of classes of hardness is empty.", "Install the program again.")
    return found


@lru_cache(maxsize=len(get_args(Hardness)))
def class_foot(hardness: Hardness) -> float:
    """Return the cool end of the firing range of a class of hardness [K]: there a firing takes its usual time.

    Hotter settings of the range are for shorter firings; the cool ends, 800 C for the medium class and 840 C for
    the hard one, are also what jars of such a class state by themselves.

    Parameters
    ----------
    hardness : str
        ``soft``, ``medium`` or ``hard``.
    """
    row = next(row for row in loader.rows("heat/hardness_classes") if row["hardness"] == hardness)
    return units.to_si(float(row["fire_low"]), row["unit"], "temperature")


def melt_of(jar: Jar) -> Melt:
    """Return how a jar's glass flows, and its threshold.

    Parameters
    ----------
    jar : Jar
        As described.
    """
    return _melt(jar.model_dump_json(include={"kind", "starter", "glass", "fusing", "hazards"}), _Box(jar))


class _Box:
    """Carries a jar past the cache, which is keyed by what is told of it."""

    def __init__(self, jar: Jar) -> None:
        self.jar = jar

    def __hash__(self) -> int:
        return 0

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Box)


@lru_cache(maxsize=REMEMBERED)
def _melt(_key: str, box: _Box) -> Melt:
    jar = box.jar
    fusing = jar.fusing
    if fusing.hardness is not None and not is_told(jar):
        law, stated = class_law(fusing.hardness), class_foot(fusing.hardness)
        shift, words = _seed(jar, law, stated, f"the cool end of the {fusing.hardness} class")
    else:
        glass = glass_of(jar)
        law = _law(glass, fusing.hardness or "medium")
        stated, how = _stated(jar, glass)
        shift, words = _seed(jar, law, stated, how)
    if fusing.gloss_clock is None:
        return Melt(law, shift, spread_of(jar), False, words, stated, shift)
    learned_sd = fusing.gloss_clock_sd if fusing.gloss_clock_sd is not None else number("repeat_sd")
    words = f"{jar.name}: learned from your own firings in this kiln"
    return Melt(law, shift + fusing.gloss_clock, learned_sd, True, words, stated, shift)


def _law(glass: JarGlass, hardness: Hardness) -> VftViscosity:
    """Draw a law through the two points known of a jar, its hot end as its class has it."""
    points = ((glass.isokom_12.value, STIFF), (glass.isokom_6_6.value, SOFT))
    try:
        return VftViscosity.from_two_points(*points, class_law(hardness).log_prefactor)
    except InputError:  # points too close or crossed: the class is the better guess
        return class_law(hardness)


def _stated(jar: Jar, glass: JarGlass) -> tuple[float, str]:
    """Return the heat a jar whose glass is known is told by [K], and where it comes from."""
    if jar.fusing.maturity is not None:
        return jar.fusing.maturity, "its stated maturity"
    known = glass.known_by != "nothing"
    return (glass.firing_low.value + glass.firing_high.value) / 2, (
        "the middle of its firing range" if known else "a usual setting"
    )


def _seed(jar: Jar, law: VftViscosity, stated: float, how: str) -> tuple[float, str]:
    """Return the shift [decades] with which the ordinary disc is done at a stated temperature in the usual time."""
    seconds = number("maturity_seconds")
    shift = base_clock(law, stated, seconds) - base_done()
    shown = units.show(stated, "temperature", "°C", WHOLE)
    return shift, f"{jar.name}: taken to be done after {seconds:.0f} s at {shown}, {how}, on a small disc"
