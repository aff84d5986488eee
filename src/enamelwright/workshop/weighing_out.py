"""Weighing out: which coat comes next, how much of it, and what a little more or less does to the piece."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

from sqlalchemy import Row

from enamelwright.craft.bench import Bench
from enamelwright.craft.coat import AMOUNTS, Coat
from enamelwright.craft.piece import Piece
from enamelwright.craft.plan import CoatWeight, Plan
from enamelwright.craft.planner import make_plan
from enamelwright.craft.verdict import Verdict
from enamelwright.errors import EnamelwrightError, InputError
from enamelwright.figure import Figure
from enamelwright.records.schema.coats import coat_laid
from enamelwright.records.writing import current
from enamelwright.workshop.bench import bench
from enamelwright.workshop.designs import shape_of, version_row
from enamelwright.workshop.jars import jar_row
from enamelwright.workshop.lay_order import order_of_version
from enamelwright.workshop.named import Which
from enamelwright.workshop.people import label_of
from enamelwright.workshop.pieces import piece_row, pieces_in_work
from enamelwright.workshop.plan_firings import NextFiring, Order, next_firings, order_of
from enamelwright.workshop.predictions import plan_of
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.who_lays import who_lays

#: Draws behind the band that is shown while somebody steps the grams.
QUICK_BAND = 32
#: Step of a balance about which nothing is said [kg].
USUAL_STEP = 1e-5
#: Warnings a change of grams may bring up unasked.
UNASKED = 3


@dataclass(frozen=True)
class Waiting:
    """Pieces of one design that wait for the same coat.

    Attributes
    ----------
    pieces : tuple of str
        Their numbers.
    labels : tuple of str
        Their labels, where they have one.
    coat, of : int
        Number of the coat from 1, and how many the design has.
    face, jar, jar_name : str
        Where it lies, and the jar as the design names it; its name is empty where the design has none of that id.
    whose : str
        Label of the owner whose hand it is weighed out for; empty where that is no other than everybody's.
    """

    pieces: tuple[str, ...]
    labels: tuple[str, ...]
    coat: int
    of: int
    face: str
    jar: str
    jar_name: str
    whose: str = ""


@dataclass(frozen=True)
class Weighing:
    """One coat on the balance.

    Attributes
    ----------
    number : str
        Of the piece.
    coat : int
        From 0.
    plan : Plan
        The plan it stands in.
    weight : CoatWeight
        How much is meant.
    described : Coat
        The coat as described.
    jar_code : str or None
        Code of the jar in this studio; None when the design's jar is none of one's own.
    who : str
        Label of whoever lays it; empty when nobody is known.
    step : float
        Step of the balance [kg].
    laid : bool
        Whether it was laid before.
    """

    number: str
    coat: int
    plan: Plan
    weight: CoatWeight
    described: Coat
    jar_code: str | None
    step: float
    laid: bool
    version: Row[Any]
    known: Bench
    who: str = ""


@dataclass(frozen=True)
class WouldBe:
    """What a piece becomes with other grams than planned.

    Attributes
    ----------
    grams : float
        Weighed out [kg].
    thickness : Figure
        Fired glass of this coat [m].
    bow : Figure or None
        Of the finished piece [m]; None where no stress model reaches.
    worse : tuple of Verdict
        What must be watched with these grams and not with the planned ones.
    standing : tuple of Verdict
        What must be watched of the piece with the planned grams and with these.
    """

    grams: float
    thickness: Figure
    bow: Figure | None
    worse: tuple[Verdict, ...]
    standing: tuple[Verdict, ...] = ()


def waiting(studio: Studio) -> list[Waiting]:
    """List what waits to be weighed out: the coat every piece in work that has a plan comes to, as it is fired.

    Parameters
    ----------
    studio : Studio
        The studio.
    """
    groups: dict[tuple[int, int, str], list[Row[Any]]] = {}
    described: dict[int, list[dict[str, Any]]] = {}
    names: dict[int, dict[str, str]] = {}
    orders: dict[int, Order | None] = {}
    known = bench(studio)
    with studio.reading():
        planned = [row for row in pieces_in_work(studio) if row.design_version is not None]
        labels = {owner: label_of(studio, owner) for owner in {row.owner for row in planned}}
        laid, coming = _so_far(studio, [int(row.id) for row in planned])
        for row in planned:
            if row.design_version not in described:
                described_by = version_row(studio, row.design_version)
                piece = described_by.piece
                described[row.design_version] = list(piece.get("coats", ()))
                names[row.design_version] = {
                    str(jar.get("id")): str(jar.get("name", "")) for jar in piece.get("jars", ())
                }
                orders[row.design_version] = order_of_version(described_by, known)
            coats, order = described[row.design_version], orders[row.design_version]
            coat = _next(coats, order, laid[row.id], coming[row.id])
            if coat is not None:
                whose = known.by_hand_of(labels[row.owner]).laid_by
                groups.setdefault((row.design_version, coat, whose), []).append(row)
    found = []
    for (version, coat, whose), rows in groups.items():
        told = described[version][coat]
        found.append(
            Waiting(
                tuple(row.number for row in rows), tuple(row.label for row in rows if row.label), coat + 1,
                len(described[version]), str(told.get("face", "")), str(told.get("jar", "")),
                names[version].get(str(told.get("jar", "")), ""), whose,
            )
        )  # fmt: skip
    return found


def weighing(
    studio: Studio, which: Which, coat: int | None = None, who: str | None = None, at_bench: str = ""
) -> Weighing:
    """Return one coat of a piece as it is to be weighed out.

    Parameters
    ----------
    studio : Studio
        The studio.
    which : int or str
        Row, number or label.
    coat : int, optional
        Number of the coat from 1; the one to be laid next when left out.
    who, at_bench : str, optional
        As for :func:`enamelwright.workshop.who_lays.who_lays`.

    Raises
    ------
    InputError
        When the piece has no plan or no such coat.
    """
    row = piece_row(studio, which)
    if row.design_version is None:
        raise InputError(f"{row.number} has no plan, so nothing is known of its coats.", "Log the coat on its page.")
    version = version_row(studio, row.design_version)
    lays = who_lays(studio, row, who, at_bench)
    known = bench(studio).by_hand_of(lays)
    plan = plan_of(studio, version, known).payload
    laid, coming = _so_far(studio, [int(row.id)])
    at = coat - 1 if coat is not None else None
    if at is None:
        at = _next(version.piece.get("coats", ()), order_of(plan), laid[row.id], coming[row.id])
    if at is None:
        at = len(plan.piece.coats) - 1
    weight = next((one for one in plan.weights if one.coat == at), None)
    if weight is None:
        raise InputError(f"{row.number} has no coat {at + 1}.", f"It has {len(plan.piece.coats)}.")
    try:
        code: str | None = jar_row(studio, plan.piece.coats[at].jar).code
    except EnamelwrightError:
        code = None
    return Weighing(
        row.number,
        at,
        plan,
        weight,
        plan.piece.coats[at],
        code,
        known.hands.balance_step or USUAL_STEP,
        at in laid[row.id],
        version,
        known,
        lays,
    )


def would_be(one: Weighing, grams: float) -> WouldBe:
    """Say what a piece becomes when other grams are weighed out than planned.

    Parameters
    ----------
    one : Weighing
        The coat on the balance.
    grams : float
        Powder weighed out per laying [kg].

    Raises
    ------
    InputError
        When nobody would lay so much or so little.
    """
    coats = list(one.plan.piece.coats)
    bare = dict.fromkeys(AMOUNTS)
    told = coats[one.coat].model_dump() | bare | {"weight": grams}
    try:
        coats[one.coat] = Coat.model_validate(told)
    except ValueError as error:
        raise InputError("that is no amount of powder.", "Write grams, like 0.42 g.", "grams") from error
    piece = Piece.model_validate(one.plan.piece.model_copy(update={"coats": tuple(coats)}))
    plan = make_plan(piece, one.known, shape_of(one.version), QUICK_BAND, one.plan)
    weight = next(weight for weight in plan.weights if weight.coat == one.coat)
    before = {(v.rule, v.place, v.level) for v in one.plan.verdicts}
    worse = [v for v in plan.leading if v.counts and (v.rule, v.place, v.level) not in before]
    # What one firing asks for is told at the kiln.
    rest = [v for v in plan.leading if v.counts and not v.place.firing and (v.rule, v.place, v.level) in before]
    return WouldBe(grams, weight.fired_thickness, bow_of(plan), tuple(worse[:UNASKED]), tuple(rest[:UNASKED]))


def around(one: Weighing, shares: Sequence[float]) -> list[WouldBe]:
    """Say what the piece becomes with shares of the planned grams.

    Parameters
    ----------
    one : Weighing
        The coat on the balance.
    shares : sequence of float
        Of the grams meant; 1 is as planned.
    """
    return [would_be(one, one.weight.to_weigh.value * share) for share in shares]


def bow_of(plan: Plan) -> Figure | None:
    """Return the bow of the finished piece; None where no stress model reaches."""
    return plan.flatness.states[-1].bow if plan.flatness.states else None


def _so_far(studio: Studio, pieces: Sequence[int]) -> tuple[dict[int, frozenset[int]], dict[int, NextFiring]]:
    """Return which coats of each piece were laid, from 0, and which firing it comes to."""
    laid: dict[int, set[int]] = {piece: set() for piece in pieces}
    with studio.reading() as connection:
        told = current(coat_laid, coat_laid.c.piece, coat_laid.c.coat).where(coat_laid.c.piece.in_(pieces))
        for row in connection.execute(told.where(coat_laid.c.coat.is_not(None))):
            laid[row.piece].add(row.coat - 1)
        return {piece: frozenset(coats) for piece, coats in laid.items()}, next_firings(studio, pieces)


def _next(coats: Sequence[Any], order: Order | None, laid: frozenset[int], coming: NextFiring) -> int | None:
    """Return the first coat that was not laid, in the order of firing, from 0; None when all were."""
    turn = list(range(len(coats)))
    if order is not None:
        laid = laid | coming.past.through(order).coats
        fired_in = {n: place for place, (_, lays) in reversed(list(enumerate(order.firings))) for n in lays}
        turn.sort(key=lambda n: fired_in.get(n, len(order.firings)))
    return next((n for n in turn if n not in laid and not dict(coats[n]).get("fired")), None)
