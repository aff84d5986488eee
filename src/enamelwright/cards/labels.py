"""Labels: sheets of small ones for jars and tiles, and one large one for each bath and waste container."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from enamelwright.cards import words
from enamelwright.cards.hazard_signs import sign_svg, sign_words
from enamelwright.cards.press import press
from enamelwright.cards.qr import qr_svg
from enamelwright.craft.verdict import Level

SHEET, LARGE = "label_sheet.typ", "bath_label.typ"
#: Signs the code, the name and each further line of a small label take.
LONGEST_CODE, LONGEST_NAME, LONGEST_LINE = 24, 48, 60
#: Signs the lines of a large label take.
LONGEST_WORDS = 200
#: Blank lines for a pencil on the label of a bath.
BLANKS = ("drawn off or closed on", "into container", "handed in on, to")
#: What stands at the foot of every bath and waste label; it defers to the sheets and to local rules.
ACID = (
    "Goggles and gloves. Acid into water, never water into acid. What may be done with it when it is spent: your local "
    "rules and the safety data sheet say. Not down a drain on the word of this label."
)


@dataclass(frozen=True)
class Grid:
    """How small labels lie on an A4 sheet.

    Attributes
    ----------
    columns, rows : int
        How many.
    width, height : float
        Of one label [mm].
    """

    columns: int
    rows: int
    width: float
    height: float

    @property
    def each(self) -> int:
        """How many one sheet takes."""
        return self.columns * self.rows


#: The whole sheet is labels, so that any printer's margin falls on white: ISO 216 A4 is 210 x 297 mm.
JARS, TILES = Grid(3, 8, 70.0, 37.125), Grid(4, 10, 52.5, 29.7)


@dataclass(frozen=True)
class Label:
    """One small label.

    Attributes
    ----------
    code : str
        In large print, and as a QR code.
    name : str
        Under it.
    lines : tuple of str
        What else is known, one line each.
    mark : str
        Level of the word at the foot; empty for none.
    foot : str
        The one thing that matters most.
    band : str
        SVG of the band of its glass; empty for none.
    """

    code: str
    name: str = ""
    lines: tuple[str, ...] = ()
    mark: Level | str = ""
    foot: str = ""
    band: str = ""


@dataclass(frozen=True)
class LargeLabel:
    """The label of a bath or of a waste container.

    Attributes
    ----------
    name, kind : str
        What it is called, and what it is.
    lines : tuple of (str, str)
        What is known: its noun and its words.
    met : tuple of str
        Metals it has met that somebody has to be told of.
    blanks : tuple of str
        What is written on it by hand later.
    hazards : tuple of (str, str)
        Sign of :mod:`enamelwright.cards.hazard_signs` (empty for none), and what it warns of.
    never : str
        What it may never come together with.
    invented : bool
        Whether it belongs to a demonstration.
    """

    name: str
    kind: str
    lines: tuple[tuple[str, str], ...] = ()
    met: tuple[str, ...] = ()
    blanks: tuple[str, ...] = BLANKS
    hazards: tuple[tuple[str, str], ...] = ()
    never: str = ""
    invented: bool = False


def label_sheet(labels: Sequence[Label], grid: Grid, title: str, used: int = 0, invented: bool = False) -> bytes:
    """Set small labels on A4 sheets.

    Parameters
    ----------
    labels : sequence of Label
        In their order; at least one.
    grid : Grid
        :data:`JARS` or :data:`TILES`.
    title : str
        Of the file.
    used : int
        Labels of the first sheet that are gone already; they stay empty.
    invented : bool
        Whether they belong to a demonstration.

    Returns
    -------
    bytes
        A PDF; byte-identical for identical input.
    """
    return press(SHEET, label_sheet_data(labels, grid, title, used, invented))


def label_sheet_data(
    labels: Sequence[Label], grid: Grid, title: str, used: int = 0, invented: bool = False
) -> dict[str, Any]:
    """Gather what the template prints."""
    places: list[dict[str, Any] | None] = [None] * (used % grid.each)
    places += [_small(label) for label in labels]
    places += [None] * (-len(places) % grid.each)
    sheets = [places[start : start + grid.each] for start in range(0, len(places), grid.each)]
    return {
        "title": words.plain(title), "invented": invented, "columns": grid.columns, "width": grid.width,
        "height": grid.height, "sheets": sheets,
    }  # fmt: skip


def bath_labels(labels: Sequence[LargeLabel], title: str) -> bytes:
    """Set one A6 label for each bath or container.

    Parameters
    ----------
    labels : sequence of LargeLabel
        At least one.
    title : str
        Of the file.
    """
    return press(LARGE, bath_labels_data(labels, title))


def bath_labels_data(labels: Sequence[LargeLabel], title: str) -> dict[str, Any]:
    """Gather what the template prints."""
    return {
        "title": words.plain(title),
        "invented": any(one.invented for one in labels),
        "labels": [
            {
                "name": words.plain(one.name, LONGEST_NAME),
                "kind": words.plain(one.kind),
                "lines": [[words.plain(noun), words.plain(told, LONGEST_WORDS)] for noun, told in one.lines if told],
                "met": [words.plain(metal) for metal in one.met],
                "blanks": list(one.blanks),
                "signs": [[sign_svg(sign), sign_words(sign)] for sign in _signs(one)],
                "warned": [words.plain(told, LONGEST_WORDS) for _, told in one.hazards],
                "never": words.plain(one.never, LONGEST_WORDS),
            }
            for one in labels
        ],
        "caution": ACID,
    }


def _signs(label: LargeLabel) -> list[str]:
    return list(dict.fromkeys(sign for sign, _ in label.hazards if sign))


def _small(label: Label) -> dict[str, Any]:
    return {
        "code": words.plain(label.code, LONGEST_CODE),
        "name": words.plain(label.name, LONGEST_NAME),
        "lines": [words.plain(line, LONGEST_LINE) for line in label.lines if line.strip()],
        "mark": str(label.mark),
        "foot": words.plain(label.foot, LONGEST_LINE),
        "band": label.band or None,
        "qr": qr_svg(label.code),
    }
