"""Jars for someone who has told the product nothing: one per generic class of the reference tables."""

from __future__ import annotations

from functools import lru_cache

from enamelwright.craft.jar import Jar
from enamelwright.reference.loader import rows


@lru_cache(maxsize=1)
def starter_jars() -> tuple[Jar, ...]:
    """Return one jar per generic class; every number behind it is a class default, marked as assumption."""
    return tuple(
        Jar.from_outside(
            {
                "id": row["id"],
                "name": row["name"],
                "kind": row["kind"],
                "starter": row["id"],
                "optics": {"family": "clear"} if row["kind"] == "flux" else {},
                "fusing": {"hardness": row["hardness"]},
                "hazards": {"lead": row["lead"]},
                "note": "generic class, not a product: ranges by judgement until your own data replaces them",
            }
        )
        for row in rows("glass/classes")
    )
