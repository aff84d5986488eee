"""`enamelwright design`: keep piece files as designs, see their versions and what differs between them."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from enamelwright.cli.at_bench import at_bench, listing, local, say
from enamelwright.cli.options import HomeOption, JsonOption, WhoOption, WordsOption

if TYPE_CHECKING:
    from sqlalchemy import Row

    from enamelwright.craft.plan import Plan
    from enamelwright.questions.answer import Answer
    from enamelwright.workshop.studio import Studio

design = typer.Typer(help="Designs: pieces as planned, kept in versions.", no_args_is_help=True)

NameArgument = Annotated[str, typer.Argument(help="Name of the design.")]


@design.command("keep")
def keep(
    file: Annotated[Path, typer.Argument(help="Piece file (TOML).")],
    name: Annotated[str, typer.Option("--name", help="What to call it; as the file does when left out.")] = "",
    sequence: Annotated[bool, typer.Option("--sequence", help="Its order of work is worth repeating.")] = False,
    note: WordsOption = "",
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Keep a piece file as a design, or as the next version of one."""
    from enamelwright.workshop.designs import design_row, keep_design

    with at_bench(home, who) as studio:
        kept = keep_design(studio, file, name, kept_sequence=sequence or None, words=note or None)
        called = design_row(studio, kept.design).name
    if kept.new:
        say(f"'{called}' is kept as version {kept.number}.")
    else:
        say(f"'{called}' says the same already, in version {kept.number}.")


@design.command("list")
def list_(json_: JsonOption = False, home: HomeOption = None) -> None:
    """List the designs."""
    from enamelwright.workshop.designs import designs

    with at_bench(home) as studio:
        rows = [(row.name, row.technique, row.versions, local(row.made_at)) for row in designs(studio)]
    listing(("design", "technique", "versions", "kept"), rows, json_, "No design is kept yet.")


@design.command("versions")
def versions_(name: NameArgument, json_: JsonOption = False, home: HomeOption = None) -> None:
    """List the versions of a design."""
    from enamelwright.workshop.designs import versions

    with at_bench(home) as studio:
        rows = [(row.number, local(row.at), row.words) for row in versions(studio, name)]
    listing(("version", "kept", "why"), rows, json_)


@design.command("compare")
def compare_(
    name: NameArgument,
    first: Annotated[int, typer.Argument(help="Number of one version.")],
    second: Annotated[int, typer.Argument(help="Number of the other.")],
    json_: JsonOption = False,
    home: HomeOption = None,
) -> None:
    """Say what differs between two versions of a design."""
    from enamelwright.workshop.designs import compare

    with at_bench(home) as studio:
        rows = [(one.place, one.before, one.after) for one in compare(studio, name, first, second)]
    listing(("place", f"version {first}", f"version {second}"), rows, json_, "They say the same.")


@design.command("plan")
def plan(
    name: NameArgument,
    number: Annotated[int | None, typer.Option("--version", help="Which version; the newest when left out.")] = None,
    kiln: Annotated[str, typer.Option("--kiln", help="Another kiln than the design names, to compare.")] = "",
    keep_it: Annotated[bool, typer.Option("--keep", help="Keep the plan as it is printed.")] = False,
    all_: Annotated[bool, typer.Option("--all", help="Print every step and every line of advice.")] = False,
    home: HomeOption = None,
    who: WhoOption = "",
) -> None:
    """Plan a design on this studio's own jars, kiln and hands."""
    from enamelwright.cli.plan_text import plan_text
    from enamelwright.workshop.bench import bench
    from enamelwright.workshop.designs import save_plan, version_row
    from enamelwright.workshop.predictions import plan_of

    with at_bench(home, who) as studio:
        version = version_row(studio, name, number)
        answer = _plan_in(studio, version, kiln) if kiln else plan_of(studio, version)
        if keep_it:
            save_plan(studio, version.of, answer.to_json())
        used = bench(studio).kiln(answer.payload.piece.firing.kiln)
        fires_in = used.name if used is not None else ""
    typer.echo(plan_text(answer, everything=all_))
    if fires_in:
        say(f"Fired in: {fires_in}.")


def _plan_in(studio: Studio, version: Row[Any], kiln: str) -> Answer[Plan]:
    """Plan a version as if its design named another kiln."""
    from enamelwright.questions.plan import answer
    from enamelwright.workshop.bench import bench
    from enamelwright.workshop.designs import piece_of, shape_of
    from enamelwright.workshop.who_lays import who_lays

    known = bench(studio).by_hand_of(who_lays(studio))
    found = known.kiln(kiln)
    piece = piece_of(version)
    habits = piece.firing.model_copy(update={"kiln": found.name if found is not None else kiln})
    return answer(piece.model_copy(update={"firing": habits}), known, shape_of(version))
