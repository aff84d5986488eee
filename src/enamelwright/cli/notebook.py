"""`enamelwright notebook`: bring in the firings of a notebook kept as a table."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from collections.abc import Iterable

    from enamelwright.files.notebook import Complaint
    from enamelwright.files.notebook_cells import Column, Order

#: Complaints shown when not all are asked for.
SHOWN = 12


def notebook(
    file: Annotated[Path, typer.Argument(help="The table as CSV, with a row of headings.")],
    column: Annotated[
        list[str] | None,
        typer.Option("--column", help="What a column is: 'Temp=set_point:°C', or 'Moon=-' to leave it as words."),
    ] = None,
    day_first: Annotated[
        bool | None, typer.Option("--day-first/--month-first", help="How to read a date such as 3/4/2024.")
    ] = None,
    metal: Annotated[str, typer.Option("--metal", help="Metal of every row that names none: copper.")] = "",
    thickness: Annotated[
        str, typer.Option("--thickness", help="Thickness of every row that names none: 0.9mm, or 18 gauge (B&S).")
    ] = "",
    diameter: Annotated[str, typer.Option("--diameter", help="Diameter of every row that names none: 30mm.")] = "",
    kiln: Annotated[str, typer.Option("--kiln", help="Kiln of every row that names none.")] = "",
    write: Annotated[bool, typer.Option("--write", help="Write it into the record; without this, only look.")] = False,
    leave_undated: Annotated[
        bool, typer.Option("--leave-undated", help="Leave out rows whose day is not known.")
    ] = False,
    everything: Annotated[bool, typer.Option("--all", help="Show everything that was not understood.")] = False,
    home: Annotated[Path | None, typer.Option("--home", help="Data folder of the studio.")] = None,
) -> None:
    """Show how a notebook would be read, and write its firings into the record when you agree."""
    from enamelwright.errors import InputError
    from enamelwright.files.notebook import changed, preview, read_notebook
    from enamelwright.files.sheet import read_sheet

    sheet = read_sheet(file)
    wishes = {}
    for wish in column or []:
        heading, sign, what = wish.rpartition("=")
        if not sign:
            raise InputError(f"'{wish}' names no field.", "Write it like 'Temp=set_point:°C'.", "--column")
        wishes[heading] = what
    order: Order | None = None if day_first is None else "day first" if day_first else "month first"
    for_all = {"metal": metal, "thickness": thickness, "diameter": diameter, "kiln": kiln}
    read = read_notebook(sheet, changed(preview(sheet), wishes), order, for_all)
    _show_columns(read.columns)
    typer.echo(f"{len(read.entries)} of {len(sheet.rows)} rows can be read.")
    if any(one.field == "date" for one in read.columns):
        asked = "some could be two days; say --day-first or --month-first"
        typer.echo(f"Dates: {asked if read.two_days else read.order or 'none needs to be told apart'}.")
    from enamelwright.workshop.notebook_in import teaches_nothing, undated

    if without := undated(read):
        lines = ", ".join(str(entry.line) for entry in without)
        typer.echo(f"No day is known for lines {lines}: write it into the table, or leave them out: --leave-undated.")
    complaints = list(read.complaints)
    if write:
        from enamelwright.records.home import Home
        from enamelwright.workshop.notebook_in import bring_in
        from enamelwright.workshop.studio import Studio

        studio = Studio.open(Home.usual() if home is None else Home(home))
        try:
            done = bring_in(studio, read, file.name, file.read_bytes(), leave_undated=leave_undated)
        finally:
            studio.close()
        complaints += done.complaints
    _show_complaints(complaints, everything)
    if not write:
        _show_left_out(teaches_nothing(read), len(read.entries))
        typer.echo("Nothing was written. Add --write when the columns are right.")
        return
    if done.before:
        more = f" {done.taught} of its firings teach only from now on." if done.taught else ""
        typer.echo(f"This notebook was brought in before; nothing was written again.{more}")
    else:
        typer.echo(f"Written: firings {done.firings}, new pieces {done.pieces}, new kilns {done.kilns}.")
    if done.learned:
        typer.echo("Learned from the record as it is now:")
        for said in done.learned:
            typer.echo(f"  {said}")
    elif not done.before:
        typer.echo("Nothing could be learned from it yet.")
    _show_left_out(done.left_out, done.firings)


#: What may be told once for all rows, by how its lack is told.
_FOR_ALL = {
    "no metal": "--metal copper", "no gauge": "--thickness 0.9mm", "no kiln": "--kiln 'small kiln'",
}  # fmt: skip


def _show_left_out(left_out: dict[str, int], rows: int) -> None:
    """Say why rows teach nothing, and what helps."""
    for why, count in left_out.items():
        typer.echo(f"  {count} of {rows} teach nothing: {why}.")
    lacking = {part for why in left_out for part in why.split(", ")}
    options = [option for lack, option in _FOR_ALL.items() if lack in lacking]
    if options:
        typer.echo(f"What is the same in all rows can be told once: {' '.join(options)}.")
    if "no jar of the shelf" in lacking:
        typer.echo("A row's enamel is a jar of the shelf when its code or name is the same: jar list.")


def _show_columns(columns: Iterable[Column]) -> None:
    from rich.box import SIMPLE
    from rich.console import Console
    from rich.table import Table

    table = Table("column", "read as", "unit", "why", box=SIMPLE)
    for one in columns:
        table.add_row(one.heading, one.field or "words", one.unit or "-", one.because)
    Console(highlight=False, markup=False).print(table)


def _show_complaints(complaints: list[Complaint], everything: bool) -> None:
    if not complaints:
        typer.echo("Everything was understood.")
        return
    typer.echo(f"Not understood ({len(complaints)}); kept as words where there is a row for it:")
    for one in complaints if everything else complaints[:SHOWN]:
        place = ", ".join(part for part in (f"line {one.line}" if one.line else "", one.heading) if part)
        said = f" '{one.cell[:40]}'" if one.cell else ""
        typer.echo(f"  {place}:{said} {one.why}")
    if len(complaints) > SHOWN and not everything:
        typer.echo(f"  and {len(complaints) - SHOWN} more; see them with --all.")
