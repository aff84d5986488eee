"""Which stack of the jars to hand comes nearest to a colour: searched, refined, then ranked by how it may come out.

Every stack the rules allow is looked at; the best are refined in thickness; each is then drawn many times, as its
jars, coats and metal may turn out, under every light asked for, and ranked by what nine of ten of those come within,
with what the model itself misses. Jars nobody measured are drawn as widely as is assumed of them, so that ignorance
is no merit; among stacks of such jars no spread parts one from another, and what is meant nearest comes first. What
the maker's own tiles teach of a kind of stack is added to its colour. Firings and risks are set beside that number,
never mixed into it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import numpy.typing as npt

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.coat_laid import layings, least_laid
from enamelwright.craft.colour.colour_risk import ColourRisk, fired_of, limit, risks_of, weight_of
from enamelwright.craft.colour.colour_stack import ColourStack, Surface
from enamelwright.craft.colour.correction import AS_FORETOLD, Correction, Corrections, moved
from enamelwright.craft.colour.jar_optics import of_jar, optics_of
from enamelwright.craft.colour.jar_space import JarSpace, jar_space, jars_to_hand
from enamelwright.craft.colour.light import USUAL, LightName, seen_under
from enamelwright.craft.colour.look import View
from enamelwright.craft.colour.match_rules import Objection, StackRules
from enamelwright.craft.colour.stack_draws import drawn_reflectances, with_model_error
from enamelwright.craft.colour.stack_parts import parts_of
from enamelwright.craft.colour.stack_refine import lab_as_meant, refined
from enamelwright.craft.metal import metal
from enamelwright.errors import InputError
from enamelwright.figure import standard
from enamelwright.physics.colour.colour_difference import ciede2000
from enamelwright.physics.colour.colour_space import xyz_of_lab
from enamelwright.physics.colour.spectrum_recovery import recovered_reflectance

Array = npt.NDArray[np.float64]
Progress = Callable[[float, str], bool]

#: Stacks drawn up first; many of them differ in thickness alone.
SHORTLIST = 1000
#: Different stacks refined and drawn.
REFINED = 16
#: Of those, places kept for stacks of fitted jars alone, where there are any on the short list.
KEPT_FITTED = 8
#: Stacks that a correction brings near, for each of those.
KEPT_CORRECTED = 3
#: Draws of each stack.
DRAWS = 64
#: Share of draws that lie nearer than the score.
SURE = 0.9
#: Most stacks told.
TOLD = 8
#: Stacks above which the index of colours pays, even for one target.
INDEXED = 5_000_000
#: What a rule's Watch counts beside the risks of colour: as much as a warning.
WATCH_WEIGHT = 3
#: Scores are compared to this many decimals: a tenth of a CIEDE2000 is less than anybody sees.
DECIMALS = 1
#: A coat may go when the stack is no further off without it than this: nobody sees it.
MISSED = 0.3
#: How far a jar's absorption and scattering are moved, as a factor, to see what measuring it would settle.
MOVED = 1.3


@dataclass(frozen=True)
class Match:
    """One stack that comes near.

    Attributes
    ----------
    stack : ColourStack
        As laid, from the metal outward.
    lab : tuple of float
        Nominal, as the colour aimed at was lit, in daylight.
    away : float
        CIEDE2000 of that from the target.
    score : float
        CIEDE2000 that nine of ten such stacks come within, under the worst of the lights, with what the model
        misses. Where not every jar is fitted it rests on an assumed spread: good for an order, not to be told.
    by_light : tuple of (str, float)
        The same under each light.
    firings : int
        One a laying; a thick coat is laid and fired several times.
    risks : tuple of ColourRisk
        What may turn its colour.
    objections : tuple of Objection
        What the rules of the trade say of it; nothing they stop is offered.
    risk : int
        Both together, as they count in the choice.
    invented : tuple of str
        Names of its jars whose colour nobody measured.
    unsure : tuple of str
        Names of its other jars whose curves are told without how sure they are.
    corrected : Correction or None
        What the maker's own tiles teach of such stacks; it is in the colour and in the score.
    rank : float
        What it is put in order by: the score; of stacks nobody can tell how sure they are, how near they are meant,
        with one spread for all of them.
    foremost : bool
        Whether no other stack is better in one of rank, firings and risk without being worse in another.
    """

    stack: ColourStack
    lab: tuple[float, float, float]
    away: float
    score: float
    by_light: tuple[tuple[LightName, float], ...]
    firings: int
    risks: tuple[ColourRisk, ...]
    objections: tuple[Objection, ...]
    risk: int
    invented: tuple[str, ...]
    unsure: tuple[str, ...]
    corrected: Correction | None = None
    rank: float = 0.0
    foremost: bool = False

    @property
    def measured(self) -> bool:
        """Whether every jar of it is fitted, and its fit says how sure it is."""
        return not self.invented and not self.unsure


@dataclass(frozen=True)
class Matched:
    """What can be had.

    Attributes
    ----------
    target : tuple of float
        Lab in daylight.
    matches : tuple of Match
        The foremost by score, then the others.
    looked_at : int
        Stacks looked at.
    reached : bool
        Whether the first stack told is meant to come within what is called visible, all its jars fitted.
    nearest : float
        CIEDE2000 of the nearest stack, as it is meant to come out, whatever its jars rest on.
    beyond : bool
        Whether no surface can have this colour at all.
    unknown : tuple of str
        Jars left out, because nothing tells their colour.
    measure : str
        Jar whose tiles would settle most; empty when none would.
    because : str
        Why that jar.
    """

    target: tuple[float, float, float]
    matches: tuple[Match, ...]
    looked_at: int
    reached: bool
    nearest: float
    beyond: bool
    unknown: tuple[str, ...]
    measure: str
    because: str


def match_colour(
    target: Sequence[float],
    bench: Bench,
    *,
    jars: Sequence[str] = (),
    metals: Sequence[str] = ("copper",),
    coats: int = 3,
    surface: Surface = "unknown",
    view: View = "catching the light",
    lights: Sequence[LightName] = USUAL,
    draws: int = DRAWS,
    learned: Corrections | None = None,
    progress: Progress | None = None,
) -> Matched:
    """Look for stacks that come near a colour.

    Parameters
    ----------
    target : sequence of float
        Lab under daylight D65, 2 degrees.
    bench : Bench
        Jars and coupons.
    jars : sequence of str
        Ids to choose from; the maker's own with powder left when empty.
    metals : sequence of str
        Sheets to choose from.
    coats : int
        Most coats, 1 to 3.
    surface : str
        Finish of the metal.
    view : str
        How the pieces are held: as the colour aimed at was lit.
    lights : sequence of str
        Under which it is to match.
    draws : int
        Of each stack.
    learned : Corrections, optional
        What the maker's own tiles teach.
    progress : callable, optional
        Told how far it is, from 0 to 1, and in words; stops when it returns False.

    Raises
    ------
    InputError
        When the target is no colour.
    OutOfReach
        When none of the jars can be used.
    """
    aim = _target(target)
    metal_ids = tuple(dict.fromkeys(metal(name).id for name in metals)) or ("copper",)
    names = tuple(dict.fromkeys(bench.jar(name).id for name in jars)) or jars_to_hand(bench)
    tell = progress if progress is not None else _nobody
    if not tell(0.0, "colouring every stack"):
        raise InputError("the search was stopped.")
    space = jar_space(bench, names, metal_ids, coats, surface, view)
    learned = learned or Corrections()
    chosen = _shortlist(space, aim, bench, learned)
    smoothest = recovered_reflectance(xyz_of_lab(aim, seen_under("D65").white), seen_under("D65").weights)
    # The target is known in daylight alone; elsewhere the smoothest reflectance of its colour stands for it.
    aims = {name: aim if name == "D65" else seen_under(name).lab(smoothest.reflectance) for name in lights}
    found: list[Match] = []
    seen: set[tuple[str, tuple[str, ...]]] = set()
    for place, stack in enumerate(chosen):
        if not tell(0.5 + place / len(chosen) / 2, "trying how each may come out"):
            break
        nearest_laid = refined(stack, aim, bench, view, learned.shift(stack))
        better, lab, away = _simpler(*nearest_laid, aim, bench, view, learned)
        key = (better.metal, tuple(coat.jar for coat in better.coats))
        if key not in seen:
            seen.add(key)
            found.append(_judged(better, lab, away, aims, bench, draws, view, learned.of(better)))
    matches = _ranked(found)
    nearest = min((one.away for one in matches), default=np.inf)
    measure, because = _worth_measuring(matches, bench, view)
    return Matched(
        _three(aim), matches, len(space.stacks), _reached(matches), nearest,
        smoothest.less_saturated, space.unknown, measure, because,
    )  # fmt: skip


def _reached(matches: tuple[Match, ...]) -> bool:
    return bool(matches) and matches[0].measured and matches[0].away < limit("match/reached")


def _nobody(_done: float, _words: str) -> bool:
    return True


def _three(values: Array) -> tuple[float, float, float]:
    return float(values[0]), float(values[1]), float(values[2])


def _target(target: Sequence[float]) -> Array:
    aim = np.asarray(target, dtype=np.float64)
    if aim.shape != (3,) or not np.all(np.isfinite(aim)):
        raise InputError("a colour aimed at has three numbers.", "Give L*, a* and b*.", "target")
    if not (0 < aim[0] < 100) or np.any(np.abs(aim[1:]) > FARTHEST):
        raise InputError(
            "no surface has this colour.", "L* lies between 0 and 100, a* and b* hardly beyond -130 and 130.", "target"
        )
    return aim


#: No surface has an a* or b* beyond this.
FARTHEST = 200.0


def _shortlist(space: JarSpace, aim: Array, bench: Bench, learned: Corrections) -> list[ColourStack]:
    """Return the best stacks that differ in more than thickness.

    Some are of fitted jars alone, if others crowd in; those that a correction brings near come besides.
    """
    chosen = _fitted_too(space, aim, bench)
    for one in learned.known:
        if not any(jar.jar == one.jar for jar in space.jars):
            continue
        near = _best_of(space, aim - np.array(one.lab), bench, KEPT_CORRECTED, (learned, one))
        chosen += [stack for stack in near if stack not in chosen]
    return chosen


def _fitted_too(space: JarSpace, aim: Array, bench: Bench) -> list[ColourStack]:
    chosen = _best_of(space, aim, bench, REFINED)
    if space.measured is None:
        return chosen
    measured = _best_of(space.measured, aim, bench, KEPT_FITTED)
    return [*measured, *(one for one in chosen if one not in measured)][:REFINED]


def _best_of(
    space: JarSpace, aim: Array, bench: Bench, wanted: int, of: tuple[Corrections, Correction] | None = None
) -> list[ColourStack]:
    stacks = space.stacks
    rows = stacks.nearest(aim, SHORTLIST) if len(stacks) > INDEXED else stacks.best(aim, SHORTLIST)
    rules, seen, chosen = StackRules(bench), set(), []
    for row in rows.tolist():
        stack = space.stack(row)
        key = (stack.metal, tuple(coat.jar for coat in stack.coats))
        if key in seen:
            continue
        seen.add(key)
        if of is not None and of[0].of(stack) != of[1]:
            continue
        if any(one.severity == "stop" for one in rules.of(*key)):
            continue
        chosen.append(stack)
        if len(chosen) == wanted:
            break
    return chosen


def _simpler(
    stack: ColourStack, lab: Array, away: float, aim: Array, bench: Bench, view: View, learned: Corrections
) -> tuple[ColourStack, Array, float]:
    """Leave out coats that nobody would miss: hidden ones, and flux where it changes nothing; then needless layings."""
    for place in range(len(stack.coats) - 1, -1, -1):
        coats = stack.coats[:place] + stack.coats[place + 1 :]
        if not coats:
            break
        less = stack.model_copy(update={"coats": coats})
        if any(one.severity == "stop" for one in StackRules(bench).of(less.metal, [coat.jar for coat in coats])):
            continue
        shift = learned.shift(less)
        found = lab_as_meant(less, bench, view, shift)
        if float(ciede2000(aim, found)) <= away + MISSED:
            return _simpler(*refined(less, aim, bench, view, shift), aim, bench, view, learned)
    return _thinner(stack, lab, away, aim, bench, view, learned)


def _thinner(
    stack: ColourStack, lab: Array, away: float, aim: Array, bench: Bench, view: View, learned: Corrections
) -> tuple[ColourStack, Array, float]:
    """Lay each coat in as few layings as nobody would miss."""
    shift, allowed = learned.shift(stack), away + MISSED
    for place, coat in enumerate(stack.coats):
        least = least_laid(optics_of(coat.jar, bench))
        for times in range(1, layings([coat.thickness])):
            thin = coat.model_copy(update={"thickness": max(times * limit("match/laying"), least)})
            less = stack.model_copy(update={"coats": (*stack.coats[:place], thin, *stack.coats[place + 1 :])})
            found = lab_as_meant(less, bench, view, shift)
            if thin.thickness < coat.thickness and float(ciede2000(aim, found)) <= allowed:
                stack, lab, away = less, found, float(ciede2000(aim, found))
                break
    return stack, lab, away


def _judged(
    stack: ColourStack, lab: Array, away: float, aims: Mapping[LightName, Array], bench: Bench, draws: int,
    view: View, learned: Correction | None,
) -> Match:  # fmt: skip
    """Draw a stack under every light, and gather what speaks against it."""
    parts, by = parts_of(stack, bench), np.array(AS_FORETOLD)
    if learned is not None:
        # Tiles of such stacks tell how they come out, whatever the curves of their jars are worth.
        parts = replace(parts, jars=tuple(jar.settled() for jar in parts.jars))
        doubt = [standard(f"learned {axis}: shift", draws) for axis in "Lab"]
        by = np.array(learned.lab) + learned.sd * np.stack(doubt, axis=1)
    drawn = drawn_reflectances(stack, parts, draws, view)
    jars = [of_jar(bench.jar(coat.jar)) for coat in stack.coats]
    by_light = []
    for name, wanted in aims.items():
        seen = seen_under(name)
        spread = float(np.quantile(ciede2000(wanted, moved(seen.lab(drawn), by)), SURE))
        by_light.append((name, with_model_error(spread, jars)))
    risks = risks_of(fired_of(stack, bench))
    objections = StackRules(bench).of(stack.metal, [coat.jar for coat in stack.coats])
    told = {one.rule for one in objections}
    risks = tuple(one for one in risks if not set(one.also_told_by) & told)
    unmeasured = dict.fromkeys(jar.name for jar in jars if jar.invented)
    unsure = dict.fromkeys(jar.name for jar in jars if not (jar.sure or jar.invented))
    return Match(
        stack, _three(lab), away, max(far for _, far in by_light), tuple(by_light),
        layings([coat.thickness for coat in stack.coats]), risks,
        objections, weight_of(risks) + WATCH_WEIGHT * len(objections), tuple(unmeasured), tuple(unsure),
        learned, max(far for _, far in by_light),
    )  # fmt: skip


def _ranked(found: list[Match]) -> tuple[Match, ...]:
    """Put the foremost first: no other is better in one thing without being worse in another."""
    unknown = [one for one in found if not (one.measured or one.corrected)]
    if unknown:
        spread = float(np.median([np.sqrt(max(one.score**2 - one.away**2, 0.0)) for one in unknown]))
        found = [replace(one, rank=float(np.hypot(one.away, spread))) if one in unknown else one for one in found]

    def merits(one: Match) -> tuple[float, int, int]:
        return round(one.rank, DECIMALS), one.firings, one.risk

    def beaten(one: Match) -> bool:
        mine = merits(one)
        return any(
            all(x <= y for x, y in zip(merits(other), mine, strict=True)) and merits(other) != mine for other in found
        )

    marked = [replace(one, foremost=not beaten(one)) for one in found]
    marked.sort(key=lambda one: (not one.foremost, *merits(one), one.away))
    kept = _without_twins(marked)
    told = kept[:TOLD]
    nearest = min(kept, key=lambda one: one.away, default=None)
    # The nearest is always told, however its score turned out: it is what the finding speaks of.
    return tuple(told if nearest is None or nearest in told else [*told[:-1], nearest])


def _without_twins(found: list[Match]) -> list[Match]:
    """Leave out stacks of the same jars in another order that look the same, are fired as often and risk as much."""
    kept: list[Match] = []
    seen: set[tuple[object, ...]] = set()
    for one in found:
        jars = tuple(sorted(coat.jar for coat in one.stack.coats))
        key = (one.stack.metal, jars, one.risk, round(one.away, DECIMALS))
        if key not in seen:
            seen.add(key)
            kept.append(one)
    return kept


def _worth_measuring(matches: tuple[Match, ...], bench: Bench, view: View) -> tuple[str, str]:
    """Name the jar that moves the best stack most when its colour turns out otherwise."""
    if not matches:
        return "", ""
    best, learned = matches[0].stack, matches[0].corrected
    told = {coat.jar: _moved(best, coat.jar, bench, view) for coat in best.coats}
    unmeasured = {jar: by for jar, by in told.items() if of_jar(bench.jar(jar)).invented}
    among = unmeasured or told
    jar = max(among, key=among.__getitem__)
    why = "nobody has measured it" if jar in unmeasured else "its fit leaves most open"
    if jar in unmeasured and learned is not None and learned.jar == jar:
        why = "its tiles are read and not fitted yet"
    name = bench.jar(jar).name
    return jar, f"{name}: {why}, and a colour a third stronger or weaker moves the best stack by {among[jar]:.1f}"


def _moved(stack: ColourStack, jar: str, bench: Bench, view: View) -> float:
    """Return how far a stack moves when one jar is stronger or weaker than thought."""

    def at(factor: float) -> Array:
        coats = tuple(
            coat.model_copy(update={"thickness": coat.thickness * factor}) if coat.jar == jar else coat
            for coat in stack.coats
        )
        return lab_as_meant(stack.model_copy(update={"coats": coats}), bench, view)

    return float(ciede2000(at(MOVED), at(1 / MOVED)))
