"""Which coats are the same again, and how far a coat lies from what its jar is told by."""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from functools import lru_cache
from math import hypot, sqrt

from enamelwright.craft.layup import Layer, Layup
from enamelwright.craft.operation import Firing
from enamelwright.craft.window.facts import band_sd
from enamelwright.craft.window.fusing import Melt
from enamelwright.craft.window.loaded import present
from enamelwright.craft.window.thresholds import Powder
from enamelwright.reference.loader import facts_of

#: What makes two coats the same for the fire, apart from their amounts: those are laid anew each time.
ALIKE = frozenset({"face", "jar", "cells", "share", "method", "mesh", "fill", "times"})
#: Bytes of a name; the record tells thousands of coats apart.
BYTES = 6


@dataclass(frozen=True)
class Standing:
    """How one coat in one firing stands against what its jar is told by.

    Attributes
    ----------
    likeness : str
        Coats of one such name are the same again.
    own_sd : float
        What depth and laws may bring to such a coat of their own [decades].
    hotter : float
        How much hotter it is fired than the heat its jar is told by [K].
    law : float
        Decades by which the law of gloss moves it from the ordinary coat.
    learned : float
        Decades of what own firings taught that its clock contains.
    others : int
        Other pieces in the load.
    pace : float
        Logarithm of how many times faster than its heat balance has it the kiln is taken to heat up.
    """

    likeness: str
    own_sd: float
    hotter: float
    law: float
    learned: float = 0.0
    pace: float = 0.0
    others: int = 0


def standing_of(
    layer: Layer, firing: Firing, layup: Layup, powder: Powder, melt: Melt, point: float, pieces: int = 1
) -> Standing:
    """Return how a coat stands in one firing.

    Parameters
    ----------
    layer : Layer
        The coat.
    firing : Firing
        From the sequence.
    layup : Layup
        The piece.
    powder : Powder
        The coat as powder.
    melt : Melt
        Of its jar.
    point : float
        Set point [K].
    pieces : int
        In the load.
    """
    learned = melt.shift - melt.before
    return Standing(
        likeness(layer, firing, layup), own_sd(powder), point - melt.stated, powder.law, learned, others=pieces - 1
    )


def own_sd(powder: Powder) -> float:
    """Return what depth and laws may bring to one coat of its own, that no other coat of its jar shares [decades].

    Parameters
    ----------
    powder : Powder
        The coat.
    """
    return hypot(powder.depth_part, law_own_sd() * abs(powder.law))


def law_own_sd() -> float:
    """Return how far the law of gloss may be off for one coat alone, for each decade it moves the coat."""
    return band_sd("law_share") * sqrt(facts_of("heat/learning")["heat/learn_law_own"].value)


def law_all_sd() -> float:
    """Return how far the law of gloss may be off for all coats alike, for each decade it moves them."""
    return band_sd("law_share") * sqrt(1 - facts_of("heat/learning")["heat/learn_law_own"].value)


def likeness(layer: Layer, firing: Firing, layup: Layup) -> str:
    """Return a name that coats share which are the same again: like piece, like glass beneath, like place in the kiln.

    What each coat weighs is left out: it is laid anew every time, and a piece that was weighed is no other design.

    Parameters
    ----------
    layer : Layer
        The coat.
    firing : Firing
        From the sequence.
    layup : Layup
        The piece.
    """
    piece = layup.piece
    told = {
        "metal": layup.metal.id,
        "thickness": round(layup.thickness, BYTES),
        "outline": piece.outline.model_dump(mode="json"),
        "dome": piece.dome,
        "up": firing.face_up,
        "support": firing.support,
        "coats": [
            (one.number, one.coat.model_dump(mode="json", include=set(ALIKE)))
            for one in present(firing, layup)
            if one.place <= layer.place or one.coat.face != layer.coat.face
        ],
        "coat": layer.number,
    }
    return _name(json.dumps(told, sort_keys=True))


@lru_cache(maxsize=4096)
def _name(text: str) -> str:
    return hashlib.blake2b(text.encode(), digest_size=BYTES).hexdigest()
