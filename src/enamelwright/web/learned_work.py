"""What weighings and strips have taught, in words, and a plan without it and with it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp

from enamelwright.craft.bench import Bench
from enamelwright.craft.learned_bow import LearnedBow
from enamelwright.craft.learned_hand import ANY_MESH, ANYBODY, LearnedHand
from enamelwright.craft.plan import Plan
from enamelwright.errors import EnamelwrightError
from enamelwright.figure import Z95, Figure
from enamelwright.reference import loader
from enamelwright.units import from_si
from enamelwright.web.moments import whole
from enamelwright.workshop.designs import version_row
from enamelwright.workshop.firing_facts import firing_facts
from enamelwright.workshop.heat_budgets import HeatBudget, heat_budgets
from enamelwright.workshop.pieces import pieces_in_work
from enamelwright.workshop.predictions import plan_of
from enamelwright.workshop.relearning import work_now
from enamelwright.workshop.studio import Studio

#: What a habit is called, and where hands at large are told.
HABITS = {
    "loss": ("of what is sifted misses the piece", "trade/sifting_loss"),
    "packing": ("of a sifted bed is glass, the rest air", "trade/packing_fraction"),
}
#: A share of the first spread below which a number counts as learned.
LEARNED = 0.7
#: Designs in work that are planned twice while somebody waits for the page, at most.
MOST_TRIED = 4


@dataclass(frozen=True)
class HandLine:
    """One habit of one hand: how much, hands at large, and whose weighings it stands on."""

    habit: str
    share: str
    usual: str
    weighings: str


@dataclass(frozen=True)
class BowLine:
    """What strips say of one jar on one metal."""

    jar: str
    metal: str
    shrinks: str
    gives: str
    pieces: int
    known: str


@dataclass(frozen=True)
class HeatLine:
    """How a colour stood after one re-firing."""

    jar: str
    words: str


@dataclass(frozen=True)
class PlanLine:
    """One figure of a plan without what was learned and with it."""

    what: str
    before: str
    after: str


@dataclass(frozen=True)
class WorkLearned:
    """All of it, with why weighings and bows were left out, and what to say where learning fails."""

    hands: list[HandLine]
    bows: list[BowLine]
    heat: list[HeatLine]
    piece: str
    lines: list[PlanLine]
    left_out: dict[str, int]
    trouble: str = ""


def work_learned(studio: Studio, known: Bench) -> WorkLearned:
    """Return what weighings and strips have taught.

    Parameters
    ----------
    studio : Studio
        The studio.
    known : Bench
        The bench of this moment.
    """
    plain = known.model_copy(update={"learned_bows": (), "learned_hands": ()})
    of_bows, of_hands, fails = work_now(studio, plain)
    bows, hands = of_bows.found, of_hands.found
    taught = plain.model_copy(update={"learned_bows": bows, "learned_hands": hands})
    piece, lines = _plan_lines(studio, plain, taught) if bows or hands else ("", [])
    return WorkLearned(
        [_hand_line(one) for one in _telling(hands)], [_bow_line(one) for one in bows],
        [_heat_line(one) for one in heat_budgets(studio, firing_facts(studio, known))], piece, lines,
        {**of_bows.left_out, **of_hands.left_out}, "" if fails is None else fails.words(whole, shown=True),
    )  # fmt: skip


def _telling(hands: Sequence[LearnedHand]) -> list[LearnedHand]:
    """Return the habits that say something the others do not: a lone person is everybody, a lone mesh every mesh.

    What a person would do with a mesh only others used is left out too: it is used and not told.
    """
    fewest = loader.facts_of("heat/learning")["heat/learn_hand_fewest"].value

    def same(one: LearnedHand, **other: object) -> bool:
        wanted = one.model_copy(update=other)
        return any(
            (h.what, h.who, h.mesh, h.weighings) == (wanted.what, wanted.who, wanted.mesh, wanted.weighings)
            for h in hands
        )

    return [
        one
        for one in hands
        if one.weighings
        and (one.mesh == ANY_MESH or one.weighings + one.others >= fewest)
        and not (one.who != ANYBODY and same(one, who=ANYBODY))
        and not (one.mesh != ANY_MESH and same(one, mesh=ANY_MESH))
    ]


def _hand_line(one: LearnedHand) -> HandLine:
    words, usual = HABITS[one.what]
    fact = loader.fact(usual)
    return HandLine(
        words,
        _percent(one.value, max(one.value - Z95 * one.sd, 0.0), min(one.value + Z95 * one.sd, 1.0)),
        _percent(fact.value, fact.low, fact.high), one.words,
    )  # fmt: skip


def _percent(value: float, low: float, high: float) -> str:
    return f"{value:.0%} ({low:.0%} to {high:.0%})".replace("%", " %")


def _bow_line(one: LearnedBow) -> BowLine:
    priors = one.strain_before or loader.value("glass/strain_scale_sd"), loader.value("metals/yield_log_sd")
    far = [sd < LEARNED * prior for sd, prior in zip((one.strain_sd, one.give_sd), priors, strict=True)]
    known = "both learned" if all(far) else "glass learned, metal not yet" if far[0] else "metal learned, glass not yet"
    return BowLine(
        one.jar, one.metal, _factor(one.strain, one.strain_sd), _factor(one.give, one.give_sd), one.pieces,
        known if any(far) else "not yet learned",
    )  # fmt: skip


def _heat_line(one: HeatBudget) -> HeatLine:
    """Say where a colour still stood and where it turned."""
    last = one.steps[-1]
    before = f"good after {last.refirings - 1} more; " if last.refirings > 1 and not one.steps[-2].turned else ""
    pieces = "piece" if last.seen == 1 else "pieces"
    again = "once more" if last.refirings == 1 else f"{last.refirings} more times"
    return HeatLine(
        one.jar,
        f"{before}of {last.seen} {pieces} fired {again}, {last.turned} turned; still good then: "
        f"{last.low:.0%} to {last.high:.0%} of them".replace("%", " %"),
    )


def _factor(middle: float, sd: float) -> str:
    """Say a factor on what the tables say."""
    low, likely, high = (exp(middle + side * Z95 * sd) for side in (-1, 0, 1))
    return f"{likely:.2g} times ({low:.2g} to {high:.2g})"


def _plan_lines(studio: Studio, plain: Bench, taught: Bench) -> tuple[str, list[PlanLine]]:
    """Return figures of a piece in work that move, without what was learned and with it."""
    tried: set[int] = set()
    for one in pieces_in_work(studio):
        if not one.design_version or one.design_version in tried:
            continue
        if len(tried) == MOST_TRIED:
            break
        tried.add(one.design_version)
        version = version_row(studio, one.design_version)
        try:
            before, after = (plan_of(studio, version, bench).payload for bench in (plain, taught))
        except EnamelwrightError:
            continue
        lines = _lines(before, after)
        if lines:
            return f"{one.number} {one.label or ''}".strip(), lines
    return "", []


def _grams(weight: Figure) -> str:
    """Write a weight with its band to the step of a balance of the bench, a hundredth of a gram."""
    value, low, high = (f"{from_si(one, 'g', 'mass'):.2f}" for one in (weight.value, weight.low, weight.high))
    return f"{value} g" if low == high else f"{value} g ({low} to {high})"


def _lines(before: Plan, after: Plan) -> list[PlanLine]:
    found = []
    for first, second in zip(before.weights, after.weights, strict=True):
        grams = _grams(first.to_weigh), _grams(second.to_weigh)
        if grams[0] != grams[1]:
            found.append(PlanLine(f"{first.face}, {first.jar_name}: weigh out", *grams))
    if before.flatness.states and after.flatness.states:
        ends = [plan.flatness.states[-1].bow.shown("mm") for plan in (before, after)]
        if ends[0] != ends[1]:
            found.append(PlanLine("bow of the finished piece", *ends))
    return found
