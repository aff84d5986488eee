"""What the plan foretells of a firing, frozen when the load goes in."""

from __future__ import annotations

import json
from collections import OrderedDict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from threading import Lock
from typing import Any

from sqlalchemy import Row

from enamelwright.craft.bench import Bench
from enamelwright.craft.operation import Firing
from enamelwright.craft.outline_shape import Shape
from enamelwright.craft.piece import Piece
from enamelwright.craft.plan import Plan
from enamelwright.errors import EnamelwrightError
from enamelwright.questions.answer import Answer, plain
from enamelwright.questions.plan import answer
from enamelwright.questions.question import engine
from enamelwright.records.schema.loads import prediction
from enamelwright.records.writing import current
from enamelwright.workshop.as_laid import piece_as_laid, piece_as_weighed
from enamelwright.workshop.bench import bench
from enamelwright.workshop.designs import drawing_hash, piece_of, shape_of, version_row
from enamelwright.workshop.load_window import for_load
from enamelwright.workshop.new_lots import by_lots_laid
from enamelwright.workshop.plan_firings import next_firings
from enamelwright.workshop.studio import Studio
from enamelwright.workshop.who_lays import who_laid, who_lays

#: Plans kept in memory; a studio works on a handful of designs at a time.
MOST_PLANS = 64
#: Hands a load is foretold for, each by its own plans; of more, all are foretold by everybody's.
MOST_HANDS = 4
#: Seed of the draws behind every plan, so that a band repeats.
SEED = 0.0

_plans: OrderedDict[tuple[str, str, str, str], Answer[Plan]] = OrderedDict()
_plans_lock = Lock()


@dataclass(frozen=True)
class Foretold:
    """What the plan says of one piece's next firing.

    Attributes
    ----------
    piece : int
        Row of the piece.
    version : int or None
        First row of the design version; None for a piece with no plan.
    firing : int
        Number of the firing over the life of the piece, from 1.
    asked : dict
        What was asked.
    figures : dict or None
        Window and state after the firing; None when nothing can be foretold.
    bench : str
        Revision of the bench.
    why_not : str
        Why nothing is foretold.
    again : str
        Why it is a firing the piece has been through before; empty when it is a new one.
    """

    piece: int
    version: int | None
    firing: int
    asked: dict[str, Any]
    figures: dict[str, Any] | None
    bench: str = ""
    why_not: str = ""
    again: str = ""


def plan_of(studio: Studio, version: Row[Any], known: Bench | None = None) -> Answer[Plan]:
    """Plan a design version on this studio's bench; a plan asked for twice is worked out once.

    Parameters
    ----------
    studio : Studio
        The studio.
    version : Row
        Of :func:`enamelwright.workshop.designs.version_row`.
    known : Bench, optional
        The bench, when it is at hand; else this studio's, with whoever is at it.

    Raises
    ------
    EnamelwrightError
        When the piece cannot be planned.
    """
    known = bench(studio).by_hand_of(who_lays(studio)) if known is None else known
    text = json.dumps(version.piece, sort_keys=True)
    return _remembered(
        (text, drawing_hash(version), known.revision, engine()),
        lambda: answer(piece_of(version), known, shape_of(version)),
    )


def _remembered(key: tuple[str, str, str, str], work: Callable[[], Answer[Plan]]) -> Answer[Plan]:
    with _plans_lock:
        if key in _plans:
            _plans.move_to_end(key)
            return _plans[key]
    result = work()
    with _plans_lock:
        _plans[key] = result
        while len(_plans) > MOST_PLANS:
            _plans.popitem(last=False)
    return result


def foretell(
    studio: Studio,
    pieces: list[Row[Any]],
    settings: dict[str, Any],
    each: Mapping[int, Mapping[str, Any]] | None = None,
    at: str | None = None,
    more: int = 0,
) -> list[Foretold]:
    """Say what is foretold of the next firing of each piece in this load; reads only, and may take a breath.

    Parameters
    ----------
    studio : Studio
        The studio.
    pieces : list of Row
        Pieces that go into the kiln; one whose coats were weighed far off its plan is foretold as it was laid.
    settings : dict
        `kiln` (its name) and `settings` (`set_point` [K], `target`, `support`, `face_up`), as far as they are
        known beforehand; what is not told is as the plan has it.
    each : mapping, optional
        Row of a piece to its own `support` and `face_up`.
    at : str, optional
        When it goes in, as the record writes moments; now when left out.
    more : int
        How many other pieces go in with these.
    """
    coming = next_firings(studio, [piece.id for piece in pieces], at)
    hands: dict[int, Bench] | None = None
    result = []
    for piece in pieces:
        following = coming[piece.id]
        described = _described(studio, piece, at)
        if described is None:
            result.append(Foretold(piece.id, None, following.number, {}, None, why_not="it has no plan"))
            continue
        hands = _hands(studio, pieces) if hands is None else hands
        known = hands[piece.id]
        figures, why = None, ""
        try:
            plan = described.plan(known).payload
            weighed = piece_as_weighed(plan, following) if described.version is not None else None
            if weighed is not None:
                plan = _plan_as_described(weighed, described.drawing, known, described.shape).payload
            following = following.of_plan(plan)
            told = {**(settings.get("settings") or {}), **((each or {}).get(piece.id) or {})}
            kiln, count = settings.get("kiln") or "", len(pieces) + more
            figures = _figures(plan, following.number, known, described.shape, kiln, told, count)
            why = "" if figures else "the plan has fewer firings"
        except EnamelwrightError as error:
            why = str(error)
        except Exception as error:  # a fault of ours must not keep a firing out of the record
            why = f"the plan broke ({type(error).__name__})"
        asked = {"piece": described.told, "firing": following.number, **settings}
        result.append(
            Foretold(
                piece.id, described.version, following.number, asked, figures, known.revision, why, following.again
            )
        )  # fmt: skip
    return result


def _hands(studio: Studio, pieces: Sequence[Row[Any]]) -> dict[int, Bench]:
    """Return by piece the bench with whoever laid it, and from which lots."""
    plain = bench(studio)
    found = {row: plain.by_hand_of(who) for row, who in who_laid(studio, pieces).items()}
    few = len({one.laid_by for one in found.values()}) <= MOST_HANDS
    return by_lots_laid(studio, found if few else dict.fromkeys(found, plain), pieces)


@dataclass(frozen=True)
class _Described:
    """A piece as it is planned: its design version, or without one what is written down of it."""

    told: dict[str, Any]
    version: int | None
    shape: Shape | None
    drawing: str
    plan: Callable[[Bench], Answer[Plan]]


def _described(studio: Studio, piece: Row[Any], at: str | None) -> _Described | None:
    if piece.design_version is not None:
        version = version_row(studio, piece.design_version)
        return _Described(
            version.piece, version.of, shape_of(version), drawing_hash(version),
            lambda known: plan_of(studio, version, known),
        )  # fmt: skip
    laid = piece_as_laid(studio, piece, at)
    if laid is None:
        return None
    return _Described(laid.to_outside(), None, None, "", lambda known: _plan_as_described(laid, "", known, None))


def _plan_as_described(piece: Piece, drawing: str, known: Bench, shape: Shape | None) -> Answer[Plan]:
    """Plan a piece no version describes as it is."""
    key = (piece.model_dump_json(), drawing, known.revision, engine())
    return _remembered(key, lambda: answer(piece, known, shape))


def figures_of(piece: Piece, known: Bench, kiln: str, told: Mapping[str, Any]) -> dict[str, Any] | None:
    """Return what is foretold of the first firing of a piece no design describes; None when it has none.

    Parameters
    ----------
    piece : Piece
        As described.
    known : Bench
        The bench to go by.
    kiln : str
        Name of the kiln.
    told : mapping
        As :func:`enamelwright.workshop.load_window.for_load` takes it.
    """
    plan = _plan_as_described(piece, "", known, None).payload
    return _figures(plan, 1, known, None, kiln, told, 1)


def foretold_again(studio: Studio, row: Row[Any], known: Bench, count: int = 1) -> dict[str, Any] | None:
    """Return what another bench foretells of a firing that was foretold before, as it was asked then.

    Parameters
    ----------
    studio : Studio
        The studio.
    row : Row
        Of the predictions: `design_version`, `firing` and `asked`.
    known : Bench
        The bench to go by.
    count : int
        Pieces in its load.

    Raises
    ------
    EnamelwrightError
        When the piece cannot be planned on it.
    """
    asked = row.asked or {}
    shape = None
    if row.design_version is not None:
        version = version_row(studio, row.design_version)
        plan, shape = plan_of(studio, version, known).payload, shape_of(version)
    else:
        plan = _plan_as_described(Piece.from_outside(asked.get("piece") or {}), "", known, None).payload
    return _figures(plan, row.firing, known, shape, asked.get("kiln") or "", asked.get("settings") or {}, count)


def freeze(studio: Studio, load: int, foretold: list[Foretold], *, with_outcome: bool) -> int:
    """Write down what was foretold of a load, and return how many pieces that were.

    Parameters
    ----------
    studio : Studio
        The studio.
    load : int
        First row of the load.
    foretold : list of Foretold
        Of :func:`foretell`.
    with_outcome : bool
        Whether the outcome is told in the same breath; such a prediction is not counted when it is asked
        how often the bands held.
    """
    written = 0
    with studio.writing():
        for one in foretold:
            if one.figures is None:
                continue
            told = "with the outcome" if with_outcome else "before the outcome"
            studio.add(
                prediction, load=load, piece=one.piece, design_version=one.version, firing=one.firing,
                asked={**one.asked, "told": told}, figures=one.figures, engine=engine(), bench_revision=one.bench,
                seed=SEED,
            )  # fmt: skip
            written += 1
    return written


def predictions_of(studio: Studio, load: int) -> list[Row[Any]]:
    """List what was foretold of a load.

    Parameters
    ----------
    studio : Studio
        The studio.
    load : int
        First row of the load.
    """
    with studio.reading() as connection:
        return list(connection.execute(current(prediction).where(prediction.c.load == load).order_by(prediction.c.id)))


def _learned(plan: Plan, firing: Firing, known: Bench, kiln: str) -> dict[str, float]:
    """Return what of earlier firings is contained in a window: decades of the gloss clock by jar."""
    own = known.with_jars(plan.piece.jars)
    jars = {plan.piece.coats[coat].jar for coat in (*firing.fuses, *firing.reheats)}
    clocks = {name: own.jar_in(name, kiln or plan.piece.firing.kiln).fusing.gloss_clock for name in sorted(jars)}
    return {name: clock for name, clock in clocks.items() if clock is not None}


def _figures(
    plan: Plan, number: int, known: Bench, shape: Shape | None, kiln: str, told: Mapping[str, Any], count: int
) -> dict[str, Any] | None:
    """Return the window of one firing in this load, the plan's own beside it, and the state after it, as plain JSON.

    The picture's curves are left out.
    """
    planned = next((one for one in plan.firings if one.number == number), None)
    if planned is None:
        return None
    firing = for_load(plan, planned, known, shape, kiln, told, count)
    if firing.window is not None:
        firing = firing.model_copy(update={"window": firing.window.model_copy(update={"course": None})})
    state = next((one for one in plan.flatness.states if one.firing == number), None)
    window = planned.window
    return {
        "learned": _learned(plan, firing, known, kiln),
        "firing": plain(firing),
        "state": plain(state) if state is not None else None,
        "chord": plan.chord,
        "planned": {
            "target": planned.target,
            "support": planned.support,
            "face_up": planned.face_up,
            "set_point": plain(window.set_point) if window is not None and window.set_point is not None else None,
            "seconds": plain(window.seconds) if window is not None and window.seconds is not None else None,
        },
    }
