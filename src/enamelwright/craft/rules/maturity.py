"""How hot a jar wants to be fired, and how far two jars' numbers can be told apart."""

from __future__ import annotations

from enamelwright import units
from enamelwright.craft.jar import Jar
from enamelwright.craft.layup import Layer
from enamelwright.figure import Figure, Origin
from enamelwright.reference import loader


def maturity_of(jar: Jar) -> Figure | None:
    """Return the firing temperature at which a jar glosses, best knowledge first.

    Parameters
    ----------
    jar : Jar
        Its own maturity, printed range, hardness class or starter class, in this order.

    Returns
    -------
    Figure or None
        [K]; None when nothing is known.
    """
    fusing = jar.fusing
    if fusing.maturity is not None:
        return Figure.exact(fusing.maturity, "temperature", Origin(kind="data sheet", source=jar.name))
    if fusing.low is not None and fusing.high is not None:
        low, high = sorted((fusing.low, fusing.high))
        return Figure(
            value=(low + high) / 2, low=low, high=high, dimension="temperature",
            origin=Origin(kind="data sheet", source=f"{jar.name}, printed range"),
        )  # fmt: skip
    if fusing.hardness is not None:
        return _hardness(fusing.hardness)
    return _class(jar.starter or jar.id)


def _hardness(name: str) -> Figure:
    row = next(row for row in loader.rows("heat/hardness_classes") if row["hardness"] == name)
    low, high = (units.to_si(float(row[key]), row["unit"], "temperature") for key in ("fire_low", "fire_high"))
    origin = Origin(kind="class default", source=f"{name} fusing", status=row["status"])
    return Figure(value=(low + high) / 2, low=low, high=high, dimension="temperature", origin=origin)


def _class(name: str) -> Figure | None:
    for row in loader.rows("glass/starter_jars"):
        if row["class"] == name and row["quantity"] == "gloss_firing":
            numbers = (float(row[key]) for key in ("value", "low", "high"))
            value, low, high = (units.to_si(number, row["unit"], "temperature") for number in numbers)
            origin = Origin(kind="class default", source=name, status=row["status"])
            return Figure(value=value, low=low, high=high, dimension="temperature", origin=origin)
    return None


def by_class_only(figure: Figure) -> bool:
    """Whether nothing is known of the jar itself."""
    return figure.origin.kind in {"class default", "reference", "assumption"}


def not_known(lower: Figure, upper: Figure) -> float:
    """Return how large a difference upper - lower may be by ignorance alone.

    Classes are wide and two jars of neighbouring classes may stand in either order, so their half bands
    add up; numbers of the jars themselves err on their own, so theirs add as squares.

    Parameters
    ----------
    lower, upper : Figure
        The two numbers compared, in the same dimension.
    """
    up, down = upper.value - upper.low, lower.high - lower.value
    if by_class_only(lower) or by_class_only(upper):
        return up + down
    return float((up**2 + down**2) ** 0.5)


def same_basis(lower: Layer, upper: Layer) -> bool:
    """Whether two printed expansions were come by in the same way, so that common errors cancel."""
    one, other = lower.jar.glass.expansion, upper.jar.glass.expansion
    if one is None or other is None or "unknown" in (one.kind, other.kind):
        return False
    return one.basis == other.basis and one.basis != "unknown"
