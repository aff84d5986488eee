"""What is said to lie under the coat of a spot, read into jars and foil: ``flux J01``, ``silver foil, flux J02``."""

from __future__ import annotations

import re
from dataclasses import dataclass

from enamelwright.craft.bench import Bench
from enamelwright.craft.colour.fired_tile import TileCoat
from enamelwright.craft.colour.photo_colours import number
from enamelwright.errors import InputError

#: Words of an undercoat that is none.
BARE = frozenset({"", "bare", "bare metal", "none"})
#: Metals of foils, by the word before "foil" or "leaf".
_FOILS = {"silver": "fine silver", "gold": "fine gold"}


@dataclass(frozen=True)
class Undercoat:
    """What lies between the metal and the coat that is looked at.

    Attributes
    ----------
    coats : tuple of TileCoat
        Of usual thickness, from the metal outward.
    foil : str or None
        Metal of a foil below them.
    """

    coats: tuple[TileCoat, ...] = ()
    foil: str | None = None


def undercoat(words: str, shelf: Bench) -> Undercoat:
    """Read what lies under a coat.

    Parameters
    ----------
    words : str
        Parts parted by commas, from the metal outward; each names a foil, or a jar by its code or its name.
    shelf : Bench
        Jars by name.

    Raises
    ------
    InputError
        When a part names neither.
    """
    coats: list[TileCoat] = []
    foil = None
    for part in re.split(r"[,;]", " ".join(words.split()).casefold()):
        plain = part.strip()
        if plain in BARE:
            continue
        told = next((metal for word, metal in _FOILS.items() if re.search(rf"\b{word} (foil|leaf)\b", plain)), None)
        if told is not None:
            foil, coats = told, []  # what lies below a foil is not seen
            continue
        jars = [jar for jar in shelf.jars if jar.id.casefold() in plain.split() or jar.name.casefold() == plain]
        if not jars:
            raise InputError(f"its undercoat '{words}' is no jar on the shelf")
        coats += [TileCoat(jar=jar.id, thickness=number("tile_middle"), weighed=False) for jar in jars]
    return Undercoat(tuple(coats), foil)
