"""In which order the coats of a design are laid and fired, without working out any heat: quick enough for lists."""

from __future__ import annotations

import json
from collections import OrderedDict
from threading import Lock
from typing import Any

from sqlalchemy import Row

from enamelwright.craft.bench import Bench
from enamelwright.craft.laying import lay_up
from enamelwright.craft.sequence import order
from enamelwright.craft.weights import weigh
from enamelwright.errors import EnamelwrightError
from enamelwright.workshop.designs import drawing_hash, piece_of, shape_of
from enamelwright.workshop.plan_firings import Order

#: Orders kept in memory.
MOST = 256

_kept: OrderedDict[tuple[str, str, str], Order | None] = OrderedDict()
_lock = Lock()


def order_of_version(version: Row[Any], known: Bench) -> Order | None:
    """Return the firings of a design version as its plan has them; None when it cannot be planned.

    Parameters
    ----------
    version : Row
        Of :func:`enamelwright.workshop.designs.version_row`.
    known : Bench
        The bench of this moment.
    """
    key = (json.dumps(version.piece, sort_keys=True), drawing_hash(version), known.revision)
    with _lock:
        if key in _kept:
            _kept.move_to_end(key)
            return _kept[key]
    found = _ordered(version, known)
    with _lock:
        _kept[key] = found
        while len(_kept) > MOST:
            _kept.popitem(last=False)
    return found


def _ordered(version: Row[Any], known: Bench) -> Order | None:
    try:
        layup = lay_up(piece_of(version), known, shape_of(version))
        firings = order(layup, weigh(layup, known), known).firings
    except EnamelwrightError:
        return None
    except Exception:  # a fault of ours must not keep a list from being shown
        return None
    coats = tuple((one.jar, one.face) for one in layup.piece.coats)
    return Order(tuple((one.number, tuple(one.lays)) for one in firings), coats)
