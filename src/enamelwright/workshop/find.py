"""Find anything by number, word, colour family, metal or date."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta
from typing import Any, cast, get_args

from sqlalchemy import ColumnElement, Connection, Row, Select, Table, and_, bindparam, case, false, or_, select, true

from enamelwright.craft.jar import Family
from enamelwright.craft.metal import metal_id
from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.records.schema.coats import coat_laid
from enamelwright.records.schema.designs import design as design_table
from enamelwright.records.schema.designs import design_version
from enamelwright.records.schema.jars import jar as jar_table
from enamelwright.records.schema.jars import lot as lot_table
from enamelwright.records.schema.kilns import kiln as kiln_table
from enamelwright.records.schema.loads import STAGES, load_piece
from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.schema.metals import sheet as sheet_table
from enamelwright.records.schema.orders import customer_order
from enamelwright.records.schema.pieces import fault_seen
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.words_in import begins, holds
from enamelwright.records.writing import current, first_of, moment
from enamelwright.workshop.faults import known_fault
from enamelwright.workshop.studio import Studio

FAMILIES: tuple[str, ...] = get_args(Family)
#: Found things of one kind that are listed.
MOST = 200
#: Signs of one search that are looked at.
_LONGEST = 400
#: Rows of loads beyond which a word is found often.
_MANY = 1000
#: Words of one search that are looked at.
MOST_WORDS = 8
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")
_MONTH = re.compile(r"\d{4}-\d{2}")
#: Days and months as people write them and as pages show them: 12.3.2026, 12 Mar 2026, 3.2026, March 2026.
_POINTED = re.compile(r"(?<![\w.])(?:(\d{1,2})\.)?(\d{1,2})\.(\d{4})(?![\w.])")
_NAMED = re.compile(r"(?<![\w.])(?:(\d{1,2})\.? +)?([A-Za-z]{3,9})\.? +(\d{4})(?![\w.-])")
_MONTHS = tuple(date(2000, month, 1).strftime("%B").casefold() for month in range(1, 13))


@dataclass(frozen=True)
class Found:
    """One thing that was found.

    Attributes
    ----------
    kind : str
        ``piece``, ``load``, ``jar``, ``lot``, ``design``, ``sheet``, ``order``, ``kiln``.
    row : int
        What others refer to it by.
    name : str
        Number, code or name.
    words : str
        One line.
    at : str
        Day or moment, as far as it has one.
    inside : int
        0 where every word stands whole, 1 where one only begins so or belongs to it otherwise, 2 where one stands
        inside another word only.
    """

    kind: str
    row: int
    name: str
    words: str
    at: str
    inside: int = 0


def find(
    studio: Studio,
    text: str = "",
    *,
    family: str = "",
    metal: str = "",
    since: date | None = None,
    until: date | None = None,
) -> list[Found]:
    """Find anything; what is said of it must all hold.

    In `text`, a day (2026-03-12, 12.3.2026, 12 Mar 2026) or month (2026-03, March 2026) is a date; everything else
    is looked for in numbers, labels, names, faults and free words. A word that is a colour family also finds what
    carries that colour.

    Parameters
    ----------
    studio : Studio
        The studio.
    text : str
        Words.
    family : str
        Colour family of a jar, or of a coat on a piece.
    metal : str
        Metal of a piece or a sheet.
    since, until : date, optional
        Days; both belong.

    Returns
    -------
    list of Found
        At most :data:`MOST` of a kind; what holds a word whole before what only begins with it, and that before
        what holds it somewhere inside; of equals the newest first.

    Raises
    ------
    InputError
        When nothing was said, or a colour family is not known.
    UnknownName
        For a metal nobody has described.
    """
    words, first, last = _read(text, since, until)
    if family and family.casefold() not in FAMILIES:
        raise InputError(f"'{family}' is no colour family.", f"Use one of: {', '.join(FAMILIES)}.")
    if not (words or family or metal or first or last):
        raise InputError("nothing to look for.", "Give a number, a word, a colour, a metal or a date.")
    search = _Search(words, family.casefold(), metal_id(metal) if metal else "", first, last)
    with studio.reading() as connection:
        found = list(search.everything(connection))
    kinds = list(dict.fromkeys(one.kind for one in found))
    return sorted(
        (replace(one, inside=_rank(one, words)) for one in found), key=lambda one: (kinds.index(one.kind), one.inside)
    )


@dataclass(frozen=True)
class _Search:
    words: tuple[str, ...]
    family: str
    metal: str
    first: date | None
    last: date | None

    def everything(self, connection: Connection) -> Iterator[Found]:
        yield from self._pieces(connection)
        yield from self._loads(connection)
        if not self.metal:
            yield from self._jars(connection)
        if not self.family:
            yield from self._sheets(connection)
        if not (self.family or self.metal):
            yield from self._designs(connection)
            yield from self._orders(connection)
            if self.words and not (self.first or self.last):
                yield from self._kilns(connection)

    def _pieces(self, connection: Connection) -> Iterator[Found]:
        p = piece_table.c
        conditions = [
            self._each_word((p.number, p.label, p.words, p.metal, p.kind), self._piece_by_other),
            self._day(p.started_on),
        ]
        if self.family:
            conditions.append(p.id.in_(_carrying(self.family)))
        if self.metal:
            conditions.append(p.metal.in_(_spellings(connection, piece_table, self.metal)))
        shown = select(p.id, p.number, p.label, p.kind, p.metal, p.state, p.words, p.started_on).where(*conditions)
        for row in self._most(connection, shown, p.number.desc(), (p.label, p.words, p.number, p.metal), _carries):
            line = ", ".join(part for part in (row.label, row.kind, row.metal, row.state, row.words) if part)
            yield Found("piece", row.id, row.number, line, row.started_on or "")

    def _piece_by_other(self, word: str) -> ColumnElement[bool]:
        """A word may also be the colour a piece carries, its design, or a fault that was seen on it."""
        p, seen = piece_table.c, fault_seen.c
        told = or_(begins(word, seen.fault), holds(word, seen.words))
        fault = known_fault(word)
        hit = told | (seen.fault == fault) if fault else told
        by_fault = p.id.in_(current(fault_seen, seen.piece).with_only_columns(seen.piece).where(hit))
        made = select(design_version.c.id).join(design_table, design_table.c.id == design_version.c.design)
        by_design = p.design_version.in_(made.where(holds(word, design_table.c.name)))
        return or_(by_fault, by_design, _carries(word))

    def _loads(self, connection: Connection) -> Iterator[Found]:
        loads, inside, p = load_table.c, load_piece.c, piece_table.c
        of = first_of(load_table)

        def by_other(word: str) -> ColumnElement[bool]:
            stages = [stage for stage in STAGES if _begun(word.casefold(), stage)]
            called = select(p.id).where(holds(word, p.number, p.label))
            held = current(load_piece, inside.load).with_only_columns(inside.load)
            held = held.where(_among(connection, inside.piece, called))
            return or_(_among(connection, of, held.distinct()), loads.stage_seen.in_(stages) if stages else false())

        conditions = [
            self._each_word((loads.number, loads.words, loads.programme, loads.support), by_other),
            self._moment(loads.at),
        ]
        for wanted, column in ((self.family, "family"), (self.metal, "metal")):
            if not wanted:
                continue
            pieces: Any = _carrying(wanted) if column == "family" else select(p.id).where(
                p.metal.in_(_spellings(connection, piece_table, wanted))
            )  # fmt: skip
            # asked of each load, the newest first: what many pieces are is soon found often enough
            conditions.append(current(load_piece).where(inside.load == of, inside.piece.in_(pieces)).exists())
        shown = current(
            load_table, loads.number, loads.at, loads.set_point, loads.stage_seen, loads.support, loads.words,
            loads.typed,
        )  # fmt: skip
        if self.words:
            # Every row is looked at in the order they lie, until many are found. Few are then put in order; many are
            # found again from the newest on, and soon enough.
            hits = list(connection.execute(select(loads.id).where(*conditions).limit(_MANY)).scalars())
            if len(hits) < _MANY:
                conditions = [loads.id.in_(hits)]
        for row in connection.execute(shown.where(*conditions).order_by(loads.at.desc()).limit(MOST)):
            set_at = f"set {(row.typed or {}).get('set_point') or ''}".strip() if row.set_point else None
            line = ", ".join(part for part in (set_at, row.stage_seen, row.support, row.words) if part)
            yield Found("load", row.of, row.number, line, row.at)

    def _jars(self, connection: Connection) -> Iterator[Found]:
        j, lots = jar_table.c, lot_table.c
        conditions = [self._each_word((j.code, j.name, j.kind, j.family, j.words))]
        if self.family:
            conditions.append(j.family == self.family)
        if not (self.first or self.last):
            rows = select(j.id, j.code, j.name, j.kind, j.family).where(*conditions)
            for row in self._most(connection, rows, j.code, (j.code, j.name, j.kind, j.family)):
                yield Found("jar", row.id, row.code, f"{row.name}, {row.kind}, {row.family or '?'}", "")
        days = self._day(lots.bought_on) | self._day(lots.opened_on) | self._day(lots.washed_on)
        of_lots = select(lots.id, lots.label, lots.opened_on, lots.bought_on, j.code, j.name)
        of_lots = of_lots.join(jar_table, j.id == lots.jar)
        hits = [self._each_word((lots.label, lots.bought_from, lots.words)), days]
        if self.family:
            hits.append(j.family == self.family)
        for lot in connection.execute(of_lots.where(*hits).order_by(lots.id.desc()).limit(MOST)):
            yield Found("lot", lot.id, lot.label, f"of {lot.code} {lot.name}", lot.opened_on or lot.bought_on or "")

    def _sheets(self, connection: Connection) -> Iterator[Found]:
        s = sheet_table.c
        conditions = [self._each_word((s.label, s.metal, s.lot, s.bought_from, s.words)), self._day(s.bought_on)]
        if self.metal:
            conditions.append(s.metal == self.metal)
        for row in connection.execute(
            select(s.id, s.label, s.metal, s.state, s.bought_on).where(*conditions).order_by(s.label).limit(MOST)
        ):
            yield Found("sheet", row.id, row.label, f"{row.metal}, {row.state or '?'}", row.bought_on or "")

    def _designs(self, connection: Connection) -> Iterator[Found]:
        d = design_table.c
        rows = select(d.id, d.name, d.technique, d.made_at).where(
            self._each_word((d.name, d.technique, d.words)), self._moment(d.made_at)
        )
        for row in connection.execute(rows.order_by(d.name).limit(MOST)):
            yield Found("design", row.id, row.name, row.technique or "", row.made_at[:10])

    def _orders(self, connection: Connection) -> Iterator[Found]:
        o = customer_order.c
        days = self._day(o.asked_on) | self._day(o.due_on)
        rows = select(o.id, o.number, o.brief, o.state, o.due_on, o.asked_on).where(
            self._each_word((o.number, o.brief, o.words, o.state)), days
        )
        for row in connection.execute(rows.order_by(o.number.desc()).limit(MOST)):
            due = f", due {row.due_on}" if row.due_on else ""
            yield Found(
                "order", row.id, row.number, f"{row.brief or ''}, {row.state}{due}".strip(", "), row.asked_on or ""
            )

    def _kilns(self, connection: Connection) -> Iterator[Found]:
        k = kiln_table.c
        for row in connection.execute(
            select(k.id, k.name, k.words).where(self._each_word((k.name, k.words))).limit(MOST)
        ):
            yield Found("kiln", row.id, row.name, row.words or "", "")

    def _most(
        self, connection: Connection, shown: Select[Any], order: Any, columns: tuple[Any, ...], other: Any = None
    ) -> Sequence[Row[Any]]:
        """Return what is to be listed; only of too many, those that begin with every word are sought out first."""
        rows = connection.execute(shown.order_by(order).limit(MOST)).all()
        if len(rows) < MOST or not self.words:
            return rows
        parts = [or_(begins(word, *columns), other(word) if other else false()) for word in self.words]
        return connection.execute(shown.order_by(case((and_(*parts), 0), else_=1), order).limit(MOST)).all()

    def _each_word(self, columns: tuple[Any, ...], other: Any = None) -> ColumnElement[bool]:
        parts = [or_(holds(word, *columns), other(word) if other else false()) for word in self.words]
        return and_(*parts) if parts else true()

    def _day(self, column: Any) -> ColumnElement[bool]:
        parts = []
        if self.first:
            parts.append(column >= self.first.isoformat())
        if self.last:
            parts.append(column <= self.last.isoformat())
        return and_(*parts) if parts else true()

    def _moment(self, column: Any) -> ColumnElement[bool]:
        """Compare moments with days of the workshop's own clock."""
        parts = []
        if self.first:
            parts.append(column >= moment(datetime.combine(self.first, time()).astimezone()))
        if self.last:
            parts.append(column < moment(datetime.combine(self.last + timedelta(days=1), time()).astimezone()))
        return and_(*parts) if parts else true()


def _begun(word: str, text: str) -> bool:
    """Whether a word of a text begins so."""
    return re.search(rf"(?<!\w){re.escape(word)}", text) is not None


def _rank(found: Found, words: tuple[str, ...]) -> int:
    """Tell how closely what is shown of a thing answers, as :attr:`Found.inside` has it."""
    text = f"{found.name} {found.words}".casefold()
    worst = 0
    for word in (one.casefold() for one in words):
        if re.search(rf"(?<!\w){re.escape(word)}(?!\w)", text):
            continue
        worst = max(worst, 1 if _begun(word, text) or word not in text else 2)
    return worst


def _read(text: str, since: date | None, until: date | None) -> tuple[tuple[str, ...], date | None, date | None]:
    """Take dates out of the words."""
    words = []
    text = _POINTED.sub(lambda told: _as_kept(told, told[2]), text[:_LONGEST])
    text = _NAMED.sub(lambda told: _as_kept(told, _month_called(told[2])), text)
    for word in text.split()[:MOST_WORDS]:
        if _DAY.fullmatch(word) or _MONTH.fullmatch(word):
            try:
                since = date.fromisoformat(word if len(word) == len("2026-03-12") else f"{word}-01")
                until = since if _DAY.fullmatch(word) else _end_of_month(since)
                continue
            except ValueError:
                pass
        words.append(word)
    return tuple(words), since, until


def _as_kept(told: re.Match[str], month: str) -> str:
    """Write a day or a month as the record does; what is none stays as it was typed."""
    try:
        day = date(int(told[3]), int(month or 0), int(told[1] or 1))
    except ValueError:
        return told[0]
    return day.isoformat() if told[1] else f"{day:%Y-%m}"


def _month_called(word: str) -> str:
    """Return the number of a month by its name or the beginning of it; empty for another word."""
    return next((str(n) for n, name in enumerate(_MONTHS, 1) if name.startswith(word.casefold())), "")


def _end_of_month(day: date) -> date:
    following = day.replace(year=day.year + day.month // 12, month=day.month % 12 + 1)
    return following - timedelta(days=1)


def _among(connection: Connection, column: Any, ids: Select[Any]) -> ColumnElement[bool]:
    """Whether a column holds one of some ids; asked first, as they are mostly few or none, and many stay a question."""
    found = list(connection.execute(ids.limit(_MANY)).scalars())
    if not found:
        return false()
    if len(found) == _MANY:
        return cast("ColumnElement[bool]", column.in_(ids))
    # written out: given as they are, PostgreSQL would gather them anew for every row
    written: Any = bindparam(None, found, expanding=True, literal_execute=True)
    return cast("ColumnElement[bool]", column.in_(written))


def _carries(word: str) -> ColumnElement[bool]:
    """Whether a word is a colour family that a piece carries."""
    family = word.casefold()
    return piece_table.c.id.in_(_carrying(family)) if family in FAMILIES else false()


def _carrying(family: str) -> Any:
    """Select the pieces that carry a coat of a colour family."""
    of_family = select(jar_table.c.id).where(jar_table.c.family == family)
    laid = current(coat_laid, coat_laid.c.piece).with_only_columns(coat_laid.c.piece)
    return laid.where(coat_laid.c.jar.in_(of_family))


def _spellings(connection: Connection, table: Table, metal: str) -> list[str]:
    """Return the ways a metal is written in a table."""
    written = connection.execute(select(table.c.metal).where(table.c.metal.is_not(None)).distinct()).scalars()
    found = []
    for name in written:
        try:
            if metal_id(name) == metal:
                found.append(name)
        except EnamelwrightError:
            continue
    return found
