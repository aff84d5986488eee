"""One line of a drawing, whatever the file it came from, and what its names say it is for."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass

from enamelwright.craft.outline_ring import Ring, length

#: Ends nearer than this meet [m]; a tenth of the thinnest wire.
JOIN = 1e-5
#: A file of more points than this, all lines together, is no drawing of a piece.
MOST_POINTS = 200_000
#: Most straight pieces that one curve may become.
MOST_PIECES = 2_000
#: Names that only say what a line is for, or that a program gave by itself, do not name a cell.
_GENERIC = re.compile(
    r"(?i)^(cells?|holes?|0|defpoints|(path|rect|circle|ellipse|polygon|polyline|use|g|svg|layer|line)[-_ ]?\d*)$"
)


@dataclass(frozen=True)
class Line:
    """One connected line, flattened.

    Parameters
    ----------
    points : Ring
        Its points in the units of the file, y upwards.
    closed : bool
        Whether it was drawn closed.
    element : int
        Lines of one element (a path of several loops) share a number.
    own : tuple of str
        Names of the element itself, best first.
    around : tuple of str
        Names of the groups or layers it lies in, nearest first.
    """

    points: Ring
    closed: bool
    element: int
    own: tuple[str, ...] = ()
    around: tuple[str, ...] = ()

    def marked(self, word: str) -> bool:
        """Tell whether a name of the line, or of a group or layer around it, begins with `word`."""
        return any(name.lower().startswith(word) for name in (*self.own, *self.around))

    @property
    def name(self) -> str:
        """The name a person gave it, or nothing."""
        return next((name for name in self.own if not _GENERIC.match(name)), "")

    @property
    def length(self) -> float:
        """Length in the units of the file."""
        return length(self.points, self.closed) if len(self.points) > 1 else 0.0


@dataclass(frozen=True)
class Lines:
    """What a reader of one file format hands over.

    Parameters
    ----------
    unit : float or None
        Metres per unit of the file; None when the file does not say.
    trace : callable
        Called with a tolerance in units of the file, gives all lines flattened to it.
    rough : float
        A tolerance good enough to measure the size of the drawing, in units of the file.
    words : str
        How the unit was found.
    warnings : tuple of str
        What was left out.
    """

    unit: float | None
    trace: Callable[[float], list[Line]]
    rough: float
    words: str
    warnings: tuple[str, ...] = ()
