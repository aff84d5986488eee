"""`enamelwright snapshot`, `restore`, `archive`, `outside-copy`: copies of the record, and how to get them back."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from enamelwright.records.archive import Progress
    from enamelwright.records.restore import Restored
    from enamelwright.records.store import Store

HomeOption = Annotated[Path | None, typer.Option("--home", help="Data folder of the studio.")]

archive = typer.Typer(
    help="The whole record as plain files: out of the studio, or into an empty one.", no_args_is_help=True
)


def snapshot(
    listed: Annotated[bool, typer.Option("--list", help="List the snapshots instead.")] = False,
    home: HomeOption = None,
) -> None:
    """Copy the record as it is now, read the copy back, and thin out old ones."""
    from enamelwright.records.snapshots import prune, take, taken

    with _store(home) as store:
        folder = store.home.snapshots
        if listed:
            for one in taken(folder):
                typer.echo(f"{one.at.astimezone():%Y-%m-%d %H:%M}  {one.reason:<16}  {one.path.name}")
            if not taken(folder):
                typer.echo("No snapshots yet.")
            return
        path = take(store, "asked for")
        gone = prune(folder)
    typer.echo(f"The record is copied and read back: {path}")
    if gone:
        typer.echo(f"{_count(len(gone), 'old snapshot')} removed; see what stays with 'enamelwright snapshot --list'.")


def restore(
    source: Annotated[Path, typer.Argument(help="A snapshot, by name or by file, or an archive.")],
    home: HomeOption = None,
) -> None:
    """Put the whole record back as a snapshot or an archive has it; what is there now is kept first."""
    from enamelwright.records.restore import restore as put_back

    place = _home(home)
    inside = place.snapshots / source
    found = inside if not source.exists() and source.name == str(source) and inside.exists() else source
    with _told() as progress:
        done = put_back(place, found, progress)
    _say(done)
    if done.before is not None:
        typer.echo(f"To undo this: enamelwright restore {done.before.name}")
    if done.aside is not None:
        typer.echo(f"The damaged file was moved aside, not deleted: {done.aside}")


@archive.command("out")
def archive_out(
    target: Annotated[Path, typer.Argument(help="A new folder, or a file ending in .zip.")],
    home: HomeOption = None,
) -> None:
    """Write everything as plain files: a table each, the photos, and a list with hashes."""
    from enamelwright.records.archive import write_archive

    with _store(home) as store, _told() as progress:
        done = write_archive(store, target, progress=progress)
    typer.echo(f"{_count(sum(done.rows.values()), 'row')} and {_count(done.photos, 'photo')} written: {done.path}")
    if done.missing:
        typer.echo(f"{_count(len(done.missing), 'photo')} missing or damaged in the studio's folder; listed in it.")


@archive.command("in")
def archive_in(
    source: Annotated[Path, typer.Argument(help="An archive: its folder or .zip file.")],
    home: HomeOption = None,
) -> None:
    """Read an archive into a studio that holds no record yet."""
    from enamelwright.records.restore import read_archive

    with _told() as progress:
        done = read_archive(_home(home), source, progress)
    _say(done)


def outside_copy(
    folder: Annotated[
        Path | None, typer.Argument(help="A stick or a shared folder; if left out, the last one used.")
    ] = None,
    ask: Annotated[bool, typer.Option("--when", help="Only say when the last one was made.")] = False,
    home: HomeOption = None,
) -> None:
    """Copy the record and its photos to a second place, and read the copy back."""
    from enamelwright.records.outside import copy_outside, outside_state

    with _store(home) as store:
        if not ask:
            done = copy_outside(store, folder)
            typer.echo(f"The record is copied and read back: {done.path}")
            typer.echo(f"{_count(done.photos, 'photo')} that were not there yet.")
            if done.missing:
                typer.echo(f"{_count(len(done.missing), 'photo')} missing or damaged in the studio's folder.")
            if done.same_disk:
                typer.echo("This place is on the same disk as the record: if the disk breaks, both are lost.")
        typer.echo(outside_state(store).words)


def _say(done: Restored) -> None:
    typer.echo(f"{_count(done.rows, 'row')} and {_count(done.photos, 'photo')} put in place.")
    if done.upgraded:
        typer.echo("It was of an earlier version and has been brought up to date.")


def _count(number: int, noun: str) -> str:
    return f"{number:,} {noun}" + ("" if number == 1 else "s")


def _home(folder: Path | None):  # type: ignore[no-untyped-def]
    from enamelwright.records.home import Home

    return Home.usual() if folder is None else Home(folder)


@contextmanager
def _store(folder: Path | None) -> Iterator[Store]:
    from enamelwright.records.opening import open_store

    store = open_store(_home(folder))
    try:
        yield store
    finally:
        store.close()


@contextmanager
def _told() -> Iterator[Progress]:
    """Show how far it is on a terminal; a pipe gets only the result."""
    from rich.console import Console
    from rich.progress import Progress as Bar

    console = Console(stderr=True)
    with Bar(console=console, transient=True, disable=not console.is_terminal) as bar:
        task = bar.add_task("", total=1.0)

        def tell(fraction: float, words: str) -> bool:
            bar.update(task, completed=fraction, description=words)
            return True

        yield tell
