"""Jars for someone who has told the product nothing: one per generic class of the reference tables."""

from __future__ import annotations

from functools import lru_cache

from enamelwright.craft.jar import Family, HazardFacet, Jar, Kind, OpticsFacet
from enamelwright.reference.loader import rows

#: class word -> kind of jar; first hit wins.
_KINDS: tuple[tuple[str, Kind], ...] = (
    ("counter", "counter"),
    ("flux_clear", "flux"),
    ("flux", "flux"),
    ("opalescent", "opal"),
    ("opaque", "opaque"),
    ("transparent", "transparent"),
)


@lru_cache(maxsize=1)
def starter_jars() -> tuple[Jar, ...]:
    """Return one jar per generic class; every number in them is a class default, marked as assumption."""
    classes = list(dict.fromkeys(row["class"] for row in rows("glass/starter_jars")))
    return tuple(_jar(name) for name in classes)


def _jar(name: str) -> Jar:
    kind: Kind = next((kind for word, kind in _KINDS if word in name), "opaque")
    family: Family | None = "clear" if kind == "flux" else None
    lead_free = name.startswith("lead_free")
    return Jar(
        id=name,
        name=name.replace("_", " ").replace("lead free", "lead-free"),
        kind=kind,
        starter=name,
        optics=OpticsFacet(family=family),
        hazards=HazardFacet(lead="no" if lead_free else "yes" if name.startswith("leaded") else "unknown"),
        note="generic class, not a product: ranges by judgement until your own data replaces them",
    )
