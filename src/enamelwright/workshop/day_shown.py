"""A kept plan as it is looked at: bars of a day, its loads and work in lines, and what is said of it."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from itertools import pairwise
from typing import Any

from enamelwright.pictures.day_bars import Bar, Day, runs
from enamelwright.planning.day.dates import read_hours
from enamelwright.planning.day.rates import TICK, ticks_of
from enamelwright.units import from_si
from enamelwright.workshop import stock_plan
from enamelwright.workshop.day_kept import Block, KeptPlan
from enamelwright.workshop.day_late import over_words
from enamelwright.workshop.lot_tiles import new_lots
from enamelwright.workshop.lots import levels
from enamelwright.workshop.studio import Studio

_MINUTE = 60.0
#: Times as long from which working piece by piece is worth a word, and pieces that are named as late.
WORTH, NAMED = 1.05, 4


@dataclass(frozen=True)
class Line:
    """Work of one person that belongs together: the same thing to several pieces, one after the other.

    Parameters
    ----------
    blocks : tuple of Block
        Of the plan, in order.
    """

    blocks: tuple[Block, ...]

    @property
    def start(self) -> str:
        """When it begins."""
        return self.blocks[0].start

    @property
    def end(self) -> str:
        """When it ends."""
        return max(block.end for block in self.blocks)

    @property
    def first(self) -> Block:
        """The first of it."""
        return self.blocks[0]

    @property
    def who(self) -> tuple[str, ...]:
        """Who does it, each once."""
        return tuple(dict.fromkeys(who for block in self.blocks for who in block.who))

    @property
    def pieces(self) -> tuple[str, ...]:
        """Whose work it is, each once."""
        return tuple(dict.fromkeys(name for block in self.blocks for name in block.pieces))

    @property
    def washing(self) -> float:
        """Of it, spent cleaning tools [s]."""
        return sum(block.washing for block in self.blocks)


def days_of(plan: KeptPlan) -> tuple[str, ...]:
    """Return the dates of a plan, in order."""
    return tuple(sorted({block.day for block in plan.every}))


def lines_of(blocks: Iterable[Block]) -> tuple[Line, ...]:
    """Join work at the bench that follows on and is the same; a load is a line of its own."""
    found: list[Line] = []
    last: dict[tuple[str, ...], int] = {}
    for block in sorted(blocks, key=lambda one: (one.start, one.end, one.members)):
        at = last.get(block.who)
        before = found[at].blocks[-1] if at is not None else None
        if at is not None and before is not None and not block.kiln and not before.kiln and not block.washing and (
            before.work == block.work and before.end == block.start
        ):  # fmt: skip
            found[at] = Line((*found[at].blocks, block))
            continue
        last[block.who] = len(found)
        found.append(Line((block,)))
    return _alike(found)


def _alike(lines: Sequence[Line]) -> tuple[Line, ...]:
    """Join what several people do alike at the same time, as in a class."""
    groups: dict[tuple[str, ...], list[Line]] = {}
    for line in lines:
        key = (line.first.name,) if line.first.kiln else (line.start, line.end, line.first.work, str(line.washing))
        groups.setdefault(key, []).append(line)
    return tuple(
        Line(tuple(block for line in mine for block in line.blocks)) if len(mine) > 1 else mine[0]
        for mine in groups.values()
    )


def bars_of(plan: KeptPlan, day: str, now: datetime | None = None) -> Day:
    """Return one day of a kept plan as it is drawn.

    Parameters
    ----------
    plan : KeptPlan
        The plan.
    day : str
        Its date.
    now : datetime, optional
        Where the day stands.
    """
    blocks = [one for one in plan.every if one.day == day]
    bars: list[Bar] = []
    for block in blocks:
        bars += _bars(block, day)
    people = sorted({who for block in blocks for who in block.who})
    kilns = sorted({block.kiln for block in blocks if block.kiln})
    hours = tuple(
        (begin * TICK / _MINUTE, end * TICK / _MINUTE) for begin, end in map(read_hours, plan.content["hours"])
    )
    at = _minutes(_plain(now), day) if now is not None and _plain(now)[:10] == day else None
    return Day((*people, *kilns), runs(bars), hours, _waiting(plan, day), at)


def _bars(block: Block, day: str) -> list[Bar]:
    start, end = _minutes(block.start, day), _minutes(block.end, day)
    who, count = block.who[0] if block.who else "", len(block.members)
    if not block.kiln:
        begun = start + block.washing / _MINUTE
        washing = [Bar(who, start, begun, "wash", "washing")] if block.washing else []
        return [*washing, Bar(who, begun, end, block.work, "bench", mark=block.name)]
    load = Bar(block.kiln, start, end, block.heat, "load", count, block.name)
    putting, taking = (ticks_of(key) * TICK / _MINUTE for key in ("putting", "taking"))
    if not who:
        return [load]
    if end - start - putting - taking <= ticks_of("watched") * TICK / _MINUTE:
        return [load, Bar(who, start, end, "fire", "load", count)]
    out = block.who[-1]
    return [
        load,
        Bar(who, start, start + putting, "in", "load", count),
        Bar(out, end - taking, end, "out", "load", count),
    ]


def _waiting(plan: KeptPlan, day: str) -> tuple[tuple[float, int], ...]:
    """Count pieces that are begun, not finished and not in hand."""
    mine: dict[str, list[Block]] = {}
    for block in plan.every:
        for name in block.pieces:
            mine.setdefault(name, []).append(block)
    moves: dict[float, int] = {}
    for blocks in mine.values():
        for one, other in pairwise(blocks):
            a, b = max(_minutes(one.end, day), 0.0), _minutes(other.start, day)
            if b > a and a < 24 * _MINUTE:
                moves[a] = moves.get(a, 0) + 1
                moves[b] = moves.get(b, 0) - 1
    level, steps = 0, []
    for moment in sorted(moves):
        level += moves[moment]
        steps.append((moment, level))
    return tuple(steps)


@dataclass(frozen=True)
class LotTile:
    """The tile of a new lot in a plan.

    Parameters
    ----------
    lot : int
        Row of the lot.
    name : str
        As the plan calls the tile.
    out : str
        When it is out of the kiln; empty when that is not in the plan.
    old, left : str
        Label of the lot before it, and what is left of that; empty when there is none, or nobody weighed it.
    needed : str
        What the work at hand still needs of the jar; empty when nobody knows.
    """

    lot: int
    name: str
    out: str
    old: str
    left: str
    needed: str


def tiles_of(studio: Studio, plan: KeptPlan) -> tuple[LotTile, ...]:
    """Return the tiles of a plan whose lots were not tried yet."""
    fresh = {one.version: one for one in new_lots(studio).values()}
    planned = [(name, fresh[int(about["version"])]) for name, about in sorted(plan.content["pieces"].items())
               if int(about["version"]) in fresh]  # fmt: skip
    if not planned:
        return ()
    uses = {one.jar.casefold(): one.powder for one in stock_plan.needs(studio, plan.not_begun()).uses}
    found = []
    for name, lot in planned:
        left = next((one.grams for one in levels(studio, lot.jar) if one.label == lot.before), None)
        needed = uses.get(lot.code.casefold())
        found.append(
            LotTile(
                lot.lot, name, max((one.end for one in plan.every if one.kiln and name in one.pieces), default=""),
                lot.before,
                *(f"{from_si(one, 'g', 'mass'):.3g} g" if one is not None else "" for one in (left, needed)),
            )
        )  # fmt: skip
    return tuple(found)


def day_words(day: str) -> str:
    """Write a date as it is spoken, like ``Monday 2 March 2026``."""
    told = date.fromisoformat(day)
    return f"{told:%A} {told.day} {told:%B %Y}"


def next_words(plan: KeptPlan, left: Sequence[Block], today: str) -> str:
    """Say what goes in next, and when.

    Parameters
    ----------
    plan : KeptPlan
        The plan.
    left : sequence of Block
        What is still to do.
    today : str
        The date.
    """
    load = next((one for one in left if one.kiln), None)
    if load is None:
        return "Nothing more to fire"
    when = load.start[11:16] if load.day == today else f"{day_words(load.day)}, {load.start[11:16]}"
    count = len(load.members)
    return f"Next in: {when}, {count} piece{'' if count == 1 else 's'}, {load.heat}"


def good_words(plan: KeptPlan) -> str:
    """Say when a plan ends, with how many loads, and what working piece by piece would take."""
    answer = plan.answer
    if answer["above_least"] is None:
        return ""
    words = f"The last work ends {day_words(answer['finish'][:10])}, {answer['finish'][11:16]}"
    words += f", after {answer['loads']} load{'' if answer['loads'] == 1 else 's'}"
    single = next((one for one in answer["compared"] if one["name"] == "piece by piece"), None)
    if single is not None and answer["work"] and answer["work"]["value"] > 0:
        times = single["work"]["value"] / answer["work"]["value"]
        words += "" if times < WORTH else f"; piece by piece would take {times:.1f} times as long"
    return f"{words}."


def late_words(plan: KeptPlan, called: Mapping[str, str] | None = None) -> str:
    """Name what is late, by how much, and what no plan could keep: what is ordered together in one.

    Parameters
    ----------
    plan : KeptPlan
        The plan.
    called : mapping of str to str, optional
        Number of an order -> for whom it is.
    """
    groups: dict[str, list[Mapping[str, Any]]] = {}
    for one in plan.answer["late"]:
        about = plan.about(one["piece"])
        groups.setdefault(about.get("order", "") or one["piece"], []).append(one)
    parts, told = [], 0
    for whose, mine in list(groups.items())[:NAMED]:
        order, owner = plan.about(mine[0]["piece"]).get("order", ""), plan.about(mine[0]["piece"]).get("owner", "")
        words = mine[0]["piece"] + (f" ({owner})" if owner else "")
        if order:
            many = f"{len(mine)} pieces" if len(mine) > 1 else words.removeprefix(f"{order} ")
            words = f"{whose}{f' for {called[order]}' if called and called.get(order) else ''}: {many}"
        words += f" by {over_words(max(one['by']['value'] for one in mine))}"
        parts.append(words + (", whatever is done" if all(one["whatever_is_done"] for one in mine) else ""))
        told += len(mine)
    if len(groups) > NAMED:
        parts.append(f"and {len(plan.answer['late']) - told} more")
    return "; ".join(parts)


def _minutes(moment: str, day: str) -> float:
    """Return minutes from midnight of a day."""
    return (datetime.fromisoformat(moment) - datetime.fromisoformat(day)).total_seconds() / _MINUTE


def _plain(moment: datetime) -> str:
    return moment.astimezone().replace(tzinfo=None).isoformat(timespec="minutes")
