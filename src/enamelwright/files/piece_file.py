"""Read a piece file (TOML) with the drawing beside it, and a bench file; distrust both."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

from enamelwright.craft.bench import Bench
from enamelwright.craft.piece import Drawing, Piece
from enamelwright.files.errors import FileError

if TYPE_CHECKING:
    from enamelwright.craft.outline_shape import Shape

#: A piece file is a page or two of text; more than this is something else.
LARGEST_PIECE = 256 * 1024
#: A bench file may hold hundreds of jars.
LARGEST_BENCH = 4 * 1024 * 1024
#: Nesting deeper than this is not a description of a piece.
DEEPEST = 12


@dataclass(frozen=True)
class PieceFile:
    """A piece as read, with its drawing.

    Parameters
    ----------
    piece : Piece
        As described.
    shape : Shape or None
        The drawing, when the outline is one.
    warnings : tuple of str
        What the reader did not understand in the drawing.
    """

    piece: Piece
    shape: Shape | None = None
    warnings: tuple[str, ...] = ()


def read_text(path: Path, largest: int) -> str:
    """Read a small text file.

    Raises
    ------
    FileError
        When it is missing, too large or not text.
    """
    try:
        if not path.is_file():
            raise FileError("there is no such file.", "Check the name.", str(path))
        size = path.stat().st_size
        if size > largest:
            raise FileError(
                f"the file is {size / 1024:.0f} kB; the most that is read is {largest // 1024} kB.",
                "Is it the right file?",
                str(path),
            )
        return path.read_bytes()[: largest + 1].decode("utf-8-sig")
    except UnicodeDecodeError as error:
        raise FileError("this is not a text file in UTF-8.", "Save it as UTF-8.", str(path)) from error
    except (OSError, ValueError) as error:
        raise FileError(
            f"the file cannot be read ({getattr(error, 'strerror', None) or 'its name is not a file name'}).",
            "Check its name and permissions.",
            str(path),
        ) from error


def read_toml(path: Path, largest: int) -> dict[str, Any]:
    """Read a TOML file into plain tables.

    Raises
    ------
    FileError
        Naming the line of a mistake.
    """
    text = read_text(path, largest)
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise FileError(f"not TOML: {error}.", "Words need quotation marks, decimals a point.", str(path)) from error
    except (RecursionError, ValueError) as error:
        raise FileError("this file is nested or numbered beyond reason.", "Simplify it.", str(path)) from error
    if _depth(data) > DEEPEST:
        raise FileError("tables are nested too deeply.", "A piece needs at most a few levels.", str(path))
    return data


def _depth(value: Any) -> int:
    """Return how deeply lists and tables are nested, without recursion."""
    deepest = 0
    left = [(value, 1)]
    while left:
        thing, level = left.pop()
        deepest = max(deepest, level)
        if level > DEEPEST:
            return level
        parts = thing.values() if isinstance(thing, dict) else thing if isinstance(thing, list) else ()
        left.extend((part, level + 1) for part in parts)
    return deepest


def read_piece(path: Path) -> PieceFile:
    """Read a piece file and the drawing it names.

    Parameters
    ----------
    path : Path
        The TOML file. A drawing is looked for beside it and never outside its folder.

    Raises
    ------
    InputError
        One sentence naming file, line or field and the remedy.
    """
    piece = Piece.from_outside(read_toml(path, LARGEST_PIECE), str(path))
    if not isinstance(piece.outline, Drawing):
        return PieceFile(piece)
    from enamelwright.files.drawing import read_drawing

    try:
        folder = path.resolve().parent
        target = (folder / piece.outline.file).resolve()
    except (OSError, RuntimeError, ValueError) as error:  # a link that leads to itself, a name no system takes
        raise FileError("the drawing's name leads nowhere.", "Check the name.", str(path)) from error
    if not target.is_relative_to(folder):
        raise FileError("the drawing lies outside the folder of the piece file.", "Put it beside the file.", str(path))
    try:
        drawing = read_drawing(target, width=piece.outline.width)
    except FileError as error:
        raise error.at(str(path)) from error
    return PieceFile(piece, drawing.shape(), drawing.warnings)


def read_bench(path: Path) -> Bench:
    """Read a bench file; its jars come before the starter jars.

    Raises
    ------
    InputError
        One sentence naming file, line or field and the remedy.
    """
    bench = Bench.from_outside(read_toml(path, LARGEST_BENCH), str(path))
    starter = Bench.starter()
    mine = {jar.id for jar in bench.jars}
    return bench.model_copy(update={"jars": bench.jars + tuple(jar for jar in starter.jars if jar.id not in mine)})
