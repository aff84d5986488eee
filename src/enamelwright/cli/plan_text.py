"""A plan as plain text: readable in 80 columns without colour."""

from __future__ import annotations

import math
import re
import textwrap
from collections.abc import Iterator
from itertools import groupby

from enamelwright.cards.words import clock, clock_range, grams, likely
from enamelwright.craft.operation import Firing, StageBand, Window
from enamelwright.craft.plan import CoatWeight, FiringState, Flatness, Plan
from enamelwright.craft.verdict import Verdict
from enamelwright.figure import Figure
from enamelwright.questions.answer import Answer

WIDTH = 79
#: Warnings shown unasked; the rest is one option away.
MOST_WARNINGS = 3
#: More firings than this are summed up by the worst and the last.
FEW_STATES = 4
#: Multiples of the heat of gloss told with a decimal below this.
FEW_GLOSSES = 10
#: Which of several equal rounds a firing is; rounds fired alike share a line.
_ROUND = re.compile(r", round \d+ of \d+")
#: Where the seconds are counted from, in words.
_START = {"load": "from closing the door", "recovered": "from when the kiln is back at its setting"}
#: Where a setting comes from; what was worked out and common practice are said once, under the list.
_SETTING = {"own": ", your own setting", "model": "", "practice": ""}
_MARK = {"good": "good ", "watch": "WATCH", "stop": "STOP "}


def plan_text(answer: Answer[Plan], everything: bool = False) -> str:
    """Return a plan as lines of at most 79 characters.

    Parameters
    ----------
    answer : Answer of Plan
        The answer to print.
    everything : bool
        Print every step, verdict and line of advice.
    """
    plan = answer.payload
    lines = [*_head(plan), "", _weigh_title(plan), *_weights(plan), "", "Firings", *_firings(plan, everything), ""]
    lines += ["How it will lie", *_flatness(plan, everything), "", "Verdicts", *_verdicts(plan, everything), ""]
    if everything:
        lines += [*_heat(plan), "Steps", *_steps(plan), "", "Worth knowing", *(_item(a.words) for a in plan.advice), ""]
        lines += ["Taken as given", *(_item(text) for text in answer.assumptions), ""]
        lines += ["Sources", *(_item(text) for text in answer.sources if not text.startswith("status:")), ""]
    cautions = plan.cautions if everything else plan.cautions[:1]
    lines += ["Take care", *(_item(text) for text in cautions)]
    if not everything:
        lines += ["", "Every step, reason and source: add --all."]
    lines += ["", f"{answer.engine}; bench {answer.bench}"]
    return "\n".join(lines)


def _wrap(text: str, first: str = "  ", then: str | None = None) -> str:
    return textwrap.fill(
        text, WIDTH, initial_indent=first, subsequent_indent=first if then is None else then, break_long_words=True
    )


def _item(text: str) -> str:
    return _wrap(text, "  - ", "    ")


def _head(plan: Plan) -> Iterator[str]:
    level = plan.level.upper() if plan.level != "good" else "good"
    name = " ".join(plan.piece.name.split())
    yield f"{name[: WIDTH - 8]:<{WIDTH - 6}} {level}"
    if plan.piece.invented:
        yield "Invented demonstration data"
    thickness = plan.piece.metal.thickness
    sheet = f"{thickness * 1e3:.2f} mm " if thickness is not None else ""
    mass = f", {grams(plan.metal_mass)} of metal" if plan.metal_mass is not None else ""
    yield _wrap(f"{sheet}{plan.metal_name}, {plan.area * 1e4:.2f} cm2 a side{mass}", "", "  ")
    if plan.hand_time is not None:
        count = len(plan.firings)
        yield f"hand work about {plan.hand_time.shown('min')}, {count} firing{'s' if count != 1 else ''}"


def _weigh_title(plan: Plan) -> str:
    copies = plan.piece.copies
    return "What to weigh" if copies == 1 else f"What to weigh for one piece ({copies} to make)"


def _weights(plan: Plan) -> Iterator[str]:
    for weight in plan.weights:
        yield _wrap(_weight(weight, plan), "  ", "      ")
    if plan.piece.copies > 1:
        every = "; ".join(f"{total.jar_name} {grams(total.grams)}" for total in plan.totals)
        yield _wrap(f"for all {plan.piece.copies} together: {every}", "  ", "      ")


def _weight(weight: CoatWeight, plan: Plan) -> str:
    face = f"{weight.face:<5}" if plan.piece.form == "sheet" else "coat "
    if plan.piece.coats[weight.coat].fired:
        return f"{face} {weight.jar_name}: already on; fired {weight.fired_thickness.shown('mm')}"
    times = f"{weight.layings} x " if weight.layings > 1 else ""
    amount = f"weigh {times}{weight.to_weigh.shown('g')}"
    if not weight.weighable:
        amount = f"lay {times}by level or look; {weight.to_weigh.shown('g')} is too little to weigh well"
    depth = f"powder {weight.powder_depth.shown('mm')}, fired {weight.fired_thickness.shown('mm')}"
    if plan.piece.coats[weight.coat].fill:
        depth = (
            f"{weight.fired_thickness.shown('mm')} of glass to level, in {weight.layings} fills, the first takes most"
        )
        amount = f"{weight.in_all.shown('g')} in all"
    return f"{face} {weight.jar_name}: {amount}; {depth}"


def degrees(figure: Figure) -> str:
    """Say a range of set points on both scales, rounded as a display shows them."""
    ends = [round(end - 273.15) for end in (figure.low, figure.high)]
    both = [round(end * 1.8 - 459.67) for end in (figure.low, figure.high)]
    if ends[0] == ends[1]:
        return f"{ends[0]} °C ({both[0]} °F)"
    return f"{ends[0]}-{ends[1]} °C ({both[0]}-{both[1]} °F)"


def _middle(point: Figure) -> Figure:
    return Figure.exact(point.value, point.dimension, point.origin)


def window_words(window: Window | None) -> str:
    """Say a window on one line."""
    if window is None:
        return ""
    heat = "by the look, no degrees"
    if window.set_point is not None:
        # A time worked out belongs to one setting, that of practice to all of its range.
        heat = degrees(_middle(window.set_point) if window.status == "model" else window.set_point)
    time = ""
    if window.seconds is not None:
        later = " or later" if window.open_ended else ""
        time = f", {clock_range(window.seconds)}{later} {_START[window.start]}"
    return f"{heat}{time}{_SETTING[window.status]}"


def _firings(plan: Plan, everything: bool) -> Iterator[str]:
    solid = plan.piece.form != "sheet"
    for words, alike in groupby(plan.firings, key=lambda firing: _ROUND.sub("", _firing(firing, solid))):
        first, *more = alike
        if more:
            yield _wrap(words, f"  {first.number:>2} to {more[-1].number}, alike: ", "     ")
        else:
            yield _wrap(_firing(first, solid), f"  {first.number:>2} ", "     ")
        if everything and first.window is not None:
            yield from (_wrap(line, "       ", "         ") for line in _more(first.window))
    windows = [firing.window for firing in plan.firings if firing.window is not None]
    if not plan.firings:
        yield "  none"
    elif any(window.set_point is not None and window.status == "practice" for window in windows):
        yield _wrap("Settings are common practice until your own kiln has been measured.")
    elif any(window.status == "model" for window in windows):
        yield _wrap("Times are worked out for kiln, piece and jars; look early, and let the stage decide.")


def _more(window: Window) -> Iterator[str]:
    """Say what else is known of a window: looks, stages, the second opinion, heat and electricity."""
    if window.looks is not None:
        yield window.looks.words
    known = [_stage(one) for one in window.stages if one.begins is not None]
    if known:
        yield f"Begins: {', '.join(known)}."
    if window.unwatched is not None and window.odds is not None:
        yield f"Without a look: {clock(window.unwatched)}, right {window.odds:.0%} of the time."
    if window.practice is not None and window.practice.seconds is not None:
        point = f"{degrees(window.practice.set_point)}, " if window.practice.set_point is not None else ""
        yield f"Ordinary practice: {point}{clock_range(window.practice.seconds)}."
    if window.peak is not None:
        yield f"The piece peaks near {degrees(_middle(window.peak))}."
    if window.energy is not None:
        yield f"About {window.energy.shown('kWh')} of electricity, the kiln being hot."


def _stage(one: StageBand) -> str:
    """Say when a stage begins; where its late end lies beyond the time worked out, so."""
    if one.begins is None:
        return ""
    if not one.open_ended:
        return f"{one.stage} {clock_range(one.begins)}"
    end = f"beyond {clock(one.begins.high)}"
    if math.isinf(one.likely):
        return f"{one.stage} {clock(one.begins.low)} at the earliest, likely {end}"
    return f"{one.stage} {clock(one.begins.low)} to {end}"


def _firing(firing: Firing, solid: bool) -> str:
    rest = f"on {firing.support}" if solid else f"{firing.face_up} up on {firing.support}"
    return f"{firing.words}; {rest}; {window_words(firing.window)}"


def _heat(plan: Plan) -> Iterator[str]:
    """Say what heat each coat gets over all firings, and what they take from the socket."""
    if not plan.heat:
        return
    yield "Heat of all firings"
    for one in plan.heat:
        times = f"{one.firings} firing{'s' if one.firings != 1 else ''}"
        glosses = f"{one.glosses:.1f}" if one.glosses < FEW_GLOSSES else f"{one.glosses:.0f}"
        limit = f", turns at {one.limit:.0f} s by your own test" if one.limit is not None else ""
        yield _wrap(
            f"{plan.weights[one.coat].jar_name}: {times}, {glosses} times the heat of its gloss; for its "
            f"colour as much as {one.turned.shown('s')} at 800 °C{limit}",
            "  ",
            "      ",
        )
    if plan.energy is not None:
        yield f"  about {plan.energy.shown('kWh')} of electricity, the kiln being hot"
    yield ""


def _flatness(plan: Plan, everything: bool) -> Iterator[str]:
    flat = plan.flatness
    if flat.reach == "not applicable":
        yield _wrap(f"Not worked out. {flat.why}")
        return
    if flat.reach == "rough":
        yield _wrap(flat.why)
    telling = flat.states if everything or len(flat.states) <= FEW_STATES else _telling(flat)
    for state in telling:
        yield _wrap(f"after firing {state.firing}: bow {bow_words(state.bow)}")
    if flat.counter is not None:
        yield _wrap(flat.counter.words)


def _telling(flat: Flatness) -> tuple[FiringState, ...]:
    """Return the state with the largest bow and the last one."""
    largest = max(flat.states, key=lambda state: max(abs(state.bow.low), abs(state.bow.high)))
    return (largest, flat.states[-1]) if largest is not flat.states[-1] else (largest,)


def bow_words(bow: Figure) -> str:
    """Say a bow with its side and band."""
    if bow.low * bow.high <= 0:
        return f"{bow.shown('mm')}, may lean either way"
    return f"{bow.shown('mm')}, middle {'high' if bow.value > 0 else 'low'} seen from the front"


def _verdicts(plan: Plan, everything: bool) -> Iterator[str]:
    leading = plan.leading
    asking = [verdict for verdict in leading if verdict.counts]
    shown = leading if everything else tuple(asking[:MOST_WARNINGS]) or leading[:MOST_WARNINGS]
    for verdict in shown:
        yield _wrap(_verdict(verdict), f"  {_MARK[verdict.level]} ", "        ")
        if everything:
            for reason in verdict.because:
                yield _wrap(reason, "        because ", "          ")
            if verdict.sources:
                yield _wrap("; ".join(verdict.sources), "        source: ", "          ")
    if not shown:
        unknown = plan.flatness.reach == "not applicable"
        yield "  nothing known speaks against it" + ("; bow and cracks were not worked out" if unknown else "")
    hidden = len(leading) - len(shown)
    if hidden:
        yield f"  and {hidden} more with --all"


def _verdict(verdict: Verdict) -> str:
    told = verdict.figure if verdict.figure is not None and verdict.figure.dimension != "ratio" else None
    figure = f" {_capital(likely(told))}." if told is not None else ""  # a bare ratio says nothing at the bench
    remedy = f" {verdict.remedy}" if verdict.remedy and verdict.level != "good" else ""
    intended = f" Intended: {verdict.intended}." if verdict.intended else ""
    return f"{verdict.words}{figure}{remedy}{intended} ({verdict.rule})"


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]


def _steps(plan: Plan) -> Iterator[str]:
    for number, operation in enumerate(plan.operations, 1):
        why = f" ({operation.why})" if operation.why else ""
        yield _wrap(f"{operation.words}{why}", f"  {number:>2} ", "     ")
