"""How long what came out of the kiln stays too hot for the hand."""

from __future__ import annotations

from collections import OrderedDict
from threading import Lock

from enamelwright.craft.bench import Bench
from enamelwright.craft.laying import lay_up
from enamelwright.craft.plan import Plan
from enamelwright.craft.window.after import cooling_of
from enamelwright.errors import EnamelwrightError
from enamelwright.figure import Figure
from enamelwright.workshop.designs import shape_of, version_row
from enamelwright.workshop.studio import Studio

#: Coolings that are remembered.
MOST = 256

_known: OrderedDict[tuple[str, int, int, str], Figure | None] = OrderedDict()
_lock = Lock()


def until_touch(studio: Studio, version: int, plan: Plan, firing: int, known: Bench) -> Figure | None:
    """Return how long a piece cools in still air before it may be held [s]; None where nobody can say.

    Parameters
    ----------
    studio : Studio
        The studio.
    version : int
        Row of the design version.
    plan : Plan
        Its plan.
    firing : int
        Firing it has just had, from 1.
    known : Bench
        The bench the plan was made on.
    """
    key = (str(studio.store.home.folder), version, firing, known.revision)
    with _lock:
        if key in _known:
            _known.move_to_end(key)
            return _known[key]
    found = _worked_out(studio, version, plan, firing, known)
    with _lock:
        _known[key] = found
        while len(_known) > MOST:
            _known.popitem(last=False)
    return found


def _worked_out(studio: Studio, version: int, plan: Plan, firing: int, known: Bench) -> Figure | None:
    so_far = [one for one in plan.firings if one.number <= firing]
    if not so_far or so_far[-1].number != firing:
        return None
    try:
        layup = lay_up(plan.piece, known, shape_of(version_row(studio, version)))
    except EnamelwrightError:
        return None
    times = cooling_of(so_far, layup, plan.weights)
    return None if times is None else times.touch
