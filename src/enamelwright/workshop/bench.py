"""The record becomes the bench that questions are answered from."""

from __future__ import annotations

import json
from collections import OrderedDict
from collections.abc import Mapping
from dataclasses import dataclass
from threading import Lock
from typing import Any, get_args
from weakref import WeakKeyDictionary

from sqlalchemy import Row, func, select

from enamelwright.craft.bench import Bench
from enamelwright.craft.jar import Jar
from enamelwright.craft.kiln import Anchor, Kiln, Melt
from enamelwright.errors import EnamelwrightError
from enamelwright.records.schema.house import device_entry
from enamelwright.records.schema.jars import jar as jar_table
from enamelwright.records.schema.jars import jar_fact
from enamelwright.records.schema.jars import lot as lot_table
from enamelwright.records.store import Store
from enamelwright.records.writing import current
from enamelwright.workshop.kept_learned import kept_bows, kept_clocks, kept_hands
from enamelwright.workshop.kilns import anchors, in_order_described
from enamelwright.workshop.named import in_use
from enamelwright.workshop.new_lots import lots_in_hand
from enamelwright.workshop.settings import NAME, coupons, hands, house_rules, own_limits, setting
from enamelwright.workshop.studio import Studio

#: Which origin of a fact wins; what the jar's own description says stands where a data sheet does.
LADDER = ("measured", "learned", "data sheet", "safety data sheet", "label", "told", "assumption")
_DESCRIBED = LADDER.index("data sheet")
#: Benches remembered of one record, for readers that still see it a few entries earlier.
MOST_BENCHES = 4
#: Jars remembered as they were resolved, over all records.
MOST_JARS = 512

_benches: WeakKeyDictionary[Store, OrderedDict[int, Bench]] = WeakKeyDictionary()
_jars: OrderedDict[str, Jar] = OrderedDict()
_lock = Lock()


@dataclass(frozen=True)
class Known:
    """One thing known of a jar, whether or not it won.

    Attributes
    ----------
    fact : str
        Facet and field, as the jar writes them.
    value : object
        SI number or words.
    origin : str
        A rung of the ladder, or ``described``.
    said_at : str
        When it was told.
    wins : bool
        Whether the bench goes by it.
    """

    fact: str
    value: Any
    origin: str
    said_at: str
    wins: bool


def bench(studio: Studio) -> Bench:
    """Return all that is known of this studio, as questions want it.

    Its revision changes when a jar, kiln, hand or house rule does, and not when grams are used.

    Parameters
    ----------
    studio : Studio
        The studio.

    Notes
    -----
    Every transaction leaves one entry and none is ever taken out, so their count tells whether anything was
    written. What a transaction has not finished yet is never remembered: it may be undone.
    """
    if studio.is_writing:
        return _gathered(studio)
    if studio.before_bench is not None:
        studio.before_bench(studio)
    with studio.reading() as connection:
        entries = int(connection.execute(select(func.count()).select_from(device_entry)).scalar() or 0)
        with _lock:
            found = _benches.setdefault(studio.store, OrderedDict()).get(entries)
        if found is not None:
            return found
        made = _gathered(studio)
    with _lock:
        mine = _benches.setdefault(studio.store, OrderedDict())
        # An entry that has nothing to do with the bench leaves it the very same, with what it has looked up.
        made = next((one for one in reversed(mine.values()) if one == made), made)
        mine[entries] = made
        while len(mine) > MOST_BENCHES:
            mine.popitem(last=False)
    return made


def _gathered(studio: Studio) -> Bench:
    """Read the bench from the record."""
    with studio.reading() as connection:
        told: dict[int, list[Row[Any]]] = {}
        for fact in connection.execute(current(jar_fact).order_by(jar_fact.c.id)):
            told.setdefault(fact.jar, []).append(fact)
        lots = {
            row.jar: row
            for row in connection.execute(
                select(lot_table)
                .where(lot_table.c.finished == False, in_use(lot_table))  # noqa: E712 - SQL, not Python
                .order_by(lot_table.c.opened_on.is_not(None), lot_table.c.opened_on, lot_table.c.id)
            )
        }
        rows = connection.execute(select(jar_table).order_by(jar_table.c.code)).all()
        mine, away = (
            tuple(_jar(row, told.get(row.id, []), lots.get(row.id)) for row in rows if bool(row.put_away) is gone)
            for gone in (False, True)
        )
        owned = tuple(_kiln(studio, row) for row in in_order_described(studio))
        own = Bench(
            name=setting(studio, NAME, "this studio"), kilns=owned, hands=hands(studio), house=house_rules(studio),
            jars=Bench.starter().jars, away=away, learned_clocks=kept_clocks(studio),
            learned_bows=kept_bows(studio), learned_hands=kept_hands(studio), coupons=coupons(studio),
            limits=own_limits(studio),
            **lots_in_hand(connection, [row.id for row in lots.values()]),
        )  # fmt: skip
    return own.with_jars(mine)


def known_of(studio: Studio, jar: Row[Any]) -> list[Known]:
    """List everything known of a jar, the winners first, the losers still there.

    Parameters
    ----------
    studio : Studio
        The studio.
    jar : Row
        Of the table of jars.
    """
    with studio.reading() as connection:
        told = connection.execute(current(jar_fact).where(jar_fact.c.jar == jar.id).order_by(jar_fact.c.id)).all()
    base = Jar.from_outside(jar.described, f"jar {jar.code}").model_dump()
    result: list[Known] = []
    for fact in dict.fromkeys(row.fact for row in told):
        rows = sorted((row for row in told if row.fact == fact), key=_rung)
        described = _at(base, fact)
        if described is None or _rung(rows[0])[0] < _DESCRIBED:
            leader: Any = rows[0]
        else:
            leader = None
        if described is not None:
            result.append(Known(fact, described, "described", jar.changed_at, wins=leader is None))
        result += [Known(fact, _value(row), row.origin or "told", row.at, wins=row is leader) for row in rows]
    return sorted(result, key=lambda known: not known.wins)


def _rung(row: Row[Any]) -> tuple[int, int]:
    """Sort facts: the strongest origin first, of equals the newest."""
    return (LADDER.index(row.origin) if row.origin in LADDER else len(LADDER), -row.id)


def _value(row: Row[Any]) -> Any:
    return row.value if row.value is not None else row.answer


def _at(data: Mapping[str, Any], fact: str) -> Any:
    place: Any = data
    for step in fact.split("."):
        if not isinstance(place, Mapping) or step not in place:
            return None
        place = place[step]
    return None if place in ("unknown", "") or isinstance(place, Mapping) else place


def _jar(row: Row[Any], told: list[Row[Any]], lot: Row[Any] | None) -> Jar:
    """Resolve the facts of one jar by the ladder; the same facts are resolved once."""
    facts = [(one.id, one.fact, one.value, one.answer, one.origin) for one in told]
    stock = None if lot is None else (lot.label, lot.opened_on, lot.washed_on, lot.mesh)
    key = json.dumps((row.code, row.described, facts, stock), default=str)
    with _lock:
        if key in _jars:
            _jars.move_to_end(key)
            return _jars[key]
    made = _resolved(row, told, lot)
    with _lock:
        _jars[key] = made
        while len(_jars) > MOST_JARS:
            _jars.popitem(last=False)
    return made


def _resolved(row: Row[Any], told: list[Row[Any]], lot: Row[Any] | None) -> Jar:
    jar = Jar.from_outside(row.described, f"jar {row.code}")
    data = jar.model_dump()
    for fact in sorted(told, key=_rung, reverse=True):  # the strongest is set last
        if _value(fact) is None or (_at(jar.model_dump(), fact.fact) is not None and _rung(fact)[0] >= _DESCRIBED):
            continue
        jar_with = _set(data, fact.fact, _value(fact))
        data = jar_with if jar_with is not None else data
    if lot is not None:
        stock = {"lot": lot.label[:60], "opened": lot.opened_on or ""}
        if lot.washed_on:
            stock["washed"] = True
        data["stock"] = {**data["stock"], **stock}
        data["mesh"] = lot.mesh or data["mesh"]
    return Jar.model_validate(data)


def _set(data: dict[str, Any], fact: str, value: Any) -> dict[str, Any] | None:
    """Return the jar with one fact set; None when the jar has no such field or cannot hold it."""
    steps = fact.split(".")
    if steps[0] not in Jar.model_fields:
        return None
    copy = Jar.model_validate(data).model_dump()
    place = copy
    for step in steps[:-1]:
        inner = place.get(step)
        if inner is None and step == "expansion":
            inner = place[step] = {"value": value}
        if not isinstance(inner, dict):
            return None
        place = inner
    place[steps[-1]] = value
    try:
        return Jar.model_validate(copy).model_dump()
    except ValueError:  # a fact in words of the maker's own, or a number the field cannot hold
        return None


def _kiln(studio: Studio, row: Row[Any]) -> Kiln:
    """Return a kiln with the comparisons of its display since it last became another one."""
    kiln = Kiln.from_outside(row.described, f"kiln {row.name}")
    own = []
    for told in anchors(studio, row.id):
        if told.shown is None:
            continue
        named = told.against if told.against in get_args(Melt) else "other"
        if named == "other" and told.known is None:
            continue
        outcome = {True: "melted", False: "not melted", None: "melting"}[told.melted]
        try:
            own.append(Anchor(what=named, shown=told.shown, outcome=outcome, true=told.known, date=told.at[:10]))
        except (ValueError, EnamelwrightError):
            continue
    return kiln.model_copy(update={"anchors": (*kiln.anchors, *reversed(own))}) if own else kiln
