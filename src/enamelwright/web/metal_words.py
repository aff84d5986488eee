"""A metal as a maker names it, whatever the record calls it."""

from __future__ import annotations

from functools import lru_cache

from enamelwright.craft.metal import metal
from enamelwright.errors import UnknownName


@lru_cache(maxsize=256)
def metal_words(kind: str | None) -> str:
    """Return the name of a metal; one the tables do not know stays as it was written.

    Parameters
    ----------
    kind : str or None
        As the record has it, like ``fine_silver``; nothing for no metal.
    """
    if not kind:
        return ""
    try:
        return metal(kind).name
    except UnknownName:
        return kind.replace("_", " ")
