"""`enamelwright piece`, `tile`: numbers, what happened to a piece, faults, measures, work after the kiln, tiles."""

from __future__ import annotations

from typing import Annotated

import typer

from enamelwright.cli.at_bench import at_bench, grams, listing, local, say, with_unit
from enamelwright.cli.options import AtOption, HomeOption, JsonOption, WhoOption, WordsOption

piece = typer.Typer(help="Pieces: everything with a permanent number.", no_args_is_help=True)
tile = typer.Typer(help="Test and control tiles.", no_args_is_help=True)

PieceArgument = Annotated[str, typer.Argument(help="Number or label.")]


@piece.command("start")
def start(
    design: Annotated[str, typer.Argument(help="Name of a design; nothing for no plan.")] = "",
    count: Annotated[int, typer.Option("--count", min=1, max=1000, help="How many.")] = 1,
    label: Annotated[
        list[str] | None, typer.Option("--label", help="What it is called at the bench; once each.")
    ] = None,
    batch: Annotated[str, typer.Option("--batch", help="Name of the batch they are worked in.")] = "",
    metal: Annotated[str, typer.Option("--metal", help="As the design says when left out.")] = "",
    thickness: Annotated[str, typer.Option("--thickness", help='For example "0.9 mm" or "18 gauge (B&S)".')] = "",
    kind: Annotated[str, typer.Option("--kind", help="piece, strip or sample.")] = "piece",
    mass: Annotated[str, typer.Option("--weight", help="Grams of the bare piece.")] = "",
    line: Annotated[int | None, typer.Option("--order-line", help="Line of an order it is for.")] = None,
    owners: Annotated[str, typer.Option("--owner", help='In a class: labels of students, "A, B"; so many each.')] = "",
    note: WordsOption = "",
    at: AtOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Start pieces; each gets its number for good."""
    from enamelwright.craft.metal import metal_id
    from enamelwright.workshop.people import students
    from enamelwright.workshop.pieces import called_alike, start_pieces

    if metal:
        metal_id(metal)
    with at_bench(home, who, at) as studio:
        alike = called_alike(studio, label or ())
        made = [
            one
            for owner in students(studio, owners)
            for one in start_pieces(
                studio, count, design or None, labels=label or (), batch=batch, metal=metal or None, owner=owner,
                thickness=thickness or None, metal_mass=with_unit(mass, "g"), order_line=line, words=note or None,
                kind=kind,
            )
        ]  # fmt: skip
    say("; ".join(f"{row.number} {row.label or ''}".strip() for row in made))
    for name, numbers in alike.items():
        say(f"'{name}' is also {', '.join(numbers)}, which is in work: name this one by its number.")


@piece.command("list")
def list_(json_: JsonOption = False, home: HomeOption = None) -> None:
    """List the pieces in work."""
    from enamelwright.workshop.pieces import pieces_in_work

    with at_bench(home) as studio:
        rows = [(row.number, row.label, row.kind, row.metal, row.started_on) for row in pieces_in_work(studio)]
    listing(("piece", "label", "kind", "metal", "started"), rows, json_, "No piece is in work.")


@piece.command("show")
def show(which: PieceArgument, json_: JsonOption = False, home: HomeOption = None) -> None:
    """Tell what happened to a piece, and what is in it."""
    from enamelwright.workshop.history import story
    from enamelwright.workshop.pieces import piece_row
    from enamelwright.workshop.tracing import lots_in

    with at_bench(home) as studio:
        row = piece_row(studio, which)
        told = story(studio, row.id)
        lots = lots_in(studio, row.id)
    if not json_:
        parts = (row.label, row.kind if row.kind != "piece" else None, row.metal, row.state, f"at: {row.place or '?'}")
        say(f"{row.number}: {', '.join(part for part in parts if part)}")
        if row.invented:
            say("Invented demonstration data")
    corrected = {True: "corrected", False: ""}
    listing(
        ("when", "what", "row", "told", ""),
        ((local(one.at), one.what, one.row, one.words, corrected[one.corrected]) for one in told), json_,
        "Nothing has happened to it yet.",
    )  # fmt: skip
    if lots and not json_:
        listing(
            ("jar", "lot", "coats", "on it"),
            ((" ".join(part for part in (x.code, x.name) if part), x.label, x.coats, grams(x.on_piece)) for x in lots),
        )


@piece.command("finish")
def finish(
    which: PieceArgument,
    as_: Annotated[str, typer.Option("--as", help="finished, second, study, spoilt or lost.")] = "finished",
    at: AtOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Say that nothing more is done to a piece."""
    from enamelwright.workshop.pieces import finish_piece, piece_row

    with at_bench(home, who, at) as studio:
        finish_piece(studio, which, as_)
        number = piece_row(studio, which).number
    say(f"{number}: {as_}.")


@piece.command("fault")
def fault(
    which: PieceArgument,
    what: Annotated[str, typer.Argument(help="A fault the trade knows, or your own words.")],
    when: Annotated[str, typer.Option("--when", help="in the kiln, first minute, hours later, next days ...")] = "",
    place: Annotated[str, typer.Option("--where", help="Where on the piece.")] = "",
    severity: Annotated[str, typer.Option("--how-bad", help="trace, seen or spoils.")] = "",
    note: WordsOption = "",
    at: AtOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Record a fault that was seen on a piece."""
    from enamelwright.workshop.faults import fault_name, known_fault, see_fault

    with at_bench(home, who, at) as studio:
        see_fault(
            studio, which, what, when_seen=when or None, place=place or None, severity=severity or None,
            words=note or None,
        )  # fmt: skip
    known = known_fault(what)
    say(f"{which}: {fault_name(known) if known else what}, written down.")


@piece.command("measure", context_settings={"ignore_unknown_options": True})  # "-0.12 mm" is a bow, and no option
def measure(
    which: PieceArgument,
    what: Annotated[str, typer.Argument(help="bow, total thickness, weight, weight before, weight after, width ...")],
    value: Annotated[str, typer.Argument(help='With its unit: "0.12 mm", "3.5 g". A front that is hollow bows minus.')],
    over: Annotated[str, typer.Option("--over", help="Measure the bow was read over.")] = "",
    tool: Annotated[str, typer.Option("--with", help="What it was read with.")] = "",
    note: WordsOption = "",
    at: AtOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Record a number read off a piece."""
    from enamelwright.workshop.measures import take_measure

    with at_bench(home, who, at) as studio:
        take_measure(studio, which, what, value, over=over or None, tool=tool or None, words=note or None)
    say(f"{which}: {what} {value}.")


@piece.command("mishap")
def mishap_(
    which: PieceArgument,
    what: Annotated[str, typer.Argument(help="dropped, slid off, stuck, touched, powder lost, knocked or other.")],
    load: Annotated[str, typer.Option("--load", help="Number of the load, when it was in one.")] = "",
    note: WordsOption = "",
    at: AtOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Record that something went wrong in the hand; it is kept and not learned from."""
    from enamelwright.workshop.loads import mishap

    with at_bench(home, who, at) as studio:
        mishap(studio, what, piece=which, load=load or None, words=note or None)
    say(f"{which}: {what}; kept, not learned from.")


@piece.command("work")
def work(
    which: PieceArgument,
    what: Annotated[str, typer.Argument(help="stone, burr out, glass brush, file edge, polish, press flat, set ...")],
    grit: Annotated[str, typer.Option("--grit", help="Stone or paper.")] = "",
    wet: Annotated[bool | None, typer.Option("--wet/--dry", help="Whether it was kept wet.")] = None,
    minutes: Annotated[str, typer.Option("--minutes", help="How long.")] = "",
    note: WordsOption = "",
    at: AtOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Record stoning, polishing, setting and other work after the kiln."""
    from enamelwright.workshop.finishing import finish_work

    with at_bench(home, who, at) as studio:
        finish_work(
            studio, what, piece=which, grit=grit or None, wet=wet, duration=with_unit(minutes, "min"),
            words=note or None,
        )  # fmt: skip
    say(f"{which}: {what}.")
    if wet is False:
        say("Dry dust of enamel is not breathed: keep it wet, or wear what the safety data sheet asks for.")


@piece.command("time")
def time_(
    which: PieceArgument,
    what: Annotated[str, typer.Argument(help="What was done.")],
    minutes: Annotated[str, typer.Argument(help="How long.")],
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Record hand time on a piece."""
    from enamelwright.workshop.finishing import spend_time, time_on

    with at_bench(home, who) as studio:
        spend_time(studio, what, with_unit(minutes, "min"), piece=which)
        total = time_on(studio, which)
    say(f"{which}: {total / 60:.0f} minutes of hand work in all.")


@tile.command("make")
def make(
    count: Annotated[int, typer.Option("--count", min=1, max=100, help="How many.")] = 1,
    control: Annotated[bool, typer.Option("--control", help="Control tiles, always made and fired alike.")] = False,
    layout: Annotated[str, typer.Option("--layout", help="Name of a layout of spots.")] = "",
    jar: Annotated[str, typer.Option("--jar", help="The jar tried on every spot.")] = "",
    design: Annotated[str, typer.Option("--design", help="The design they are made from.")] = "",
    metal: Annotated[str, typer.Option("--metal", help="As the design says when left out.")] = "",
    thickness: Annotated[str, typer.Option("--thickness", help="Of the metal: 0.9mm, or 18 gauge (B&S).")] = "",
    weight: Annotated[str, typer.Option("--weight", help="Grams of one blank.")] = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Make tiles; each gets its label and number."""
    from enamelwright.craft.metal import metal_id
    from enamelwright.workshop.tiles import make_tiles

    if metal:
        metal_id(metal)
    with at_bench(home, who) as studio:
        made = make_tiles(
            studio, count, "control tile" if control else "test tile", layout=layout or None, jar=jar,
            design=design or None, metal=metal or None, thickness=thickness or None,
            metal_mass=with_unit(weight, "g") or None,
        )  # fmt: skip
    say("; ".join(f"{row.label} ({row.number})" for row in made))
    if control and not design and not (metal and thickness and weight):
        say("Say --metal, --thickness and --weight of the blank too: without them their firings teach nothing.")


@tile.command("layout")
def layout(
    name: Annotated[str, typer.Argument(help="What the layout is called.")],
    spots: Annotated[list[str], typer.Argument(help='Spots with what lies under: "1=bare" "2=flux" "3=white".')],
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Keep a layout of spots."""
    from enamelwright.workshop.tiles import keep_layout

    content = []
    for text in spots:
        spot, _, under = text.partition("=")
        content.append({"spot": spot.strip(), **({"under": under.strip()} if under.strip() else {})})
    with at_bench(home, who) as studio:
        keep_layout(studio, name, content)
    say(f"Layout '{name}': {len(content)} spots.")


@tile.command("list")
def tiles_(json_: JsonOption = False, home: HomeOption = None) -> None:
    """List the tiles."""
    from enamelwright.workshop.tiles import tiles

    with at_bench(home) as studio:
        rows = [(row.label, row.number, row.kind, row.metal, row.started_on) for row in tiles(studio)]
    listing(("tile", "number", "kind", "metal", "made"), rows, json_, "No tile yet.")


@tile.command("control")
def control_(json_: JsonOption = False, home: HomeOption = None) -> None:
    """List the firings of the control tiles in order, with the seconds to the first gloss."""
    from enamelwright.workshop.firings import firings_of
    from enamelwright.workshop.tiles import tiles
    from enamelwright.workshop.typed import as_typed

    with at_bench(home) as studio:
        found = sorted(
            ((fired.at, row.label or row.number, fired) for row in tiles(studio, "control tile")
             for fired in firings_of(studio, row.id)),
            key=lambda one: one[:2],
        )  # fmt: skip
    rows = [
        (name, local(at), fired.number, as_typed(fired, "set_point"), fired.piece_to_gloss or fired.to_gloss,
         fired.piece_stage or fired.stage_seen)
        for at, name, fired in found
    ]  # fmt: skip
    listing(("tile", "when", "load", "set", "seconds to gloss", "stage"), rows, json_, "No control tile was fired yet.")


@tile.command("read")
def tile_read(
    which: PieceArgument,
    lightness: Annotated[float, typer.Option("--lightness", min=0, max=100, help="L, as an instrument shows it.")],
    red: Annotated[float, typer.Option("--a", min=-200, max=200, help="Green below nothing, red above.")],
    yellow: Annotated[float, typer.Option("--b", min=-200, max=200, help="Blue below nothing, yellow above.")],
    spot: Annotated[str, typer.Option("--spot", help="Which spot.")] = "",
    light: Annotated[str, typer.Option("--light", help="The light it is told for, e.g. D50.")] = "",
    observer: Annotated[int | None, typer.Option("--observer", help="2 or 10 degrees.")] = None,
    by: Annotated[
        str, typer.Option("--by", help="instrument, typed, eye, photo with chart or photo with grey card.")
    ] = "typed",
    load: Annotated[str, typer.Option("--load", help="The firing it was read after; the last one when left out.")] = "",
    note: WordsOption = "",
    at: AtOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Write down the colour of a spot, or of a piece."""
    from enamelwright.workshop.tiles import read_colour

    with at_bench(home, who, at) as studio:
        read_colour(
            studio, which, spot=spot or None, load=load or None, lightness=lightness, a=red, b=yellow,
            light=light or None, observer=observer, read_by=by, words=note or None,
        )  # fmt: skip
    say(f"{which}{f' spot {spot}' if spot else ''}: L {lightness:g} a {red:g} b {yellow:g}.")


@tile.command("show")
def tile_show(which: PieceArgument, home: HomeOption = None) -> None:
    """Show what lies on each spot of a tile, and the colours read from it."""
    from enamelwright.workshop.pieces import piece_row
    from enamelwright.workshop.tiles import readings_of, spots_of

    with at_bench(home) as studio:
        row = piece_row(studio, which)
        spots, readings = spots_of(studio, row.id), readings_of(studio, row.id)
    say(f"{row.label or ''} {row.number}: {row.kind}, {row.metal or 'metal not told'}".strip())
    listing(
        ("spot", "under", "coats"),
        ((s.spot, s.under, ", ".join(str(c.get("jar", c)) for c in s.coats or [])) for s in spots),
        none="No spots were written down.",
    )
    if readings:
        listing(
            ("spot", "L", "a", "b", "read by", "when"),
            ((r.spot, r.lightness, r.a, r.b, r.read_by, local(r.at)) for r in readings),
        )
