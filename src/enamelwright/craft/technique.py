"""The techniques of the trade as the table records them: what is customary, to compare a plan against."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

from enamelwright import units
from enamelwright.errors import UnknownName
from enamelwright.reference import loader


@dataclass(frozen=True)
class Custom:
    """What is customary for one technique.

    Attributes
    ----------
    id, name : str
        Key of the table; words for people.
    metals : tuple of str
        Metals it is usually done on.
    stack, order : str
        Layers bottom to top and the usual order, in the shorthand of the table.
    must_hold : str
        What has to be right for it to work.
    firings : tuple of int
        Fewest and most firings reported.
    low, high : float or None
        Range of set points [K]; None where no thermometer rules.
    counter, first_side : str
        Customary counter-enamel and first side.
    sources : tuple of str
        Cited on one line each.
    status : str
        How far the row can be trusted.
    """

    id: str
    name: str
    metals: tuple[str, ...]
    stack: str
    order: str
    must_hold: str
    firings: tuple[int, int]
    low: float | None
    high: float | None
    counter: str
    first_side: str
    sources: tuple[str, ...]
    status: str


@lru_cache(maxsize=1)
def customs() -> dict[str, Custom]:
    """Return every technique of the table by its id."""
    known = loader.sources()
    table = {}
    for row in loader.rows("trade/techniques"):
        low, high = (
            units.to_si(float(row[end]), "°C", "temperature") if row[end] else None for end in ("t_low_c", "t_high_c")
        )
        table[row["technique_id"]] = Custom(
            id=row["technique_id"],
            name=row["technique"],
            metals=tuple(metal.strip() for metal in row["base_metals"].split(";")),
            stack=row["layer_stack"],
            order=row["order"],
            must_hold=row["constraints"],
            firings=(int(row["firings_min"]), int(row["firings_max"])),
            low=low,
            high=high,
            counter=row["counter"],
            first_side=row["first_side"],
            sources=tuple(known[key].words() for key in loader.source_keys(row["source"]) if key in known),
            status=row["status"],
        )
    return table


def custom(technique: str) -> Custom:
    """Return what is customary for one technique.

    Parameters
    ----------
    technique : str
        Its id, e.g. ``"champleve"``.

    Raises
    ------
    UnknownName
        When the table has no such technique.
    """
    table = customs()
    if technique not in table:
        raise UnknownName.among("technique", technique, table)
    return table[technique]
