"""`enamelwright learned` and `enamelwright fault`: what the record taught, and what went wrong with a piece."""

from __future__ import annotations

from dataclasses import asdict
from typing import TYPE_CHECKING, Annotated, Any

import typer

from enamelwright.cli.at_bench import at_bench, listing, local, say, say_json
from enamelwright.cli.options import HomeOption, JsonOption

if TYPE_CHECKING:
    from enamelwright.craft.bench import Bench
    from enamelwright.craft.plan import Plan
    from enamelwright.questions.next_tile import PlannedTile
    from enamelwright.workshop.studio import Studio

learned = typer.Typer(help="What the record taught: kilns, control tile, foretold and happened, faults, next tiles.")

#: Causes that are told unless all are asked for.
SHOWN = 3


@learned.command("kilns")
def kilns(json_: JsonOption = False, home: HomeOption = None) -> None:
    """Say how much more or less time coats need in each kiln than a window without the record takes."""
    from enamelwright.records.errors import RecordError
    from enamelwright.workshop.relearning import learned_now
    from enamelwright.workshop.says_two import TWO_THINGS, says_two
    from enamelwright.workshop.what_was_learned import kilns_learned

    with at_bench(home) as studio:
        found, fails = learned_now(studio)
        if found is None:
            raise RecordError("nothing could be learned." if fails is None else fails.words(local))
        told, two = kilns_learned(studio, found), says_two(studio)
    if json_:
        say_json([asdict(one) for one in told])
        return
    if not told:
        say("No firing has taught anything yet. Note the stage and the seconds when a load comes out.")
        say("The table of an old notebook teaches in one step: notebook FILE")
    for kiln in told:
        scale = "its display was checked" if kiln.anchored else "its display was never checked, so on its own scale"
        say(f"{kiln.kiln}: coats need {kiln.words} as without the record; {kiln.firings} firings, {scale}.")
        if kiln.moved:
            say(kiln.moved)
        for move in kiln.moves:
            say(move.words)
        rows = [
            row
            for one in kiln.jars
            for row in (
                (one.jar, one.words, one.how_far, str(one.firings)),
                *((f"lot {lot.label}", f"{lot.words} as the jar on the whole", "", "") for lot in one.lots),
            )
        ]
        listing(("jar", "needs", "known", "firings"), rows)
        for one in kiln.odd:
            say(f"{one.number} stands far off the others. {one.words}")
        if kiln.next_record:
            say(f"Note the first gloss of {kiln.next_record[0]} next: it would teach most.")
    for why, count in found.left_out.items():
        say(f"{count} left out: {why}.")
    for load in two:
        say(f"{load.number} {TWO_THINGS}: {load.words}. Put it right: correct load {load.number} ... --why ...")


@learned.command("control")
def control(json_: JsonOption = False, home: HomeOption = None) -> None:
    """Say whether the control tile shows a change of a kiln."""
    from enamelwright.workshop.control_tiles import control_series

    with at_bench(home) as studio:
        series = control_series(studio)
    if json_:
        say_json(
            [
                {"kiln": one.kiln, "since": one.since, "tiles": [asdict(tile) for tile in one.tiles],
                 "alarm": one.alarm.label if one.alarm is not None else None, "says": one.words,
                 "looks": [{"what": look.what, "values": look.values, "says": look.words} for look in one.looks]}
                for one in series
            ]
        )  # fmt: skip
        return
    if not series:
        say("No control tile was fired yet.")
    for one in series:
        say(f"{one.kiln}{f', since {one.since[:10]}' if one.since else ''}: {one.words}")
        for look in one.looks:
            say(look.words)
        listing(("tile", "fired", "seconds"), [(tile.label, tile.at[:10], round(tile.seconds)) for tile in one.tiles])


@learned.command("foretold")
def foretold(json_: JsonOption = False, home: HomeOption = None) -> None:
    """Say how often bands that were foretold held what happened."""
    from enamelwright.workshop.coverage import compared, coverage

    with at_bench(home) as studio:
        rows = coverage(compared(studio))
    if json_:
        say_json([asdict(one) for one in rows])
        return
    told = [
        (
            one.what,
            f"{one.held} of {one.count}",
            f"{100 * one.between[0]:.0f} to {100 * one.between[1]:.0f} in a hundred",
        )
        for one in rows
    ]
    listing(("band of", "held", "so few tell"), told, none="Nothing was foretold and seen yet.")


@learned.command("faults")
def faults(json_: JsonOption = False, home: HomeOption = None) -> None:
    """List the faults, the most frequent first, and the jars they go with."""
    from enamelwright.workshop.fault_counts import fault_list, jars_that_stand_out
    from enamelwright.workshop.faults import fault_name
    from enamelwright.workshop.firing_facts import firing_facts

    with at_bench(home) as studio:
        every = firing_facts(studio)
        found = fault_list(studio, every)
        jars = jars_that_stand_out(studio, every)
    if json_:
        say_json({"fired": found.fired, "loads": found.loads, "faults": [asdict(one) for one in found.lines],
                  "in_hand": dict(found.by_hand), "jars": [asdict(one) for one in jars]})  # fmt: skip
        return
    say(f"{found.loads} loads, in which pieces were fired {found.fired} times.")
    rows = [
        (fault_name(one.fault), one.pieces, one.loads,
         f"{100 * one.between[0]:.1f} to {100 * one.between[1]:.1f} in a hundred")
        for one in found.lines
    ]  # fmt: skip
    listing(("fault", "pieces", "loads", "firings of a piece"), rows, none="No fault is written down.")
    if found.hand_firings:
        seen = ", ".join(f"{fault_name(fault)} {count}" for fault, count in found.by_hand) or "no fault seen"
        say(f"Not counted, for something went wrong in the hand: {found.hand_firings} firings of a piece ({seen}).")
    for one in jars:
        say(
            f"{one.what} and {fault_name(one.fault)}: {one.with_faults} of {one.with_loads} loads with it, "
            f"{one.without_faults} of {one.without_loads} others."
        )


@learned.command("tiles")
def tiles(
    jar: Annotated[str, typer.Argument(help="Code of the jar.")],
    loads: Annotated[int, typer.Option("--loads", min=1, max=12, help="Loads to plan.")] = 3,
    shelf: Annotated[int, typer.Option("--shelf", min=1, max=24, help="Places on the shelf.")] = 4,
    undercoat: Annotated[list[str] | None, typer.Option("--undercoat", help="What lies under; several times.")] = None,
    depth: Annotated[list[str] | None, typer.Option("--depth", help="Powder depth; several times.")] = None,
    make: Annotated[
        str, typer.Option("--make", help="Number the tiles: 'loads' for these, or the name of a ladder.")
    ] = "",
    metal: Annotated[str, typer.Option("--metal", help="Metal of the tiles that are made.")] = "copper",
    json_: JsonOption = False,
    home: HomeOption = None,
) -> None:
    """Say which tiles of a jar to fire next, and number them when asked to."""
    from enamelwright import units
    from enamelwright.errors import InputError
    from enamelwright.questions.question import question
    from enamelwright.workshop.bench import bench
    from enamelwright.workshop.next_tiles import tiles_tried
    from enamelwright.workshop.tile_sets import make_ladder, make_loads

    wanted: dict[str, Any] = {"undercoats": tuple(undercoat)} if undercoat else {}
    if depth:
        wanted["thicknesses"] = tuple(units.parse(one, "length") for one in depth)
    with at_bench(home) as studio:
        found = tiles_tried(studio, jar, loads=loads, shelf=shelf, **wanted)
        answer = question("next-tile").answer(found.asked, bench(studio))
        ladders = {one.name: one for one in answer.payload.ladders}
        made = []
        if make == "loads":
            made = make_loads(studio, jar, answer.payload.loads, metal=metal)
        elif make:
            if make not in ladders:
                raise InputError(f"'{make[:40]}' is no ladder.", f"Choose one of: loads, {', '.join(ladders)}.")
            made = make_ladder(studio, jar, ladders[make], metal=metal)
    if json_:
        told = {"left_out": found.left_out, "undercoats": found.undercoats, "made": [one.number for one in made]}
        say_json(answer.to_json() | {"record": told})
        return
    say(f"{jar}: it stands on {answer.payload.stands_on}.")
    for line in found.undercoats:
        say(line)
    for line in found.left_out:
        say(f"Left out: {line}.")
    rows = [
        (units.show(one.temperature.value, "temperature", "°C"), units.show(one.time.value, "time", "s"),
         ", ".join(_tile_words(tile) for tile in one.tiles), one.why)
        for one in answer.payload.loads
    ]  # fmt: skip
    listing(("set", "time", "places", "why"), rows)
    listing(("ladder", "tiles", "teaches"), [(one.name, one.tiles, one.teaches) for one in ladders.values()])
    for row in made:
        say(f"{row.label or row.number}: {row.words}.")


def _tile_words(tile: PlannedTile) -> str:
    depth = f" {tile.thickness.shown()}" if tile.thickness is not None else ""
    return f"{tile.place} {tile.what}{depth}{f' over {tile.undercoat}' if tile.undercoat else ''}"


def fault(
    piece: Annotated[str, typer.Argument(help="Number or label of the piece.")],
    what: Annotated[str, typer.Option("--fault", help="Id or name; the last one seen when left out.")] = "",
    when: Annotated[
        str, typer.Option("--when", help="When it was seen: in the kiln, first minute, next days ...")
    ] = "",
    place: Annotated[str, typer.Option("--where", help="Where on the piece.")] = "",
    all_: Annotated[bool, typer.Option("--all", help="Every cause, not the first three.")] = False,
    json_: JsonOption = False,
    home: HomeOption = None,
) -> None:
    """Say what most likely went wrong with a piece, what tells the first two causes apart, and what to do now."""
    from enamelwright.errors import InputError
    from enamelwright.learning.fault_atlas import near
    from enamelwright.questions.question import question
    from enamelwright.workshop.bench import bench
    from enamelwright.workshop.fault_facts import gather
    from enamelwright.workshop.faults import fault_name

    with at_bench(home) as studio:
        known = bench(studio)
        plan, why_not = _plan(studio, piece, known)
        found = gather(studio, piece, what, when=when, place=place, plan=plan, known=known)
    if not found.fault:
        raise InputError("no fault of this piece is written down.", "Say which with --fault.", "fault")
    result: dict[str, Any] = {"piece": found.piece.number, "load": found.load, "fault": found.fault}
    asked = found.asked()
    ways = question("rescue").answer(asked, known)
    causes = question("fault").answer(asked, known) if found.known else None
    unknown = "" if found.known else near(found.fault)
    if json_:
        told = {"unknown": unknown, "causes": causes.to_json() if causes else None, "ways": ways.to_json()}
        say_json(result | told)
        return
    if unknown:
        say(f"{unknown[:1].upper()}{unknown[1:]}")
    say(f"{found.piece.number}: {fault_name(found.fault)}{f', from load {found.load}' if found.load else ''}.")
    if causes is not None:
        for one in causes.payload.in_hand:
            say(f"In this firing something went wrong in the hand: {one}.")
        if causes.payload.nothing:
            say(causes.payload.nothing)
        for one in causes.payload.causes[: None if all_ else SHOWN]:
            standing = "" if causes.payload.nothing else f" ({one.standing})"
            say(f"- {one.cause}{standing}: {'; '.join((*one.speaks_for, *one.here)) or 'nothing known'}")
        for line in causes.payload.struck_out:
            say(f"It cannot be {line}.")
        apart = causes.payload.separating
        if apart is not None:
            say(f"{apart.look} {apart.if_first[:1].upper()}{apart.if_first[1:]}. Or: {apart.if_second}. {apart.tile}")
    say("What now:")
    for way in ways.payload.ways:
        fits = f" {' '.join(way.fits)}" if way.fits else ""
        heed = f" Watch: {' '.join(way.heed)}" if way.heed else ""
        against = f" But: {' '.join(way.against)}" if way.against else ""
        say(f"- {way.name}: {way.words}{fits} {way.firings_words.capitalize()}. {way.waiting}{heed}{against}")
    for caution in ways.cautions:
        say(caution)
    if why_not:
        say(f"The plan was not asked: {why_not}")


def _plan(studio: Studio, piece: str, known: Bench) -> tuple[Plan | None, str]:
    """Return the plan of a piece as the pages ask it, and why there is none where it has a design."""
    from enamelwright.errors import EnamelwrightError
    from enamelwright.workshop.designs import version_row
    from enamelwright.workshop.pieces import piece_row
    from enamelwright.workshop.predictions import plan_of

    row = piece_row(studio, piece)
    if not row.design_version:
        return None, ""
    try:
        return plan_of(studio, version_row(studio, row.design_version), known).payload, ""
    except EnamelwrightError as error:
        return None, str(error)
