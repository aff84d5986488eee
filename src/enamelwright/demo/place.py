"""Where the demonstration lives: a database of its own, beside the studio's, built and deleted in one step."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from enamelwright.errors import InputError
from enamelwright.records.errors import NoRoom
from enamelwright.records.home import Home
from enamelwright.workshop.settings import INVENTED, setting
from enamelwright.workshop.studio import Studio

#: Folder of the demonstration inside the usual data folder.
FOLDER = "demo"
#: Ending of the folder while it is being built, so that a demonstration is there whole or not at all.
MAKING = ".making"


@dataclass(frozen=True)
class Built:
    """A demonstration that was written.

    Parameters
    ----------
    home : Home
        Where it lives.
    pieces, loads : int
        How many it holds.
    """

    home: Home
    pieces: int
    loads: int


def demo_home(folder: Path | None = None) -> Home:
    """Return the home of the demonstration, always a file of its own and never the studio's database.

    Parameters
    ----------
    folder : Path, optional
        Another folder; ``demo`` inside the usual data folder when left out.
    """
    return Home(folder if folder is not None else Home.usual().folder / FOLDER)


def build_demo(home: Home, seed: int | None = None, progress: Callable[[float], None] | None = None) -> Built:
    """Build the invented workshop into an empty home.

    Parameters
    ----------
    home : Home
        Where it is to live.
    seed : int, optional
        Of everything that is drawn; the usual one when left out.
    progress : callable, optional
        Told the share that is done, 0 to 1.

    Raises
    ------
    InputError
        When there is a record already, or anything else.
    RecordError
        When there is no room for it.
    """
    from enamelwright.demo.generator import USUAL_SEED, build

    if home.database.exists():
        known = is_demo(home)
        raise InputError(
            "the demonstration is there already." if known else "a studio's record is kept here.",
            "Delete it first with --delete." if known else "Name another folder with --home.",
            str(home.folder),
        )
    if home.folder.exists() and (not home.folder.is_dir() or any(home.folder.iterdir())):
        raise InputError("this folder holds other things.", "Name a new one with --home.", str(home.folder))
    making = Home(home.folder.with_name(home.folder.name + MAKING))
    _remove(making)  # of a build that was cut short
    try:
        studio = Studio.open(making)
        try:
            world = build(studio, USUAL_SEED if seed is None else seed, progress)
        finally:
            studio.close()
        try:
            making.folder.replace(home.folder)
        except OSError as error:
            raise NoRoom(
                f"this folder cannot be used ({error.strerror}).", "Choose another.", str(home.folder)
            ) from error
    finally:
        _remove(making)
    return Built(home, len(world.pieces), len(world.loads))


def is_demo(home: Home) -> bool:
    """Return whether the record of a home is a demonstration.

    Parameters
    ----------
    home : Home
        With a database.
    """
    studio = Studio.open(home)
    try:
        return bool(setting(studio, INVENTED))
    finally:
        studio.close()


def delete_demo(home: Home) -> None:
    """Delete a demonstration, and nothing else.

    Parameters
    ----------
    home : Home
        Where it lives.

    Raises
    ------
    InputError
        When there is none, or when the record is a studio's own.
    """
    if not home.database.exists():
        raise InputError("there is no demonstration here.", "", str(home.folder))
    if not is_demo(home):
        raise InputError(
            "this is a studio's own record; it is not deleted.", "Name the demonstration's folder.", str(home.folder)
        )
    _remove(home)


def _remove(home: Home) -> None:
    """Take out what a home holds by name; a folder that holds anything else stays."""
    for ending in ("", "-wal", "-shm"):
        home.database.with_name(home.database.name + ending).unlink(missing_ok=True)
    for folder in (home.photos, home.snapshots):
        shutil.rmtree(folder, ignore_errors=True)
    if home.folder.is_dir() and not any(home.folder.iterdir()):
        home.folder.rmdir()
