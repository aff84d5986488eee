"""Which blank is cut from which sheet: small remnants first, then larger ones, then fresh sheets."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from enamelwright.craft.outline_shape import Shape
from enamelwright.planning.blanks.sheets import Remains, Sheet, remains
from enamelwright.planning.nesting import grid, strip
from enamelwright.planning.nesting.part import Layout, Part, Placed, laid, without
from enamelwright.planning.nesting.room import Room

Progress = Callable[[float, str], bool]

#: How much of a sheet may be filled before a closer search is not worth trying.
TRY_ALL_BELOW = 1.0
#: Degrees looked at when a blank is held against a sheet.
EVERY_WAY = 180


@dataclass(frozen=True)
class Cut:
    """One sheet with its blanks.

    Parameters
    ----------
    sheet : Sheet
        The sheet.
    placed : tuple of Placed
        Where each blank lies, in the sheet's own measures.
    remains : Remains
        What is left.
    """

    sheet: Sheet
    placed: tuple[Placed, ...]
    remains: Remains


@dataclass(frozen=True)
class Cutting:
    """All sheets that are cut.

    Parameters
    ----------
    cuts : tuple of Cut
        In their order.
    left : tuple of (Part, int)
        Blanks for which no place was found, and how many.
    never : tuple of str
        Names of blanks larger than every sheet.
    """

    cuts: tuple[Cut, ...]
    left: tuple[tuple[Part, int], ...]
    never: tuple[str, ...]

    @property
    def used(self) -> float:
        """Metal of the sheets less what is kept of them [m2]."""
        return sum(cut.sheet.area - cut.remains.kept for cut in self.cuts)


def cut(
    parts: Sequence[Part], sheets: Sequence[Sheet], kerf: float, edge: float, least: float, *,
    squares: int = grid.QUICK, seconds: int = 0, progress: Progress | None = None,
) -> Cutting:  # fmt: skip
    """Lay blanks on sheets.

    Parameters
    ----------
    parts : sequence of Part
        The blanks.
    sheets : sequence of Sheet
        Sheets and remnants of the right metal and thickness.
    kerf : float
        Lost between two blanks [m].
    edge : float
        Kept from the edge of a sheet [m].
    least : float
        Least width of a remnant worth keeping [m].
    squares : int
        How fine outlines are searched.
    seconds : int
        How long a closer layout is looked for on each rectangular sheet, 0 for not at all; such a search uses a
        library that must not run in a server.
    progress : callable, optional
        Told how far it is.
    """
    ordered = sorted(sheets, key=lambda sheet: (not sheet.remnant, sheet.area, sheet.label))
    never = tuple(part.name for part in parts if not any(fits(part, sheet.room(kerf, edge)) for sheet in ordered))
    left = [part for part in parts if part.name not in never]
    cuts: list[Cut] = []
    for number, sheet in enumerate(ordered):
        if not left:
            break
        if progress is not None and not progress(number / len(ordered), f"laying out {sheet.label}"):
            break
        room = sheet.room(kerf, edge)
        here = [part for part in left if fits(part, room)]
        if not here:
            continue
        layout = grid.lay(here, room, squares=squares)
        if seconds > 0 and room.is_rectangle:
            layout = _closer(here, room, layout, seconds, progress)
        if not layout.placed:
            continue
        cuts.append(Cut(sheet, layout.placed, remains(sheet, layout.placed, kerf, least)))
        there = layout.counts()
        left = [
            replace(part, count=part.count - there.get(part.name, 0))
            for part in left if part.count > there.get(part.name, 0)
        ]  # fmt: skip
    return Cutting(tuple(cuts), tuple((part, part.count) for part in left), never)


def _closer(parts: Sequence[Part], room: Room, found: Layout, seconds: int, progress: Progress | None) -> Layout:
    """Look for a layout of everything; failing that, for a shorter one of what was laid already."""
    left = without(parts, found)
    wanted = sum(part.count * part.outline.area for part in parts)
    if left and wanted < room.free.area * TRY_ALL_BELOW:
        whole, _ = strip.strip_fits(parts, room, seconds, progress)
        if whole is not None:
            return whole
    there = found.counts()
    laid_ones = [replace(part, count=there[part.name]) for part in parts if there.get(part.name)]
    if not laid_ones:
        return found
    shorter, used = strip.strip_fits(laid_ones, room, seconds, progress)
    reach = found.reach[0] - room.whole.bounds[0] + room.edge
    return Layout(shorter.placed, left) if shorter is not None and used < reach else found


def fits(part: Part, room: Room) -> bool:
    """Tell whether the extent of a blank, turned as it may be, is no larger than that of a region."""
    if room.free.is_empty:
        return False
    left, low, right, top = room.free.bounds
    turns = range(EVERY_WAY) if part.turning == "free" and len(part.turns) > 1 else part.turns
    for turn in turns:
        a, b, c, d = laid(part.outline, 0.0, 0.0, float(turn)).bounds
        if c - a <= right - left + ROUGH and d - b <= top - low + ROUGH:
            return True
    return False


#: An outline is laid out a hair outside its true one; that much is forgiven before a search is made [m].
ROUGH = 1e-6


def scrap(cutting: Cutting, thickness: float, density: float) -> float:
    """Return the scrap of all sheets, kerf included [kg].

    Parameters
    ----------
    cutting : Cutting
        What is cut.
    thickness : float
        Of the sheet [m].
    density : float
        Of the metal [kg/m3].
    """
    return sum(one.remains.lost for one in cutting.cuts) * thickness * density


def weight(shape: Shape, thickness: float, density: float) -> float:
    """Return the weight of one blank, holes taken off [kg]."""
    return shape.area * thickness * density
