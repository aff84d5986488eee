"""What every command at the bench shares: the studio it opens, how words are read, and how lists are printed."""

from __future__ import annotations

import json
import re
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer

from enamelwright.errors import STAND_IN, InputError

if TYPE_CHECKING:
    from datetime import date, datetime

    from enamelwright.workshop.studio import Studio

#: Cells up to this length stand on one line.
LONGEST_UNCUT = 16


@contextmanager
def at_bench(home: Path | None = None, who: str = "", at: str = "") -> Iterator[Studio]:
    """Open the studio for one command, at the moment that is told.

    Parameters
    ----------
    home : Path, optional
        Data folder; the usual one when left out.
    who : str
        Label of who is at the bench.
    at : str
        When it happened; now when empty.
    """
    from enamelwright.records.home import Home
    from enamelwright.workshop.settings import INVENTED, setting
    from enamelwright.workshop.studio import Studio

    when = moment_of(at)
    studio = Studio.open(Home.usual() if home is None else Home(home))
    try:
        if label := setting(studio, INVENTED):
            typer.echo(f"[{label}]", err=True)
        there = replace(studio if when is None else studio.telling(when), before_bench=_Learns())
        yield there.as_person(who) if who else there
    finally:
        studio.close()


class _Learns:
    """Catches up with what the record teaches when a command asks for the bench: here nothing learns beside it.

    A command that needs no bench does not wait for it. What fails is said once, and the command goes on by what was
    learned before.
    """

    def __init__(self) -> None:
        self._failed = False

    def __call__(self, studio: Studio) -> None:
        """Learn if the record is newer than what was learned from it."""
        if self._failed:
            return
        from enamelwright.records.errors import RecordError
        from enamelwright.workshop.relearning import catch_up
        from enamelwright.workshop.standing import trouble

        try:
            catch_up(studio)
            fails = trouble(studio)
            said = "" if fails is None else fails.words(local)
        except RecordError as error:
            said = f"What the record teaches could not be kept: {error}"
        if said:
            self._failed = True
            typer.echo(said, err=True)


def moment_of(text: str) -> datetime | None:
    """Read a moment an option names; None when it is empty."""
    from datetime import datetime

    if not text.strip():
        return None
    try:
        return datetime.fromisoformat(text.strip()).astimezone()
    except ValueError as error:
        raise InputError(f"'{text[:40]}' is not a moment.", 'Write it like "2026-03-02 10:15".', "--at") from error


def day_of(text: str, option: str) -> date | None:
    """Read a day an option names; None when it is empty.

    Parameters
    ----------
    text : str
        As typed.
    option : str
        Its name, for a complaint.
    """
    from datetime import date

    if not text.strip():
        return None
    try:
        return date.fromisoformat(text.strip())
    except ValueError as error:
        raise InputError(f"'{text[:40]}' is not a day.", "Write it like 2026-03-02.", option) from error


def with_unit(text: str, unit: str) -> str | None:
    """Give a bare number the unit its option is told in; None when nothing was typed.

    Parameters
    ----------
    text : str
        As typed.
    unit : str
        For example ``s``.
    """
    plain = text.strip()
    if not plain:
        return None
    if unit in {"s", "min"} and re.search(r"\d\s*(:|m)", plain.casefold()):
        return plain  # 1:30 and 1m30 carry their own units
    return f"{plain} {unit}" if plain[-1].isdigit() or plain[-1] in ".," else plain


def say(text: str) -> None:
    """Print one line that cannot command the terminal it is printed on."""
    typer.echo("".join(sign if sign.isprintable() else STAND_IN for sign in text))


def listing(
    headings: Sequence[str], rows: Iterable[Sequence[Any]], json_: bool = False, none: str = "Nothing."
) -> None:
    """Print a list as aligned columns or as JSON.

    Parameters
    ----------
    headings : sequence of str
        One a column.
    rows : iterable of sequence
        Cells; None is a dash.
    json_ : bool
        Print a list of objects instead.
    none : str
        Said when there are no rows.
    """
    cells = [list(row) for row in rows]
    if json_:
        names = [heading.replace(" ", "_") for heading in headings]
        say_json([dict(zip(names, row, strict=True)) for row in cells])
        return
    if not cells:
        typer.echo(none)
        return
    from rich.console import Console
    from rich.table import Table
    from rich.text import Text

    table = Table(box=None, pad_edge=False, header_style="bold")
    told = [["-" if cell is None or cell == "" else str(cell) for cell in row] for row in cells]
    for n, heading in enumerate(headings):  # a number or a stage is never cut; longer words wrap
        table.add_column(heading, no_wrap=max(len(row[n]) for row in told) <= LONGEST_UNCUT)
    for shown in told:
        table.add_row(*(Text("".join(sign if sign.isprintable() else STAND_IN for sign in cell)) for cell in shown))
    Console(highlight=False).print(table)


def say_json(data: Any) -> None:
    """Print plain JSON."""
    typer.echo(json.dumps(data, ensure_ascii=False, indent=1, default=str))


def local(moment: str | None) -> str:
    """Show a recorded moment on the workshop's own clock."""
    from datetime import datetime

    if not moment:
        return "-"
    return datetime.fromisoformat(moment).astimezone().strftime("%Y-%m-%d %H:%M")


def grams(mass: float | None) -> str | None:
    """Show a mass in grams; None when it is not known."""
    from enamelwright.units import show

    return None if mass is None else show(mass, "mass", "g")
