"""One day of a plan as bars along the clock: what each person does, what is in the kiln, how many pieces wait."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from enamelwright.pictures import svg
from enamelwright.pictures.lights import LIGHTS, Light, Tokens
from enamelwright.planning.day.plan import DayPlan, Item

# Measures of the drawing [mm].
WIDE, NARROW = 250.0, 92.0
LEFT, RIGHT, TOP, FOOT = 24.0, 1.5, 6.0, 9.0
ROW, BAR, WAITING = 9.0, 7.0, 15.0
WORD, SMALL, STROKE = 2.9, 2.4, 0.25
#: Width of a letter over the size of the writing, about; used to tell whether a word fits its bar.
LETTER = 0.56
#: Minutes between ticks, the first that gives no more than this many: on the whole width, and on a narrow one.
TICKS, MOST_TICKS, FEW_TICKS = (15, 30, 60, 120, 240), 14, 6
_HOUR = 60
#: After the end of any day [min].
LATEST = 1e9

#: What is written of a load in the row of a person.
HANDS = frozenset({"fire", "in", "out"})
#: From minutes to the place on the drawing.
_At = Callable[[float], float]


@dataclass(frozen=True)
class Bar:
    """One bar.

    Parameters
    ----------
    row : str
        Whose, or which kiln's.
    start, end : float
        Minutes from midnight.
    words : str
        In the bar, where there is room.
    kind : str
        ``bench``, ``load`` or ``washing``.
    pieces : int
        How many in a load, or how many steps in a run.
    mark : str
        What a page knows it by; empty where nothing is done with it.
    """

    row: str
    start: float
    end: float
    words: str
    kind: str
    pieces: int = 1
    mark: str = ""


@dataclass(frozen=True)
class Day:
    """Everything drawn of one day.

    Parameters
    ----------
    rows : tuple of str
        People, then kilns.
    bars : tuple of Bar
        In order.
    hours : tuple of (float, float)
        When anybody works, minutes from midnight.
    waiting : tuple of (float, int)
        From this minute on so many pieces dry, cool or wait for the kiln.
    now : float or None
        Where the day stands.
    """

    rows: tuple[str, ...]
    bars: tuple[Bar, ...]
    hours: tuple[tuple[float, float], ...]
    waiting: tuple[tuple[float, int], ...]
    now: float | None = None


def day_of(plan: DayPlan, day: int, minutes_a_tick: float, now: float | None = None) -> Day:
    """Read one day out of a plan.

    Parameters
    ----------
    plan : DayPlan
        Of many days.
    day : int
        Which one, from 0.
    minutes_a_tick : float
        Minutes of one tick of the plan.
    now : float, optional
        Minutes from midnight.
    """
    problem, calendar = plan.problem, plan.problem.calendar
    begin = day * calendar.day_length
    hours = tuple(
        ((a - begin) * minutes_a_tick, (b - begin) * minutes_a_tick)
        for (a, b), of in zip(calendar.windows, calendar.days, strict=True)
        if of == day
    )
    bars: list[Bar] = []
    for item in plan.items:
        if calendar.day_at(item.start) != day:
            continue
        start = (calendar.to_clock(item.start) - begin) * minutes_a_tick
        bars += _bars_of(plan, item, start, minutes_a_tick)
    people = [person.name for n, person in enumerate(problem.people) if any(n in item.people for item in plan.items)]
    kilns = [kiln.name for kiln in problem.kilns]
    return Day((*people, *kilns), runs(bars), hours, _waiting(plan, day, minutes_a_tick), now)


def _bars_of(plan: DayPlan, item: Item, start: float, scale: float) -> list[Bar]:
    problem = plan.problem
    end = start + item.length * scale
    if item.kiln < 0:
        words = problem.step(item.members[0]).words
        who = problem.people[item.people[0]].name if item.people else ""
        begun = start + item.washing * scale
        washing = [Bar(who, start, begun, "wash", "washing")] if item.washing else []
        return [*washing, Bar(who, begun, end, words, "bench")]
    family, count = problem.families[item.family], len(item.members)
    load = Bar(problem.kilns[item.kiln].name, start, end, family.name, "load", count)
    if not item.people:
        return [load]
    who = problem.people[item.people[0]].name
    if family.attention == "whole":
        return [load, Bar(who, start, end, "fire", "load", count)]
    out = problem.people[item.people[-1]].name
    return [
        load,
        Bar(who, start, start + family.putting * scale, "in", "load", count),
        Bar(out, end - family.taking * scale, end, "out", "load", count),
    ]


def runs(bars: Sequence[Bar]) -> tuple[Bar, ...]:
    """Join bench bars of one person that follow each other without a gap and say the same.

    Parameters
    ----------
    bars : sequence of Bar
        In any order.
    """
    joined: list[Bar] = []
    last: dict[str, int] = {}
    for bar in sorted(bars, key=lambda one: (one.start, one.end, one.row)):
        at = last.get(bar.row)
        before = joined[at] if at is not None else None
        if (
            before is not None
            and bar.kind == before.kind == "bench"
            and bar.words == before.words
            and bar.start - before.end < 1e-6
        ):
            joined[at or 0] = Bar(bar.row, before.start, bar.end, bar.words, bar.kind, before.pieces + 1, before.mark)
            continue
        last[bar.row] = len(joined)
        joined.append(bar)
    return tuple(joined)


def _waiting(plan: DayPlan, day: int, scale: float) -> tuple[tuple[float, int], ...]:
    """Count pieces that are begun, not finished and not in hand."""
    calendar, problem = plan.problem.calendar, plan.problem
    begin, moves = day * calendar.day_length, dict[float, int]()
    for number, piece in enumerate(problem.pieces):
        items = [plan.placed[(number, place)] for place in range(piece.first, len(piece.steps))]
        for one, other in itertools.pairwise(items):
            a, b = calendar.to_clock(one.end) - begin, calendar.to_clock(other.start) - begin
            if b > 0 and a < calendar.day_length and b > a:
                a = max(a, 0)
                moves[a * scale] = moves.get(a * scale, 0) + 1
                moves[b * scale] = moves.get(b * scale, 0) - 1
    level, steps = 0, []
    for moment in sorted(moves):
        level += moves[moment]
        steps.append((moment, level))
    return tuple(steps)


def span(day: Day) -> tuple[float, float]:
    """Return the minutes from midnight at which the drawing of a day begins and ends."""
    opens = min([*(a for a, _ in day.hours), *(bar.start for bar in day.bars)], default=0.0)
    return opens, max([*(b for _, b in day.hours), *(bar.end for bar in day.bars)], default=opens + _HOUR)


def day_bars_svg(day: Day, light: Light = "paper", key: str = "day", wide: float = WIDE) -> str:
    """Draw one day.

    Parameters
    ----------
    day : Day
        As read out of a plan.
    light : str
        ``paper``, ``lamp`` or ``daylight``.
    key : str
        Start of every id.
    wide : float
        Width of the drawing [mm].

    Returns
    -------
    str
        SVG text; byte-identical for identical input.
    """
    ink = LIGHTS[light]
    opens, closes = span(day)
    scale = (wide - LEFT - RIGHT) / max(closes - opens, 1.0)

    def at(minute: float) -> float:
        return LEFT + (min(max(minute, opens), closes) - opens) * scale

    tall = TOP + ROW * len(day.rows) + WAITING + FOOT
    body: list[str] = []
    floor = TOP + ROW * len(day.rows) + WAITING
    for (_, closed), (opened, _) in zip(day.hours, day.hours[1:], strict=False):
        body.append(
            svg.rect(at(closed), TOP, at(opened) - at(closed), floor - TOP, f'fill="{ink.rule}" opacity="0.18"')
        )
    for number, row in enumerate(day.rows):
        body += _row(day, row, TOP + ROW * number, at, ink)
    body += _wait_area(day, floor, at, ink, closes)
    body += _axis(opens, closes, floor, at, ink, wide)
    if day.now is not None:
        body.append(svg.line((at(day.now), TOP - 2.0), (at(day.now), floor), ink.text, 3 * STROKE))
        body.append(svg.text(at(day.now), TOP - 2.6, "now", SMALL, ink.text, "middle"))
    return svg.document(wide, tall, body, "The day as bars", _said(day), key, ink.text)


def _row(day: Day, row: str, top: float, at: _At, ink: Tokens) -> list[str]:
    """Draw one person or kiln."""
    name = row if len(row) * LETTER * WORD < LEFT - 2 else row[: int((LEFT - 4) / LETTER / WORD)] + "…"
    parts = [svg.text(LEFT - 1.5, top + BAR / 2 + WORD / 3, name, WORD, ink.text, "end")]
    parts.append(svg.line((LEFT, top + BAR), (at(LATEST), top + BAR), ink.rule, STROKE))
    mine = [bar for bar in day.bars if bar.row == row]
    for number, bar in enumerate(mine):
        following = mine[number + 1] if number + 1 < len(mine) else None
        left, width = at(bar.start), max(at(bar.end) - at(bar.start), 0.1)
        stroke = f'stroke="{ink.text}" stroke-width="{svg.number(STROKE)}"'
        stroke += f' data-pin="{svg.safe(bar.mark)}"' if bar.mark else ""
        if bar.kind == "load":
            parts.append(svg.rect(left, top, width, BAR, f'fill="{ink.action}" {stroke}'))
            count = _inside(str(bar.pieces), left, width, top, ink.ground, SMALL)
            beside = (at(following.start) if following is not None else at(LATEST)) - left - width
            if not count and bar.words not in HANDS and len(str(bar.pieces)) * LETTER * SMALL + 1.0 <= beside:
                count = [svg.text(left + width + 0.6, top + BAR / 2 + SMALL / 2, str(bar.pieces), SMALL, ink.text)]
            parts += count
        elif bar.kind == "washing":
            parts.append(svg.rect(left, top + BAR / 2, width, BAR / 2, f'fill="none" {stroke}'))
        else:
            parts.append(svg.rect(left, top + 1, width, BAR - 1, f'fill="{ink.panel}" {stroke}'))
            words = bar.words if bar.pieces == 1 else f"{bar.words} ×{bar.pieces}"
            parts += _inside(words, left, width, top, ink.text, SMALL)
    return parts


def _inside(words: str, left: float, width: float, top: float, colour: str, size: float) -> list[str]:
    """Write words into a bar, or their first one, or nothing."""
    for told in (words, words.split(" ")[0]):
        if len(told) * LETTER * size + 0.6 <= width:
            return [svg.text(left + width / 2, top + BAR / 2 + size / 2, told, size, colour, "middle")]
    return []


def _wait_area(day: Day, floor: float, at: _At, ink: Tokens, closes: float) -> list[str]:
    """Draw how many pieces wait, as an area of steps."""
    parts = [svg.text(LEFT - 1.5, floor - 1.0, "waiting", WORD, ink.text, "end")]
    most = max((count for _, count in day.waiting), default=0)
    if not most:
        return parts
    height = (WAITING - 4) / most
    corners, level = [(at(day.waiting[0][0]), floor)], 0
    for moment, count in day.waiting:
        if moment > closes:
            break
        corners += [(at(moment), floor - level * height), (at(moment), floor - count * height)]
        level = count
    corners += [(at(closes), floor - level * height), (at(closes), floor)]
    parts.append(f'<polygon points="{svg.points(corners)}" fill="{ink.rule}" opacity="0.45"/>')
    parts.append(svg.text(LEFT - 1.5, floor - WAITING + 4 + SMALL, str(most), SMALL, ink.quiet, "end"))
    parts.append(svg.line((LEFT, floor - most * height), (LEFT + 1.2, floor - most * height), ink.rule, STROKE))
    return parts


def _axis(opens: float, closes: float, floor: float, at: _At, ink: Tokens, wide: float) -> list[str]:
    most = max(int(MOST_TICKS * wide / WIDE), FEW_TICKS)
    step = next((tick for tick in TICKS if (closes - opens) / tick <= most), TICKS[-1])
    parts = [svg.line((LEFT, floor), (at(closes), floor), ink.text, STROKE)]
    minute = -(-opens // step) * step
    while minute <= closes:
        parts.append(svg.line((at(minute), floor), (at(minute), floor + 1.2), ink.text, STROKE))
        clock = f"{int(minute // _HOUR):d}:{int(minute % _HOUR):02d}"
        anchor = "end" if at(minute) > wide - 5 else "middle"
        parts.append(svg.text(at(minute), floor + 4.4, clock, SMALL, ink.text, anchor))
        minute += step
    return parts


def _said(day: Day) -> str:
    """Say the day in a sentence, for who does not see it."""
    loads = [bar for bar in day.bars if bar.kind == "load" and bar.words not in HANDS]
    if not loads:
        return "No load is fired this day. Bars show who works at what."
    first, last = _clock(loads[0].start), _clock(loads[-1].end)
    return (
        f"{len(loads)} loads with {sum(bar.pieces for bar in loads)} pieces, the first in at {first}, the last out at "
        f"{last}. Filled bars are firings with the number of pieces, "
        "open bars work at the bench, the area how many pieces wait."
    )


def _clock(minutes: float) -> str:
    return f"{int(minutes // _HOUR)}:{int(minutes % _HOUR):02d}"
