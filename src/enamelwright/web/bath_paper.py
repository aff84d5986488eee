"""What the label of a bath or a waste container says: contents, what it met, hazards, and what never meets it."""

from __future__ import annotations

from dataclasses import dataclass

from enamelwright.craft.baths.bath_hazards import hazards
from enamelwright.craft.baths.bath_made import chemistry
from enamelwright.craft.baths.bath_words import acidity_words, between
from enamelwright.errors import EnamelwrightError
from enamelwright.figure import Figure
from enamelwright.workshop import baths as kept
from enamelwright.workshop.bath_ledger import BathBook, book_of, met_of
from enamelwright.workshop.studio import Studio

#: Lines for a pencil on the label of a waste container.
WASTE_BLANKS = ("full on", "handed in on, to", "ask, by telephone", "in a second language")
_NEVER = {
    "pickle": "Never with chlorine bleach, peroxide, cyanide, zinc, aluminium, steel. Never down a drain.",
    "etch": "Never with pickle, bleach, anything that burns, zinc or aluminium. Never down a drain.",
    "water": "Never down a drain: let it settle, keep the solids.",
}


@dataclass(frozen=True)
class OnLabel:
    """What a label says beyond the record.

    Attributes
    ----------
    kind, contents, acidity : str
        What it is, what is in it, its pH; empty when not known.
    met : tuple of str
        What it has met that somebody has to be told of.
    hazards : tuple of (str, str)
        Sign and words.
    never : str
        What it may never come together with.
    """

    kind: str
    contents: str
    acidity: str
    met: tuple[str, ...]
    hazards: tuple[tuple[str, str], ...]
    never: str


def of_bath(studio: Studio, which: int) -> OnLabel:
    """Gather the label of a bath.

    Parameters
    ----------
    studio : Studio
        The studio.
    which : int
        Row of the bath.
    """
    row = kept.bath_row(studio, which)
    book, copper, acidity = _counted(studio, which)
    told = (row.made_of or {}).get("kind")
    spent = "spent " if row.closed_on else ""
    made = f"{spent}{told or row.kind}"
    contents = f"{made}, copper {between(copper, 'g/L')}" if copper is not None and copper.high else made
    met = met_of(row)
    use = "etch" if row.kind == "etching liquor" else chemistry(told).use if told else "pickle"
    lines = _hazards(copper, acidity, met, use == "etch" or (book is not None and book.book.mixed))
    said = ("enamel nobody has named",) if met is None else tuple(met)
    return OnLabel(
        f"{'spent bath, waste' if row.closed_on else row.kind}", contents,
        acidity_words(acidity) if acidity is not None else "", said, lines, _NEVER[use],
    )  # fmt: skip


def of_container(studio: Studio, which: int) -> OnLabel:
    """Gather the label of a waste container from the baths that went into it; the worst of each.

    Parameters
    ----------
    studio : Studio
        The studio.
    which : int
        Row of the container.
    """
    rows = [kept.bath_row(studio, one) for one in kept.baths_in(studio, which)]
    counted = [_counted(studio, int(row.id)) for row in rows]
    known = [one for _, one, _ in counted if one is not None]
    copper = max(known, key=lambda one: one.high) if known and len(known) == len(counted) else None
    ends: list[Figure | None] = [one for _, _, one in counted if one is not None]
    each = [met_of(row) for row in rows]
    met = None if not each or None in each else tuple(dict.fromkeys(one for told in each for one in told or ()))
    etch = any(row.kind == "etching liquor" for row in rows)
    mixed = any(book is not None and book.book.mixed for book, _, _ in counted)
    found = dict.fromkeys(line for end in ends or [None] for line in _hazards(copper, end, met, etch or mixed))
    said = ("enamel nobody has named",) if met is None and rows else tuple(met or ())
    return OnLabel(
        "waste, until it is handed in", ", ".join(row.name for row in rows), "", said, tuple(found),
        _NEVER["etch" if etch else "pickle"],
    )  # fmt: skip


def _counted(studio: Studio, which: int) -> tuple[BathBook | None, Figure | None, Figure | None]:
    """Return a bath, its copper and its pH, as far as they can be told."""
    try:
        book = book_of(studio, which)
    except EnamelwrightError:
        return None, None, None
    # What an etching liquor has dissolved is not counted, nor what a bath took up in dips nobody measured.
    known = book.book.chemistry.use != "etch" and not book.uncounted
    return book, book.state.copper if known else None, book.state.ph


def _hazards(
    copper: Figure | None, acidity: Figure | None, met: tuple[str, ...] | None, strong: bool
) -> tuple[tuple[str, str], ...]:
    ends = (acidity.low, acidity.high) if acidity is not None else ()
    found = hazards(copper.high if copper is not None else None, ends, met, strong)
    return tuple((one.sign, f"{one.code} {one.words}".strip()) for one in found)
