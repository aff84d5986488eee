"""`enamelwright coat`, `load`, `fired`, `paper-day`: from powder on the piece to a closed firing."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from enamelwright.cli.asking import ReallyOption, asks_back
from enamelwright.cli.at_bench import at_bench, day_of, grams, listing, local, moment_of, say, with_unit
from enamelwright.cli.options import AtOption, HomeOption, WhoOption, WordsOption
from enamelwright.errors import InputError, UnknownName

if TYPE_CHECKING:
    from enamelwright.workshop.loads import Begun
    from enamelwright.workshop.studio import Studio

load = typer.Typer(help="Loads: what is in the kiln at once.", no_args_is_help=True)

PiecesArgument = Annotated[list[str] | None, typer.Argument(help="Numbers or labels.")]
SetOption = Annotated[str, typer.Option("--set", help="What the kiln is set to, e.g. 790C or 1450F.")]
StartOption = Annotated[str, typer.Option("--from", help="Seconds counted from: load, or recovered.")]
SupportOption = Annotated[str, typer.Option("--support", help="mesh, trivet, plate ...")]
FaceOption = Annotated[str, typer.Option("--face-up", help="front or back.")]
KilnOption = Annotated[str, typer.Option("--kiln", help="Which kiln, when there are several.")]
SecondsOption = Annotated[str, typer.Option("--seconds", help="How long; 180, 3min or 3:00.")]
StageOption = Annotated[
    str, typer.Option("--stage", help="Stage seen: powder, sugar, orange peel, gloss, cleared, over-fired.")
]
GlossOption = Annotated[str, typer.Option("--to-gloss", help="Seconds to the first gloss.")]
InterruptedOption = Annotated[bool, typer.Option("--interrupted", help="Broken off before its end.")]


def coat(
    piece: Annotated[str, typer.Argument(help="Number or label.")],
    jar: Annotated[str, typer.Argument(help="Code or name of the jar.")],
    face: Annotated[str, typer.Option("--face", help="front, back, rim or inside.")] = "",
    number: Annotated[int | None, typer.Option("--coat", help="Number of the coat in the design, from 1.")] = None,
    cell: Annotated[str, typer.Option("--cell", help="Cell it fills.")] = "",
    before: Annotated[str, typer.Option("--before", help="Grams of the piece before.")] = "",
    after: Annotated[str, typer.Option("--after", help="Grams of the piece after.")] = "",
    on_piece: Annotated[str, typer.Option("--grams", help="Grams of powder on the piece.")] = "",
    out: Annotated[str, typer.Option("--weighed-out", help="Grams taken from the jar.")] = "",
    method: Annotated[str, typer.Option("--method", help="sift, wet-pack, slip, spray, paint ...")] = "",
    mesh: Annotated[int | None, typer.Option("--mesh", help="Sieve it went through.")] = None,
    dried: Annotated[str, typer.Option("--dried", help="Minutes it dried.")] = "",
    gum: Annotated[float | None, typer.Option("--gum", help="Parts of gum to one of water, e.g. 0.2.")] = None,
    lot: Annotated[str, typer.Option("--lot", help="Which lot; the one in use when left out.")] = "",
    really: Annotated[bool, typer.Option("--really", help="Keep it though it is far from the plan.")] = False,
    note: WordsOption = "",
    at: AtOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Record a coat; the powder leaves the lot it came from."""
    from enamelwright.workshop.coat_checks import check_coat
    from enamelwright.workshop.coats import coat_row, lay_coat
    from enamelwright.workshop.lots import levels

    with at_bench(home, who, at) as studio:
        remarks = check_coat(
            studio, piece, jar, coat=number, face=face or None, cell=cell or None, method=method,
            before=with_unit(before, "g"), after=with_unit(after, "g"), grams=with_unit(on_piece, "g"), really=really,
        )  # fmt: skip
        row = lay_coat(
            studio, piece, jar, lot=lot or None, coat=number, face=face or None, cell=cell or None,
            method=method or None, weighed_before=with_unit(before, "g"), weighed_after=with_unit(after, "g"),
            on_piece=with_unit(on_piece, "g"), weighed_out=with_unit(out, "g"), mesh=mesh,
            dried=with_unit(dried, "min"), gum_ratio=gum, holding_agent="gum" if gum is not None else None,
            words=note or None,
        )  # fmt: skip
        laid = coat_row(studio, row)
        left = [level for level in levels(studio, jar) if level.lot == laid.lot]
    amount = f"{grams(laid.on_piece)} on the piece" if laid.on_piece is not None else "not weighed"
    say(f"{piece}: {jar}{f' on the {face}' if face else ''}, {amount} (entry {row}).")
    for remark in remarks:
        say(remark)
    for level in left:
        if level.grams is not None:
            say(f"Lot {level.label} of {level.code}: {grams(level.grams)} left.")


@load.command("begin")
def begin(
    pieces: PiecesArgument = None,
    set_point: SetOption = "",
    target: Annotated[str, typer.Option("--target", help="Stage aimed at.")] = "",
    shown: Annotated[str, typer.Option("--shown", help="What the display shows at loading.")] = "",
    start: StartOption = "",
    support: SupportOption = "",
    face: FaceOption = "",
    kiln: KilnOption = "",
    note: WordsOption = "",
    at: AtOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Put pieces into the kiln; what the plan foretells is frozen before anything is seen."""
    from enamelwright.workshop.loads import begin_load

    _known_support(support)
    with at_bench(home, who, at) as studio:
        begun = begin_load(
            studio, pieces or (), kiln=kiln,
            **_told(set_point=set_point, target=target, shown_at_load=shown, start=start, support=support, face_up=face,
                    words=note),
        )  # fmt: skip
        say(f"Load {begun.number} is in: {', '.join(begun.pieces)}.")
        _already_over(studio, begun)
        _foretold(studio, begun)


@load.command("look")
def look(
    number: Annotated[str, typer.Argument(help="Number of the load.")],
    seconds: SecondsOption = "",
    stage: StageOption = "",
    shown: Annotated[str, typer.Option("--shown", help="What the display shows.")] = "",
    really: ReallyOption = False,
    note: WordsOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Record a look through the door."""
    from enamelwright.workshop.loads import look_in
    from enamelwright.workshop.says_two import ask_look

    with at_bench(home, who) as studio:
        with asks_back():
            ask_look(studio, number, with_unit(seconds, "s"), stage.strip() or None, really=really)
        look_in(
            studio, number, seconds=with_unit(seconds, "s"), stage_seen=stage or None, shown=shown or None,
            words=note or None,
        )  # fmt: skip
    when = f" at {with_unit(seconds, 's')}" if seconds else ""
    say(f"Load {number}: {stage or 'looked at'}{when}.")


@load.command("close")
def close(
    number: Annotated[str, typer.Argument(help="Number of the load.")],
    seconds: SecondsOption = "",
    stage: StageOption = "",
    to_gloss: GlossOption = "",
    cooled: Annotated[
        str, typer.Option("--cooled", help="on the pad, in the kiln, slowly, quenched, under weight.")
    ] = "",
    interrupted: InterruptedOption = False,
    really: ReallyOption = False,
    note: WordsOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Record how a load came out."""
    from enamelwright.workshop.loads import close_load
    from enamelwright.workshop.says_two import ask_outcome

    with at_bench(home, who) as studio:
        told = _told(seconds=seconds, stage_seen=stage, to_gloss=to_gloss, cooled=cooled, words=note)
        if interrupted:
            told["interrupted"] = True
        with asks_back():
            ask_outcome(studio, number, told, really=really)
        close_load(studio, number, **told)
    say(f"Load {number} is closed{f': {stage}' if stage else ''}.")


@load.command("show")
def show(number: Annotated[str, typer.Argument(help="Number of the load.")], home: HomeOption = None) -> None:
    """Show a load, what was foretold of it and what was seen."""
    from enamelwright.workshop.firings import load_row, looks_of, pieces_in
    from enamelwright.workshop.history import firing_words
    from enamelwright.workshop.predictions import predictions_of

    with at_bench(home) as studio:
        row = load_row(studio, number)
        inside, looks = pieces_in(studio, row.of), looks_of(studio, row.of)
        foretold = {one.piece: one for one in predictions_of(studio, row.of)}
    say(f"{row.number}, {local(row.at)}: {firing_words(row)}")
    listing(
        ("piece", "label", "firing", "stage", "foretold"),
        ((p.number, p.label, p.firing, p.stage_seen or row.stage_seen, _window(foretold.get(p.piece))) for p in inside),
    )
    if looks:
        listing(("seconds", "stage", "note"), ((x.seconds, x.stage_seen, x.words) for x in looks))


def fired(
    pieces: PiecesArgument = None,
    set_point: SetOption = "",
    seconds: SecondsOption = "",
    stage: StageOption = "",
    start: StartOption = "",
    to_gloss: GlossOption = "",
    support: SupportOption = "",
    face: FaceOption = "",
    kiln: KilnOption = "",
    new: Annotated[
        list[str] | None, typer.Option("--new", help="Label of something without a number; once each.")
    ] = None,
    fault: Annotated[list[str] | None, typer.Option("--fault", help="A fault that was seen; once each.")] = None,
    interrupted: InterruptedOption = False,
    really: ReallyOption = False,
    note: WordsOption = "",
    at: AtOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Record a whole firing in one line; a load that is open for these pieces is closed by it."""
    from enamelwright.workshop.faults import see_fault
    from enamelwright.workshop.loads import fired as record
    from enamelwright.workshop.says_two import ask_fired

    told = _told(
        set_point=set_point, seconds=seconds, stage_seen=stage, start=start, to_gloss=to_gloss, support=support,
        face_up=face, words=note,
    )  # fmt: skip
    if interrupted:
        told["interrupted"] = True
    if not (stage or seconds or to_gloss or interrupted or note or fault):
        raise InputError(
            "nothing is told of this firing.", "Say at least the stage seen or how long: --stage gloss, --seconds 180."
        )
    _known_support(support)
    with at_bench(home, who) as studio:
        with asks_back():
            ask_fired(studio, pieces or (), told, really=really)
        begun = record(studio, pieces or (), kiln=kiln, new=new or (), at=moment_of(at), **told)
        for number in begun.pieces:
            for words in fault or ():
                see_fault(studio, number, words, load=begun.load)
        names = ", ".join(begun.pieces)
        say(f"Load {begun.number} is closed: {names}{f', {stage}' if stage else ''}.")
        _already_over(studio, begun)
        _foretold(studio, begun)
    if seconds and not start:
        say("Say next time whether the seconds count from the door or from when the kiln is back: --from load.")


def paper_day(
    file: Annotated[Path, typer.Argument(help="The grid as CSV, one load a line; see --headings.")] = Path("-"),
    day: Annotated[str, typer.Option("--day", help="The day it is of; today when left out.")] = "",
    kiln: KilnOption = "",
    column: Annotated[
        list[str] | None,
        typer.Option("--column", help="What a column is: 'Secs in=seconds', or 'Mood=-' to keep it as words."),
    ] = None,
    write: Annotated[bool, typer.Option("--write", help="Write it into the record; without this, only look.")] = False,
    headings: Annotated[bool, typer.Option("--headings", help="Print the headings a grid may have.")] = False,
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Type a day kept on paper: look how it is read, then write all of it at once."""
    import sys

    from enamelwright.files.sheet import MOST_BYTES
    from enamelwright.workshop.paper_day import read_day, told_of, write_day
    from enamelwright.workshop.paper_grid import COLUMNS, grid, read_grid

    if headings:
        listing(
            ("heading", "or", "bare number is"),
            ((names[0], ", ".join(names[1:]), unit) for names, _, unit in COLUMNS.values()),
        )
        say('A cell with " says the same as the one above; "A-01..A-06" names six pieces.')
        return
    wishes = {}
    for wish in column or ():
        heading, sign, what = wish.rpartition("=")
        if not sign:
            raise InputError(f"'{wish[:60]}' names no field.", "Write it like 'Secs in=seconds'.", "--column")
        wishes[heading] = what
    sheet = grid(sys.stdin.buffer.read(MOST_BYTES + 1), "standard input") if str(file) == "-" else read_grid(file)
    with at_bench(home, who) as studio:
        paper = read_day(studio, sheet, day_of(day, "--day") or studio.today(), kiln=kiln, wishes=wishes)
        rows = [told_of(one) for one in paper.loads]
        used = [name for name in rows[0] if any(row.get(name) for row in rows)] if rows else []
        used += [name for row in rows for name in row if name not in used and row.get(name)]
        used = list(dict.fromkeys(used))
        listing([name.replace("_", " ") for name in used], ([row.get(name) for name in used] for row in rows))
        for heading in paper.ignored:
            say(f"Column '{heading}' is not understood: say what it is with --column, or keep it: '{heading}=-'.")
        for one in paper.complaints:
            say(f"line {one.line} {one.column}: {one.words}".replace(" :", ":"))
        if not write:
            wrong = f"; complaints: {len(paper.complaints)}" if paper.complaints else "; write it with --write"
            say(f"Loads understood: {len(paper.loads)}{wrong}.")
            return
        written = write_day(studio, paper)
    say(f"Loads written: {len(written)}, {written[0].number} to {written[-1].number}.")


def _told(**given: str) -> dict[str, Any]:
    """Keep what was typed; bare numbers are in the unit of their option."""
    seconds = {"seconds", "to_gloss"}
    return {
        name: with_unit(text, "s") if name in seconds else text.strip() for name, text in given.items() if text.strip()
    }


def _known_support(text: str) -> None:
    """Refuse a support nobody knows, with the nearest."""
    from typing import get_args

    from enamelwright.craft.piece import Support

    if text.strip() and text.strip() not in get_args(Support):
        raise UnknownName.among("support", text.strip(), get_args(Support), "--support")


def _already_over(studio: Studio, begun: Begun) -> None:
    """Say it when a piece in a load was finished, sold or lost before."""
    from enamelwright.workshop.coat_checks import over_already
    from enamelwright.workshop.pieces import piece_row

    for number in begun.pieces:
        if words := over_already(piece_row(studio, number)):
            say(words)


def _foretold(studio: Studio, begun: Begun) -> None:
    """Say what was foretold, once where it is alike for all pieces."""
    from enamelwright.workshop.predictions import predictions_of

    windows = {_window(one): one for one in predictions_of(studio, begun.load)}
    for window in sorted(set(windows) - {""}):
        say(f"Foretold: {window}.")
        if planned := _planned(windows[window]):
            say(f"The plan said: {planned}.")
    for number, why in begun.again.items():
        say(f"{number}: taken as the same firing of its plan again, since {why}.")
    again = {number for number, why in begun.again.items() if why}
    for number, why in begun.unforetold.items():
        if number in again and why == "the plan has fewer firings":
            continue
        if why != "it has no plan":
            say(f"{number}: nothing foretold, {why}.")
        else:
            say(f"{number} has no plan; the firing is kept with its number.")


def _planned(prediction: Any) -> str:
    """Say what the plan itself recommends, where the load is set otherwise."""
    planned = prediction.figures.get("planned") or {}
    window = (prediction.figures.get("firing") or {}).get("window") or {}
    point, ours = planned.get("set_point"), window.get("set_point")
    if not point or not ours or point["shown"] == ours["shown"]:
        return ""
    parts = [planned.get("target") or "", *(planned[key]["shown"] for key in ("set_point", "seconds") if planned[key])]
    return ", ".join(part for part in parts if part)


def _window(prediction: Any) -> str:
    """Say the window of a prediction on one line."""
    if prediction is None:
        return ""
    firing = prediction.figures.get("firing") or {}
    window = firing.get("window") or {}
    parts = [firing.get("target") or ""]
    for key in ("set_point", "seconds"):
        if window.get(key):
            parts.append(window[key]["shown"])
    return ", ".join(part for part in parts if part)
