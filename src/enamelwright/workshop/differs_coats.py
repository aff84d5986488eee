"""The coats of two firings side by side, each beside the one it stands for, and what differs of them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row

from enamelwright.workshop.differs_matter import Effect, Models
from enamelwright.workshop.new_lots import lot_key
from enamelwright.workshop.typed import as_typed

#: Amounts that agree within this share are told as the same; the hand scatters about as much (judgement).
SAME_AMOUNT = 0.1

#: A coat beside the one it stands for; None where the other firing has none.
Pair = tuple[Row[Any] | None, Row[Any] | None]


@dataclass(frozen=True)
class Line:
    """One thing of two firings.

    Attributes
    ----------
    what : str
        What it is.
    then, now : str
        How it was and is; empty where it is not known.
    equal : bool or None
        Whether it is the same; None where the words decide.
    effect : Effect or None
        What the models say of it; None where none tells.
    """

    what: str
    then: str
    now: str
    equal: bool | None = None
    effect: Effect | None = None


def pairs(then: Sequence[Row[Any]], now: Sequence[Row[Any]]) -> list[Pair]:
    """Put each coat beside the one it stands for: the same in all, else of like face and jar, number or face.

    Parameters
    ----------
    then, now : sequence of Row
        Coats laid for two firings, in the order in which they were laid.
    """
    keys: tuple[Callable[[Row[Any]], tuple[Any, ...] | None], ...] = (
        lambda one: None if one.coat is None else (one.coat, one.cell, one.face, one.jar),
        lambda one: (one.face, one.jar, one.cell),
        lambda one: (one.face, one.jar),
        lambda one: None if one.coat is None else (one.coat, one.cell),
        lambda one: None if one.face is None else (one.face,),
    )
    left, found = list(now), dict[int, Row[Any]]()
    for key in keys:
        for old in then:
            told = None if old.id in found else key(old)
            new = None if told is None else next((one for one in left if key(one) == told), None)
            if new is not None:
                found[old.id] = new
                left.remove(new)
    return [*((old, found.get(old.id)) for old in then), *((None, new) for new in left)]


def coat_lines(
    then: Sequence[Row[Any]], now: Sequence[Row[Any]], models: Models, point: float | None
) -> Iterator[Line]:
    """Yield what there is to say of the coats of two firings.

    Parameters
    ----------
    then, now : sequence of Row
        Coats laid for two firings, with `code`, `lot_label` and `laid_by`.
    models : Models
        What tells how much it matters.
    point : float or None
        Set point [K], as far as it is known.
    """
    seen: dict[str, int] = {}
    for old, new in pairs(then, now):
        name = _name(old if old is not None else new)
        seen[name] = seen.get(name, 0) + 1
        if seen[name] > 1:
            name += f", coat {seen[name]}"
        if old is None or new is None:
            words = ("not written down", "laid") if old is None else ("laid", "not written down")
            yield Line(f"coat of {name}", *words)
        else:
            yield from _of_pair(name, old, new, models, point)


def _name(coat: Any) -> str:
    code = coat.code or "powder"
    return f"{code} on the {coat.face}" if coat.face else str(code)


def _of_pair(name: str, old: Row[Any], new: Row[Any], models: Models, point: float | None) -> Iterator[Line]:
    other = old.code and new.code and old.jar != new.jar
    jars = models.jars(old.code, new.code, point) if other else None
    yield Line(f"jar of {name}", old.code or "", new.code or "", _same(old.jar, new.jar), jars)
    if not other:  # lots of two jars are two lots in any case
        lots = models.lots(str(new.code or old.code or ""), lot_key(old.lot), lot_key(new.lot))
        yield Line(f"lot of {name}", old.lot_label or "", new.lot_label or "", _same(old.lot, new.lot), lots)
    for column, what, unit in (
        ("on_piece", "weight", "g"), ("weighed_out", "weighed out", "g"), ("powder_depth", "depth", "mm"),
        ("dried", "drying", "min"),
    ):  # fmt: skip
        a, b = old._mapping[column], new._mapping[column]
        if a is not None or b is not None:
            known = a is not None and b is not None and column != "dried"
            effect = models.amounts(a, b) if known else None
            yield Line(f"{what} of {name}", shown(old, column, unit), shown(new, column, unit), _same(a, b), effect)
    for column, what in (
        ("mesh", "sieve"),
        ("holding_agent", "holding agent"),
        ("gum_ratio", "gum"),
        ("method", "way"),
    ):
        a, b = old._mapping[column], new._mapping[column]
        if a is not None or b is not None:
            effect = models.sieves(a, b) if column == "mesh" and a and b else None
            yield Line(f"{what} of {name}", _plain(a), _plain(b), _same(a, b), effect)
    weighed = old.on_piece is not None and new.on_piece is not None
    hands = models.hands(weighed)
    yield Line(f"hand that laid {name}", old.laid_by or "", new.laid_by or "", _same(old.who, new.who), hands)


def _same(a: Any, b: Any) -> bool | None:
    if a is None or b is None:
        return None
    if isinstance(a, float) and isinstance(b, float):
        return abs(a - b) <= SAME_AMOUNT * max(abs(a), abs(b))
    return bool(a == b)


def shown(row: Row[Any], column: str, unit: str | None = None) -> str:
    """Return a quantity as it was typed; empty where it is not known.

    Parameters
    ----------
    row : Row
        Of the record.
    column : str
        Which.
    unit : str, optional
        To tell it in when it was not typed.
    """
    told = as_typed(row, column, unit)
    return "" if told == "-" else told


def _plain(value: Any) -> str:
    return "" if value is None else f"{value:g}" if isinstance(value, float) else str(value)
