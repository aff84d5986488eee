"""`enamelwright kiln`: what was done to a kiln, and what its readings say."""

from __future__ import annotations

import re
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from enamelwright.cli.at_bench import at_bench, listing, local, say, with_unit
from enamelwright.cli.options import AtOption, HomeOption, JsonOption, WhoOption, WordsOption
from enamelwright.errors import InputError

if TYPE_CHECKING:
    from enamelwright.craft.kiln import Kiln

kiln = typer.Typer(help="Kilns: what they are and what was done to them.", no_args_is_help=True)

KilnOption = Annotated[str, typer.Option("--kiln", help="Which kiln, when there are several.")]


@kiln.command("keep")
def keep(
    name: Annotated[str, typer.Argument(help="What it is called.")] = "",
    size: Annotated[
        str, typer.Option("--inside", help='Width x depth x height, e.g. "240x190x150" (mm) or "24x19x15cm".')
    ] = "",
    power: Annotated[str, typer.Option("--power", help="As on its plate, e.g. 1.8kW.")] = "",
    control: Annotated[str, typer.Option("--control", help="pid, on-off or dial.")] = "",
    kind: Annotated[
        str, typer.Option("--kind", help='electric, "electric, no read-out" or torch; electric when left out.')
    ] = "",
    like: Annotated[
        str,
        typer.Option(
            "--class",
            help="What stands in for all you do not know: fibre small, fibre medium, fibre large, brick medium or "
            "muffle small.",
        ),
    ] = "",
    lining: Annotated[str, typer.Option("--lining", help="fibre, brick or muffle.")] = "",
    wall: Annotated[str, typer.Option("--wall", help="Thickness of the lining, e.g. 50mm.")] = "",
    heats_up: Annotated[
        str, typer.Option("--minutes-to-set", help="Minutes from cold until the display first shows the set point.")
    ] = "",
    heats_up_to: Annotated[str, typer.Option("--set", help="The set point those minutes were for, e.g. 800C.")] = "",
    file: Annotated[Path | None, typer.Option("--file", help="A bench file: every kiln in it is kept.")] = None,
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Keep a kiln or a torch, or describe it anew with all you know of it."""
    from enamelwright.craft.kiln import Kiln
    from enamelwright.workshop.kilns import keep_kiln

    if file is not None:
        from enamelwright.craft.bench import Bench
        from enamelwright.files.piece_file import LARGEST_BENCH, read_toml

        found = Bench.from_outside(read_toml(file, LARGEST_BENCH), str(file)).kilns
    else:
        if not name:
            raise InputError("a kiln needs a name.", 'For example: kiln keep "front-loader" --inside 240x190x150.')
        told = {
            "power": power, "control": control, "kind": kind, "preset": like, "lining": lining,
            "wall": with_unit(wall, "mm"), "time_to_set": with_unit(heats_up, "min"),
            "time_to_set_point": heats_up_to,
        }  # fmt: skip
        known = {key: text for key, text in told.items() if text}
        found = (Kiln.from_outside({"name": name, **_inside(size), **known}, f"kiln {name}"),)
    for one in found:
        one.must_hold_work()
    with at_bench(home, who) as studio, studio.writing():
        for one in found:
            keep_kiln(studio, one)
    say(f"Kept: {', '.join(_described(one) for one in found) or 'no kiln'}.")


def _inside(size: str) -> dict[str, str]:
    """Read three sizes; a unit after the last is the unit of all three, a bare number is in millimetres."""
    if not size.strip():
        return {}
    parts = [part.strip() for part in re.split(r"[x×*]", size.casefold())]
    units = [found[0] if (found := re.search(r"[a-z\"]+$", part)) else "" for part in parts]
    if len(parts) != 3 or not all(parts):
        raise InputError(f"'{size[:40]}' is not three sizes.", "Write it like 240x190x150 or 24x19x15cm.", "--inside")
    shared = units[-1] or "mm"
    sizes = (part if unit else f"{part} {shared}" for part, unit in zip(parts, units, strict=True))
    return dict(zip(("width", "depth", "height"), sizes, strict=True))


def _described(kiln: Kiln) -> str:
    """Say a kiln with its inside, so that a slip of a unit shows at once."""
    sides = [side for side in (kiln.width, kiln.depth, kiln.height) if side is not None]
    if not sides:
        return kiln.name
    return f"{kiln.name} ({' x '.join(f'{side * 1e3:.0f}' for side in sides)} mm inside)"


@kiln.command("away")
def away(
    name: Annotated[str, typer.Argument(help="Name of the kiln.")], home: HomeOption = None, who: WhoOption = ""
) -> None:
    """Put a kiln away: it is no longer planned with; its firings stay. `kiln keep` brings it back."""
    from enamelwright.workshop.kilns import put_kiln_away

    with at_bench(home, who) as studio:
        put_kiln_away(studio, name)
    say(f"{name} is put away; its firings stay in the record.")


@kiln.command("event")
def event(
    what: Annotated[
        str,
        typer.Argument(
            help="thermocouple moved, thermocouple changed, element changed, relined, controller tuned, moved, "
            "furniture cleaned, kiln wash, minutes to set point, hold duty or note."
        ),
    ],
    duration: Annotated[str, typer.Option("--minutes", help="Minutes to the set point.")] = "",
    duty: Annotated[float | None, typer.Option("--duty", min=0, max=1, help="Share of time the element is on.")] = None,
    shown: Annotated[str, typer.Option("--shown", help="What the display showed.")] = "",
    kiln_: KilnOption = "",
    note: WordsOption = "",
    at: AtOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Record what was done to a kiln; after some of it the display tells another story."""
    from enamelwright.workshop.kilns import NEW_EPOCH, kiln_event_happened

    with at_bench(home, who, at) as studio:
        kiln_event_happened(
            studio, what, kiln_, duration=with_unit(duration, "min"), duty=duty, shown=shown or None, words=note or None
        )
    say(f"Written down: {what}.")
    if what in NEW_EPOCH:
        say("Readings from before are no longer compared with those from now on.")


@kiln.command("anchor")
def anchor_(
    against: Annotated[str, typer.Argument(help="What melted, e.g. silver-copper foil.")],
    shown: Annotated[str, typer.Option("--shown", help="What the display showed, e.g. 771C.")],
    known: Annotated[str, typer.Option("--known", help="Where it melts, when the trade has no name for it.")] = "",
    melted: Annotated[bool | None, typer.Option("--melted/--whole", help="Whether it had melted.")] = None,
    held: Annotated[str, typer.Option("--held", help="Minutes it was held.")] = "",
    place: Annotated[str, typer.Option("--where", help="Where in the kiln.")] = "",
    kiln_: KilnOption = "",
    note: WordsOption = "",
    at: AtOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Record one comparison of the display with a temperature that is known."""
    from enamelwright.workshop.kilns import anchor

    with at_bench(home, who, at) as studio:
        anchor(
            studio, against, kiln=kiln_, known=known or None, shown=shown, melted=melted,
            held=with_unit(held, "min"), position=place or None, words=note or None,
        )  # fmt: skip
    say(f"{against} at {shown} shown: written down.")


@kiln.command("list")
def list_(json_: JsonOption = False, home: HomeOption = None) -> None:
    """List the kilns, with the day since which each display tells one story."""
    from enamelwright.workshop.kilns import epoch_of, kilns

    with at_bench(home) as studio:
        rows = [(row.name, local(epoch_of(studio, row.id)), row.words) for row in kilns(studio)]
    listing(("kiln", "comparable since", "note"), rows, json_, "No kiln is kept yet.")


@kiln.command("log")
def log(kiln_: KilnOption = "", json_: JsonOption = False, home: HomeOption = None) -> None:
    """List what was done to a kiln, the newest first."""
    from enamelwright.workshop.kilns import kiln_events

    with at_bench(home) as studio:
        rows = [
            (local(row.at), row.what, "yes" if row.new_epoch else "", row.words) for row in kiln_events(studio, kiln_)
        ]
    listing(("when", "what", "compared from here on", "note"), rows, json_)
