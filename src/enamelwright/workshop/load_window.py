"""The window of a firing as this load is really fired: its kiln, setting, support, target and how many go in."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Mapping
from threading import Lock
from typing import Any, get_args

from enamelwright.craft.bench import Bench
from enamelwright.craft.coat import STAGES
from enamelwright.craft.laying import lay_up
from enamelwright.craft.operation import Firing, Window
from enamelwright.craft.outline_shape import Shape
from enamelwright.craft.piece import Piece, Support
from enamelwright.craft.plan import Plan
from enamelwright.craft.weights import weigh
from enamelwright.craft.window.window import windows_at, windows_for
from enamelwright.errors import OutOfReach

#: Windows kept in memory; the pieces of one load are mostly of one design.
MOST_WINDOWS = 64

_windows: OrderedDict[tuple[Any, ...], Window] = OrderedDict()
_windows_lock = Lock()


def for_load(
    plan: Plan, firing: Firing, bench: Bench, shape: Shape | None, kiln: str, told: Mapping[str, Any], count: int
) -> Firing:
    """Return a firing of the plan as it is fired in this load; what is not told is as planned.

    Parameters
    ----------
    plan : Plan
        Of the piece.
    firing : Firing
        Of that plan.
    bench : Bench
        What is known of the studio.
    shape : Shape or None
        The drawn outline.
    kiln : str
        Name of the kiln; empty for the plan's own.
    told : mapping
        `set_point` [K], `target`, `support`, `face_up`.
    count : int
        How many pieces go in together.
    """
    piece = plan.piece
    ours, planned = (bench.kiln(name) for name in (kiln or piece.firing.kiln, piece.firing.kiln))
    if kiln and ours is not None:
        piece = piece.model_copy(update={"firing": piece.firing.model_copy(update={"kiln": ours.name})})
    changed: dict[str, Any] = {}
    if told.get("support") in get_args(Support):
        changed["support"] = told["support"]
    if told.get("target") in STAGES and told["target"] not in {"powder", "over-fired"}:
        changed["target"] = told["target"]
    if told.get("face_up") in {"front", "back"}:
        changed["face_up"] = told["face_up"]
    point = told.get("set_point")
    same = firing.model_copy(update=changed) == firing
    if same and point is None and count == 1 and ours == planned:
        return firing
    asked = firing.model_copy(update={**changed, "window": None})
    key = (piece.model_dump_json(), asked, bench.revision, id(shape) if shape is not None else 0, point, count)
    with _windows_lock:
        found = _windows.get(key)
    if found is None:
        found = _worked(piece, asked, bench, shape, None if point is None else float(point), count)
        with _windows_lock:
            if shape is None:  # a drawn outline has no name to be found by again
                _windows[key] = found
            while len(_windows) > MOST_WINDOWS:
                _windows.popitem(last=False)
    return asked.model_copy(update={"window": found})


def _worked(piece: Piece, firing: Firing, bench: Bench, shape: Shape | None, point: float | None, count: int) -> Window:
    layup = lay_up(piece, bench, shape)
    weights = weigh(layup, bench)
    words = ""
    if point is not None:
        try:
            return windows_at((point,), firing, layup, bench, weights, pieces=count)[0]
        except OutOfReach as error:
            words = f"nothing is worked out at this setting: {error.message} {error.remedy}".strip()
    window = windows_for((firing,), layup, bench, weights, pieces=count)[0]
    return window.model_copy(update={"because": (*window.because, words)}) if words else window
