"""A fibre lining of a kiln: what it is, what not to do to it, and which limits speak of it."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from enamelwright import units
from enamelwright.craft.cautions import DEFER
from enamelwright.craft.health.limits import Limit, limit
from enamelwright.craft.health.ventilation import told

Kind = Literal["refractory ceramic fibre", "alkaline-earth wool", "brick", "unknown"]


@dataclass(frozen=True)
class Lining:
    """What is said of a lining.

    Attributes
    ----------
    words : str
        What it is.
    do : tuple of str
        What to do and to leave.
    limits : tuple of Limit
        That speak of its fibres.
    """

    words: str
    do: tuple[str, ...]
    limits: tuple[Limit, ...]


def lining(kind: Kind, hottest: float | None = None, second_hand: bool = False) -> Lining:
    """Say what is known of a lining; one that nobody knows is taken for refractory ceramic fibre.

    Parameters
    ----------
    kind : str
        As the maker of the kiln or its data sheet names it.
    hottest : float, optional
        Hottest it ever was [K].
    second_hand : bool
        Whether its earlier life is not known.
    """
    if kind == "brick":
        return Lining(
            "Insulating brick: its dust is a dust like others, and may hold quartz.",
            ("Brush nothing dry; vacuum with a HEPA filter or wipe wet.", DEFER),
            (limit("silica_resp_osha_pel"),),
        )
    do = [
        "Leave it alone: do not touch, scrape, brush or blow it; no compressed air.",
        "Loose bits: wipe wet or use a vacuum with a HEPA filter, bag it, wash hands.",
        "Cutting or fitting it: a fitted mask with a P3 or P100 filter, sleeves, and nobody else in the room.",
        "Tearing out a used lining is work for a firm that does it.",
        "White specks in enamel may be its lint: vacuum where trivets stand, with the kiln cold.",
        DEFER,
    ]
    hot = hottest is not None and hottest > told("fibre_hot").value
    if hot or second_hand:
        shown = units.show(told("fibre_hot").value, "temperature", "°C")
        do.insert(0, f"Long above {shown} its face may have turned into crystalline silica: a mask for that, too.")
    if kind == "alkaline-earth wool":
        words = "Alkaline-earth wool: most data sheets class it lower than ceramic fibre; its dust itches all the same."
        return Lining(words, tuple(do), ())
    words = "Refractory ceramic fibre: in the EU classed as a carcinogen by breathing (category 1B)."
    if kind == "unknown":
        words = f"Not known: taken for the worse kind until the data sheet says otherwise. {words}"
    return Lining(words, tuple(do), (limit("rcf_air_eu"), limit("rcf_air_niosh_rel")))
