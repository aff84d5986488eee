"""What becomes of a piece while somebody is changing it: a first answer at once, the whole one when they pause."""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass
from threading import Lock

from enamelwright.craft.bench import Bench
from enamelwright.craft.coat import AMOUNTS
from enamelwright.craft.outline_shape import Shape
from enamelwright.craft.piece import Piece
from enamelwright.craft.plan import Plan
from enamelwright.craft.planner import FIRST_BAND, make_plan
from enamelwright.craft.sketch import sketch
from enamelwright.records.store import Store
from enamelwright.workshop.bench import bench
from enamelwright.workshop.studio import Studio

#: Draws behind the band that is shown while somebody is dragging.
QUICK_BAND = 32
#: Boards that are remembered.
MOST_BOARDS = 32


@dataclass(frozen=True)
class Tried:
    """A plan of what is on the board.

    Attributes
    ----------
    plan : Plan
        The plan.
    bench : Bench
        It was answered from.
    settled : bool
        False while windows, counter-coat band and cooling are those of the moment before.
    """

    plan: Plan
    bench: Bench
    settled: bool


@dataclass(frozen=True)
class _Last:
    form: Piece
    shape: Shape | None
    tried: Tried


_LAST: OrderedDict[tuple[Store, str], _Last] = OrderedDict()
_LOCK = Lock()


def settle(studio: Studio, subject: str, piece: Piece, shape: Shape | None) -> Tried:
    """Plan what is on the board from the bench of this moment, with its whole band.

    Parameters
    ----------
    studio : Studio
        The studio.
    subject : str
        Whose board it is.
    piece : Piece
        What is on it.
    shape : Shape or None
        Its drawn outline.
    """
    known = bench(studio)
    key, form = (studio.store, subject), _form(piece)
    with _LOCK:
        last = _LAST.get(key)
    same = last is not None and last.tried.plan.piece == piece and last.shape == shape
    if last is not None and same and last.tried.bench.revision == known.revision:
        return last.tried
    tried = Tried(make_plan(piece, known, shape, FIRST_BAND), known, settled=True)
    with _LOCK:
        _LAST[key] = _Last(form, shape, tried)
        _LAST.move_to_end(key)
        while len(_LAST) > MOST_BOARDS:
            _LAST.popitem(last=False)
    return tried


def glance(studio: Studio, subject: str, piece: Piece) -> Tried | None:
    """Plan quickly what differs from the last whole answer in amounts alone; None when there is no such answer.

    Parameters
    ----------
    studio : Studio
        The studio.
    subject : str
        Whose board it is.
    piece : Piece
        What is on it now.
    """
    with _LOCK:
        last = _LAST.get((studio.store, subject))
    if last is None or last.form != _form(piece):
        return None
    return Tried(make_plan(piece, last.tried.bench, last.shape, QUICK_BAND, last.tried.plan), last.tried.bench, False)


def sketched(studio: Studio, subject: str, piece: Piece, shape: Shape | None, known: Bench) -> Plan:
    """Return the plan a small picture is drawn from: the whole one when it is at hand, else a sketch.

    Parameters
    ----------
    studio : Studio
        The studio.
    subject : str
        Whose board it is.
    piece : Piece
        What is on it.
    shape : Shape or None
        Its drawn outline.
    known : Bench
        What is known of the studio.
    """
    with _LOCK:
        last = _LAST.get((studio.store, subject))
    return last.tried.plan if last is not None and last.tried.plan.piece == piece else sketch(piece, known, shape)


def _form(piece: Piece) -> Piece:
    """Return a piece without the amounts of its coats."""
    bare = dict.fromkeys(AMOUNTS)
    return piece.model_copy(update={"coats": tuple(coat.model_copy(update=bare) for coat in piece.coats)})
