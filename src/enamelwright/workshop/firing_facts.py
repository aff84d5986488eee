"""What is known of every firing of every piece, so that faults can be weighed against firings that went well."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from pydantic import ValidationError
from sqlalchemy import Row, select

from enamelwright.craft.bench import Bench
from enamelwright.craft.jar import WARM
from enamelwright.errors import EnamelwrightError
from enamelwright.learning.fault_signs import FaultFacts
from enamelwright.records.schema.coats import coat_laid
from enamelwright.records.schema.jars import jar as jar_table
from enamelwright.records.schema.jars import lot as lot_table
from enamelwright.records.schema.loads import load as load_table
from enamelwright.records.schema.loads import load_piece
from enamelwright.records.schema.pieces import mishap
from enamelwright.records.schema.pieces import piece as piece_table
from enamelwright.records.writing import current
from enamelwright.workshop.at_hand import AtHand
from enamelwright.workshop.bench import bench
from enamelwright.workshop.history import states
from enamelwright.workshop.pauses import known_by_day, pauses
from enamelwright.workshop.studio import Studio

#: Conditions of a lot, the worst first: a firing with several lots is told of the worst.
_WORST = ("damp", "many fines", "mixed", "doubtful", "good")
#: Kinds of glass that want washing; opaque glass often is not washed, which says nothing.
_WASHED = ("transparent", "flux", "opal")

_l, _i, _c = load_table.c, load_piece.c, coat_laid.c
#: Columns that are read; rows are many and wide.
_LOAD: tuple[Any, ...] = (
    _l.number, _l.at, _l.kiln, _l.seconds, _l.stage_seen, _l.target, _l.cooled, _l.support, _l.start, _l.closed_at,
    _l.interrupted, _l.idle_before,
)  # fmt: skip
_INSIDE: tuple[Any, ...] = (_i.load, _i.piece, _i.stage_seen, _i.seconds, _i.support, _i.position)
_LAID: tuple[Any, ...] = (
    _c.piece, _c.at, _c.face, _c.cell, _c.jar, _c.lot, _c.dried, _c.vapour_seen, _c.gum_ratio, _c.powder_depth,
    _c.mesh, _c.on_piece, _c.weighed_out,
)  # fmt: skip
_PIECE: tuple[Any, ...] = (piece_table.c.id, piece_table.c.metal, piece_table.c.thickness)
_LOT: tuple[Any, ...] = (
    lot_table.c.id, lot_table.c.jar, lot_table.c.condition, lot_table.c.washed_on, lot_table.c.opened_on,
    lot_table.c.bought_on,
)  # fmt: skip
_JAR: tuple[Any, ...] = (jar_table.c.id, jar_table.c.code, jar_table.c.kind, jar_table.c.family)


@dataclass(frozen=True)
class FiringFacts:
    """One piece in one load.

    Attributes
    ----------
    load, piece : int
        First rows.
    number : str
        Of the load.
    at : str
        When it went in.
    jars : tuple of str
        Codes of the jars that were laid for it.
    face : str
        Face they were laid on.
    facts : FaultFacts
        What is known, the plan not asked.
    """

    load: int
    piece: int
    number: str
    at: str
    jars: tuple[str, ...]
    face: str
    facts: FaultFacts


#: A long record takes a second to gather.
_every = AtHand[tuple[FiringFacts, ...]](load_table, load_piece, coat_laid, mishap, piece_table, lot_table, jar_table)


def firing_facts(studio: Studio, known: Bench | None = None) -> tuple[FiringFacts, ...]:
    """List what is known of every firing that is over, the first first; at hand until something is written.

    Parameters
    ----------
    studio : Studio
        The studio.
    known : Bench, optional
        The bench, when it is at hand.
    """
    found = bench(studio) if known is None else known
    return _every.get(studio, lambda: tuple(_gathered(studio, found)), found.revision)


def _gathered(studio: Studio, known: Bench) -> list[FiringFacts]:
    with studio.reading() as connection:
        loads = {row.of: row for row in connection.execute(current(load_table, *_LOAD).order_by(load_table.c.at))}
        by_day = known_by_day(connection)
        inside = [row for row in connection.execute(current(load_piece, *_INSIDE)) if row.load in loads]
        laid: dict[int, list[Row[Any]]] = defaultdict(list)
        for coat in connection.execute(current(coat_laid, *_LAID).order_by(coat_laid.c.at, coat_laid.c.id)):
            laid[coat.piece].append(coat)
        pieces: dict[int, Row[Any]] = {row.id: row for row in connection.execute(select(*_PIECE))}
        lots: dict[int, Row[Any]] = {row.id: row for row in connection.execute(select(*_LOT))}
        jars: dict[int, Row[Any]] = {row.id: row for row in connection.execute(select(*_JAR))}
        spoilt: dict[tuple[int, int | None], list[str]] = defaultdict(list)
        for one in connection.execute(current(mishap).where(mishap.c.load.is_not(None))):
            spoilt[one.load, one.piece].append(one.what)
    told = _Told(
        jars, lots, _leads(known, jars),
        {row.id: _conditions(studio, row) for row in lots.values() if row.condition not in {None, "good"}},
    )  # fmt: skip
    rested = pauses(loads, by_day)
    by_piece: dict[int, list[Row[Any]]] = defaultdict(list)
    for row in inside:
        by_piece[row.piece].append(row)
    found = []
    for number, rows in by_piece.items():
        before = ""
        first_stages = dict[str, str]()
        for row in sorted(rows, key=lambda one: loads[one.load].at):
            load = loads[row.load]
            fresh = [coat for coat in laid[number] if before < coat.at <= load.at]
            stage = row.stage_seen or load.stage_seen or ""
            face = fresh[-1].face or "" if fresh else ""
            if face:
                first_stages.setdefault(face, stage)
            before = load.at
            if load.closed_at is None or load.interrupted:
                continue
            so_far = [coat for coat in laid[number] if coat.at <= load.at]
            in_hand = (*spoilt.get((row.load, number), ()), *spoilt.get((row.load, None), ()))
            facts = _what_may_be(
                **told.of_coats(fresh, so_far, load.at),
                metal=pieces[number].metal or "",
                metal_thickness=pieces[number].thickness,
                stage=stage,
                target=load.target or "",
                first_stage=first_stages.get(face, ""),
                seconds=row.seconds if row.seconds is not None else load.seconds,
                start=load.start or "",
                pause=rested.get(row.load),
                cooled=load.cooled or "",
                support=row.support or load.support or "",
                place=row.position or "",
                fired_again=told.fired_again(so_far, [loads[one.load].at for one in rows], load.at),
                warm_on_bare=told.warm_on_bare(so_far, pieces[number].metal or ""),
                torch=False if load.kiln is not None else None,
                in_hand=in_hand,
            )
            codes = tuple(sorted({jars[coat.jar].code for coat in fresh if coat.jar is not None}))
            found.append(FiringFacts(row.load, number, load.number, load.at, codes, face, facts))
    return sorted(found, key=lambda one: (one.at, one.load, one.piece))


def _what_may_be(**told: Any) -> FaultFacts:
    """Return the facts of a firing; one that cannot be, a slip such as a firing of no seconds, counts as not known."""
    try:
        return FaultFacts(**told)
    except ValidationError as error:
        slips = {one["loc"][0] for one in error.errors(include_url=False)}
        return FaultFacts(**{name: value for name, value in told.items() if name not in slips})


@dataclass(frozen=True)
class _Told:
    """What is known of jars and lots."""

    jars: Mapping[int, Row[Any]]
    lots: Mapping[int, Row[Any]]
    lead: Mapping[int, str]
    conditions: Mapping[int, list[tuple[str, str]]]

    def of_coats(self, fresh: list[Row[Any]], so_far: list[Row[Any]], at: str) -> dict[str, Any]:
        """Return what the coats of one firing tell, and those laid so far."""

        def most(name: str, pick: Any) -> Any:
            values = [value for coat in fresh if (value := getattr(coat, name)) is not None]
            return pick(values) if values else None

        facts: dict[str, Any] = {
            "dried": most("dried", min),
            "vapour_seen": most("vapour_seen", any),
            "gum_ratio": most("gum_ratio", max),
            "powder_depth": most("powder_depth", max) or None,
            "mesh": most("mesh", max),
            "leaded_below": self._leaded_below(so_far),
        }
        for face in ("front", "back"):
            weights = [
                coat.on_piece if coat.on_piece is not None else coat.weighed_out for coat in so_far if coat.face == face
            ]
            facts[f"{face}_powder"] = None if any(one is None for one in weights) else float(sum(weights))
        if not so_far:
            facts["front_powder"] = facts["back_powder"] = None
        return {**facts, **self._of_lots([self.lots[coat.lot] for coat in fresh if coat.lot is not None], at)}

    def fired_again(self, so_far: list[Row[Any]], firings: list[str], at: str) -> int:
        """Return how often the colour that matters was fired after its own firing: a warm one, else the last laid."""
        warm = [coat for coat in so_far if coat.jar is not None and self.jars[coat.jar].family in WARM]
        laid = min(coat.at for coat in warm) if warm else so_far[-1].at if so_far else ""
        return max(0, len([one for one in firings if laid <= one <= at]) - 1)

    def warm_on_bare(self, so_far: list[Row[Any]], metal: str) -> bool | None:
        """Whether the lowest coat of any place of the front is a warm colour on copper."""
        if not metal or not so_far:
            return None
        lowest = {coat.cell or "": coat for coat in reversed(so_far) if coat.face == "front"}
        if any(coat.jar is None for coat in lowest.values()):
            return None
        under_all = any(
            coat.face == "front" and not coat.cell and self.jars[coat.jar].family not in WARM
            for coat in so_far
            if coat.jar is not None
        )
        warm = [cell for cell, coat in lowest.items() if self.jars[coat.jar].family in WARM]
        return metal == "copper" and bool(warm) and not (under_all and "" not in warm)

    def _of_lots(self, lots: list[Row[Any]], at: str) -> dict[str, Any]:
        facts: dict[str, Any] = {}
        conditions = {self._condition(lot, at) for lot in lots} - {""}
        if conditions:
            facts["lot_condition"] = min(conditions, key=_WORST.index)
        washed = [
            bool(lot.washed_on and lot.washed_on <= at[:10])
            for lot in lots
            if lot.washed_on or any(kind in self.jars[lot.jar].kind for kind in _WASHED)
        ]
        if washed:
            facts["lot_washed"] = all(washed)
        opened = [one for lot in lots if (one := lot.opened_on or lot.bought_on)]
        if opened:
            days = (datetime.fromisoformat(at).date() - datetime.fromisoformat(min(opened)).date()).days
            facts["lot_opened_days"] = max(0, days)
        return facts

    def _condition(self, lot: Row[Any], at: str) -> str:
        if lot.id not in self.conditions:
            return lot.condition or ""
        return next((condition for since, condition in reversed(self.conditions[lot.id]) if since <= at), "")

    def _leaded_below(self, so_far: list[Row[Any]]) -> bool | None:
        """Whether lead-free glass was laid over leaded glass in one place; None when a jar does not tell."""
        stacks: dict[tuple[str, str], list[str]] = defaultdict(list)
        for coat in so_far:
            lead = self.lead.get(coat.jar, "unknown") if coat.jar is not None else "unknown"
            stacks[coat.face or "front", ""].append(lead)
        answers: list[bool | None] = []
        for leads in stacks.values():
            if any(lead == "yes" and "no" in leads[n + 1 :] for n, lead in enumerate(leads)):
                return True
            answers.append(False if len(leads) < 2 or set(leads) <= {"yes", "no"} else None)
        return None if None in answers or not answers else False


def _leads(known: Bench, jars: Mapping[int, Row[Any]]) -> dict[int, str]:
    found = {}
    for row in jars.values():
        try:
            found[row.id] = str(known.jar(row.code).hazards.lead)
        except EnamelwrightError:
            continue
    return found


def _conditions(studio: Studio, lot: Row[Any]) -> list[tuple[str, str]]:
    """Return since when a lot was noted as what; from the beginning as it was noted first."""
    turns = [
        (one.written_at, *one.changed["condition"])
        for one in states(studio, "lot", lot.id)
        if "condition" in one.changed
    ]
    if not turns:
        return [("", lot.condition or "")]
    return [("", turns[0][1] or ""), *((since, after or "") for since, _, after in turns)]
