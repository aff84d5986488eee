"""`enamelwright day`: what goes in next and when, the plan of the day, pins, planning again, and the sheet."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from enamelwright.cli.at_bench import at_bench, listing, say
from enamelwright.cli.options import HomeOption, JsonOption, WhoOption

if TYPE_CHECKING:
    from enamelwright.workshop.day_kept import KeptPlan
    from enamelwright.workshop.studio import Studio

day = typer.Typer(help="What goes in next, and when: the day from the record.", no_args_is_help=True)

#: Pieces that cannot be planned and are named.
LEFT_OUT = 4
DayOption = Annotated[str, typer.Option("--day", help="A date of the plan; today when left out.")]


def _told(studio: Studio, plan: KeptPlan) -> None:
    """Print what goes in next, and how good the plan is."""
    from enamelwright.workshop import day as day_
    from enamelwright.workshop.day_ready import orders_called
    from enamelwright.workshop.day_shown import good_words, late_words, next_words

    stand = day_.stand(studio, plan)
    say(f"{next_words(plan, stand.coming, studio.today().isoformat())}.")
    if good_words(plan):
        say(good_words(plan))
    if late := late_words(plan, orders_called(studio, plan)):
        say(f"Late: {late}.")
    if plan.answer.get("too_long"):
        say(f"{plan.answer['too_long']}.")
    left = [*plan.answer["left_out"], *plan.content["left_out"]]
    for name, why in left[:LEFT_OUT]:
        say(f"Not planned: {name}: {why}")
    if len(left) > LEFT_OUT:
        say(f"Not planned: {len(left) - LEFT_OUT} more")
    for words, names in (("New since", stand.new), ("No longer there", stand.gone)):
        if names:
            say(f"{words}: {', '.join(names)}.")
    if stand.behind:
        say(f"Behind: {len(stand.behind)}. Plan again with: day replan")
    if plan.answer["offer"]:
        say(f"Another order would be better: {plan.answer['offer']}. Take it with: day replan --take")


@day.command("plan")
def plan_(home: HomeOption = None, who: WhoOption = "") -> None:
    """Plan from the record: pieces begun and ordered, people, kilns, hours."""
    from enamelwright.workshop.day import plan_day

    with at_bench(home, who) as studio:
        _told(studio, plan_day(studio))


@day.command("replan")
def replan(
    take: Annotated[bool, typer.Option("--take", help="Take the other order that was offered.")] = False,
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Plan again from here: what has begun stays, the rest keeps its order."""
    from enamelwright.workshop.day import replan_day, take_offer

    with at_bench(home, who) as studio:
        _told(studio, take_offer(studio) if take else replan_day(studio))


@day.command("show")
def show(day_told: DayOption = "", json_: JsonOption = False, home: HomeOption = None) -> None:
    """Show what is to be done on a day, in order."""
    from enamelwright.workshop.day_kept import the_plan
    from enamelwright.workshop.day_shown import days_of, lines_of

    with at_bench(home) as studio:
        plan = the_plan(studio)
        today = studio.today().isoformat()
        days = days_of(plan)
        chosen = day_told or next((one for one in days if one >= today), today)
        rows = [
            (one.start[11:16], one.end[11:16], one.first.kiln or ", ".join(one.who), one.first.heat or one.first.work,
             ", ".join(one.pieces), one.first.name)
            for one in lines_of(block for block in plan.blocks if block.day == chosen)
        ]  # fmt: skip
        if not json_:
            _told(studio, plan)
    heads = ("from", "until", "who", "what", "pieces", "called")
    listing(heads if json_ else heads[:-1], rows if json_ else [row[:-1] for row in rows], json_, "Nothing that day.")


@day.command("pin")
def pin(
    step: Annotated[str, typer.Argument(help='A step as the plan calls it, e.g. "2026-001 / 5"; see day show --json.')],
    time: Annotated[str, typer.Argument(help='Not before, e.g. 14:30 or "2026-03-02 14:30"; - to unpin.')],
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Keep a step, and the load it is in, from starting before a time."""
    from enamelwright.workshop.day import pin as pin_

    with at_bench(home, who) as studio:
        _told(studio, pin_(studio, step, "" if time == "-" else time))


@day.command("sheet")
def sheet(
    out: Annotated[Path, typer.Argument(help="Where the PDF goes.")],
    day_told: DayOption = "",
    students: Annotated[bool, typer.Option("--take-home", help="A page for each student instead.")] = False,
    home: HomeOption = None,
) -> None:
    """Write the sheet of a day, or those that students take home."""
    from enamelwright.cards.day_sheet import day_sheet, take_home
    from enamelwright.files.atomic import write_bytes
    from enamelwright.workshop.day import short_of
    from enamelwright.workshop.day_kept import the_plan
    from enamelwright.workshop.day_papers import sheet_of, take_home_of
    from enamelwright.workshop.day_shown import days_of
    from enamelwright.workshop.settings import INVENTED, setting

    with at_bench(home) as studio:
        plan = the_plan(studio)
        today = studio.today().isoformat()
        chosen = day_told or next((one for one in days_of(plan) if one >= today), today)
        invented = bool(setting(studio, INVENTED))
        if students:
            made = take_home(take_home_of(studio, plan, chosen), invented)
        else:
            made = day_sheet(sheet_of(studio, plan, chosen, short_of(studio, plan)), invented)
    write_bytes(out, made)
    say(f"Written: {out}")
