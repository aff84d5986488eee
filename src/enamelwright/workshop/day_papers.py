"""A kept plan on paper: the sheet of a day, and those that students take home."""

from __future__ import annotations

from collections.abc import Collection, Sequence

from enamelwright.cards.day_sheet import DayRow, DaySheet, HomePiece, ShelfDrawn, TakeHome
from enamelwright.errors import InputError
from enamelwright.pictures.day_bars import day_bars_svg
from enamelwright.workshop import designs
from enamelwright.workshop.bench import bench
from enamelwright.workshop.day_board import owners_of
from enamelwright.workshop.day_kept import Block, KeptPlan, step_of
from enamelwright.workshop.day_names import piece_names
from enamelwright.workshop.day_progress import Route
from enamelwright.workshop.day_ready import orders_called
from enamelwright.workshop.day_shelf import loads_drawn
from enamelwright.workshop.day_shown import (
    bars_of,
    day_words,
    good_words,
    late_words,
    lines_of,
    next_words,
)
from enamelwright.workshop.kiln_alarm import alarm_lines
from enamelwright.workshop.studio import Studio

#: Width of the bars on paper [mm]: as they are printed, so that their words stay readable.
PAPER = 184.0
#: Pieces that are named as not planned, of one reason.
NAMED = 8
#: Loads drawn on a sheet, and the width of each drawing as it is printed [mm].
SHELVES, SHELF = 2, 62.0
#: What somebody takes home minds, whatever it is.
MIND = (
    "Hot glass and metal look just as when cold: leave the piece to cool until a hand held near it feels no warmth.",
    "Glass on metal chips when it is bent, dropped or knocked, and water that boils or freezes can crack it.",
)
_FINISHED = "It is finished."


def sheet_of(studio: Studio, plan: KeptPlan, day: str, short: Sequence[str] = ()) -> DaySheet:
    """Return the sheet of one day.

    Parameters
    ----------
    studio : Studio
        The studio.
    plan : KeptPlan
        The plan.
    day : str
        Its date.
    short : sequence of str
        What is short, in words.

    Raises
    ------
    InputError
        When the plan has nothing on that day.
    """
    mine = [one for one in plan.every if one.day == day]
    if not mine:
        raise InputError(f"nothing is planned on {day}.", "Choose a day of the plan.", "day")
    drawn = bars_of(plan, day)
    bars = day_bars_svg(drawn, "paper", "bars", PAPER)
    loads = [one for one in mine if one.kiln]
    called = orders_called(studio, plan)
    lines = [_noun(one) for kiln in dict.fromkeys(one.kiln for one in loads) for one in alarm_lines(studio, kiln, True)]
    lines += [(noun, told) for noun, told in (("Late", late_words(plan, called)), ("Short", "; ".join(short))) if told]
    sure = plan.answer.get("chance")
    if sure:
        lines.append(("How sure", f"{sure['words']}."))
    reasons: dict[str, list[str]] = {}
    for name, why in (*plan.answer["left_out"], *plan.content["left_out"]):
        reasons.setdefault(why.rstrip("."), []).append(name)
    if reasons:
        lines.append(("Not planned", "; ".join(f"{why}: {_some(names)}" for why, names in reasons.items())))
    work = [
        DayRow(one.start[11:16], one.end[11:16], one.first.work + (", tools cleaned first" if one.washing else ""),
               ", ".join(one.who), piece_names(one.pieces))
        for one in lines_of(one for one in mine if not one.kiln)
    ]  # fmt: skip
    cautions = plan.answer["cautions"]
    return DaySheet(
        day_words(day), next_words(plan, [one for one in plan.blocks if one.day >= day], day), good_words(plan), bars,
        PAPER, f"The day as bars: {len(loads)} loads and the work of {len(drawn.rows)} rows.",
        tuple(
            DayRow(one.start[11:16], one.end[11:16], one.heat, one.kiln, piece_names(one.pieces, plan)) for one in loads
        ),
        tuple(work), tuple(lines), str(cautions[0]) if cautions else "",
        shelves=_shelves(studio, plan, loads[:SHELVES]),
        made=f"Planned {day_words(plan.content['made'][:10])}, {plan.content['made'][11:16]}",
    )  # fmt: skip


def _noun(line: str) -> tuple[str, str]:
    """Part a line into what it is about and what it says."""
    noun, told = line.split(": ", 1)
    return noun, told


def _some(names: Sequence[str]) -> str:
    """Name some, and count the others."""
    told = ", ".join(names[:NAMED])
    return f"{told} and {len(names) - NAMED} more" if len(names) > NAMED else told


def _shelves(studio: Studio, plan: KeptPlan, loads: Sequence[Block]) -> tuple[ShelfDrawn, ...]:
    """Draw the first loads of a sheet on their shelves."""
    return tuple(
        ShelfDrawn(
            f"In at {one.block.start[11:16]}, {one.block.heat}", one.svg, one.words,
            "; ".join(f"{number} {name}" for number, name in one.places),
        )
        for one in loads_drawn(studio, plan, loads, SHELF, "paper")
    )  # fmt: skip


def take_home_of(studio: Studio, plan: KeptPlan, day: str, owner: str = "") -> tuple[TakeHome, ...]:
    """Return the sheets students take home on a day.

    Parameters
    ----------
    studio : Studio
        The studio.
    plan : KeptPlan
        The plan.
    day : str
        The date.
    owner : str
        One of them; all when empty.

    Raises
    ------
    InputError
        When nothing in the plan is a student's.
    """
    owners = [one for one in owners_of(plan) if owner in ("", one)]
    if not owners:
        raise InputError("no piece in the plan is a student's.", "Say whose a piece is when it is begun.", "owner")
    routes = plan.routes
    names = {jar.id.casefold(): jar.name for jar in bench(studio).jars}
    for version in (one for one in routes if one > 0):  # a design may bring jars of its own
        for jar in designs.version_row(studio, version).piece.get("jars", ()):
            names.setdefault(str(jar.get("id", "")).casefold(), str(jar.get("name", "")))
    found = []
    for label in owners:
        pieces = []
        for name, about in sorted(plan.content["pieces"].items()):
            if about["owner"] != label:
                continue
            route = routes.get(int(about["version"]))
            coats = () if route is None else tuple(
                f"{names.get(jar.casefold(), jar)}, {face}" for jar, face in route.coats
            )  # fmt: skip
            mine = [one for one in plan.every if name in one.pieces]
            loads = tuple(f"{one.start[11:16]}, {one.heat}" for one in mine if one.kiln and one.day == day)
            left = [one.work for one in mine if one.day > day]
            kinds = {_kind_of(route, member) for one in mine if one.day > day for member in one.members
                     if step_of(member)[0] == name}  # fmt: skip
            last = max((one.end for one in mine if one.day <= day), default="")
            pieces.append(
                HomePiece(name, about["design"], _stands(kinds, mine, last), coats, loads, tuple(dict.fromkeys(left)))
            )
        cautions = (*plan.answer["cautions"], *MIND)
        found.append(TakeHome(label, day_words(day), tuple(pieces), tuple(str(one) for one in cautions[:4])))
    return tuple(found)


def _kind_of(route: Route | None, member: str) -> str:
    """Return what kind of work a step is; empty where nobody knows."""
    place = step_of(member)[1]
    return route.steps[place].work if route is not None and place < len(route.steps) else ""


def _stands(kinds: Collection[str], mine: Sequence[Block], last: str) -> str:
    if not mine:
        return _FINISHED
    if set(kinds) <= {"check"}:
        return f"Out of our hands at {last[11:16]}: look at it after a night for fine lines." if last else _FINISHED
    return "It stays here: there is more to do."
